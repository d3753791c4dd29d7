//! What the records say that matters for an evening, gathered from the store.

use std::collections::BTreeMap;

use super::failure::Failure;
use super::store::Store;
use crate::pure::civil::Night;
use crate::pure::tonight::Known;

/// Gathers what is known for a night.
pub fn for_night(store: &Store, night: Night) -> Result<Known, Failure> {
    let mut recent = BTreeMap::new();
    let two_ago = night.previous().previous();
    for evening in store.evenings_since(two_ago)? {
        let ago = match evening.night {
            ago if ago == night.previous() => 1,
            ago if ago == two_ago => 2,
            _ => continue,
        };
        for stretch in evening.stretches {
            let entry = recent.entry(stretch).or_insert(ago);
            *entry = (*entry).min(ago);
        }
    }
    Ok(Known {
        recent,
        evenings_done: store.evening_count()?,
        ..Known::default()
    })
}
