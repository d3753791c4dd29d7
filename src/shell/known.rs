//! What the records say that matters for an evening, gathered from the store.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::day;
use super::failure::Failure;
use super::store::Store;
use crate::pure::civil::{Instant, Night};
use crate::pure::diary::Morning;
use crate::pure::region::Region;
use crate::pure::tonight::{Chosen, Known};

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
    let today = night.evening();
    let records = day::records(store, today, today)?;
    let standing = records.standing(today, None);
    let reports = records.open_reports(today);
    Ok(Known {
        soreness: soreness(records.morning(today)),
        painful: standing
            .painful
            .into_iter()
            .chain(standing.leave_out)
            .collect(),
        avoid: reports
            .iter()
            .flat_map(|report| report.avoid(today))
            .collect(),
        sessions_done: sessions_done(store, today)?,
        recent,
        evenings_done: store.evening_count()?,
        chosen: chosen(store, night)?,
    })
}

/// How sore each region is on the evening's scale of 0 to 4. Mornings say 1 to 3 where it is sore; the
/// strongest counts one more where soreness as a whole was rated to hinder everyday movement.
fn soreness(morning: Option<&Morning>) -> BTreeMap<Region, u8> {
    let Some(morning) = morning else {
        return BTreeMap::new();
    };
    let hinders = morning.ratings.soreness == Some(1);
    morning
        .sore_in
        .iter()
        .map(|(region, degree)| (*region, degree + u8::from(hinders && *degree == 3)))
        .collect()
}

/// Ratings and ends of the day's sessions, where both are known.
fn sessions_done(store: &Store, date: NaiveDate) -> Result<Vec<(f64, Instant)>, Failure> {
    let rows = store.training(date, date)?;
    let known = rows
        .iter()
        .filter_map(|row| row.day.done()?.rpe.zip(row.ended));
    Ok(known.collect())
}

/// What the person chose for one night.
pub fn chosen(store: &Store, night: Night) -> Result<Chosen, Failure> {
    let text = store.fact(&fact_of(night))?;
    // A choice that a later version wrote is as good as none: the usual evening is composed.
    Ok(text
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default())
}

/// Keeps what the person chose for one night.
pub fn set_chosen(
    store: &mut Store,
    night: Night,
    chosen: &Chosen,
    now: Instant,
) -> Result<(), Failure> {
    let text = serde_json::to_string(chosen).unwrap_or_default();
    store.set_fact(&fact_of(night), &text, now)
}

fn fact_of(night: Night) -> String {
    format!("chosen {night}")
}
