//! The whole block, a row a week: what was planned, trained, followed in the evenings, and slept.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::evenings::{self, Evenings};
use super::nights::{self, NightsSummary};
use super::suggestions::{self, Suggestions};
use super::weeks::{self, LoadWeek};
use super::{Records, Span};
use crate::pure::block::DayKind;
use crate::pure::civil::{Instant, Night};

/// What a day of a week was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayMark {
    /// A session was done.
    Trained,
    /// A session was planned, and rest was recorded instead.
    RestInstead,
    /// A session was planned, and nothing was recorded.
    NoRecord,
    /// Nothing was planned or done.
    Nothing,
    /// A session is still to come.
    ToCome,
}

impl DayMark {
    /// Every mark with its letter and its words.
    pub const ALL: [(Self, char, &'static str); 5] = [
        (Self::Trained, 'x', "trained"),
        (Self::RestInstead, 'r', "rest instead"),
        (Self::NoRecord, '-', "no record"),
        (Self::Nothing, '.', "nothing planned"),
        (Self::ToCome, 'o', "to come"),
    ];

    /// Its letter.
    pub fn letter(self) -> char {
        Self::ALL[self as usize].1
    }
}

/// One week of the block.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockWeek {
    /// Name of its phase.
    pub phase: String,
    /// Week within the phase, from 1.
    pub week: u32,
    /// Week over the block, from 1.
    pub block_week: u32,
    /// Its days, with a pause in between where the block was moved within the week.
    pub span: Span,
    /// Day by day.
    pub days: Vec<DayMark>,
    /// What was done and slept; `None` for a week to come.
    pub past: Option<PastWeek>,
    /// Load as planned, AU.
    pub planned: f64,
}

/// What a week that has begun came to.
#[derive(Clone, Debug, PartialEq)]
pub struct PastWeek {
    /// Load.
    pub load: LoadWeek,
    /// Wind-downs.
    pub evenings: Evenings,
    /// Sleep.
    pub sleep: NightsSummary,
    /// Readiness and what was done with it.
    pub suggestions: Suggestions,
}

/// Every week of the block.
pub fn block_weeks(records: &Records<'_>, now: Instant) -> Vec<BlockWeek> {
    let block = &records.plan.block;
    let zone = &records.plan.zone;
    let today = zone.local(now).date_naive();
    let tonight = Night::at(now, zone);
    let Some(last) = block.last_day() else {
        return Vec::new();
    };
    let mut weeks: BTreeMap<u32, Vec<NaiveDate>> = BTreeMap::new();
    for date in block.starts.iter_days().take_while(|date| *date <= last) {
        if let Some(week) = block.day(date).block_week {
            weeks.entry(week).or_default().push(date);
        }
    }
    let row = |(block_week, dates): (u32, Vec<NaiveDate>)| {
        let span = Span {
            from: *dates.first()?,
            to: *dates.last()?,
        };
        let day = block.day(span.from);
        // The sum of what was planned needs no records, so it is the same for weeks to come.
        let load = weeks::week_of(records, span, today);
        Some(BlockWeek {
            phase: day.phase?.name.clone(),
            week: day.week?,
            block_week,
            span,
            days: dates
                .iter()
                .map(|date| mark(records, *date, today))
                .collect(),
            planned: load.planned,
            past: (span.from <= today).then(|| PastWeek {
                load,
                evenings: evenings::count(records, span, tonight),
                sleep: nights::summary(records, span),
                suggestions: suggestions::count(records, span),
            }),
        })
    };
    weeks.into_iter().filter_map(row).collect()
}

fn mark(records: &Records<'_>, date: NaiveDate, today: NaiveDate) -> DayMark {
    let planned = records.plan.block.day(date).kind == DayKind::Training;
    let trained = !records.recorded.sessions_on(date).is_empty();
    match (trained, planned) {
        (true, _) => DayMark::Trained,
        (false, false) => DayMark::Nothing,
        (false, true) if records.recorded.rest.contains(&date) => DayMark::RestInstead,
        (false, true) if date >= today => DayMark::ToCome,
        (false, true) => DayMark::NoRecord,
    }
}
