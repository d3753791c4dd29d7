//! Sore regions over the weeks.

use std::collections::BTreeMap;

use super::{Records, Span};
use crate::pure::region::Region;

/// How often a region was noted as sore.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoreRegion {
    /// The region.
    pub region: Region,
    /// Mornings with it sore, week by week of the span.
    pub weeks: Vec<u32>,
    /// Mornings with it sore in all.
    pub mornings: u32,
    /// The strongest degree noted: 1 a little, 2 clearly, 3 strongly.
    pub strongest: u8,
}

pub(super) fn by_region(records: &Records<'_>, span: Span) -> Vec<SoreRegion> {
    let weeks = span.weeks().count();
    let mut found: BTreeMap<Region, SoreRegion> = BTreeMap::new();
    for morning in records.mornings_of(span) {
        let week = usize::try_from((morning.date() - span.from).num_days() / 7).unwrap_or(0);
        for (region, degree) in morning.sore_in.iter().filter(|(_, degree)| **degree > 0) {
            let sore = found.entry(*region).or_insert_with(|| SoreRegion {
                region: *region,
                weeks: vec![0; weeks],
                mornings: 0,
                strongest: 0,
            });
            sore.weeks[week] += 1;
            sore.mornings += 1;
            sore.strongest = sore.strongest.max(*degree);
        }
    }
    let mut regions: Vec<SoreRegion> = found.into_values().collect();
    regions.sort_by_key(|sore| std::cmp::Reverse(sore.mornings));
    regions
}
