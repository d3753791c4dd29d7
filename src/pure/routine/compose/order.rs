//! The order in which the search passes the stretches.

use super::problem::{Problem, REGIONS};

/// The places of the stretches in the order of the search.
///
/// What weighs most is decided first, because that tells most about an evening. Of regions of the same
/// weight one follows whose stretches others have already touched on, so that few regions are half
/// decided at any time. A stretch stands with the first of its regions.
pub(super) fn order(problem: &Problem) -> Vec<usize> {
    let ranks = ranks(problem);
    let mut places: Vec<usize> = (0..problem.candidates.len()).collect();
    places.sort_by_cached_key(|place| {
        let regions = &problem.candidates[*place].regions;
        let mut ranks: Vec<usize> = regions.iter().map(|(region, _)| ranks[*region]).collect();
        ranks.sort_unstable();
        ranks
    });
    places
}

/// The rank of each region.
fn ranks(problem: &Problem) -> [usize; REGIONS] {
    let neighbours = neighbours(problem);
    let mut ranks = [REGIONS; REGIONS];
    let mut touched = 0_u16;
    let mut left: Vec<usize> = (0..REGIONS).collect();
    for rank in 0..REGIONS {
        // From foot to head where nothing else decides.
        let next = left.iter().enumerate().min_by_key(|(_, region)| {
            let newly_touched = neighbours[**region] & !touched & !(1 << **region);
            (
                -problem.weights[**region],
                touched >> **region & 1 == 0,
                newly_touched.count_ones(),
                REGIONS - **region,
            )
        });
        let Some((at, region)) = next.map(|(at, region)| (at, *region)) else {
            break;
        };
        ranks[region] = rank;
        touched |= neighbours[region] | 1 << region;
        left.remove(at);
    }
    ranks
}

/// For each region those that some stretch of it gives something too, a bit each.
fn neighbours(problem: &Problem) -> [u16; REGIONS] {
    let mut neighbours = [0; REGIONS];
    for candidate in &problem.candidates {
        let all = candidate
            .regions
            .iter()
            .fold(0, |all, (region, _)| all | 1 << region);
        for (region, _) in &candidate.regions {
            neighbours[*region] |= all;
        }
    }
    neighbours
}
