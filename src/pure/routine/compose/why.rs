//! The sentence that says why these stretches.

use std::collections::BTreeMap;

use super::problem::Problem;
use super::{BREATHING_ONLY_S, Request};
use crate::pure::phrase::{capitalised, listed};
use crate::pure::region::Region;

/// One sentence in plain words.
pub(super) fn sentence(
    request: &Request,
    problem: &Problem,
    dose_s: &BTreeMap<Region, u32>,
) -> String {
    if dose_s.is_empty() {
        return breathing_only(request, problem);
    }
    let mut trained: Vec<(u8, Region)> = request
        .trained
        .iter()
        .filter(|(_, emphasis)| **emphasis > 0)
        .map(|(region, emphasis)| (*emphasis, *region))
        .collect();
    trained.sort_by_key(|(emphasis, region)| (u8::MAX - emphasis, *region));
    let (reached, missed): (Vec<Region>, Vec<Region>) = trained
        .into_iter()
        .map(|(_, region)| region)
        .partition(|region| dose_s.contains_key(region));
    let (hurt, no_room): (Vec<Region>, Vec<Region>) = missed
        .into_iter()
        .partition(|region| request.painful.contains(region));
    let mut parts = Vec::new();
    if !reached.is_empty() {
        parts.push(format!(
            "{} first, because they were trained today",
            listed(&in_words(&reached))
        ));
    } else if hurt.is_empty() && no_room.is_empty() {
        parts.push("a gentle round of the body, because nothing was trained today".to_owned());
    } else {
        parts.push("what is left of the body".to_owned());
    }
    if !hurt.is_empty() {
        parts.push(format!(
            "nothing for {}, to spare what hurts",
            listed(&in_words(&hurt))
        ));
    }
    let has_stretch = |region: &Region| {
        let regions = problem.candidates.iter().flat_map(|one| &one.regions);
        regions.into_iter().any(|(one, _)| *one == *region as usize)
    };
    let (no_room, unsuited): (Vec<Region>, Vec<Region>) =
        no_room.into_iter().partition(has_stretch);
    if !no_room.is_empty() {
        parts.push(format!(
            "nothing for {}, because the time is short",
            listed(&in_words(&no_room))
        ));
    }
    if !unsuited.is_empty() {
        parts.push(format!(
            "nothing for {}, for which no stretch suits tonight",
            listed(&in_words(&unsuited))
        ));
    }
    if request.gentle {
        parts.push("seated and lying positions only, to keep it quiet".to_owned());
    }
    let sore: Vec<Region> = dose_s
        .keys()
        .copied()
        .filter(|region| request.soreness.get(region).is_some_and(|s| *s >= 2))
        .collect();
    if !sore.is_empty() {
        parts.push(format!(
            "short holds for {}, because of the soreness",
            listed(&in_words(&sore))
        ));
    }
    capitalised(&format!("{}.", parts.join("; ")))
}

fn breathing_only(request: &Request, problem: &Problem) -> String {
    if request.seconds <= BREATHING_ONLY_S {
        "Breathing only, because three minutes or less leave no room for stretches.".to_owned()
    } else if problem.candidates.is_empty() {
        "Breathing only, because no stretch suits tonight.".to_owned()
    } else {
        "Breathing only, because no stretch would add enough in the time left.".to_owned()
    }
}

fn in_words(regions: &[Region]) -> Vec<&'static str> {
    regions.iter().map(|region| region.words()).collect()
}
