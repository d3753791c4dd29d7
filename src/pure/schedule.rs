//! Times that come again: cron fields, read as wall time.
//!
//! The six fields are second, minute, hour, day of the month, month and weekday. They are handed to
//! the `cron` crate as if the wall clock showed universal time, and the wall time it answers is turned
//! into an instant by [`Zone`]. Asked in a zone, the crate passes over a wall time that the clocks skip,
//! gives a repeated one twice and out of order, and does not give the second one when asked again.
//!
//! Weekdays are names only: in this crate 1 is Sunday, in POSIX cron 1 is Monday, so a digit would
//! quietly mean another day to many people.

use std::str::FromStr;

use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime, Timelike};

use super::civil::{Instant, Zone};
use super::complaint::nearest;
use super::settings::CronFields;

#[cfg(test)]
mod tests;

/// What is wrong with cron fields.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CronFault {
    /// Where in the text, in bytes.
    pub at: usize,
    /// What is wrong, a sentence without its full stop.
    pub what: String,
    /// What to write instead, a sentence without its full stop.
    pub instead: String,
}

/// One of the six fields.
struct Rule {
    name: &'static str,
    low: u32,
    high: u32,
    /// Names, the first standing for `low`; each with its long form.
    names: &'static [(&'static str, &'static str)],
    /// Whether digits are accepted beside the names.
    digits: bool,
    /// Whether `?` may stand for "any".
    any: bool,
}

const MONTHS: &[(&str, &str)] = &[
    ("Jan", "january"),
    ("Feb", "february"),
    ("Mar", "march"),
    ("Apr", "april"),
    ("May", "may"),
    ("Jun", "june"),
    ("Jul", "july"),
    ("Aug", "august"),
    ("Sep", "september"),
    ("Oct", "october"),
    ("Nov", "november"),
    ("Dec", "december"),
];

const WEEKDAYS: &[(&str, &str)] = &[
    ("Sun", "sunday"),
    ("Mon", "monday"),
    ("Tue", "tuesday"),
    ("Wed", "wednesday"),
    ("Thu", "thursday"),
    ("Fri", "friday"),
    ("Sat", "saturday"),
];

const fn digits(name: &'static str, low: u32, high: u32) -> Rule {
    Rule {
        name,
        low,
        high,
        names: &[],
        digits: true,
        any: false,
    }
}

const RULES: [Rule; 6] = [
    digits("second", 0, 59),
    digits("minute", 0, 59),
    digits("hour", 0, 23),
    Rule {
        any: true,
        ..digits("day of the month", 1, 31)
    },
    Rule {
        names: MONTHS,
        ..digits("month", 1, 12)
    },
    Rule {
        names: WEEKDAYS,
        digits: false,
        any: true,
        ..digits("weekday", 1, 7)
    },
];

const SHORT_FORMS: [&str; 5] = ["@hourly", "@daily", "@weekly", "@monthly", "@yearly"];

const SIX: &str =
    "Write six fields: second minute hour day month weekday, for example \"0 0 18 * * Sun\"";

/// Reads cron fields: second, minute, hour, day of the month, month, weekday.
///
/// # Errors
/// The first fault found: too few or too many fields, a value out of range, a range that wraps, digits
/// for weekdays, more than one firing a minute, or fields that never come true.
pub fn parse(text: &str) -> Result<CronFields, CronFault> {
    let fields = fields_of(text);
    if fields.len() == 1 && fields[0].1.starts_with('@') {
        return parse_short(text, &fields);
    }
    if fields.len() != 6 {
        return Err(wrong_count(&fields));
    }
    for (rule, (at, field)) in RULES.iter().zip(&fields) {
        rule.check(*at, field)?;
    }
    if fields[0].1.parse::<u32>().is_err() {
        return Err(fault(
            fields[0].0,
            format!(
                "the second \"{}\" comes more than once a minute",
                fields[0].1
            ),
            "Write one second, usually 0",
        ));
    }
    let joined: Vec<&str> = fields.iter().map(|(_, field)| *field).collect();
    finish(text, &joined.join(" "))
}

