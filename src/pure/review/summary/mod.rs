//! The look back over a span of days: evenings, nights, training, readiness, bests, soreness, and at most
//! five sentences that say what was recorded.
//!
//! A day holds the morning it begins with, its training and its evening; so the night that counts for a
//! day is the one before it, and the evening that counts for it is the one at its end.

mod bests;
mod block_weeks;
mod evenings;
mod nights;
mod sentences;
mod sores;
mod suggestions;
mod weeks;

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use crate::pure::agenda::Plan;
use crate::pure::block::Block;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::Morning;
use crate::pure::prompt::Record;
use crate::pure::today;

pub use bests::{Earlier, PhaseBest};
pub use block_weeks::{BlockWeek, DayMark, block_weeks};
pub use evenings::{EveningDone, Evenings, Outcome, outcomes};
pub use nights::{NightsSummary, SleepHelp};
pub use sentences::{MOST_SENTENCES, Topic};
pub use sores::SoreRegion;
pub use suggestions::{JudgedDay, Suggestions, WhatWasDone};
pub use weeks::{LoadWeek, Loads};

/// Days from one date to another, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
}

impl Span {
    /// So many weeks that end with a date.
    pub fn weeks_until(to: NaiveDate, weeks: u32) -> Self {
        let back = Days::new(u64::from(weeks.max(1)) * 7 - 1);
        Self {
            from: to.checked_sub_days(back).unwrap_or(NaiveDate::MIN),
            to,
        }
    }

    /// The block so far: to today, or to its last day once it is over; its first day before it began.
    pub fn of_block(block: &Block, today: NaiveDate) -> Self {
        let from = block.starts;
        let last = block.last_day().unwrap_or(from);
        Self {
            from,
            to: today.min(last).max(from),
        }
    }

    /// The days, oldest first.
    pub fn days(self) -> impl Iterator<Item = NaiveDate> {
        self.from.iter_days().take_while(move |day| *day <= self.to)
    }

    /// Whether a day is among them.
    pub fn has(self, day: NaiveDate) -> bool {
        (self.from..=self.to).contains(&day)
    }

    /// Pieces of seven days from the first day on; the last one may be shorter.
    pub fn weeks(self) -> impl Iterator<Item = Self> {
        self.from
            .iter_days()
            .step_by(7)
            .take_while(move |first| *first <= self.to)
            .map(move |first| Self {
                from: first,
                to: (first + Days::new(6)).min(self.to),
            })
    }
}

/// What a look back rests on. Mornings and sessions reach back beyond the span, because some numbers are
/// compared with the time before it.
#[derive(Clone, Copy, Debug)]
pub struct Records<'r> {
    /// Settings, block and zone.
    pub plan: &'r Plan,
    /// The zones that mornings were recorded in, by name; one that is missing reads as the person's.
    pub zones: &'r BTreeMap<String, Zone>,
    /// Mornings, sessions, rest and reports.
    pub recorded: &'r today::Records,
    /// Evenings that were begun.
    pub evenings: &'r [EveningDone],
    /// What became of the wind-down prompts.
    pub prompts: &'r BTreeMap<Night, Record>,
    /// What each recorded morning of the span meant for its day.
    pub days: &'r [JudgedDay],
}

impl<'r> Records<'r> {
    pub(in crate::pure::review) fn zone(&self, name: &str) -> &'r Zone {
        self.zones.get(name).unwrap_or(&self.plan.zone)
    }

    /// The mornings that begin the days of a span; found by halving, as they are in order.
    fn mornings_of(&self, span: Span) -> impl Iterator<Item = &'r Morning> + use<'r> {
        let mornings = &self.recorded.mornings;
        let first = mornings.partition_point(|morning| morning.date() < span.from);
        let end = mornings.partition_point(|morning| morning.date() <= span.to);
        mornings.get(first..end).unwrap_or_default().iter()
    }
}

/// A look back.
#[derive(Clone, Debug, PartialEq)]
pub struct Review {
    /// The days looked at.
    pub span: Span,
    /// What became of the wind-downs.
    pub evenings: Evenings,
    /// Sleep.
    pub sleep: NightsSummary,
    /// Training load by week.
    pub loads: Loads,
    /// Readiness, and what was done with what it suggested.
    pub suggestions: Suggestions,
    /// Bests of the phase against those of the phase before.
    pub bests: Vec<PhaseBest>,
    /// Sore regions, the most often sore first.
    pub sore: Vec<SoreRegion>,
    /// What is to be said about long times awake at night, under its own rule.
    pub sleep_help: Option<SleepHelp>,
    /// At most five sentences that say what was recorded.
    pub sentences: Vec<String>,
}

/// Looks back over a span from `now`, the instant of asking.
pub fn review(records: &Records<'_>, span: Span, now: Instant) -> Review {
    let tonight = Night::at(now, &records.plan.zone);
    let today = records.plan.zone.local(now).date_naive();
    let mut review = Review {
        span,
        evenings: evenings::count(records, span, tonight),
        sleep: nights::summary(records, span),
        loads: weeks::loads(records, span, today),
        suggestions: suggestions::count(records, span),
        bests: bests::against_phase_before(records, span),
        sore: sores::by_region(records, span),
        sleep_help: nights::help(records, span),
        sentences: Vec::new(),
    };
    review.sentences = sentences::of(&review);
    review
}

#[cfg(test)]
mod tests;
