//! Training load, week by week.

use std::collections::BTreeSet;

use chrono::{Days, NaiveDate};

use super::{Records, Span};
use crate::pure::load::{Change, DayLoads, Week, change_from_usual, week};
use crate::pure::today::{Rest, rest_of};

/// The load of one week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadWeek {
    /// Its days; fewer than seven at the end of a span.
    pub span: Span,
    /// Sum, monotony and strain.
    pub week: Week,
    /// Load as planned in the block, AU.
    pub planned: f64,
    /// Sessions done.
    pub sessions: usize,
    /// Sessions planned.
    pub planned_sessions: usize,
}

/// The loads of a span.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Week by week, oldest first. The last one ends with the span.
    pub weeks: Vec<LoadWeek>,
    /// The seven days that end with the span against the weeks before them.
    pub change: Option<Change>,
    /// Days of the span with a recorded session or confirmed as rest.
    pub recorded_days: usize,
    /// Sessions done in the span.
    pub sessions: usize,
}

/// The loads of the days from the first record on. Days without a session are 0 or unknown by the same
/// rule as for a single day, see [`rest_of`].
fn day_loads(records: &Records<'_>, last: NaiveDate, today: NaiveDate) -> DayLoads {
    let recorded = records.recorded;
    let mut loads = DayLoads::new(&recorded.sessions);
    let Some(first) = recorded.first_training_day.or(loads.first()) else {
        return loads;
    };
    for day in first.iter_days().take_while(|day| *day <= last) {
        if !recorded.sessions_on(day).is_empty() {
            continue;
        }
        match rest_of(recorded, &records.plan.block, day, today) {
            Rest::Confirmed | Rest::SoFar => loads.add(day, Some(0.0)),
            Rest::Unknown => loads.mark_unknown(day),
        }
    }
    loads
}

pub(super) fn loads(records: &Records<'_>, span: Span, today: NaiveDate) -> Loads {
    let days = day_loads(records, span.to, today);
    let recorded: BTreeSet<NaiveDate> = records
        .recorded
        .sessions
        .iter()
        .map(|session| session.date)
        .chain(records.recorded.rest.iter().copied())
        .filter(|day| span.has(*day))
        .collect();
    let weeks: Vec<LoadWeek> = span
        .weeks()
        .map(|span| load_week(records, &days, span))
        .collect();
    let full: Vec<Option<f64>> = (0..5_u64)
        .rev()
        .map(|ago| full_week(&days, span.to - Days::new(7 * ago)))
        .collect();
    Loads {
        change: change_from_usual(&full),
        sessions: weeks.iter().map(|week| week.sessions).sum(),
        weeks,
        recorded_days: recorded.len(),
    }
}

/// The load of a single week, at most seven days.
pub(super) fn week_of(records: &Records<'_>, span: Span, today: NaiveDate) -> LoadWeek {
    load_week(records, &day_loads(records, span.to, today), span)
}

fn load_week(records: &Records<'_>, days: &DayLoads, span: Span) -> LoadWeek {
    let daily: [Option<f64>; 7] = std::array::from_fn(|number| {
        let day = span.from + Days::new(number as u64);
        span.has(day).then(|| known(days, day)).flatten()
    });
    let mut planned = 0.0;
    let mut planned_sessions = 0;
    for day in span.days() {
        let plan = records.plan.block.day(day);
        for session in &plan.sessions {
            planned += session.rpe * f64::from(session.minutes_in_week(plan.week.unwrap_or(1)));
            planned_sessions += 1;
        }
    }
    LoadWeek {
        span,
        week: week(&daily),
        planned,
        sessions: span
            .days()
            .map(|day| records.recorded.sessions_on(day).len())
            .sum(),
        planned_sessions,
    }
}

/// The load of a day, days before the first record unknown.
fn known(days: &DayLoads, day: NaiveDate) -> Option<f64> {
    days.day(day)
        .filter(|_| days.first().is_some_and(|first| first <= day))
}

fn full_week(days: &DayLoads, last: NaiveDate) -> Option<f64> {
    Span::weeks_until(last, 1)
        .days()
        .map(|day| known(days, day))
        .sum()
}
