//! The search: every evening that could be best, stretch by stretch, and no other.
//!
//! The stretches are put in an order in which those for neighbouring regions stand together. From the
//! empty evening on, each partial evening is continued without the next stretch and with each of its
//! holds. A partial evening is given up when
//!
//! - its bound (see [`super::price`]) does not exceed the best evening known, or
//! - another partial evening has the same positions, the same doses in all regions that can still be
//!   given something, no less time left and no fewer points from everything else.
//!
//! At first only a few of the most promising partial evenings are kept at each stretch, which gives a good
//! evening quickly; then more and more, until none had to be dropped that could have been better: then the
//! evening is proven to be best. This is dynamic programming with bounds (Morin & Marsten (1976),
//! Operations Research 24:611-627).

use super::RunnerUp;
use super::price::{Ahead, Bounds, Prices, SCALE, Standing, tune};
use super::problem::{Candidate, Problem, REGIONS, benefit};

/// How many partial evenings are kept at each stretch, one search after another.
const WIDTHS: [usize; 5] = [64, 512, 4096, 32_768, 262_144];

/// How many sets of prices bound the search.
const PRICE_SETS: usize = 4;

/// The regions in an order in which most stretches reach from one to the next.
const ORDER: [usize; REGIONS] = [7, 6, 2, 1, 0, 3, 5, 4, 8, 9, 10, 12, 11, 13, 14, 15];

/// The best evening found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    /// Which candidate with which of its holds.
    pub chosen: Vec<(usize, usize)>,
    /// Its points.
    pub value: i32,
    /// No evening has more points.
    pub bound: i32,
    /// Partial evenings looked at.
    pub nodes: u64,
}

/// The evening of greatest value.
pub(super) fn best(problem: &Problem) -> Found {
    Search::new(problem, None).run()
}

/// The best evening with another set of stretches than the best one: without one of its stretches, or
/// with all of them and one more.
pub(super) fn second(problem: &Problem, first: &Found) -> Option<RunnerUp> {
    let is_chosen = |index: usize| first.chosen.iter().any(|(one, _)| *one == index);
    let mut runner_up = (!first.chosen.is_empty()).then(Found::default);
    let mut bound = i32::MIN;
    for index in 0..problem.candidates.len() {
        let mut other = problem.clone();
        let mut kept: Vec<usize> = (0..other.candidates.len()).collect();
        if is_chosen(index) {
            other.candidates.remove(index);
            kept.remove(index);
        } else {
            for (at, candidate) in other.candidates.iter_mut().enumerate() {
                candidate.forced = at == index || is_chosen(at);
            }
        }
        let mut found = Search::new(&other, runner_up.as_ref().map(|found| found.value)).run();
        bound = bound.max(found.bound);
        if runner_up
            .as_ref()
            .is_none_or(|known| found.value > known.value)
            && found.value > NONE
        {
            for (candidate, _) in &mut found.chosen {
                *candidate = kept[*candidate];
            }
            runner_up = Some(found);
        }
    }
    runner_up.map(|found| RunnerUp {
        value: i64::from(found.value),
        stretches: ids(problem, &found),
        proven: bound <= found.value,
    })
}

fn ids(problem: &Problem, found: &Found) -> Vec<String> {
    found
        .chosen
        .iter()
        .map(|(index, _)| problem.candidates[*index].stretch.id.clone())
        .collect()
}

/// The value of no evening at all.
const NONE: i32 = i32::MIN / 4;

/// A partial evening.
#[derive(Clone, Copy)]
struct Partial {
    /// Doses of the regions that can still be given something, a byte each.
    doses: u128,
    /// Points if it ended here.
    value: i32,
    /// What the regions bring at most less the costs so far, for each set of prices.
    buying: [i32; PRICE_SETS],
    /// Bound, in the scale of bounds.
    bound: i32,
    time: u16,
    positions: u8,
    /// Which hold of the stretch passed last; [`SKIPPED`] for none.
    hold: u8,
    /// Index of the partial evening continued.
    parent: u32,
}

const SKIPPED: u8 = u8::MAX;

impl Partial {
    fn dose(&self, region: usize) -> usize {
        usize::from((self.doses >> (8 * region)) as u8)
    }

    fn set_dose(&mut self, region: usize, dose: usize) {
        self.doses = self.doses & !(0xff << (8 * region)) | (dose as u128) << (8 * region);
    }

    /// What has to be the same for one to stand for the other.
    fn kind(&self) -> (u128, u8) {
        (self.doses, self.positions)
    }
}

