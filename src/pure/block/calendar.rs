//! What is planned on a date, and what a session is in a given week.

use chrono::{Datelike, Days, NaiveDate};

use super::{Block, DayKind, DayPlan, Part, Phase, Session, Work};
use crate::pure::region::Region;
use crate::pure::settings::day_key;

impl Block {
    /// What is planned on a date.
    ///
    /// Weeks run from the weekday on which the block starts; the days in them keep their names. A
    /// shift moves what is planned on or after its date, so a day is looked up by undoing the shifts
    /// from the last one back. Days that a shift freed are outside the block.
    ///
    /// Where a calendar was imported, it says on which dates of a week its sessions are.
    pub fn day(&self, date: NaiveDate) -> DayPlan<'_> {
        self.with_dated(date, self.day_without_dates(date))
    }

    /// The same by the block alone.
    pub(super) fn day_without_dates(&self, date: NaiveDate) -> DayPlan<'_> {
        self.planned_date(date)
            .and_then(|planned| self.place(planned))
            .unwrap_or_else(DayPlan::outside)
    }

    /// The last day of the block, with its shifts; `None` if it has no day.
    pub fn last_day(&self) -> Option<NaiveDate> {
        let days = u64::from(self.weeks()).checked_mul(7)?.checked_sub(1)?;
        let last = self.starts.checked_add_days(Days::new(days))?;
        self.shifts.iter().try_fold(last, |last, shift| {
            if last >= shift.from {
                last.checked_add_days(Days::new(u64::from(shift.days)))
            } else {
                Some(last)
            }
        })
    }

    /// How many weeks are planned, pauses not counted.
    pub fn weeks(&self) -> u32 {
        self.phases.iter().map(|phase| phase.weeks).sum()
    }

    /// The date for which the day was planned before anything was moved; `None` in a pause.
    fn planned_date(&self, date: NaiveDate) -> Option<NaiveDate> {
        self.shifts.iter().rev().try_fold(date, |date, shift| {
            if date < shift.from {
                return Some(date);
            }
            date.checked_sub_days(Days::new(u64::from(shift.days)))
                .filter(|back| *back >= shift.from)
        })
    }

    fn place(&self, planned: NaiveDate) -> Option<DayPlan<'_>> {
        let days = (planned - self.starts).num_days();
        let weeks_before = u32::try_from(days.div_euclid(7)).ok()?;
        let mut week = weeks_before;
        for phase in &self.phases {
            if week < phase.weeks {
                return Some(self.day_in(phase, planned, week + 1, weeks_before + 1));
            }
            week -= phase.weeks;
        }
        None
    }

    fn day_in<'b>(
        &'b self,
        phase: &'b Phase,
        planned: NaiveDate,
        week: u32,
        block_week: u32,
    ) -> DayPlan<'b> {
        let ids = &phase.week[usize::from(day_key(planned.weekday()))];
        let sessions: Vec<&Session> = ids.iter().filter_map(|id| self.sessions.get(id)).collect();
        DayPlan {
            kind: if sessions.is_empty() {
                DayKind::Rest
            } else {
                DayKind::Training
            },
            sessions,
            phase: Some(phase),
            week: Some(week),
            block_week: Some(block_week),
        }
    }
}

impl DayPlan<'_> {
    fn outside() -> Self {
        Self {
            kind: DayKind::Outside,
            sessions: Vec::new(),
            phase: None,
            week: None,
            block_week: None,
        }
    }
}

/// A part as it is in one week of the phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlannedPart<'b> {
    /// Its title.
    pub title: &'b str,
    /// What is done that week.
    pub work: &'b Work,
    /// Regions it loads, if they differ from the session's.
    pub regions: Option<&'b [Region]>,
}

impl Session {
    /// The parts in a week of the phase, counted from 1.
    pub fn parts_in_week(&self, week: u32) -> Vec<PlannedPart<'_>> {
        self.parts.iter().map(|part| part.in_week(week)).collect()
    }

    /// Minutes in a week of the phase, rests included: as the coach gave them, else the parts' time
    /// rounded up to whole minutes.
    pub fn minutes_in_week(&self, week: u32) -> u32 {
        self.minutes.unwrap_or_else(|| {
            let seconds: u32 = self
                .parts
                .iter()
                .map(|part| part.in_week(week).work.seconds())
                .sum();
            seconds.div_ceil(60)
        })
    }
}

impl Part {
    fn in_week(&self, week: u32) -> PlannedPart<'_> {
        let at = usize::try_from(week.saturating_sub(1)).unwrap_or(usize::MAX);
        PlannedPart {
            title: &self.title,
            work: self
                .by_week
                .get(at)
                .or(self.by_week.last())
                .unwrap_or(&self.work),
            regions: self.regions.as_deref(),
        }
    }
}
