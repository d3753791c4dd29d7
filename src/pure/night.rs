//! The plan of one night: lights out, wake time, when the wind-down starts, and what is worth saying.
//!
//! Wall times are what the person plans; every length is taken between instants, so that a night with a
//! clock change is as long as it really is.

mod need;
mod notes;

pub use need::{ADULT_MINIMUM_S, SleepNeed};
pub use notes::{ClockChange, Note};

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};

use super::civil::{Instant, Night, Resolved, Zone};
use super::settings::{NightTimes, Settings, ZoneChoice, day_key};

/// Minutes between the prompt and the start of the wind-down (our own design choice: time to finish
/// what one is doing).
pub const PROMPT_AHEAD_MIN: i64 = 5;

/// A routine followed this long before the night's prompt still counts as its evening (our own choice).
const EARLY_HOURS: i64 = 3;

/// A session rated this hard or harder counts for [`LateSession`], on the scale from 0 to 10.
pub const HARD_RPE: f64 = 7.0;

/// A hard session ending less than this long before bedtime changes the wind-down.
///
/// Vigorous exercise ending within an hour of bedtime may lengthen the time to fall asleep (Stutz J,
/// Eiholzer R, Spengler CM 2019, Sports Medicine 49:269-287).
pub const LATE_SESSION_MIN: i64 = 60;

/// A planned wall time and the instant it stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlannedTime {
    /// The wall time as planned.
    pub planned: NaiveDateTime,
    /// The instant meant.
    pub at: Instant,
    /// What a clock on the wall shows then, with its offset; differs from `planned` if that was skipped.
    pub local: DateTime<FixedOffset>,
    /// The planned wall time does not exist on that day.
    pub skipped: bool,
}

impl PlannedTime {
    fn new(planned: NaiveDateTime, at: Instant, skipped: bool, zone: &Zone) -> Self {
        Self {
            planned,
            at,
            local: zone.local(at),
            skipped,
        }
    }
}

/// Bedtime and wake time of one night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NightSpan {
    /// The night.
    pub night: Night,
    /// Lights out. A wall time that happens twice means its first passing.
    pub bedtime: PlannedTime,
    /// Waking. A wall time that happens twice means its later passing.
    pub wake: PlannedTime,
}

impl NightSpan {
    /// Seconds from lights out to waking, as they really pass; never negative.
    pub fn in_bed_s(&self) -> i64 {
        (self.wake.at - self.bedtime.at).num_seconds().max(0)
    }

    /// Whether the night takes place at all. It does not where a zone skipped the whole evening (Apia,
    /// 30 December 2011): its bedtime then falls into another night, which has a plan of its own.
    pub fn takes_place(&self) -> bool {
        Night::of(self.bedtime.local.naive_local()) == self.night
    }
}

/// The plan of a night.
#[derive(Clone, Debug, PartialEq)]
pub struct NightPlan {
    /// The night.
    pub night: Night,
    /// Lights out.
    pub bedtime: PlannedTime,
    /// Waking.
    pub wake: PlannedTime,
    /// Seconds from lights out to waking, as they really pass.
    pub in_bed_s: i64,
    /// When the wind-down has to start: lights out less the settling time less the routine.
    pub starts_at: Instant,
    /// When the prompt shows: [`PROMPT_AHEAD_MIN`] before the start.
    pub prompt_at: Instant,
    /// Recommended hours of sleep for the age, if the year of birth is known.
    pub need: Option<SleepNeed>,
    /// Whether the night takes place at all, see [`NightSpan::takes_place`].
    pub takes_place: bool,
    /// The wind-down should be all breathing and gentle positions, because a hard session ends late.
    pub gentle: bool,
    /// What is worth saying about this night.
    pub notes: Vec<Note>,
}

/// A hard session that ends shortly before bedtime, or after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LateSession {
    /// Rating planned or given, 0 to 10.
    pub rpe: f64,
    /// When it ends.
    pub ends_at: Instant,
    /// Whole minutes from its end to bedtime; negative if it ends later than that.
    pub minutes_before: i64,
}

impl LateSession {
    /// The first of the sessions, each its rating (0 to 10) and end, that is hard and ends less than
    /// [`LATE_SESSION_MIN`] minutes before bedtime. Sessions that end more than 12 hours after it belong
    /// to another night and are left out.
    pub fn find(bedtime: Instant, sessions: &[(f64, Instant)]) -> Option<Self> {
        sessions
            .iter()
            .map(|&(rpe, ends_at)| Self {
                rpe,
                ends_at,
                minutes_before: (bedtime - ends_at).num_seconds().div_euclid(60),
            })
            .find(|late| {
                late.rpe >= HARD_RPE
                    && late.minutes_before < LATE_SESSION_MIN
                    && late.minutes_before > -12 * 60
            })
    }
}

