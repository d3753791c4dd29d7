//! Composing an evening: equal to trying everything, never what is not permitted, always in time.

use std::collections::{BTreeMap, BTreeSet};

use evenfall::pure::avoid::Avoid;
use evenfall::pure::region::Region;
use evenfall::pure::routine::compose::{Request, compose, compose_with_runner_up};
use evenfall::pure::routine::{Library, Pattern, Position, Prop, Side, Stretch};
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

const PROPS: [Prop; 3] = [Prop::Wall, Prop::Strap, Prop::Cushion];

fn pattern(inhale_ms: u32, exhale_ms: u32) -> Pattern {
    Pattern {
        id: "longer_out".to_owned(),
        name: "Longer out".to_owned(),
        inhale_ms,
        second_inhale_ms: 0,
        hold_ms: 0,
        exhale_ms,
        hold_out_ms: 0,
        about: String::new(),
    }
}

fn stretch(
    id: &str,
    regions: &[(Region, u8)],
    position: Position,
    two_sided: bool,
    hold_s: (u32, u32),
) -> Stretch {
    Stretch {
        id: id.to_owned(),
        name: id.to_owned(),
        regions: regions.iter().copied().collect(),
        position,
        two_sided,
        hold_s,
        set_up: String::new(),
        feel: String::new(),
        ease_off: String::new(),
        easier: String::new(),
        leave_out: Vec::new(),
        loads: Vec::new(),
        props: Vec::new(),
        bed_friendly: false,
        figure: Default::default(),
    }
}

/// Regions from a part of the list: few of them, so that stretches share them.
fn regions(most: usize) -> impl Strategy<Value = BTreeMap<Region, u8>> {
    let all: Vec<Region> = Region::ALL
        .iter()
        .map(|(_, region)| *region)
        .take(most)
        .collect();
    subsequence(all, 1..=3).prop_flat_map(|chosen| {
        let count = chosen.len();
        (Just(chosen), prop::collection::vec(1_u8..=3, count))
            .prop_map(|(chosen, emphasis)| chosen.into_iter().zip(emphasis).collect())
    })
}

fn any_stretch(most: usize) -> impl Strategy<Value = Stretch> {
    let avoids: Vec<Avoid> = Avoid::ids().filter_map(Avoid::from_id).collect();
    (
        regions(most),
        0_usize..4,
        any::<bool>(),
        (8_u32..45, 0_u32..20),
        subsequence(avoids, 0..3),
        prop::collection::vec(select(Region::ALL.map(|(_, region)| region).to_vec()), 0..2),
        subsequence(PROPS.to_vec(), 0..2),
        any::<bool>(),
    )
        .prop_map(
            |(regions, position, two_sided, hold, leave_out, loads, props, bed_friendly)| Stretch {
                regions,
                leave_out,
                loads,
                props,
                bed_friendly,
                ..stretch(
                    "",
                    &[],
                    Position::ALL[position].1,
                    two_sided,
                    (hold.0, hold.0 + hold.1),
                )
            },
        )
}

fn any_stretches(
    most: usize,
    count: std::ops::RangeInclusive<usize>,
) -> impl Strategy<Value = Vec<Stretch>> {
    prop::collection::vec(any_stretch(most), count).prop_map(|mut all| {
        for (index, stretch) in all.iter_mut().enumerate() {
            stretch.id = format!("stretch_{index:02}");
        }
        all
    })
}

fn any_request(most: usize, seconds: std::ops::Range<u32>) -> impl Strategy<Value = Request> {
    let avoids: Vec<Avoid> = Avoid::ids().filter_map(Avoid::from_id).collect();
    let all: Vec<Region> = Region::ALL
        .iter()
        .map(|(_, region)| *region)
        .take(most)
        .collect();
    (
        prop_oneof![Just(BTreeMap::new()), regions(most)],
        prop::collection::btree_map(select(all.clone()), 0_u8..=4, 0..3),
        prop::collection::btree_set(select(all), 0..2),
        subsequence(avoids, 0..4),
        seconds,
        prop::collection::btree_map(
            (0_usize..8).prop_map(|index| format!("stretch_{index:02}")),
            1_u8..=2,
            0..3,
        ),
        (prop::bool::weighted(0.1), prop::bool::weighted(0.1)),
        prop::option::weighted(0.2, subsequence(PROPS.to_vec(), 0..3)),
    )
        .prop_map(
            |(trained, soreness, painful, avoid, seconds, recent, (gentle, bed_only), props)| {
                Request {
                    trained,
                    soreness,
                    painful,
                    avoid: avoid.into_iter().collect(),
                    seconds,
                    recent,
                    gentle,
                    bed_only,
                    props: props.map(|props| props.into_iter().collect()),
                }
            },
        )
}

