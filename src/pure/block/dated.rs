//! Sessions that the person's own calendar puts on dates.
//!
//! A calendar speaks for what it names: in a week of the block in which it has a session, that session is
//! on the calendar's dates and no other; sessions it does not name stay where the block has them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveTime};

use super::{Block, DayKind, DayPlan, Session};

/// A training that a calendar has on a date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatedSession {
    /// The date.
    pub date: NaiveDate,
    /// The session's id.
    pub session: String,
    /// When it begins; `None` = as the block says.
    pub at: Option<NaiveTime>,
    /// Called off: the session is not on this date, nor anywhere else in its week unless the calendar
    /// has it there.
    pub cancelled: bool,
}

/// What calendars say about the dates of a block.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dated {
    /// Sessions a calendar speaks for, with the week over the block.
    named: BTreeSet<(u32, String)>,
    days: BTreeMap<NaiveDate, Vec<Session>>,
}

impl Block {
    /// The block with the dates of a calendar. Dates outside the block and sessions it does not know
    /// are left out.
    pub fn with_dates(mut self, dated: &[DatedSession]) -> Self {
        let mut known = Dated::default();
        for one in dated {
            let Some(week) = self.day_without_dates(one.date).block_week else {
                continue;
            };
            let Some(session) = self.sessions.get(&one.session) else {
                continue;
            };
            known.named.insert((week, one.session.clone()));
            let day = known.days.entry(one.date).or_default();
            if !one.cancelled && day.iter().all(|session| session.id != one.session) {
                day.push(Session {
                    at: one.at.or(session.at),
                    ..session.clone()
                });
            }
        }
        self.dated = known;
        self
    }

    /// A day of the block with the calendar's sessions in place of those it speaks for.
    pub(super) fn with_dated<'b>(&'b self, date: NaiveDate, mut day: DayPlan<'b>) -> DayPlan<'b> {
        let Some(week) = day.block_week else {
            return day;
        };
        if self.dated.named.is_empty() {
            return day;
        }
        day.sessions
            .retain(|session| !self.dated.named.contains(&(week, session.id.clone())));
        day.sessions
            .extend(self.dated.days.get(&date).into_iter().flatten());
        day.kind = if day.sessions.is_empty() {
            DayKind::Rest
        } else {
            DayKind::Training
        };
        day
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    const BLOCK: &str = r#"
name = "Stairs"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 2
[phase.week]
mon = "legs"
tue = "back"
thu = "legs"
[session.legs]
title = "Legs"
rpe = 8
minutes = 30
at = "18:30"
regions = { calves = 2 }
[session.back]
title = "Back"
rpe = 6
minutes = 30
regions = { upper_back = 2 }
"#;

    fn date(text: &str) -> NaiveDate {
        text.parse().expect("date")
    }

    fn dated(day: &str, at: Option<&str>, cancelled: bool) -> DatedSession {
        DatedSession {
            date: date(day),
            session: "legs".to_owned(),
            at: at.map(|at| at.parse().expect("time")),
            cancelled,
        }
    }

    fn days(block: &Block, first: &str, count: usize) -> Vec<String> {
        let days = date(first).iter_days().take(count);
        days.map(|day| {
            let ids: Vec<&str> = block
                .day(day)
                .sessions
                .iter()
                .map(|session| session.id.as_str())
                .collect();
            ids.join("+")
        })
        .collect()
    }

    #[test]
    fn a_calendar_speaks_for_the_sessions_and_weeks_it_names() {
        let block = parse("block.toml", BLOCK, None)
            .expect("block")
            .with_dates(&[
                dated("2026-01-06", Some("07:00:00"), false),
                dated("2026-01-09", None, false),
                // Outside the block.
                dated("2026-03-01", None, false),
            ]);
        assert_eq!(
            days(&block, "2026-01-05", 7),
            ["", "back+legs", "", "", "legs", "", ""]
        );
        // The next week is not in the calendar.
        assert_eq!(days(&block, "2026-01-12", 4), ["legs", "back", "", "legs"]);
        let at = |day: &str| block.day(date(day)).sessions.last().expect("legs").at;
        assert_eq!(at("2026-01-06"), NaiveTime::from_hms_opt(7, 0, 0));
        assert_eq!(at("2026-01-09"), NaiveTime::from_hms_opt(18, 30, 0));
        assert_eq!(block.day(date("2026-01-05")).kind, DayKind::Rest);
        assert_eq!(block.day(date("2026-03-01")).kind, DayKind::Outside);
    }

    #[test]
    fn a_cancelled_training_leaves_its_week_free_of_it() {
        let block = parse("block.toml", BLOCK, None)
            .expect("block")
            .with_dates(&[
                dated("2026-01-05", None, true),
                dated("2026-01-08", None, false),
            ]);
        assert_eq!(days(&block, "2026-01-05", 4), ["", "back", "", "legs"]);
    }
}
