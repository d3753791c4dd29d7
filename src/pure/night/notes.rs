//! What is worth saying about a night, as values and as plain words.

use chrono::{DateTime, Duration, FixedOffset, NaiveTime};

use super::{LateSession, NightSpan, PlannedTime, SleepNeed};
use crate::pure::civil::{Instant, Night, Zone};

/// One thing worth saying about a night.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// The planned time in bed is under the sleep recommended for the age.
    ShortNight {
        /// Planned seconds in bed, as they really pass.
        in_bed_s: i64,
        /// What is recommended.
        need: SleepNeed,
    },
    /// The clocks change in this night.
    ClockChangeTonight {
        /// The change.
        change: ClockChange,
        /// Seconds in bed, as they really pass.
        in_bed_s: i64,
    },
    /// The clocks change in the night after this one; said the evening before.
    ClockChangeTomorrow {
        /// The change.
        change: ClockChange,
    },
    /// The bedtime is a wall time that does not exist, and was moved on by the gap.
    BedtimeSkipped(PlannedTime),
    /// The wake time is a wall time that does not exist, and was moved on by the gap.
    WakeSkipped(PlannedTime),
    /// The whole evening does not exist in this zone.
    NoSuchNight,
    /// A hard session ends shortly before bedtime.
    LateHardSession(LateSession),
}

/// A change of the offset from universal time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockChange {
    /// When it happens.
    pub at: Instant,
    /// What the clock would have shown then, with the old offset.
    pub before: DateTime<FixedOffset>,
    /// What it shows, with the new offset.
    pub after: DateTime<FixedOffset>,
}

impl ClockChange {
    /// The first change of the zone between noon of the evening and noon of the morning.
    pub fn within(night: Night, zone: &Zone) -> Option<Self> {
        let noon = NaiveTime::from_hms_opt(12, 0, 0)?;
        let from = zone.resolve(night.evening().and_time(noon)).earlier();
        let until = zone.resolve(night.morning().and_time(noon)).later();
        let at = zone.next_change(from, until)?;
        let old = zone.offset_at(at - Duration::seconds(1));
        Some(Self {
            at,
            before: at.with_timezone(&old),
            after: zone.local(at),
        })
    }

    /// Seconds the clock is put forward; negative if it is put back.
    pub fn forward_s(&self) -> i64 {
        i64::from(self.after.offset().local_minus_utc())
            - i64::from(self.before.offset().local_minus_utc())
    }

    fn words(&self, day: &str) -> String {
        let by = self.forward_s();
        let way = if by > 0 { "forward" } else { "back" };
        format!(
            "The clocks go {way} by {} {day}, from {} to {}.",
            length(by.abs()),
            self.before.format("%H:%M"),
            self.after.format("%H:%M"),
        )
    }
}

impl Note {
    /// The word for it in machine output.
    pub fn id(&self) -> &'static str {
        match self {
            Self::ShortNight { .. } => "short_night",
            Self::ClockChangeTonight { .. } => "clock_change_tonight",
            Self::ClockChangeTomorrow { .. } => "clock_change_tomorrow",
            Self::BedtimeSkipped(_) => "bedtime_skipped",
            Self::WakeSkipped(_) => "wake_skipped",
            Self::NoSuchNight => "no_such_night",
            Self::LateHardSession(_) => "late_hard_session",
        }
    }

    /// The note in plain words, one or two sentences.
    pub fn text(&self) -> String {
        match self {
            Self::ShortNight { in_bed_s, need } => short_night(*in_bed_s, need),
            Self::ClockChangeTonight { change, in_bed_s } => format!(
                "{} With it this plan gives {} in bed.",
                change.words("tonight"),
                length(*in_bed_s)
            ),
            Self::ClockChangeTomorrow { change } => change.words("tomorrow night"),
            Self::BedtimeSkipped(time) => skipped("bedtime", time),
            Self::WakeSkipped(time) => skipped("wake time", time),
            Self::NoSuchNight => {
                "The calendar of this time zone leaves this evening out. Nothing is prompted for it."
                    .to_owned()
            }
            Self::LateHardSession(late) => late_session(late),
        }
    }
}

fn short_night(in_bed_s: i64, need: &SleepNeed) -> String {
    let regularly = if need.is_adult() {
        ", for adults at least 7 hours regularly"
    } else {
        ""
    };
    format!(
        "This plan gives {} in bed. For {}, {} to {} hours of sleep are recommended{regularly}.",
        length(in_bed_s),
        need.ages(),
        need.least_s / 3600,
        need.most_s / 3600,
    )
}

fn skipped(what: &str, time: &PlannedTime) -> String {
    format!(
        "The planned {what} {} does not exist on {}, because the clocks go forward over it. It becomes {}.",
        time.planned.format("%H:%M"),
        time.planned.format("%Y-%m-%d"),
        time.local.format("%H:%M"),
    )
}

fn late_session(late: &LateSession) -> String {
    let when = match late.minutes_before {
        minutes @ 1.. => format!("ends {} before bedtime", length(minutes * 60)),
        0 => "ends at bedtime".to_owned(),
        minutes => format!("ends {} after bedtime", length(-minutes * 60)),
    };
    format!(
        "A hard session {when}. Falling asleep can take longer after that, so this wind-down is breathing and gentle positions."
    )
}

/// A length in hours and minutes: `7 h 30 min`, `30 min`, `1 h`.
fn length(seconds: i64) -> String {
    let minutes = seconds / 60;
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}

/// The notes that follow from the times of a night.
pub(super) fn of_night(span: &NightSpan, need: Option<SleepNeed>, zone: &Zone) -> Vec<Note> {
    if !span.takes_place() {
        return vec![Note::NoSuchNight];
    }
    let mut notes = Vec::new();
    let in_bed_s = span.in_bed_s();
    if let Some(change) = ClockChange::within(span.night, zone) {
        notes.push(Note::ClockChangeTonight { change, in_bed_s });
    } else if let Some(change) = ClockChange::within(span.night.next(), zone) {
        notes.push(Note::ClockChangeTomorrow { change });
    }
    if span.bedtime.skipped {
        notes.push(Note::BedtimeSkipped(span.bedtime));
    }
    if span.wake.skipped {
        notes.push(Note::WakeSkipped(span.wake));
    }
    if let Some(need) = need.filter(|need| in_bed_s < need.least_s) {
        notes.push(Note::ShortNight { in_bed_s, need });
    }
    notes
}
