//! From chosen stretches to an evening: order, sides, changes and breaths.

use std::collections::BTreeMap;

use super::problem::{GRID_S, Problem};
use super::search::Found;
use super::{Composition, Request, why};
use crate::pure::region::Region;
use crate::pure::routine::{Pattern, Routine, Step, change_s};

/// The evening that was found.
pub(super) fn composition(
    request: &Request,
    problem: &Problem,
    found: &Found,
    pattern: &Pattern,
) -> Composition {
    let steps = steps(problem, found);
    let taken_s: u32 = steps.iter().map(|step| step.change_s + step.hold_s).sum();
    let left_ms = u64::from(request.seconds.saturating_sub(taken_s)) * 1000;
    let cycles = left_ms
        .checked_div(u64::from(pattern.cycle_ms()))
        .unwrap_or(0);
    let dose_s = dose_s(problem, found);
    Composition {
        why: why::sentence(request, problem, &dose_s),
        routine: Routine {
            id: "composed".to_owned(),
            steps,
            pattern: pattern.clone(),
            cycles: u32::try_from(cycles).unwrap_or(u32::MAX),
        },
        value: i64::from(found.value),
        bound: i64::from(found.bound),
        proven: found.bound == found.value,
        nodes: found.nodes,
        dose_s,
        runner_up: None,
    }
}

/// Positions descend; within one, what weighs most comes first.
fn steps(problem: &Problem, found: &Found) -> Vec<Step> {
    let mut chosen = found.chosen.clone();
    chosen.sort_by_key(|(index, _)| {
        let candidate = &problem.candidates[*index];
        let main = candidate
            .regions
            .iter()
            .map(|(region, emphasis)| (-problem.weights[*region] * *emphasis as i32, *region))
            .min();
        (candidate.position, main, *index)
    });
    let mut steps = Vec::new();
    let mut before = None;
    for (index, hold) in chosen {
        let candidate = &problem.candidates[index];
        let stretch = candidate.stretch;
        for side in stretch.sides() {
            steps.push(Step {
                stretch: stretch.id.clone(),
                side: *side,
                hold_s: hold as u32 * GRID_S,
                change_s: change_s(before, stretch.position),
            });
            before = Some(stretch.position);
        }
    }
    steps
}

fn dose_s(problem: &Problem, found: &Found) -> BTreeMap<Region, u32> {
    let doses = problem.doses(&found.chosen);
    Region::ALL
        .into_iter()
        .map(|(_, region)| (region, doses[region as usize] as u32 * GRID_S / 3))
        .filter(|(_, dose)| *dose > 0)
        .collect()
}
