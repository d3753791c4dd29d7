//! The load of a day and of the days before it, and which of them are known.
//!
//! Missing is not zero: a day without a session has a load of 0 only if it is known that nothing was
//! trained. That takes a word of the person, but a cheap one, because nobody confirms two rest days a
//! week by name for years:
//!
//! - a day on which nothing was planned counts as rest once the morning after it is recorded: whoever
//!   answers for the night was there, and had a session been done it would have been recorded by then;
//! - a day on which something was planned stays unknown without a record, because a missed session and a
//!   missed entry look the same; `evenfall train --rest` says which it was;
//! - of today, which is not over, the sum so far counts.

use chrono::{Days, NaiveDate};

use super::records::Records;
use crate::pure::block::{Block, DayKind};
use crate::pure::load::{DayLoads, DayNumbers};

/// How far back days matter: this week and the four before it.
pub(super) const WINDOW_DAYS: u64 = 5 * 7;

/// What is known of a day without sessions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Nothing was trained.
    Confirmed,
    /// The day is not over.
    SoFar,
    /// Nobody said.
    Unknown,
}

/// What is known of a day, sessions aside.
pub fn rest_of(records: &Records, block: &Block, date: NaiveDate, today: NaiveDate) -> Rest {
    let planned = block.day(date).kind == DayKind::Training;
    let morning_after = date
        .checked_add_days(Days::new(1))
        .is_some_and(|next| records.morning(next).is_some());
    if records.rest.contains(&date) || (!planned && morning_after) {
        Rest::Confirmed
    } else if date == today {
        Rest::SoFar
    } else {
        Rest::Unknown
    }
}

/// What is said about the load of a day.
pub(super) struct Loads {
    days: DayLoads,
    first: Option<NaiveDate>,
}

impl Loads {
    /// The loads of the days that matter from `from` to `to`.
    pub fn new(
        records: &Records,
        block: &Block,
        from: NaiveDate,
        to: NaiveDate,
        today: NaiveDate,
    ) -> Self {
        let mut days = DayLoads::new(&records.sessions);
        let first = records.first_training_day.or(days.first());
        let window = from
            .checked_sub_days(Days::new(WINDOW_DAYS))
            .unwrap_or(from);
        let known_from = first.map_or(to, |first| first.max(window));
        for date in known_from.iter_days().take_while(|date| *date <= to) {
            if first.is_none() || !records.sessions_on(date).is_empty() {
                continue;
            }
            match rest_of(records, block, date, today) {
                Rest::Confirmed | Rest::SoFar => days.add(date, Some(0.0)),
                Rest::Unknown => days.mark_unknown(date),
            }
        }
        Self { days, first }
    }

    /// The numbers of a day; before the first record there are none.
    pub fn of(&self, date: NaiveDate) -> DayNumbers {
        let numbers = self.days.numbers(date);
        if self.first.is_some_and(|first| first <= date) {
            return numbers;
        }
        DayNumbers {
            day: None,
            mean_7: None,
            mean_28: None,
            ..numbers
        }
    }
}
