//! The records that a day is worked out from.

use std::collections::BTreeSet;

use chrono::{Days, NaiveDate};

use crate::pure::caution::{Report, Standing, long_soreness, standing};
use crate::pure::civil::Night;
use crate::pure::diary::Morning;
use crate::pure::load::TrainingDone;

/// How far back mornings matter for the readiness of a day: the usual spread comes from the 365 days
/// before it, and each of those was compared with the 365 days before it.
const READINESS_DAYS: u64 = 2 * 365;

/// How far back soreness is followed.
const SORENESS_DAYS: u64 = 365;

/// Days before the first asked one whose bands matter for it.
pub(super) const BANDS_BEFORE: u64 = 6;

/// A report of pain or of a sign, and until when it stood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reported {
    /// The report.
    pub report: Report,
    /// The day on which the person closed it; `None` = it is open.
    pub until: Option<NaiveDate>,
}

impl Reported {
    /// Whether it was open on a day: from the day of the report to the day before it was closed.
    pub fn open_on(&self, date: NaiveDate) -> bool {
        self.report.on <= date && self.until.is_none_or(|until| date < until)
    }
}

/// What was recorded, as far as it matters for some days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Records {
    /// Mornings, one a night, oldest first.
    pub mornings: Vec<Morning>,
    /// Sessions done, oldest day first.
    pub sessions: Vec<TrainingDone>,
    /// Days confirmed as rest by name.
    pub rest: BTreeSet<NaiveDate>,
    /// The first day of which anything about training is recorded, also if it lies before the sessions
    /// given here.
    pub first_training_day: Option<NaiveDate>,
    /// Reports of pain and signs.
    pub reports: Vec<Reported>,
    /// Days that go as planned anyway.
    pub kept: BTreeSet<NaiveDate>,
}

impl Records {
    /// The nights and the training days whose records matter for the days from `from` to `to`: what to
    /// look up and no more.
    pub fn span(from: NaiveDate, to: NaiveDate) -> (Night, NaiveDate) {
        let back = |days: u64| from.checked_sub_days(Days::new(days)).unwrap_or(from);
        let first = back(READINESS_DAYS + BANDS_BEFORE + 1);
        // The morning after `to` tells whether it was a day of rest, so its night is looked up too.
        (Night(first), back(super::loads::WINDOW_DAYS).min(to))
    }

    /// The morning of a date.
    pub fn morning(&self, date: NaiveDate) -> Option<&Morning> {
        let found = self
            .mornings
            .binary_search_by(|morning| morning.date().cmp(&date));
        found.ok().and_then(|at| self.mornings.get(at))
    }

    /// The reports that are open on a day.
    pub fn open_reports(&self, date: NaiveDate) -> Vec<Report> {
        self.reports
            .iter()
            .filter(|reported| reported.open_on(date))
            .map(|reported| reported.report)
            .collect()
    }

    /// Everything open on a day, with soreness that has stayed too long.
    pub fn standing(&self, date: NaiveDate, emergency_number: Option<&str>) -> Standing {
        let since = date
            .checked_sub_days(Days::new(SORENESS_DAYS))
            .unwrap_or(date);
        let long = long_soreness(self.mornings_between(since, date), date);
        standing(&self.open_reports(date), &long, date, emergency_number)
    }

    /// The mornings from a date on, up to another.
    pub(super) fn mornings_between(&self, from: NaiveDate, to: NaiveDate) -> &[Morning] {
        let first = self
            .mornings
            .partition_point(|morning| morning.date() < from);
        let end = self
            .mornings
            .partition_point(|morning| morning.date() <= to);
        self.mornings.get(first..end).unwrap_or(&[])
    }

    /// The sessions of a date.
    pub fn sessions_on(&self, date: NaiveDate) -> &[TrainingDone] {
        let first = self.sessions.partition_point(|session| session.date < date);
        let end = self
            .sessions
            .partition_point(|session| session.date <= date);
        self.sessions.get(first..end).unwrap_or(&[])
    }
}