fn parse_short(text: &str, fields: &[(usize, &str)]) -> Result<CronFields, CronFault> {
    let (at, word) = fields[0];
    if SHORT_FORMS.contains(&word) {
        return finish(text, word);
    }
    let instead = match nearest(word, SHORT_FORMS) {
        Some(near) => format!("Did you mean {near}? Or write the six fields"),
        None => SIX.to_owned(),
    };
    Err(fault(at, format!("\"{word}\" is not known"), instead))
}

fn finish(text: &str, joined: &str) -> Result<CronFields, CronFault> {
    let schedule = cron::Schedule::from_str(joined).map_err(|error| {
        // Everything the crate refuses should have been found before; its message is the last resort.
        let said = error.to_string();
        let said = said.lines().last().unwrap_or_default().trim();
        let said = if said.is_empty() {
            "the fields cannot be read"
        } else {
            said
        };
        fault(0, said, SIX)
    })?;
    let fields = CronFields {
        text: text.to_owned(),
        schedule,
    };
    // The year is no field of ours, so what never comes from 1970 on never comes.
    let start = NaiveDate::default().and_time(NaiveTime::MIN);
    if next_after(&fields, start).is_none() {
        return Err(fault(
            0,
            format!("\"{text}\" never comes: no year has such a day"),
            "Write a day that the month has",
        ));
    }
    Ok(fields)
}

/// The fields with their offsets in the text.
fn fields_of(text: &str) -> Vec<(usize, &str)> {
    text.split_whitespace()
        .map(|field| (field.as_ptr().addr() - text.as_ptr().addr(), field))
        .collect()
}

fn fault(at: usize, what: impl Into<String>, instead: impl Into<String>) -> CronFault {
    CronFault {
        at,
        what: what.into(),
        instead: instead.into(),
    }
}

fn wrong_count(fields: &[(usize, &str)]) -> CronFault {
    let joined = |from: &[(usize, &str)]| {
        let words: Vec<&str> = from.iter().map(|(_, field)| *field).collect();
        words.join(" ")
    };
    match fields.len() {
        0 => fault(0, "there are no cron fields", SIX),
        5 => fault(
            0,
            "there are five cron fields, and the second is missing",
            format!("Write the second first: \"0 {}\"", joined(fields)),
        ),
        7 => fault(
            fields[6].0,
            "there are seven cron fields, and a year is not used here",
            format!("Leave it out: \"{}\"", joined(&fields[..6])),
        ),
        1 => fault(0, "there is only one cron field", SIX),
        many => fault(0, format!("there are {many} cron fields"), SIX),
    }
}

impl Rule {
    fn check(&self, at: usize, field: &str) -> Result<(), CronFault> {
        let mut offset = at;
        for item in field.split(',') {
            self.check_item(offset, item)?;
            offset += item.len() + 1;
        }
        Ok(())
    }

    fn check_item(&self, at: usize, item: &str) -> Result<(), CronFault> {
        if !self.digits && item.contains(|letter: char| letter.is_ascii_digit()) {
            return Err(fault(
                at,
                format!(
                    "the {} \"{item}\" has digits, which mean different days in different programs",
                    self.name
                ),
                "Write names: Mon, Tue, Wed, Thu, Fri, Sat or Sun, for example Mon-Fri or Tue,Thu",
            ));
        }
        let (base, step) = match item.split_once('/') {
            Some((base, step)) => (base, Some(step)),
            None => (item, None),
        };
        if let Some(step) = step
            && !step
                .parse::<u32>()
                .is_ok_and(|step| (1..=self.high).contains(&step))
        {
            return Err(fault(
                at,
                format!("the step \"/{step}\" of the {} does not fit", self.name),
                format!("Write / and a whole number from 1 to {}", self.high),
            ));
        }
        if base == "*" || (base == "?" && self.any) {
            return Ok(());
        }
        match base.split_once('-') {
            None => self.value(at, base).map(drop),
            Some((from, to)) => {
                let low = self.value(at, from)?;
                let high = self.value(at + from.len() + 1, to)?;
                if low > high {
                    Err(self.wraps(at, base, low, high))
                } else {
                    Ok(())
                }
            }
        }
    }

