//! Wall time and instants, and the night a moment belongs to.
//!
//! Two kinds of time never mix here: an [`Instant`] is a point on the UTC line, a wall time is what a
//! clock on the wall shows. [`Zone`] is the only thing that turns one into the other, and where a wall
//! time is skipped or repeated the caller has to say which reading it wants.

use std::fmt;
use std::sync::Arc;

use chrono::{
    DateTime, Duration, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime, Offset, TimeZone, Utc,
};

mod names;

pub use names::nearest_zone;

/// A point on the UTC time line.
pub type Instant = DateTime<Utc>;

/// Where the rules of a [`Zone`] come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoneSource {
    /// The zone files of the machine, kept current by its package manager.
    System,
    /// The tables compiled into the program; they can be out of date.
    Embedded,
}

/// A time zone with its rules.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zone {
    name: Arc<str>,
    rules: Rules,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Rules {
    Tzif(jiff::tz::TimeZone),
    Embedded(chrono_tz::Tz),
}

/// Zone data that could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadZoneData {
    /// Name of the zone whose data were given.
    pub name: String,
    /// What the reader said.
    pub reason: String,
}

impl fmt::Display for BadZoneData {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "zone data of {} cannot be read: {}",
            self.name, self.reason
        )
    }
}

impl std::error::Error for BadZoneData {}

/// Which zone names are known, whatever the rules come from.
pub trait ZoneNames {
    /// Whether rules can be found under this name.
    fn knows(&self, name: &str) -> bool;
}

/// The names of the tables compiled into the program.
#[derive(Clone, Copy, Debug, Default)]
pub struct EmbeddedZoneNames;

impl ZoneNames for EmbeddedZoneNames {
    fn knows(&self, name: &str) -> bool {
        name.parse::<chrono_tz::Tz>().is_ok()
    }
}

/// What a wall time means in a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Resolved {
    /// The usual case: one instant.
    Exact(Instant),
    /// The wall time does not exist (clocks went forward over it).
    Skipped {
        /// The wall time moved on by the length of the gap: 02:30 becomes 03:30.
        moved: Instant,
    },
    /// The wall time happens twice (clocks went back over it).
    Repeated {
        /// The earlier of the two.
        first: Instant,
        /// The later of the two.
        second: Instant,
    },
}

impl Resolved {
    /// The instant for a bedtime or a prompt: the first of two, moved on by the gap if skipped.
    pub fn earlier(self) -> Instant {
        match self {
            Self::Exact(at) | Self::Skipped { moved: at } | Self::Repeated { first: at, .. } => at,
        }
    }

    /// The instant for a wake time: the later of two, moved on by the gap if skipped.
    pub fn later(self) -> Instant {
        match self {
            Self::Exact(at) | Self::Skipped { moved: at } | Self::Repeated { second: at, .. } => at,
        }
    }
}

impl Zone {
    /// A zone from the bytes of its TZif file (RFC 8536), as the system keeps them.
    pub fn from_tzif(name: &str, bytes: &[u8]) -> Result<Self, BadZoneData> {
        match jiff::tz::TimeZone::tzif(name, bytes) {
            Ok(zone) => Ok(Self {
                name: name.into(),
                rules: Rules::Tzif(zone),
            }),
            Err(error) => Err(BadZoneData {
                name: name.to_owned(),
                reason: error.to_string(),
            }),
        }
    }

    /// A zone from the tables compiled into the program, or nothing if they do not know the name.
    pub fn embedded(name: &str) -> Option<Self> {
        let zone: chrono_tz::Tz = name.parse().ok()?;
        Some(Self {
            name: name.into(),
            rules: Rules::Embedded(zone),
        })
    }

