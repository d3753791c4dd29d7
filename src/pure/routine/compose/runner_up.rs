//! The best evening with another set of stretches.

use super::RunnerUp;
use super::problem::{NONE, Problem};
use super::search::{Effort, Found, best_above};

/// The best evening with another set of stretches than the best one: without one of its stretches, or
/// with all of them and one more.
pub(super) fn runner_up(problem: &Problem, first: &Found) -> Option<RunnerUp> {
    let is_chosen = |index: usize| first.chosen.iter().any(|(one, _)| *one == index);
    let mut best = (NONE, Vec::new());
    let mut bound = NONE;
    // Evenings without one of the stretches come first: the best of them leaves the others little to find.
    let mut order: Vec<usize> = (0..problem.candidates.len()).collect();
    order.sort_by_key(|index| !is_chosen(*index));
    for index in order {
        let other = if is_chosen(index) {
            let mut candidates = problem.candidates.clone();
            candidates.remove(index);
            Problem {
                candidates,
                ..*problem
            }
        } else {
            let mut candidates = problem.candidates.clone();
            for (at, candidate) in candidates.iter_mut().enumerate() {
                candidate.forced = at == index || is_chosen(at);
            }
            Problem {
                candidates,
                ..*problem
            }
        };
        let found = best_above(&other, best.0, Effort::USUAL, Some(&first.tariff));
        bound = bound.max(found.bound);
        if found.value > best.0 {
            let stretches = found
                .chosen
                .iter()
                .map(|(at, _)| other.candidates[*at].stretch.id.clone());
            best = (found.value, stretches.collect());
        }
    }
    (best.0 > NONE).then(|| RunnerUp {
        value: i64::from(best.0),
        stretches: best.1,
        proven: bound <= best.0,
    })
}
