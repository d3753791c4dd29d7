//! Tonight's routine from the person's files and records: one way for every command and the page.

use chrono::Days;

use super::failure::Failure;
use super::store::Store;
use super::world::World;
use crate::pure::civil::{Instant, Night};
use crate::pure::tonight::{self, Choice, Known, Tonight};

/// Evenings looked back at, nights.
const LOOK_BACK_NIGHTS: u64 = 3;

/// The routine of a night as things stand at an instant.
pub fn of(world: &World, store: &Store, night: Night, now: Instant) -> Result<Tonight, Failure> {
    let choice = choice(store, night)?;
    Ok(tonight::of(
        &world.plan(),
        &world.library,
        night,
        Some(now),
        &known(store, night)?,
        &choice,
    ))
}

/// What the records say that matters to an evening.
pub fn known(store: &Store, night: Night) -> Result<Known, Failure> {
    let evening = night.evening();
    let from = evening
        .checked_sub_days(Days::new(LOOK_BACK_NIGHTS))
        .unwrap_or(evening);
    let evenings = store
        .evenings_since(Night(from))?
        .into_iter()
        .map(|row| (row.night, row.stretches))
        .collect();
    Ok(Known {
        evenings,
        evenings_done: store.evening_count()?,
        ..Known::default()
    })
}

/// What the person changed about an evening.
pub fn choice(store: &Store, night: Night) -> Result<Choice, Failure> {
    let text = store.fact(&fact_of(night))?;
    // A choice that a later version wrote is as good as none: the usual evening is composed.
    Ok(text
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default())
}

/// Keeps what the person changed about an evening.
pub fn set_choice(
    store: &mut Store,
    night: Night,
    choice: &Choice,
    now: Instant,
) -> Result<(), Failure> {
    let text = serde_json::to_string(choice).unwrap_or_default();
    store.set_fact(&fact_of(night), &text, now)
}

fn fact_of(night: Night) -> String {
    format!("evening_choice {night}")
}
