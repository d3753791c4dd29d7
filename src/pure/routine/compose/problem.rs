//! The question in whole numbers: which stretches are permitted, what each hold costs and brings.

use super::ahead::{ANY_END, Ends};
use super::{BREATHING_ONLY_S, Request};
use crate::pure::region::Region;
use crate::pure::routine::breath::least_breathing_ms;
use crate::pure::routine::{Pattern, Position, Stretch};

/// How many regions there are.
pub(super) const REGIONS: usize = Region::ALL.len();

/// How many positions there are.
pub(super) const POSITIONS: usize = Position::ALL.len();

/// Dose beyond which nothing is gained: 60 s at emphasis 3, in units of 5 s at emphasis 1.
pub const FULL_DOSE: usize = 36;

/// Dose up to which a unit brings double: half a minute at emphasis 3.
pub(super) const HALF_DOSE: usize = FULL_DOSE / 2;

/// The grid of holds and times, seconds.
pub(super) const GRID_S: u32 = 5;

/// Shortest and longest hold, seconds.
const HOLD_S: (u32, u32) = (15, 60);

/// Longest hold where it should be gentle, seconds.
const GENTLE_HOLD_S: u32 = 30;

/// Points that any stretch costs.
const STRETCH_COSTS: i32 = 40;

/// Weight of a trained region for each of its emphasis.
const TRAINED_WEIGHT: i32 = 16;

/// Weight of a region that was not trained while others were.
const UNTRAINED_WEIGHT: i32 = 4;

/// Weight of every region when nothing was trained.
const REST_DAY_WEIGHT: i32 = 16;

/// The value of no evening at all.
pub(super) const NONE: i32 = i32::MIN / 256;

/// Points of a dose in a region of this weight: concave, nothing beyond [`FULL_DOSE`].
pub(super) fn points(weight: i32, dose: usize) -> i32 {
    let dose = dose.min(FULL_DOSE);
    weight * (dose + dose.min(HALF_DOSE)) as i32
}

/// One permitted hold of a stretch.
#[derive(Clone, Debug)]
pub(super) struct Hold {
    /// Length in units of [`GRID_S`].
    pub units: usize,
    /// Time with changing, all sides, in units of [`GRID_S`]; without what a new position takes.
    pub time: usize,
    /// What it costs, points.
    pub cost: i32,
}

/// One permitted stretch.
#[derive(Clone, Debug)]
pub(super) struct Candidate<'a> {
    /// The stretch.
    pub stretch: &'a Stretch,
    /// Index of its position.
    pub position: usize,
    /// Index of each region and the stretch's emphasis on it.
    pub regions: Vec<(usize, usize)>,
    /// Permitted holds, shortest first; at least one.
    pub holds: Vec<Hold>,
    /// Has to be part of the evening.
    pub forced: bool,
}

/// The question in whole numbers.
#[derive(Clone, Debug)]
pub(super) struct Problem<'a> {
    /// Permitted stretches, by id.
    pub candidates: Vec<Candidate<'a>>,
    /// Weight of each region.
    pub weights: [i32; REGIONS],
    /// Doses with which each region may end.
    pub ends: [Ends; REGIONS],
    /// Time for stretches, in units of [`GRID_S`].
    pub time: usize,
}

impl<'a> Problem<'a> {
    /// Sifts the stretches and counts the time.
    pub fn new(request: &Request, stretches: &'a [Stretch], pattern: &Pattern) -> Self {
        let weights = weights(request);
        let time = time_for_stretches(request.seconds, pattern);
        let mut permitted: Vec<&Stretch> = stretches
            .iter()
            .filter(|stretch| is_permitted(request, stretch))
            .collect();
        permitted.sort_by(|a, b| a.id.cmp(&b.id));
        permitted.dedup_by(|a, b| a.id == b.id);
        let candidates: Vec<Candidate> = permitted
            .into_iter()
            .filter_map(|stretch| candidate(request, &weights, stretch, time))
            .collect();
        let useful: usize = candidates
            .iter()
            .filter_map(|one| one.holds.last())
            .map(|hold| hold.time)
            .sum();
        Self {
            time: time.min(useful + Position::ALL.len()),
            candidates,
            weights,
            ends: [ANY_END; REGIONS],
        }
    }

    /// Doses of the regions that chosen candidates with holds in units of the grid give.
    pub fn doses(&self, chosen: &[(usize, usize)]) -> [usize; REGIONS] {
        let mut doses = [0; REGIONS];
        for (index, units) in chosen {
            for (region, emphasis) in &self.candidates[*index].regions {
                doses[*region] += emphasis * units;
            }
        }
        doses
    }

