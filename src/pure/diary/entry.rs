//! What the person says about a night, and what it means in a zone.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};

use super::measures::Times;
use super::refusal::{Field, Refusal};
use crate::pure::civil::{Instant, Night, Resolved, Zone};

/// The longest time in bed that is taken without asking.
const LONGEST_MIN: i64 = 16 * 60;

/// A time as the person said it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// What the clock showed; the date follows from the night.
    Clock(NaiveTime),
    /// Date and clock.
    Local(NaiveDateTime),
    /// Date, clock and offset: one reading only.
    Fixed(DateTime<FixedOffset>),
}

/// A text that is no time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadMoment {
    /// The text.
    pub text: String,
}

impl fmt::Display for BadMoment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a time. Write 22:40, or with its date 2026-01-05T22:40.",
            self.text
        )
    }
}

impl std::error::Error for BadMoment {}

impl FromStr for Moment {
    type Err = BadMoment;

    /// Reads `22:40`, `2026-01-05T22:40` (also with a blank for the T, also with seconds), and the
    /// latter with an offset, `2026-10-25T02:30+02:00`.
    fn from_str(text: &str) -> Result<Self, BadMoment> {
        let text = text.trim();
        let clock = ["%H:%M", "%H:%M:%S"];
        let local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"];
        let fixed = ["%Y-%m-%dT%H:%M%#z", "%Y-%m-%dT%H:%M:%S%#z"];
        if !text.contains('-') {
            return clock
                .into_iter()
                .find_map(|form| NaiveTime::parse_from_str(text, form).ok())
                .map(Self::Clock)
                .ok_or_else(|| bad(text));
        }
        let joined = text.replacen(' ', "T", 1);
        let wall = local
            .into_iter()
            .find_map(|form| NaiveDateTime::parse_from_str(&joined, form).ok());
        let exact = || {
            fixed
                .into_iter()
                .find_map(|form| DateTime::parse_from_str(&joined, form).ok())
        };
        wall.map(Self::Local)
            .or_else(|| exact().map(Self::Fixed))
            .ok_or_else(|| bad(text))
    }
}

fn bad(text: &str) -> BadMoment {
    BadMoment {
        text: text.to_owned(),
    }
}

/// A night as the person said it. Nothing is required.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiaryEntry {
    /// Into bed.
    pub into_bed: Option<Moment>,
    /// Began trying to sleep.
    pub lights_out: Option<Moment>,
    /// Minutes to fall asleep.
    pub asleep_after_min: Option<u32>,
    /// How often awake in between.
    pub wakings: Option<u32>,
    /// Minutes awake in between, all together.
    pub awake_for_min: Option<u32>,
    /// Final waking.
    pub woke: Option<Moment>,
    /// Out of bed.
    pub up: Option<Moment>,
    /// Minutes of trying to sleep after the final waking.
    pub tried_after_min: Option<u32>,
    /// Minutes asleep, said instead of the times.
    pub sleep_min: Option<u32>,
    /// The person confirmed that more than 16 hours in bed are meant.
    pub long_confirmed: bool,
}

/// A resolved entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Diary {
    /// The times as instants.
    pub times: Times,
    /// What the person should know about how the entry was read, in sentences.
    pub notes: Vec<String>,
}

/// Puts dates to a bedtime and a wake time that were said without, for the morning of a date: waking is
/// on that date; bedtime too, or the day before where it would not come before waking.
pub fn attach(
    bed: NaiveTime,
    wake: NaiveTime,
    morning: NaiveDate,
) -> (NaiveDateTime, NaiveDateTime) {
    let woke = morning.and_time(wake);
    (before_waking(bed, woke), woke)
}

fn before_waking(bed: NaiveTime, woke: NaiveDateTime) -> NaiveDateTime {
    let same_day = woke.date().and_time(bed);
    if same_day >= woke {
        same_day - Duration::days(1)
    } else {
        same_day
    }
}

/// A time with its date, before the zone has had its say.
#[derive(Clone, Copy)]
enum Dated {
    Wall(NaiveDateTime),
    Fixed(DateTime<FixedOffset>),
}

impl Dated {
    fn wall(self, zone: &Zone) -> NaiveDateTime {
        match self {
            Self::Wall(wall) => wall,
            Self::Fixed(at) => zone.local(at.to_utc()).naive_local(),
        }
    }
}

