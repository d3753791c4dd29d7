//! The search against trying everything, with so little width that every part of it is needed.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::ahead::{ANY_END, Ahead};
use super::narrow::narrowed;
use super::price::SCALE;
use super::problem::{Candidate, Hold, NONE, Problem, REGIONS};
use super::search::{Effort, best_above};
use super::tune::{Standing, Tariff, Tuning};
use crate::pure::routine::Library;

/// A candidate in numbers: position, sides, regions with emphasis, shortest hold, further holds, extra
/// cost, forced.
type Numbers = (usize, usize, Vec<(usize, usize)>, usize, usize, i32, bool);

fn any_numbers() -> impl Strategy<Value = Numbers> {
    let region = (0_usize..5, 1_usize..=3);
    (
        0_usize..4,
        1_usize..=2,
        prop::collection::vec(region, 1..=3),
        3_usize..7,
        0_usize..4,
        0_i32..60,
        prop::bool::weighted(0.05),
    )
}

fn problem(all: &[Numbers], weights: &[i32], time: usize) -> Problem<'static> {
    // Any stretch will do: the search looks at the numbers only.
    static LIBRARY: LazyLock<Library> = LazyLock::new(Library::shipped);
    let stretch = LIBRARY.stretches.values().next().expect("a stretch");
    let candidates = all.iter().map(
        |(position, sides, regions, shortest, more, extra, forced)| {
            let mut regions = regions.clone();
            regions.sort_unstable();
            regions.dedup_by_key(|(region, _)| *region);
            let holds = (*shortest..=shortest + more).map(|units| {
                let time = sides * (units + 1);
                Hold {
                    units,
                    time,
                    cost: 40 + time as i32 + extra,
                }
            });
            Candidate {
                stretch,
                position: *position,
                regions,
                holds: holds.collect(),
                forced: *forced,
            }
        },
    );
    Problem {
        candidates: candidates.collect(),
        weights: std::array::from_fn(|region| weights[region % weights.len()]),
        ends: [ANY_END; REGIONS],
        time,
    }
}

/// The most points of any evening, by trying all; [`NONE`] when there is none.
fn by_trying_all(problem: &Problem, place: usize, chosen: &mut Vec<(usize, usize)>) -> i32 {
    let Some(candidate) = problem.candidates.get(place) else {
        let mut positions = [0; 4];
        let mut time = 0;
        for (index, units) in chosen.iter() {
            let candidate = &problem.candidates[*index];
            positions[candidate.position] = 1;
            time += candidate
                .holds
                .iter()
                .find(|hold| hold.units == *units)
                .map_or(0, |hold| hold.time);
        }
        time += positions.iter().sum::<usize>();
        return if time <= problem.time {
            problem.value(chosen)
        } else {
            NONE
        };
    };
    let mut best = if candidate.forced {
        NONE
    } else {
        by_trying_all(problem, place + 1, chosen)
    };
    for hold in &candidate.holds {
        chosen.push((place, hold.units));
        best = best.max(by_trying_all(problem, place + 1, chosen));
        chosen.pop();
    }
    best
}

const NARROW: Effort = Effort {
    tuning: [2, 3],
    list_tuning: 2,
    first_width: 1,
    width: 1,
    widening: 2,
    lists_from_width: 2,
    shaken_after: 0,
    most_nodes: u64::MAX,
};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_narrow_search_ends_with_the_best_evening(
        all in prop::collection::vec(any_numbers(), 0..=6),
        weights in prop::collection::vec(prop_oneof![Just(4), Just(16), Just(48), 0_i32..50], REGIONS),
        time in 0_usize..90,
    ) {
        let problem = problem(&all, &weights, time);
        let best = by_trying_all(&problem, 0, &mut Vec::new());
        for effort in [NARROW, Effort::USUAL] {
            let found = best_above(&problem, NONE, effort, None);
            prop_assert_eq!(found.value, best);
            prop_assert_eq!(found.bound, best);
            let nothing = best_above(&problem, best.max(0), effort, Some(&found.tariff));
            prop_assert!(nothing.chosen.is_empty());
        }
    }

    #[test]
    fn no_tariff_bounds_by_less_than_the_best_evening_or_leaves_it_out(
        all in prop::collection::vec(any_numbers(), 1..=6),
        weights in prop::collection::vec(0_i32..50, REGIONS),
        time in 0_usize..90,
        prices in prop::collection::vec((0_i32..3000, 0_i32..3000), REGIONS),
        rent in 0_i32..3000,
    ) {
        let problem = problem(&all, &weights, time);
        let best = by_trying_all(&problem, 0, &mut Vec::new());
        let ahead = Ahead::new(&problem.candidates);
        let tariff = Tariff {
            units: std::array::from_fn(|at| [prices[at].0.max(prices[at].1), prices[at].0.min(prices[at].1)]),
            rent,
        };
        let mut tuning = Tuning::new(&problem, &ahead, &Standing::start(&problem));
        let (bound, _) = tuning.relaxed(&tariff).expect("no end is left out");
        prop_assert!(bound >= best.saturating_mul(SCALE));
        if best > NONE {
            let narrowed = narrowed(&problem, &ahead, &tariff, best - 1).expect("the best evening is left");
            prop_assert_eq!(by_trying_all(&narrowed.problem, 0, &mut Vec::new()), best);
            let found = best_above(&narrowed.problem, NONE, Effort::USUAL, None);
            prop_assert_eq!(found.value, best, "with the doses that each region may end with");
        }
    }

    #[test]
    fn a_search_that_ends_early_says_what_it_could_have_missed(
        all in prop::collection::vec(any_numbers(), 4..=6),
        weights in prop::collection::vec(1_i32..50, REGIONS),
        most_nodes in 0_u64..30,
    ) {
        let problem = problem(&all, &weights, 60);
        let best = by_trying_all(&problem, 0, &mut Vec::new());
        let found = best_above(&problem, NONE, Effort { most_nodes, ..NARROW }, None);
        prop_assert!(found.value <= best && best <= found.bound, "{found:?}, best {best}");
    }
}
