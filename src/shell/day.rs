//! The records of a day, gathered from the store.

use std::collections::BTreeSet;

use chrono::{Days, NaiveDate};

use super::failure::Failure;
use super::store::{Store, rest_days_of, sessions_of};
use super::world::World;
use crate::pure::block::Block;
use crate::pure::civil::{Instant, Night};
use crate::pure::today::{Records, Reported, Today, days};

/// The day that is not over yet.
pub fn today(world: &World, now: Instant) -> NaiveDate {
    world.zone.local(now).date_naive()
}

/// What is said about some days.
pub fn look(
    store: &Store,
    block: &Block,
    emergency_number: Option<&str>,
    from: NaiveDate,
    count: u64,
    today: NaiveDate,
) -> Result<Vec<Today>, Failure> {
    let to = from
        .checked_add_days(Days::new(count.saturating_sub(1)))
        .unwrap_or(from);
    let records = records(store, from, to)?;
    Ok(days(&records, block, emergency_number, from, count, today))
}

/// Everything that matters for the days of a span.
pub fn records(store: &Store, from: NaiveDate, to: NaiveDate) -> Result<Records, Failure> {
    let (first_night, first_day) = Records::span(from, to);
    let training = store.training(first_day, to)?;
    let reports = store.pain()?;
    Ok(Records {
        mornings: store.mornings(first_night, Night(to))?,
        sessions: sessions_of(&training),
        rest: rest_days_of(&training),
        first_training_day: store.first_training_day()?,
        reports: reports
            .into_iter()
            .map(|row| Reported {
                report: row.report,
                until: row.until,
            })
            .collect(),
        kept: if from <= to {
            store.kept_days(from, to)?
        } else {
            BTreeSet::new()
        },
    })
}
