//! Recurrence rules, expanded on wall time alone.
//!
//! The expansion is done by `rrule` on wall times that are given to it as if they were UTC. It never sees
//! a zone: its own tables of zones can be older than the machine's, and what a wall time means is decided
//! by [`Zone`](crate::pure::civil::Zone) alone. The end of a rule (UNTIL) is compared by the caller.

use chrono::{Duration, NaiveDateTime, NaiveTime, TimeZone};
use rrule::{RRule, Tz, Unvalidated};

use super::Limits;
use super::value::{Written, written};

/// Steps that `rrule` takes in vain before it gives up.
const VAIN_STEPS: usize = 100_000;

/// A rule whose form has been checked.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rule {
    rule: RRule<Unvalidated>,
    count: Option<u32>,
    /// The last moment an occurrence may start at.
    pub(super) until: Option<Written>,
}

/// Why a rule gives no list of times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Refused {
    /// It cannot be read; the reason in words.
    Wrong(String),
    /// It gives more than may be taken, or is too much work; the limit in words.
    Limit(String),
}

/// Work left for one file: a stand-in for time that does not depend on the machine.
#[derive(Debug)]
pub(super) struct Budget(pub(super) usize);

impl Budget {
    fn spend(&mut self, steps: usize) -> Result<(), Refused> {
        self.0 = self.0.saturating_sub(steps);
        if self.0 == 0 {
            let limit = "the rules of this file take too much work, the limit is reached here";
            return Err(Refused::Limit(limit.to_owned()));
        }
        Ok(())
    }
}

impl Rule {
    /// Reads the value of an RRULE or EXRULE property.
    pub(super) fn parse(value: &str) -> Result<Self, Refused> {
        let wrong = |reason: String| Err(Refused::Wrong(reason));
        // Rules are ASCII (RFC 5545, section 3.3.10), and `rrule` cuts them by octets.
        if let Some(letter) = value.chars().find(|c| !c.is_ascii()) {
            return wrong(format!("no rule has the character {letter:?}"));
        }
        let upper = value.trim().to_ascii_uppercase();
        let mut seen: Vec<&str> = Vec::new();
        let mut others: Vec<&str> = Vec::new();
        let (mut until, mut count) = (None, None);
        for part in upper.split(';').filter(|part| !part.is_empty()) {
            let Some((name, argument)) = part.split_once('=') else {
                return wrong(format!("its part `{part}` has no `=`"));
            };
            if seen.contains(&name) {
                return wrong(format!("it has two parts {name}"));
            }
            seen.push(name);
            match name {
                "UNTIL" => match written(argument) {
                    Some(end) => until = Some(end),
                    None => return wrong(format!("UNTIL={argument} is no date that exists")),
                },
                "COUNT" => match argument.parse() {
                    Ok(number @ 1..) => count = Some(number),
                    _ => return wrong(format!("COUNT={argument} is no number from 1 on")),
                },
                "FREQ" => {
                    frequency(argument)?;
                    others.push(part);
                }
                "INTERVAL" if argument.trim_start_matches('0').is_empty() => {
                    return wrong(format!("{part} is no number from 1 on"));
                }
                "BYEASTER" => return wrong("BYEASTER is not part of the standard".to_owned()),
                _ => others.push(part),
            }
        }
        if !seen.contains(&"FREQ") {
            return wrong("it has no FREQ".to_owned());
        }
        if until.is_some() && count.is_some() {
            return wrong("it has both COUNT and UNTIL".to_owned());
        }
        match others.join(";").parse() {
            Ok(rule) => Ok(Self { rule, count, until }),
            Err(error) => Err(self::wrong(error)),
        }
    }

    /// The wall times of the rule from `start` on, `start` itself first whether or not the rule names it
    /// (it is the first occurrence by definition: RFC 5545, section 3.3.10), as far as `end`.
    ///
    /// `shown_from` is the start of the span asked for: what lies before it costs work but no memory.
    pub(super) fn walls(
        &self,
        start: NaiveDateTime,
        shown_from: NaiveDateTime,
        end: NaiveDateTime,
        limits: &Limits,
        budget: &mut Budget,
    ) -> Result<Vec<NaiveDateTime>, Refused> {
        self.check_size(limits)?;
        budget.spend(1)?;
        let end = self.last_wall().map_or(end, |last| last.min(end));
        let as_utc = |wall: NaiveDateTime| Tz::UTC.from_utc_datetime(&wall);
        let set = self
            .rule
            .clone()
            .build(as_utc(start))
            .map_err(wrong)?
            .limit();
        let mut walls = vec![start];
        let mut left = self.count.map(|count| count - 1);
        let mut before = 0_usize;
        for wall in &set {
            let wall = wall.naive_utc();
            if wall > end {
                return Ok(walls);
            }
            if wall == start {
                continue;
            }
            if left == Some(0) {
                return Ok(walls);
            }
            left = left.map(|left| left - 1);
            budget.spend(1)?;
            if wall < shown_from {
                before += 1;
                at_most(before, limits.before, "before")?;
            } else {
                walls.push(wall);
                at_most(walls.len(), limits.occurrences, "in")?;
            }
        }
        // The iterator ended by itself: either the year 9999 was passed or it found nothing for too long.
        if left != Some(0) {
            budget.spend(VAIN_STEPS)?;
        }
        Ok(walls)
    }

    /// A wall time after which the rule certainly is over, whatever zone it is in.
    fn last_wall(&self) -> Option<NaiveDateTime> {
        let until = match self.until? {
            Written::Date(date) => date.and_time(NaiveTime::MIN),
            Written::Local(wall) | Written::Utc(wall) => wall,
        };
        until.checked_add_signed(Duration::days(2))
    }

    /// One step of the iterator makes a whole period's worth of times at once, so that is bounded first.
    fn check_size(&self, limits: &Limits) -> Result<(), Refused> {
        let parts = [
            self.rule.get_by_hour().len(),
            self.rule.get_by_minute().len(),
            self.rule.get_by_second().len(),
        ];
        let a_day: usize = parts.iter().map(|count| (*count).max(1)).product();
        let days = match self.rule.get_freq() {
            rrule::Frequency::Yearly => 366,
            rrule::Frequency::Monthly => 31,
            rrule::Frequency::Weekly => 7,
            _ => 1,
        };
        // Few rules name every day of their period; those that name several times a day are the danger.
        if a_day > 1 && a_day * days > limits.occurrences.max(366 * 4) {
            let words = format!(
                "it may give {} occurrences a period, over the limit",
                a_day * days
            );
            return Err(Refused::Limit(words));
        }
        Ok(())
    }
}

/// What `rrule` has against a rule, as part of a sentence.
fn wrong(error: rrule::RRuleError) -> Refused {
    Refused::Wrong(error.to_string().trim_end_matches('.').to_owned())
}

fn at_most(count: usize, most: usize, place: &str) -> Result<(), Refused> {
    if count <= most {
        return Ok(());
    }
    Err(Refused::Limit(format!(
        "it gives more than {most} occurrences {place} the span asked for, the limit"
    )))
}

fn frequency(name: &str) -> Result<(), Refused> {
    match name {
        "YEARLY" | "MONTHLY" | "WEEKLY" | "DAILY" | "HOURLY" => Ok(()),
        "MINUTELY" | "SECONDLY" => Err(Refused::Limit(format!(
            "FREQ={name} gives too many occurrences, HOURLY is the limit"
        ))),
        _ => Err(Refused::Wrong(format!(
            "FREQ={} is no frequency",
            super::faults::shown(name)
        ))),
    }
}