    /// The number a value stands for.
    fn value(&self, at: usize, written: &str) -> Result<u32, CronFault> {
        let number = written.parse::<u32>().ok().filter(|_| self.digits);
        let named = || {
            let lower = written.to_ascii_lowercase();
            let same = |(short, long): &(&str, &str)| {
                lower == *long || lower == short.to_ascii_lowercase()
            };
            let place = self.names.iter().position(same)?;
            u32::try_from(place).ok().map(|place| place + self.low)
        };
        number
            .or_else(named)
            .filter(|number| (self.low..=self.high).contains(number))
            .ok_or_else(|| self.unknown(at, written))
    }

    fn unknown(&self, at: usize, written: &str) -> CronFault {
        let what = if written.is_empty() {
            format!("the {} has an empty place", self.name)
        } else if written.parse::<u32>().is_ok() {
            format!("the {} {written} is out of range", self.name)
        } else {
            format!("the {} \"{written}\" is not known", self.name)
        };
        let meant = self.names.iter().find(|(short, _)| {
            let letters = written.get(..2).unwrap_or_default();
            letters.eq_ignore_ascii_case(&short[..2])
        });
        let instead = match meant {
            Some((short, _)) => format!("Write {short}"),
            None if self.digits => format!("Write * or numbers from {} to {}", self.low, self.high),
            None => "Write * or names: Mon, Tue, Wed, Thu, Fri, Sat or Sun".to_owned(),
        };
        fault(at, what, instead)
    }

    fn wraps(&self, at: usize, written: &str, low: u32, high: u32) -> CronFault {
        let part = |from: u32, to: u32| {
            let one = |number: u32| self.word(number);
            if from == to {
                one(from)
            } else {
                format!("{}-{}", one(from), one(to))
            }
        };
        fault(
            at,
            format!(
                "the {} range {written} runs backwards, and ranges do not wrap around",
                self.name
            ),
            format!("Write {},{}", part(low, self.high), part(self.low, high)),
        )
    }

    fn word(&self, number: u32) -> String {
        let place = usize::try_from(number - self.low).unwrap_or(usize::MAX);
        self.names
            .get(place)
            .map_or_else(|| number.to_string(), |(short, _)| (*short).to_owned())
    }
}

/// The first wall time after `wall` at which the fields come true; `None` if none does any more.
pub fn next_after(fields: &CronFields, wall: NaiveDateTime) -> Option<NaiveDateTime> {
    fields
        .schedule
        .after(&wall.and_utc())
        .next()
        .map(|next| next.naive_utc())
}

/// Every firing on the wall clock of `zone` from an instant on and before another, in order: what the
/// clock shows, and the instant that means.
///
/// A wall time that is skipped comes later by the gap, a repeated one comes once, at its first
/// reading. A span cut in two gives the firings of the whole, so that nothing is lost or doubled
/// however often one asks, on the nights of a clock change as on any other.
pub fn firings(
    fields: &CronFields,
    zone: &Zone,
    from: Instant,
    until: Instant,
) -> Vec<(NaiveDateTime, Instant)> {
    Span::of(zone, from, until).firings(fields)
}

/// The longest time by which a wall time moves on in a gap, with an hour to spare: the day that Apia left
/// out in 2011.
const LONGEST_GAP: Duration = Duration::hours(25);

/// A span in which every second is asked for.
const FEW_SECONDS: Duration = Duration::seconds(10);

/// A span of time and what the wall clock shows in it, worked out once for any number of fields.
#[derive(Debug)]
pub struct Span<'z> {
    zone: &'z Zone,
    from: Instant,
    until: Instant,
    /// The wall times in question come after this one.
    wall: NaiveDateTime,
    /// The last of them.
    end: NaiveDateTime,
}