impl DiaryEntry {
    /// Turns what was said into instants.
    ///
    /// A time without a date belongs to the night; a time that happened twice is taken as the later of
    /// the two unless only the earlier one fits the order, and a note says so.
    ///
    /// # Errors
    ///
    /// Every reason why the entry cannot be meant as it stands, each a question to the person.
    pub fn resolve(&self, night: Night, zone: &Zone) -> Result<Diary, Vec<Refusal>> {
        let mut reading = Reading {
            zone,
            refusals: Vec::new(),
            notes: Vec::new(),
        };
        let said = self.dated(night, zone);
        for (field, dated) in &said {
            reading.check_night(*field, dated.wall(zone), night);
        }
        // Backwards, because the reading of a repeated hour depends on what comes after it.
        let mut found: Vec<(Field, Instant)> = Vec::new();
        for (field, dated) in said.iter().rev() {
            let limit = found.last().map(|(_, at)| *at);
            if let Some(at) = reading.instant(*field, *dated, limit) {
                found.push((*field, at));
            }
        }
        found.reverse();
        let times = self.times(&found);
        if reading.refusals.is_empty() {
            reading.check_order(&found);
        }
        if reading.refusals.is_empty() {
            reading.check_awake(&times);
            reading.check_length(&found, self.long_confirmed);
            reading.check_sleep_min(&times);
        }
        if reading.refusals.is_empty() {
            Ok(Diary {
                times: times.without_echo(),
                notes: reading.notes,
            })
        } else {
            Err(reading.refusals)
        }
    }

    /// The times that were said, in the order in which they have to happen, with dates.
    fn dated(&self, night: Night, zone: &Zone) -> Vec<(Field, Dated)> {
        let woke = self.woke.map(|said| match said {
            Moment::Clock(time) => Dated::Wall(night.morning().and_time(time)),
            other => with_date(other),
        });
        let anchor = woke.map(|woke| woke.wall(zone));
        let evening = |said: Moment| match (said, anchor) {
            (Moment::Clock(time), Some(woke)) => Dated::Wall(before_waking(time, woke)),
            (Moment::Clock(time), None) => Dated::Wall(night.wall(time)),
            (other, _) => with_date(other),
        };
        let morning = |said: Moment| match said {
            Moment::Clock(time) => {
                let date = anchor.map_or(night.morning(), |woke| woke.date());
                Dated::Wall(date.and_time(time))
            }
            other => with_date(other),
        };
        [
            (Field::IntoBed, self.into_bed.map(evening)),
            (Field::LightsOut, self.lights_out.map(evening)),
            (Field::Woke, woke),
            (Field::Up, self.up.map(morning)),
        ]
        .into_iter()
        .filter_map(|(field, dated)| dated.map(|dated| (field, dated)))
        .collect()
    }

    fn times(&self, found: &[(Field, Instant)]) -> Times {
        let at = |wanted: Field| {
            found
                .iter()
                .find(|(field, _)| *field == wanted)
                .map(|(_, at)| *at)
        };
        Times {
            into_bed: at(Field::IntoBed),
            lights_out: at(Field::LightsOut),
            asleep_after_min: self.asleep_after_min,
            wakings: self.wakings,
            awake_for_min: self.awake_for_min,
            woke: at(Field::Woke),
            up: at(Field::Up),
            tried_after_min: self.tried_after_min,
            sleep_min: self.sleep_min,
        }
    }
}

fn with_date(said: Moment) -> Dated {
    match said {
        Moment::Fixed(at) => Dated::Fixed(at),
        Moment::Local(wall) => Dated::Wall(wall),
        // A clock time always has its date put to it before it comes here.
        Moment::Clock(time) => Dated::Wall(NaiveDate::default().and_time(time)),
    }
}

/// The work of reading one entry.
struct Reading<'z> {
    zone: &'z Zone,
    refusals: Vec<Refusal>,
    notes: Vec<String>,
}