/// The objective as the documentation states it, written down a second time.
mod by_hand {
    use super::*;

    pub fn weight(request: &Request, region: Region) -> i64 {
        let trained = request
            .trained
            .get(&region)
            .map_or(0, |emphasis| i64::from(*emphasis));
        let weight = if trained > 0 {
            16 * trained
        } else if request.trained.is_empty() {
            16
        } else {
            4
        };
        match request.soreness.get(&region) {
            Some(3) => weight / 2,
            Some(4) => weight / 4,
            _ => weight,
        }
    }

    /// Two points a unit up to 18, one up to 36; a unit is 5 s at a third.
    pub fn benefit(seconds_by_emphasis: i64) -> i64 {
        let units = seconds_by_emphasis / 5;
        2 * units.min(18) + (units.min(36) - 18).max(0)
    }

    pub fn may_be_used(request: &Request, stretch: &Stretch) -> bool {
        let touched: BTreeSet<Region> = stretch
            .regions
            .keys()
            .copied()
            .chain(stretch.loads.clone())
            .collect();
        let mut left_out: BTreeSet<&str> =
            stretch.leave_out.iter().map(|avoid| avoid.id()).collect();
        if left_out.contains("pregnancy") {
            left_out.insert("late_pregnancy");
        }
        touched.is_disjoint(&request.painful)
            && !request
                .avoid
                .iter()
                .any(|avoid| left_out.contains(avoid.id()))
            && !request
                .avoid
                .iter()
                .any(|avoid| avoid.id() == stretch.position.id())
            && request
                .props
                .as_ref()
                .is_none_or(|props| stretch.props.iter().all(|prop| props.contains(prop)))
            && (!request.gentle || matches!(stretch.position, Position::Seated | Position::Lying))
            && (!request.bed_only || stretch.bed_friendly)
    }

    pub fn holds(request: &Request, stretch: &Stretch) -> Vec<u32> {
        let (low, high) = stretch.hold_s;
        let mut holds: Vec<u32> = (3..=12)
            .map(|fives| fives * 5)
            .filter(|hold| (low..=high).contains(hold))
            .collect();
        let sore = stretch
            .regions
            .keys()
            .filter_map(|region| request.soreness.get(region))
            .max()
            .copied();
        let shortest = holds.first().copied().unwrap_or(0);
        if sore >= Some(3) {
            holds.truncate(1);
        } else if sore == Some(2) || request.trained.is_empty() || request.gentle {
            holds.retain(|hold| *hold <= 30.max(shortest));
        }
        holds
    }

    pub fn value(request: &Request, chosen: &[(&Stretch, u32)]) -> i64 {
        let mut dose: BTreeMap<Region, i64> = BTreeMap::new();
        let mut value = 0;
        for (stretch, hold) in chosen {
            let sides = if stretch.two_sided { 2 } else { 1 };
            let mut alone = 0;
            for (region, emphasis) in &stretch.regions {
                let given = i64::from(*hold) * i64::from(*emphasis);
                *dose.entry(*region).or_default() += given;
                alone += weight(request, *region) * benefit(given);
            }
            value -= 40 + sides * (i64::from(*hold) + 5) / 5;
            match request.recent.get(&stretch.id) {
                Some(1) => value -= alone / 4,
                Some(2) => value -= alone / 8,
                _ => {}
            }
        }
        value
            + dose
                .iter()
                .map(|(region, dose)| weight(request, *region) * benefit(*dose))
                .sum::<i64>()
    }

    pub fn seconds(chosen: &[(&Stretch, u32)]) -> u32 {
        let positions: BTreeSet<Position> =
            chosen.iter().map(|(stretch, _)| stretch.position).collect();
        let held: u32 = chosen
            .iter()
            .map(|(stretch, hold)| (hold + 5) * if stretch.two_sided { 2 } else { 1 })
            .sum();
        held + 5 * positions.len() as u32
    }