/// Bedtime and wake time planned for a night: a one-off wins over the weekday of the evening, that over
/// the general one; each half falls back by itself.
pub fn planned_times(night: Night, times: &NightTimes) -> (NaiveTime, NaiveTime) {
    use chrono::Datelike;
    let once = times.on.get(&night.evening()).map(|one| one.times);
    let day = times
        .by_day
        .get(&day_key(night.evening().weekday()))
        .copied();
    let both = [once, day];
    let first = |half: fn(&super::settings::NightOverride) -> Option<NaiveTime>| {
        both.iter().flatten().find_map(half)
    };
    (
        first(|times| times.bedtime).unwrap_or(times.bedtime),
        first(|times| times.wake).unwrap_or(times.wake),
    )
}

/// The zone a night is planned in: that of its one-off (travel), else the person's.
pub fn zone_choice(night: Night, settings: &Settings) -> ZoneChoice {
    settings
        .nights
        .on
        .get(&night.evening())
        .and_then(|one| one.timezone.clone())
        .map_or_else(|| settings.timezone.clone(), ZoneChoice::Named)
}

/// Bedtime and wake time of a night as instants.
///
/// The wake time is the first time the clock is planned to show it after bedtime. A skipped wall time
/// moves on by the gap; of a repeated one, bedtime takes the first and waking the later.
pub fn span(night: Night, times: &NightTimes, zone: &Zone) -> NightSpan {
    let (bed, wake) = planned_times(night, times);
    let bed_wall = night.wall(bed);
    let wake_date = if wake > bed {
        Some(bed_wall.date())
    } else {
        bed_wall.date().succ_opt()
    };
    let wake_wall = wake_date.unwrap_or(bed_wall.date()).and_time(wake);
    let skipped = |resolved: Resolved| matches!(resolved, Resolved::Skipped { .. });
    let (bed_at, wake_at) = (zone.resolve(bed_wall), zone.resolve(wake_wall));
    NightSpan {
        night,
        bedtime: PlannedTime::new(bed_wall, bed_at.earlier(), skipped(bed_at), zone),
        wake: PlannedTime::new(wake_wall, wake_at.later(), skipped(wake_at), zone),
    }
}

/// The wall times of going to bed and waking, where only times of day and the date of the morning are
/// known: to bed on that date, or on the day before if it is not before the wake time.
pub fn attach_dates(
    bed: NaiveTime,
    wake: NaiveTime,
    morning: NaiveDate,
) -> (NaiveDateTime, NaiveDateTime) {
    let bed_date = if bed < wake {
        morning
    } else {
        morning.pred_opt().unwrap_or(morning)
    };
    (bed_date.and_time(bed), morning.and_time(wake))
}

/// When a wind-down has to start: lights out less the settling minutes less the routine, as they
/// really pass.
pub fn wind_down_start(lights_out: Instant, settle_minutes: u32, routine_seconds: u32) -> Instant {
    lights_out
        - Duration::minutes(i64::from(settle_minutes))
        - Duration::seconds(i64::from(routine_seconds))
}

/// The plan of a night whose routine takes `routine_seconds`. `zone` is that of [`zone_choice`].
pub fn plan(night: Night, settings: &Settings, zone: &Zone, routine_seconds: u32) -> NightPlan {
    let span = span(night, &settings.nights, zone);
    let need = settings
        .born
        .and_then(|born| SleepNeed::in_year(born, night.evening()));
    let starts_at = wind_down_start(span.bedtime.at, settings.evening.settle, routine_seconds);
    NightPlan {
        night,
        bedtime: span.bedtime,
        wake: span.wake,
        in_bed_s: span.in_bed_s(),
        starts_at,
        prompt_at: starts_at - Duration::minutes(PROMPT_AHEAD_MIN),
        need,
        takes_place: span.takes_place(),
        gentle: false,
        notes: notes::of_night(&span, need, zone),
    }
}

impl NightPlan {
    /// The plan with the day's sessions taken into account, each its rating (0 to 10) and its end: a
    /// hard one that ends late is noted once and makes the wind-down gentle.
    pub fn with_sessions(mut self, sessions: &[(f64, Instant)]) -> Self {
        if let Some(late) = LateSession::find(self.bedtime.at, sessions) {
            self.gentle = true;
            self.notes.push(Note::LateHardSession(late));
        }
        self
    }

    /// Whether a routine begun now is this night's wind-down: somebody who tries one at noon has not done
    /// the evening's, and its prompt still has to come.
    pub fn is_evening(&self, now: Instant) -> bool {
        now >= self.prompt_at - Duration::hours(EARLY_HOURS)
    }

    /// The least seconds of sleep recommended for the age, if the year of birth is known.
    pub fn need_s(&self) -> Option<i64> {
        self.need.map(|need| need.least_s)
    }
}

#[cfg(test)]
mod tests;