/// A search in a problem whose stretches have been put in order.
struct Search<'a> {
    problem: Problem<'a>,
    /// Where each stretch stood before.
    places: Vec<usize>,
    ahead: Ahead,
    prices: Vec<Prices>,
    bounds: Vec<Bounds>,
    /// Place after the last stretch that has to be part of it.
    free_from: usize,
    best: Found,
    /// Bound of what was dropped, points.
    dropped: i32,
    /// Parent and hold of each partial evening kept, place by place.
    kept: Vec<Vec<(u32, u8)>>,
}

impl<'a> Search<'a> {
    /// A search for an evening of more than `above` points, or for any.
    fn new(problem: &Problem<'a>, above: Option<i32>) -> Self {
        let mut places: Vec<usize> = (0..problem.candidates.len()).collect();
        places.sort_by_key(|place| order(&problem.candidates[*place]));
        let candidates: Vec<Candidate> = places
            .iter()
            .map(|place| problem.candidates[*place].clone())
            .collect();
        let problem = Problem {
            candidates,
            ..*problem
        };
        let free_from = problem
            .candidates
            .iter()
            .rposition(|candidate| candidate.forced)
            .map_or(0, |last| last + 1);
        let value = above.unwrap_or(if free_from == 0 { 0 } else { NONE });
        Self {
            ahead: Ahead::new(&problem.candidates),
            problem,
            places,
            prices: Vec::new(),
            bounds: Vec::new(),
            free_from,
            best: Found {
                value,
                ..Found::default()
            },
            dropped: i32::MAX,
            kept: Vec::new(),
        }
    }

    fn run(mut self) -> Found {
        let start = self.start();
        let weights = self.problem.weights.map(|weight| SCALE * weight);
        self.price(&start, self.best.value.max(0), &weights, 60);
        for width in WIDTHS {
            self.pass(width);
            if self.dropped <= self.best.value {
                break;
            }
            if width == WIDTHS[0] {
                self.price_along_best();
            }
        }
        self.best.bound = self.dropped.max(self.best.value);
        for (candidate, _) in &mut self.best.chosen {
            *candidate = self.places[*candidate];
        }
        self.best.chosen.sort_unstable();
        self.best
    }

    fn start(&self) -> Standing {
        Standing {
            place: 0,
            time: self.problem.time,
            doses: [0; REGIONS],
        }
    }

    /// Adds a set of prices that suits a standing.
    fn price(&mut self, standing: &Standing, worth: i32, start: &Prices, steps: usize) {
        let prices = tune(&self.problem, &self.ahead, standing, worth, start, steps);
        self.bounds
            .push(Bounds::new(&self.problem, &self.ahead, &prices));
        self.prices.push(prices);
    }

    /// Adds sets of prices that suit the best evening known a quarter, half and three quarters through.
    fn price_along_best(&mut self) {
        let count = self.problem.candidates.len();
        for part in 1..PRICE_SETS {
            let mut standing = self.start();
            standing.place = count * part / PRICE_SETS;
            let mut worth = self.best.value;
            let mut positions = 0_usize;
            for (index, hold) in &self.best.chosen {
                let candidate = &self.problem.candidates[*index];
                let hold = &candidate.holds[*hold];
                if *index >= standing.place {
                    continue;
                }
                for (region, emphasis) in &candidate.regions {
                    standing.doses[*region] += emphasis * hold.units;
                }
                standing.time -= hold.time + usize::from(positions >> candidate.position & 1 == 0);
                positions |= 1 << candidate.position;
                worth += hold.cost;
            }
            let start = self.prices[0];
            self.price(&standing, worth, &start, 30);
        }
    }

    /// Goes through all stretches and keeps at most `width` partial evenings at each.
    fn pass(&mut self, width: usize) {
        self.kept.clear();
        let mut dropped = i32::MIN;
        let mut partials = vec![self.empty()];
        for place in 0..self.problem.candidates.len() {
            let mut next = Vec::with_capacity(2 * partials.len());
            for (parent, partial) in partials.iter().enumerate() {
                self.continue_one(place, partial, parent as u32, &mut next);
            }
            self.best.nodes += next.len() as u64;
            keep_best_of_each_kind(&mut next);
            if next.len() > width {
                next.select_nth_unstable_by(width, |a, b| rank(b).cmp(&rank(a)));
                let best_dropped = next[width..].iter().map(|one| one.bound).max();
                dropped =
                    dropped.max(best_dropped.map_or(i32::MIN, |bound| bound.div_euclid(SCALE)));
                next.truncate(width);
            }
            self.kept
                .push(next.iter().map(|one| (one.parent, one.hold)).collect());
            self.note_best(place, &next);
            partials = next;
        }
        self.dropped = self.dropped.min(dropped);
    }

