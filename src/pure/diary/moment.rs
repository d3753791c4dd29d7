//! A time of night as a person says it.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDateTime, NaiveTime};

use crate::pure::civil::Zone;
use crate::pure::document::parse_time;

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

/// A time of day as tired hands type it: `22:40`, `22.40` or `2240`, also with seconds.
pub fn time_as_typed(text: &str) -> Option<NaiveTime> {
    let text = text.trim();
    let digits = text.bytes().all(|byte| byte.is_ascii_digit());
    let colons = match text.len() {
        // 640 is 06:40; 22 alone could be an hour or minutes.
        3 | 4 if digits => {
            let (hours, minutes) = text.split_at(text.len() - 2);
            format!("{hours}:{minutes}")
        }
        _ => text.replace('.', ":"),
    };
    parse_time(&colons)
}

impl FromStr for Moment {
    type Err = BadMoment;

    /// Reads `22:40` as [`time_as_typed`] does, `2026-01-05T22:40` (also with a blank for the T, also with seconds), and the
    /// latter with an offset, `2026-10-25T02:30+02:00`.
    fn from_str(text: &str) -> Result<Self, BadMoment> {
        let text = text.trim();
        let local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"];
        let fixed = ["%Y-%m-%dT%H:%M%#z", "%Y-%m-%dT%H:%M:%S%#z"];
        if !text.contains('-') {
            return time_as_typed(text)
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

/// A time with its date, before the zone has had its say.
#[derive(Clone, Copy)]
pub(super) enum Dated {
    Wall(NaiveDateTime),
    Fixed(DateTime<FixedOffset>),
}

impl Dated {
    /// Puts a date to a time that was said without.
    pub fn of(said: Moment, put_date: impl FnOnce(NaiveTime) -> NaiveDateTime) -> Self {
        match said {
            Moment::Clock(time) => Self::Wall(put_date(time)),
            Moment::Local(wall) => Self::Wall(wall),
            Moment::Fixed(at) => Self::Fixed(at),
        }
    }

    /// What the clock shows.
    pub fn wall(self, zone: &Zone) -> NaiveDateTime {
        match self {
            Self::Wall(wall) => wall,
            Self::Fixed(at) => zone.local(at.to_utc()).naive_local(),
        }
    }
}