    /// A zone from a rule as POSIX writes it in `TZ`, for example `CET-1CEST,M3.5.0,M10.5.0/3`. Its
    /// name is the rule itself, its source counts as [`ZoneSource::System`].
    pub fn from_posix(rule: &str) -> Result<Self, BadZoneData> {
        match jiff::tz::TimeZone::posix(rule) {
            Ok(zone) => Ok(Self {
                name: rule.into(),
                rules: Rules::Tzif(zone),
            }),
            Err(error) => Err(BadZoneData {
                name: rule.to_owned(),
                reason: error.to_string(),
            }),
        }
    }

    /// Universal time.
    pub fn utc() -> Self {
        Self {
            name: "UTC".into(),
            rules: Rules::Embedded(chrono_tz::UTC),
        }
    }

    /// The IANA name, for example `Europe/Oslo`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Where the rules come from.
    pub fn source(&self) -> ZoneSource {
        match self.rules {
            Rules::Tzif(_) => ZoneSource::System,
            Rules::Embedded(_) => ZoneSource::Embedded,
        }
    }

    /// The offset from UTC in force at an instant.
    pub fn offset_at(&self, instant: Instant) -> FixedOffset {
        match &self.rules {
            Rules::Tzif(zone) => {
                let seconds = instant.timestamp();
                // jiff covers the years -9999 to 9999; anything else is no date a person can mean.
                let at =
                    jiff::Timestamp::from_second(seconds).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
                fixed(zone.to_offset(at).seconds())
            }
            Rules::Embedded(zone) => zone.offset_from_utc_datetime(&instant.naive_utc()).fix(),
        }
    }

    /// What the wall clock shows at an instant.
    pub fn local(&self, instant: Instant) -> DateTime<FixedOffset> {
        instant.with_timezone(&self.offset_at(instant))
    }

    /// What a wall time means here.
    pub fn resolve(&self, wall: NaiveDateTime) -> Resolved {
        match &self.rules {
            Rules::Tzif(zone) => resolve_tzif(zone, wall),
            Rules::Embedded(zone) => match zone.offset_from_local_datetime(&wall) {
                chrono::LocalResult::Single(offset) => {
                    Resolved::Exact(instant_of(wall, offset.fix()))
                }
                chrono::LocalResult::Ambiguous(a, b) => {
                    repeated(instant_of(wall, a.fix()), instant_of(wall, b.fix()))
                }
                chrono::LocalResult::None => Resolved::Skipped {
                    moved: instant_of(wall, self.offset_before_gap(wall)),
                },
            },
        }
    }

    /// The offset in force just before the gap that swallows `wall`.
    ///
    /// The change itself is searched for, because a fixed look-back of some hours fails where a whole
    /// day was skipped (Apia, 30 December 2011). No offset is beyond 16 hours, so the change lies there.
    fn offset_before_gap(&self, wall: NaiveDateTime) -> FixedOffset {
        let mut from = wall.and_utc() - Duration::hours(16);
        let until = wall.and_utc() + Duration::hours(16);
        let old = self.offset_at(from);
        while let Some(change) = self.next_change(from, until) {
            let before = self.offset_at(change - Duration::seconds(1));
            let shown = |offset: FixedOffset| change.naive_utc() + offset;
            if wall >= shown(before) && wall < shown(self.offset_at(change)) {
                return before;
            }
            from = change;
        }
        old
    }

    /// The next instant after `from` at which the offset changes, if one comes before `until` or then.
    ///
    /// Two changes within 12 hours that undo each other are not seen; no zone has had such.
    pub fn next_change(&self, from: Instant, until: Instant) -> Option<Instant> {
        const STEP_S: i64 = 12 * 3600;
        let second = |at: i64| DateTime::from_timestamp(at, 0).unwrap_or(until);
        let (mut low, end) = (from.timestamp(), until.timestamp());
        while low < end {
            let high = (low + STEP_S).min(end);
            let old = self.offset_at(second(low));
            if self.offset_at(second(high)) != old {
                // Changes fall on whole seconds.
                let (mut before, mut after) = (low, high);
                while after - before > 1 {
                    let middle = before + (after - before) / 2;
                    if self.offset_at(second(middle)) == old {
                        before = middle
                    } else {
                        after = middle
                    }
                }
                return Some(second(after));
            }
            low = high;
        }
        None
    }
}

