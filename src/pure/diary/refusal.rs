//! What does not fit in a diary entry, as a question that names the two values.

use std::fmt;

use chrono::NaiveDateTime;

use crate::pure::civil::Night;
use crate::pure::phrase::counted;

/// One thing a diary entry says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    /// Into bed.
    IntoBed,
    /// Began trying to sleep.
    LightsOut,
    /// Minutes to fall asleep.
    AsleepAfter,
    /// How often awake in between.
    Wakings,
    /// Minutes awake in between, all together.
    AwakeFor,
    /// Final waking.
    Woke,
    /// Out of bed.
    Up,
    /// Minutes of trying to sleep after the final waking.
    TriedAfter,
    /// Minutes asleep, said instead of the times.
    SleepMin,
}

impl Field {
    /// The column name in csv files.
    pub fn column(self) -> &'static str {
        match self {
            Self::IntoBed => "into_bed",
            Self::LightsOut => "lights_out",
            Self::AsleepAfter => "asleep_after_min",
            Self::Wakings => "wakings",
            Self::AwakeFor => "awake_for_min",
            Self::Woke => "woke",
            Self::Up => "up",
            Self::TriedAfter => "tried_after_min",
            Self::SleepMin => "sleep_min",
        }
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        match self {
            Self::IntoBed => "into bed",
            Self::LightsOut => "lights out",
            Self::AsleepAfter => "minutes to fall asleep",
            Self::Wakings => "wakings",
            Self::AwakeFor => "minutes awake in the night",
            Self::Woke => "woke",
            Self::Up => "up",
            Self::TriedAfter => "minutes of trying to sleep after waking",
            Self::SleepMin => "minutes asleep",
        }
    }
}

/// Why a diary entry is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Two times in an impossible order.
    Order {
        /// Should be the earlier one.
        first: (Field, NaiveDateTime),
        /// Should be the later one.
        then: (Field, NaiveDateTime),
    },
    /// More minutes awake than there were between two times.
    AwakeTooLong {
        /// Which minutes.
        field: Field,
        /// The minutes said to be awake, all together.
        awake_min: i64,
        /// The two times they have to fit between.
        between: (Field, Field),
        /// Minutes between them.
        available_min: i64,
    },
    /// More than 16 hours from first to last time.
    LongInBed {
        /// The first time.
        first: (Field, NaiveDateTime),
        /// The last time.
        last: (Field, NaiveDateTime),
        /// Minutes between them.
        minutes: i64,
    },
    /// The clocks were put forward over this time.
    Skipped {
        /// Which time.
        field: Field,
        /// As said.
        wall: NaiveDateTime,
        /// What the clock showed instead.
        moved: NaiveDateTime,
    },
    /// A date that cannot belong to the night.
    OtherNight {
        /// Which time.
        field: Field,
        /// As said.
        wall: NaiveDateTime,
        /// The night it was said for.
        night: Night,
    },
    /// The times and the minutes asleep say different things.
    Disagree {
        /// Minutes asleep as said.
        sleep_min: i64,
        /// Minutes asleep as the times have it, or the most they leave room for.
        from_times_min: i64,
    },
}

impl Refusal {
    /// A word for the kind, for machine output and tests.
    pub fn id(&self) -> &'static str {
        match self {
            Self::Order { .. } => "order",
            Self::AwakeTooLong { .. } => "sum_of_wake_exceeds_time_available",
            Self::LongInBed { .. } => "long_in_bed",
            Self::Skipped { .. } => "skipped_hour",
            Self::OtherNight { .. } => "other_night",
            Self::Disagree { .. } => "sleep_min_disagrees",
        }
    }

    /// The field to point at.
    pub fn field(&self) -> Field {
        match self {
            Self::Order { then, .. } => then.0,
            Self::LongInBed { last, .. } => last.0,
            Self::AwakeTooLong { field, .. }
            | Self::Skipped { field, .. }
            | Self::OtherNight { field, .. } => *field,
            Self::Disagree { .. } => Field::SleepMin,
        }
    }

    /// What is wrong: a sentence without its full stop, with both values.
    pub fn what(&self) -> String {
        match self {
            Self::Order { first, then } => {
                format!("{} comes before {}", named(*then), named(*first))
            }
            Self::AwakeTooLong {
                awake_min,
                between: (from, to),
                available_min,
                ..
            } => format!(
                "{} awake is more than the {} from {} to {}",
                counted(*awake_min, "minutes"),
                counted(*available_min, "minutes"),
                from.words(),
                to.words()
            ),
            Self::LongInBed {
                first,
                last,
                minutes,
            } => format!(
                "from {} to {} are {} h {} min, more than 16 hours",
                named(*first),
                named(*last),
                minutes / 60,
                minutes % 60
            ),
            Self::Skipped { field, wall, moved } => format!(
                "{} does not exist: the clocks went forward over it, to {}",
                named((*field, *wall)),
                moved.format("%H:%M")
            ),
            Self::OtherNight { field, wall, night } => {
                format!("{} is not in the night of {night}", named((*field, *wall)))
            }
            Self::Disagree {
                sleep_min,
                from_times_min,
            } => format!(
                "{sleep_min} minutes asleep do not fit the times, which give {from_times_min} minutes"
            ),
        }
    }

    /// The question to the person: a sentence without its full stop.
    pub fn instead(&self) -> String {
        match self {
            Self::Order { first, then } => format!(
                "Which of the two is meant differently? Give {} an earlier time or {} a later one, with the date if it is another day",
                first.0.words(),
                then.0.words()
            ),
            Self::AwakeTooLong { field, between, .. } => format!(
                "Is {} too high, or {} or {} wrong? Correct the one that is",
                field.words(),
                between.0.words(),
                between.1.words()
            ),
            Self::LongInBed { first, last, .. } => format!(
                "Is that so? If not, correct {} or {}; write the date with the time if the night was an unusual one",
                first.0.words(),
                last.0.words()
            ),
            Self::Skipped { field, moved, .. } => format!(
                "Which time is meant? Write {} as the clock showed it, {} or later",
                field.words(),
                moved.format("%H:%M")
            ),
            Self::OtherNight { field, night, .. } => format!(
                "Which is right? A night is named by the date of its evening; for this one {} is on {} or {}",
                field.words(),
                night.evening(),
                night.morning()
            ),
            Self::Disagree { .. } => {
                "Which is right? Give the times or the minutes asleep, not both".to_owned()
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}. {}.", self.what(), self.instead())
    }
}

impl std::error::Error for Refusal {}

fn named((field, wall): (Field, NaiveDateTime)) -> String {
    format!("{} {}", field.words(), wall.format("%Y-%m-%d %H:%M"))
}