impl<'z> Span<'z> {
    /// From an instant on and before another.
    pub fn of(zone: &'z Zone, from: Instant, until: Instant) -> Self {
        // Moved on by a gap, a wall time comes after later ones.
        let changes = zone.next_change(from - LONGEST_GAP, until + LONGEST_GAP);
        let slack = changes.map_or(Duration::milliseconds(1), |_| LONGEST_GAP);
        Self {
            zone,
            from,
            until,
            wall: zone.local(from).naive_local() - slack,
            end: zone.local(until).naive_local() + slack,
        }
    }

    /// What [`firings`] gives.
    pub fn firings(&self, fields: &CronFields) -> Vec<(NaiveDateTime, Instant)> {
        let mut found = Vec::new();
        for wall in self.come_true(fields) {
            let due = self.zone.resolve(wall).earlier();
            if (self.from..self.until).contains(&due) {
                found.push((wall, due));
            }
        }
        found.sort_by_key(|(_, due)| *due);
        found.dedup_by_key(|(_, due)| *due);
        found
    }

    /// The wall times in question at which the fields come true, in order.
    fn come_true(&self, fields: &CronFields) -> Vec<NaiveDateTime> {
        // A service that was just woken looks at what the last second brought: to ask whether the fields
        // hold in each of a few seconds takes a fraction of finding when they come next.
        if self.end - self.wall <= FEW_SECONDS {
            let second = Duration::seconds(1);
            let first = self.wall.with_nanosecond(0).unwrap_or(self.wall) + second;
            let seconds = std::iter::successors(Some(first), |wall| Some(*wall + second));
            return seconds
                .take_while(|wall| *wall <= self.end)
                .filter(|wall| fields.schedule.includes(wall.and_utc()))
                .collect();
        }
        let next = |wall: &NaiveDateTime| next_after(fields, *wall);
        std::iter::successors(next(&self.wall), next)
            .take_while(|wall| *wall <= self.end)
            .collect()
    }
}

/// Which of several fields come first at or after an instant: the places of those that do, with their wall
/// times and the instant, which is the same for all of them.
pub fn first_of<'f>(
    several: impl Iterator<Item = &'f CronFields> + Clone,
    zone: &Zone,
    from: Instant,
) -> Vec<(usize, NaiveDateTime, Instant)> {
    let wall = zone.local(from).naive_local() - Duration::milliseconds(1);
    let next = |(place, fields)| Some((place, next_after(fields, wall)?));
    let next: Vec<(usize, NaiveDateTime)> = several.clone().enumerate().filter_map(next).collect();
    let Some(first) = next.iter().map(|(_, wall)| *wall).min() else {
        return Vec::new();
    };
    let at = zone.resolve(first).earlier();
    // Without a clock change near, the first on the wall clock is the first: one that comes so much later
    // there that a change may lie between comes later by more than that change.
    if zone
        .next_change(from - LONGEST_GAP, at.max(from) + LONGEST_GAP)
        .is_none()
    {
        let first = next.into_iter().filter(|(_, wall)| *wall == first);
        return first.map(|(place, wall)| (place, wall, at)).collect();
    }
    let each =
        |(place, fields)| first_firing(fields, zone, from).map(|(wall, at)| (place, wall, at));
    let mut found: Vec<_> = several.enumerate().filter_map(each).collect();
    let first = found.iter().map(|(_, _, at)| *at).min();
    found.retain(|(_, _, at)| Some(*at) == first);
    found
}

/// The first firing at or after an instant, with its wall time; `None` if there is none any more.
pub fn first_firing(
    fields: &CronFields,
    zone: &Zone,
    from: Instant,
) -> Option<(NaiveDateTime, Instant)> {
    let wall = next_after(
        fields,
        zone.local(from).naive_local() - Duration::milliseconds(1),
    )?;
    let at = zone.resolve(wall).earlier();
    let day = LONGEST_GAP;
    if zone.next_change(from - day, at.max(from) + day).is_none() {
        return Some((wall, at));
    }
    // Near a clock change a moved wall time may come before the next one on the clock, or the next
    // one on the clock may have had its turn already.
    let mut until = at.max(from) + day;
    for _ in 0..3 {
        if let Some(first) = firings(fields, zone, from, until).into_iter().next() {
            return Some(first);
        }
        until += day * 400;
    }
    None
}