impl Reading<'_> {
    /// A dated time may lie a little outside noon to noon (a nap before a night shift, a long morning),
    /// but not on another day altogether.
    fn check_night(&mut self, field: Field, wall: NaiveDateTime, night: Night) {
        let from = night.evening().and_time(NaiveTime::MIN);
        if wall < from || wall >= from + Duration::days(3) {
            self.refusals
                .push(Refusal::OtherNight { field, wall, night });
        }
    }

    fn instant(&mut self, field: Field, dated: Dated, limit: Option<Instant>) -> Option<Instant> {
        let wall = match dated {
            Dated::Fixed(at) => return Some(at.to_utc()),
            Dated::Wall(wall) => wall,
        };
        match self.zone.resolve(wall) {
            Resolved::Exact(at) => Some(at),
            Resolved::Skipped { moved } => {
                let moved = self.zone.local(moved).naive_local();
                self.refusals.push(Refusal::Skipped { field, wall, moved });
                None
            }
            Resolved::Repeated { first, second } => {
                let fits = |at: Instant| limit.is_none_or(|limit| at <= limit);
                let (at, other) = if fits(second) || !fits(first) {
                    (second, first)
                } else {
                    (first, second)
                };
                let which = if at == second { "later" } else { "earlier" };
                self.notes.push(format!(
                    "{} happened twice because the clocks went back; {} is counted at the {which} one ({}). Write {} for the other.",
                    wall.format("%H:%M"),
                    field.words(),
                    self.zone.local(at).format("%H:%M%:z"),
                    self.zone.local(other).format("%Y-%m-%dT%H:%M%:z"),
                ));
                Some(at)
            }
        }
    }

    fn named(&self, (field, at): (Field, Instant)) -> (Field, NaiveDateTime) {
        (field, self.zone.local(at).naive_local())
    }

    fn check_order(&mut self, found: &[(Field, Instant)]) {
        for pair in found.windows(2) {
            if let [first, then] = pair
                && then.1 < first.1
            {
                self.refusals.push(Refusal::Order {
                    first: self.named(*first),
                    then: self.named(*then),
                });
            }
        }
    }

    fn check_awake(&mut self, times: &Times) {
        let to_sleep = i64::from(times.asleep_after_min.unwrap_or(0));
        let awake = i64::from(times.awake_for_min.unwrap_or(0));
        let fields = (Field::LightsOut, Field::Woke);
        let named = if awake > to_sleep {
            Field::AwakeFor
        } else {
            Field::AsleepAfter
        };
        self.fits(
            named,
            to_sleep + awake,
            fields,
            times.lights_out,
            times.woke,
        );
        let tried = i64::from(times.tried_after_min.unwrap_or(0));
        let fields = (Field::Woke, Field::Up);
        self.fits(Field::TriedAfter, tried, fields, times.woke, times.up);
    }

    fn fits(
        &mut self,
        field: Field,
        awake_min: i64,
        between: (Field, Field),
        from: Option<Instant>,
        to: Option<Instant>,
    ) {
        let Some((from, to)) = from.zip(to) else {
            return;
        };
        let available_min = (to - from).num_minutes();
        if awake_min > available_min {
            self.refusals.push(Refusal::AwakeTooLong {
                field,
                awake_min,
                between,
                available_min,
            });
        }
    }

    fn check_length(&mut self, found: &[(Field, Instant)], confirmed: bool) {
        let (Some(first), Some(last)) = (found.first(), found.last()) else {
            return;
        };
        let length = last.1 - first.1;
        if length > Duration::minutes(LONGEST_MIN) && !confirmed {
            self.refusals.push(Refusal::LongInBed {
                first: self.named(*first),
                last: self.named(*last),
                minutes: length.num_minutes(),
            });
        }
    }

    /// Minutes asleep that were said beside the times have to say the same, to the minute; where the
    /// times leave it open they have to fit into them.
    fn check_sleep_min(&mut self, times: &Times) {
        let Some(sleep_min) = times.sleep_min.map(i64::from) else {
            return;
        };
        let without = times.without_sleep_min().measures();
        let wrong = match (without.asleep_s, without.asleep_at_most_s) {
            (Some(asleep), _) if (asleep - sleep_min * 60).abs() > 60 => Some(asleep),
            (None, Some(most)) if sleep_min * 60 > most + 60 => Some(most),
            (None, None) if sleep_min > 24 * 60 => Some(24 * 3600),
            _ => None,
        };
        if let Some(seconds) = wrong {
            self.refusals.push(Refusal::Disagree {
                sleep_min,
                from_times_min: seconds / 60,
            });
        }
    }
}

#[cfg(test)]
#[path = "entry_tests.rs"]
mod tests;