/// The first instant from `from` on, before `until`, at which two zones show different wall times.
pub fn first_difference(
    one: &Zone,
    other: &Zone,
    from: Instant,
    until: Instant,
) -> Option<Instant> {
    let mut at = from;
    while at < until {
        if one.offset_at(at) != other.offset_at(at) {
            return Some(at);
        }
        let changes = [one.next_change(at, until), other.next_change(at, until)];
        at = changes.into_iter().flatten().min()?;
    }
    None
}

fn resolve_tzif(zone: &jiff::tz::TimeZone, wall: NaiveDateTime) -> Resolved {
    use jiff::tz::AmbiguousOffset;
    match zone.to_ambiguous_timestamp(to_jiff(wall)).offset() {
        AmbiguousOffset::Unambiguous { offset } => {
            Resolved::Exact(instant_of(wall, fixed(offset.seconds())))
        }
        AmbiguousOffset::Gap { before, .. } => Resolved::Skipped {
            moved: instant_of(wall, fixed(before.seconds())),
        },
        AmbiguousOffset::Fold { before, after } => repeated(
            instant_of(wall, fixed(before.seconds())),
            instant_of(wall, fixed(after.seconds())),
        ),
    }
}

fn repeated(a: Instant, b: Instant) -> Resolved {
    Resolved::Repeated {
        first: a.min(b),
        second: a.max(b),
    }
}

fn to_jiff(wall: NaiveDateTime) -> jiff::civil::DateTime {
    use chrono::{Datelike, Timelike};
    let year = i16::try_from(wall.year())
        .unwrap_or(i16::MAX)
        .clamp(-9999, 9999);
    let narrow = |n: u32| i8::try_from(n).unwrap_or(0);
    jiff::civil::DateTime::new(
        year,
        narrow(wall.month()),
        narrow(wall.day()),
        narrow(wall.hour()),
        narrow(wall.minute()),
        narrow(wall.second()),
        0,
    )
    .unwrap_or_default()
}

fn fixed(seconds: i32) -> FixedOffset {
    FixedOffset::east_opt(seconds).unwrap_or_else(|| Utc.fix())
}

fn instant_of(wall: NaiveDateTime, offset: FixedOffset) -> Instant {
    (wall - Duration::seconds(i64::from(offset.local_minus_utc()))).and_utc()
}

/// A night, named by the local date of its evening. It runs from noon to noon.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Night(pub NaiveDate);

impl Night {
    /// The night a wall time belongs to: 23:30 and 00:30 are the same night, noon begins a new one.
    pub fn of(wall: NaiveDateTime) -> Self {
        let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
        if wall.time() < noon {
            Self(day_before(wall.date()))
        } else {
            Self(wall.date())
        }
    }

    /// The night an instant belongs to in a zone.
    pub fn at(instant: Instant, zone: &Zone) -> Self {
        Self::of(zone.local(instant).naive_local())
    }

    /// Date of the evening.
    pub fn evening(self) -> NaiveDate {
        self.0
    }

    /// Date of the morning after.
    pub fn morning(self) -> NaiveDate {
        self.0.succ_opt().unwrap_or(self.0)
    }

    /// The night before.
    pub fn previous(self) -> Self {
        Self(day_before(self.0))
    }

    /// The night after.
    pub fn next(self) -> Self {
        Self(self.morning())
    }

    /// The wall time within this night at which a clock shows `time`: from noon on it is the
    /// evening's date, before noon the morning's.
    pub fn wall(self, time: NaiveTime) -> NaiveDateTime {
        let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
        if time >= noon {
            self.evening().and_time(time)
        } else {
            self.morning().and_time(time)
        }
    }
}

impl fmt::Display for Night {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

fn day_before(date: NaiveDate) -> NaiveDate {
    date.pred_opt().unwrap_or(date)
}

#[cfg(test)]
mod tests;