    /// Seconds that stretches may take when breathing keeps two minutes in whole breaths.
    pub fn room(request: &Request, pattern: &Pattern) -> u32 {
        if request.seconds <= 180 {
            return 0;
        }
        let mut breathing_ms = 0;
        while breathing_ms < 120_000 {
            breathing_ms += pattern.cycle_ms();
        }
        (request.seconds * 1000).saturating_sub(breathing_ms) / 1000
    }

    /// The value of every set of stretches at its best holds.
    pub fn all_sets(
        request: &Request,
        stretches: &[Stretch],
        pattern: &Pattern,
    ) -> BTreeMap<Vec<String>, i64> {
        let usable: Vec<(&Stretch, Vec<u32>)> = stretches
            .iter()
            .filter(|stretch| may_be_used(request, stretch))
            .map(|stretch| (stretch, holds(request, stretch)))
            .collect();
        let room = room(request, pattern);
        let mut best = BTreeMap::new();
        let mut chosen = Vec::new();
        extend(request, &usable, room, &mut chosen, &mut best);
        best
    }

    fn extend<'a>(
        request: &Request,
        usable: &[(&'a Stretch, Vec<u32>)],
        room: u32,
        chosen: &mut Vec<(&'a Stretch, u32)>,
        best: &mut BTreeMap<Vec<String>, i64>,
    ) {
        let Some(((stretch, holds), rest)) = usable.split_first() else {
            if seconds(chosen) <= room {
                let ids: Vec<String> = chosen
                    .iter()
                    .map(|(stretch, _)| stretch.id.clone())
                    .collect();
                let value = value(request, chosen);
                best.entry(ids)
                    .and_modify(|known| *known = value.max(*known))
                    .or_insert(value);
            }
            return;
        };
        extend(request, rest, room, chosen, best);
        for hold in holds {
            chosen.push((stretch, *hold));
            extend(request, rest, room, chosen, best);
            chosen.pop();
        }
    }
}

/// Stretches of a routine by id with the hold of one side, in order of ids.
fn chosen<'a>(
    steps: &[evenfall::pure::routine::Step],
    stretches: &'a [Stretch],
) -> Vec<(&'a Stretch, u32)> {
    let held: BTreeMap<&str, u32> = steps
        .iter()
        .map(|step| (step.stretch.as_str(), step.hold_s))
        .collect();
    held.into_iter()
        .map(|(id, hold)| {
            (
                stretches
                    .iter()
                    .find(|one| one.id == id)
                    .expect("a stretch of the library"),
                hold,
            )
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn trying_everything_finds_nothing_better(
        stretches in any_stretches(5, 0..=6),
        request in any_request(5, 181..520),
        exhale_ms in 4000_u32..9000,
    ) {
        let pattern = pattern(4000, exhale_ms);
        let sets = by_hand::all_sets(&request, &stretches, &pattern);
        let best = sets.values().max().copied().expect("the empty evening");
        let found = compose_with_runner_up(&request, &stretches, &pattern);
        prop_assert_eq!(found.value, best);
        prop_assert!(found.proven);
        prop_assert_eq!(found.bound, best);
        let chosen = chosen(&found.routine.steps, &stretches);
        prop_assert_eq!(by_hand::value(&request, &chosen), best);
        let ids: Vec<String> = chosen.iter().map(|(stretch, _)| stretch.id.clone()).collect();
        let second = sets.iter().filter(|(set, _)| **set != ids).map(|(_, value)| *value).max();
        prop_assert_eq!(found.runner_up.as_ref().map(|other| other.value), second);
        if let Some(other) = found.runner_up {
            prop_assert_eq!(sets.get(&other.stretches).copied(), second);
            prop_assert!(other.stretches != ids);
            prop_assert!(other.proven);
        }
    }

    #[test]
    fn pain_avoidance_and_time_are_kept(
        stretches in any_stretches(16, 0..=16),
        request in any_request(16, 0..900),
        exhale_ms in 4000_u32..9000,
    ) {
        let pattern = pattern(4000, exhale_ms);
        let routine = compose(&request, &stretches, &pattern).routine;
        let used = chosen(&routine.steps, &stretches);
        for (stretch, hold) in &used {
            prop_assert!(by_hand::may_be_used(&request, stretch), "{} is not permitted", stretch.id);
            prop_assert!(by_hand::holds(&request, stretch).contains(hold));
            let sides: Vec<Side> = routine
                .steps
                .iter()
                .filter(|step| step.stretch == stretch.id)
                .map(|step| step.side)
                .collect();
            let wanted: &[Side] = if stretch.two_sided { &[Side::Left, Side::Right] } else { &[Side::Both] };
            prop_assert_eq!(sides, wanted);
        }
        let stretching_s: u32 = routine.steps.iter().map(|step| step.change_s + step.hold_s).sum();
        prop_assert_eq!(stretching_s, by_hand::seconds(&used));
        let breathing_ms = routine.cycles * pattern.cycle_ms();
        prop_assert!(stretching_s * 1000 + breathing_ms <= request.seconds * 1000);
        prop_assert!(stretching_s * 1000 + breathing_ms + pattern.cycle_ms() > request.seconds * 1000);
        if stretching_s > 0 {
            prop_assert!(breathing_ms >= 120_000);
            prop_assert!(request.seconds > 180);
        }
        let positions: Vec<Position> = routine
            .steps
            .iter()
            .map(|step| stretches.iter().find(|one| one.id == step.stretch).expect("known").position)
            .collect();
        prop_assert!(positions.is_sorted());
    }

    #[test]
    fn the_order_of_the_library_does_not_matter(
        (stretches, shuffled) in any_stretches(8, 2..=14)
            .prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle())),
        request in any_request(8, 181..900),
    ) {
        let pattern = pattern(4000, 6000);
        prop_assert_eq!(compose(&request, &stretches, &pattern), compose(&request, &shuffled, &pattern));
    }
}

/// What HiGHS 1.16.0 says of the model in `tests/bench/peers/composer.py`.
#[test]
fn an_evening_of_the_shipped_library_is_worth_what_a_solver_says() {
    let library = Library::shipped();
    let stretches: Vec<Stretch> = library.stretches.values().cloned().collect();
    let recent = [
        ("ankle_on_knee_seated", 2),
        ("chin_nod", 1),
        ("kneel_shins", 1),
        ("legs_up_wall", 2),
        ("wide_seated_lean", 1),
    ];
    let request = Request {
        trained: [(Region::Chest, 1), (Region::LowerBack, 1)].into(),
        recent: recent.map(|(id, ago)| (id.to_owned(), ago)).into(),
        seconds: 600,
        ..Request::default()
    };
    let found = compose(&request, &stretches, &pattern(4000, 6000));
    assert_eq!((found.value, found.bound, found.proven), (2740, 2740, true));
}

#[test]
fn three_minutes_and_an_empty_library_are_breathing_only() {
    let pattern = pattern(4000, 6000);
    let library = [stretch(
        "calf",
        &[(Region::Calves, 3)],
        Position::Standing,
        true,
        (20, 30),
    )];
    let short = compose(
        &Request {
            seconds: 180,
            ..Request::default()
        },
        &library,
        &pattern,
    );
    assert!(short.routine.steps.is_empty());
    assert_eq!(short.routine.cycles, 18);
    assert!(
        short
            .why
            .starts_with("Breathing only, because three minutes")
    );
    let empty = compose(
        &Request {
            seconds: 300,
            ..Request::default()
        },
        &[],
        &pattern,
    );
    assert!(empty.routine.steps.is_empty() && empty.proven);
    assert_eq!(empty.routine.cycles, 30);
}

#[test]
fn a_stretch_of_yesterday_gives_way_to_its_equal() {
    let pattern = pattern(4000, 6000);
    let library = ["calf_a", "calf_b"].map(|id| {
        stretch(
            id,
            &[(Region::Calves, 3)],
            Position::Standing,
            true,
            (20, 30),
        )
    });
    for (used, wanted) in [("calf_a", "calf_b"), ("calf_b", "calf_a")] {
        let request = Request {
            trained: BTreeMap::from([(Region::Calves, 3)]),
            recent: BTreeMap::from([(used.to_owned(), 1)]),
            seconds: 200,
            ..Request::default()
        };
        let found = compose(&request, &library, &pattern);
        assert!(
            found
                .routine
                .steps
                .iter()
                .all(|step| step.stretch == wanted),
            "{used} came again"
        );
        assert_eq!(found.routine.steps.len(), 2);
    }
}