    /// Points of chosen candidates with holds in units of the grid.
    pub fn value(&self, chosen: &[(usize, usize)]) -> i32 {
        let doses = self.doses(chosen);
        let brought: i32 = (0..REGIONS)
            .map(|region| points(self.weights[region], doses[region]))
            .sum();
        let costs = chosen.iter().flat_map(|(index, units)| {
            self.candidates[*index]
                .holds
                .iter()
                .filter(|hold| hold.units == *units)
                .map(|hold| hold.cost)
        });
        brought - costs.sum::<i32>()
    }
}

/// Time for stretches, in units of [`GRID_S`]: what is left when breathing keeps its whole breaths.
fn time_for_stretches(seconds: u32, pattern: &Pattern) -> usize {
    if seconds <= BREATHING_ONLY_S {
        return 0;
    }
    let left_ms = (u64::from(seconds) * 1000).saturating_sub(least_breathing_ms(pattern));
    (left_ms / (u64::from(GRID_S) * 1000)) as usize
}

fn weights(request: &Request) -> [i32; REGIONS] {
    Region::ALL.map(|(_, region)| {
        let emphasis = request.trained.get(&region).copied().unwrap_or(0).min(3);
        let weight = match emphasis {
            0 if is_rest_day(request) => REST_DAY_WEIGHT,
            0 => UNTRAINED_WEIGHT,
            emphasis => TRAINED_WEIGHT * i32::from(emphasis),
        };
        match soreness(request, region) {
            0..=2 => weight,
            3 => weight / 2,
            _ => weight / 4,
        }
    })
}

fn is_rest_day(request: &Request) -> bool {
    request.trained.values().all(|emphasis| *emphasis == 0)
}

fn soreness(request: &Request, region: Region) -> u8 {
    request.soreness.get(&region).copied().unwrap_or(0)
}

fn is_permitted(request: &Request, stretch: &Stretch) -> bool {
    let hurts = request
        .painful
        .iter()
        .any(|region| stretch.touches(*region));
    let needs_missing = request
        .props
        .as_ref()
        .is_some_and(|at_hand| stretch.props.iter().any(|prop| !at_hand.contains(prop)));
    !(hurts
        || stretch.left_out_by(&request.avoid).is_some()
        || needs_missing
        || request.gentle && stretch.position < Position::Seated
        || request.bed_only && !stretch.bed_friendly)
}

fn candidate<'a>(
    request: &Request,
    weights: &[i32; REGIONS],
    stretch: &'a Stretch,
    time: usize,
) -> Option<Candidate<'a>> {
    let regions: Vec<(usize, usize)> = stretch
        .regions
        .iter()
        .map(|(region, emphasis)| (*region as usize, usize::from((*emphasis).min(3))))
        .filter(|(_, emphasis)| *emphasis > 0)
        .collect();
    let sides = stretch.sides().len();
    let holds: Vec<Hold> = permitted_holds(request, stretch)
        .map(|seconds| {
            let units = (seconds / GRID_S) as usize;
            let time = sides * (units + 1);
            let alone: i32 = regions
                .iter()
                .map(|(region, emphasis)| points(weights[*region], emphasis * units))
                .sum();
            let repeated = match request.recent.get(&stretch.id) {
                Some(1) => alone / 4,
                Some(2) => alone / 8,
                _ => 0,
            };
            Hold {
                units,
                time,
                cost: STRETCH_COSTS + time as i32 + repeated,
            }
        })
        .filter(|hold| hold.time < time)
        .collect();
    if holds.is_empty() || regions.is_empty() {
        return None;
    }
    Some(Candidate {
        stretch,
        position: stretch.position as usize,
        regions,
        holds,
        forced: false,
    })
}

/// Multiples of the grid within the file's range, fewer of them where it should be gentle, seconds.
fn permitted_holds(request: &Request, stretch: &Stretch) -> impl Iterator<Item = u32> {
    let shortest = stretch.hold_s.0.max(HOLD_S.0).next_multiple_of(GRID_S);
    let sorest = stretch
        .regions
        .keys()
        .map(|region| soreness(request, *region))
        .max()
        .unwrap_or(0);
    let cap = if sorest >= 3 {
        shortest
    } else if sorest == 2 || is_rest_day(request) || request.gentle {
        GENTLE_HOLD_S.max(shortest)
    } else {
        HOLD_S.1
    };
    (shortest..=stretch.hold_s.1.min(cap).min(HOLD_S.1)).step_by(GRID_S as usize)
}