    fn empty(&self) -> Partial {
        let mut buying = [i32::MAX / 2; PRICE_SETS];
        for (sum, bounds) in buying.iter_mut().zip(&self.bounds) {
            *sum = (0..REGIONS)
                .map(|region| bounds.buying(&self.ahead, 0, region)[0])
                .sum();
        }
        Partial {
            doses: 0,
            value: 0,
            buying,
            bound: i32::MAX,
            time: self.problem.time as u16,
            positions: 0,
            hold: SKIPPED,
            parent: 0,
        }
    }

    /// Without the stretch at a place and with each of its holds.
    fn continue_one(&self, place: usize, from: &Partial, parent: u32, next: &mut Vec<Partial>) {
        let candidate = &self.problem.candidates[place];
        if !candidate.forced {
            let without = Partial {
                parent,
                hold: SKIPPED,
                ..*from
            };
            self.add(place, from, without, next);
        }
        let positions = from.positions | 1 << candidate.position;
        let new_position = u16::from(positions != from.positions);
        for (index, hold) in candidate.holds.iter().enumerate() {
            let time = hold.time as u16 + new_position;
            if time > from.time {
                break;
            }
            let mut with = Partial {
                parent,
                hold: index as u8,
                positions,
                ..*from
            };
            with.time -= time;
            with.value -= hold.cost;
            for sum in &mut with.buying {
                *sum -= SCALE * hold.cost;
            }
            for (region, emphasis) in &candidate.regions {
                let before = from.dose(*region);
                let dose = (before + emphasis * hold.units).min(super::FULL_DOSE);
                with.value += self.problem.weights[*region] * (benefit(dose) - benefit(before));
                with.set_dose(*region, dose);
            }
            self.add(place, from, with, next);
        }
    }

    /// Adds a partial evening that has passed a stretch, unless its bound tells that it leads nowhere.
    fn add(&self, place: usize, from: &Partial, mut to: Partial, next: &mut Vec<Partial>) {
        let candidate = &self.problem.candidates[place];
        to.bound = i32::MAX;
        for (set, bounds) in self.bounds.iter().enumerate() {
            let mut sum = to.buying[set];
            for (region, _) in &candidate.regions {
                sum += bounds.buying(&self.ahead, place + 1, *region)[to.dose(*region)]
                    - bounds.buying(&self.ahead, place, *region)[from.dose(*region)];
            }
            let selling =
                bounds.selling(place + 1, usize::from(to.positions), usize::from(to.time));
            to.bound = to.bound.min(sum + selling);
            to.buying[set] = sum;
        }
        if to.bound.div_euclid(SCALE) <= self.best.value {
            return;
        }
        for (region, _) in &candidate.regions {
            if self.ahead.is_closed(place + 1, *region) {
                to.set_dose(*region, 0);
            }
        }
        next.push(to);
    }

    /// Takes over the best of the partial evenings that have passed a stretch.
    fn note_best(&mut self, place: usize, partials: &[Partial]) {
        if place + 1 < self.free_from {
            return;
        }
        let Some((index, best)) = partials
            .iter()
            .enumerate()
            .max_by_key(|(_, partial)| (partial.value, rank(partial)))
        else {
            return;
        };
        if best.value > self.best.value {
            self.best.value = best.value;
            self.best.chosen = self.trace(place, index);
        }
    }

    fn trace(&self, place: usize, mut index: usize) -> Vec<(usize, usize)> {
        let mut chosen = Vec::new();
        for at in (0..=place).rev() {
            let (parent, hold) = self.kept[at][index];
            if hold != SKIPPED {
                chosen.push((at, usize::from(hold)));
            }
            index = parent as usize;
        }
        chosen.reverse();
        chosen
    }
}

/// Total order of different partial evenings: the most promising is greatest.
fn rank(partial: &Partial) -> (i32, i32, u16, u128, u8) {
    (
        partial.bound,
        partial.value,
        partial.time,
        partial.doses,
        partial.positions,
    )
}

/// Keeps those that no other of their kind equals in time left and points.
fn keep_best_of_each_kind(partials: &mut Vec<Partial>) {
    partials.sort_unstable_by(|a, b| {
        let tail = |one: &Partial| (one.time, one.value, one.parent, one.hold);
        a.kind().cmp(&b.kind()).then_with(|| tail(b).cmp(&tail(a)))
    });
    let mut known = None;
    partials.retain(|one| match known {
        Some((kind, value)) if kind == one.kind() && value >= one.value => false,
        _ => {
            known = Some((one.kind(), one.value));
            true
        }
    });
}

/// Stretches whose last region comes first in the order of regions come first.
fn order(candidate: &Candidate) -> Vec<usize> {
    let mut at: Vec<usize> = candidate
        .regions
        .iter()
        .filter_map(|(region, _)| ORDER.iter().position(|one| one == region))
        .collect();
    at.sort_unstable_by(|a, b| b.cmp(a));
    at
}
