//! What a morning's questions start from: one way for the command and the page.

use chrono::{NaiveTime, Timelike};

use super::failure::Failure;
use super::store::Store;
use crate::pure::agenda::Plan;
use crate::pure::block::DayKind;
use crate::pure::civil::{Instant, Night};
use crate::pure::diary::Morning;

/// Answers that are filled in before the person says anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Usual {
    /// Into bed.
    pub into_bed: NaiveTime,
    /// Lights out.
    pub lights_out: NaiveTime,
    /// Woke for good.
    pub woke: NaiveTime,
    /// Out of bed.
    pub up: NaiveTime,
    /// Minutes to fall asleep.
    pub asleep_after: u32,
    /// How often awake in between.
    pub wakings: u32,
    /// Minutes awake in between, all together.
    pub awake_for: u32,
}

/// The record of the night itself where there is one, else the plan's times and the minutes answered
/// last.
pub fn usual(
    plan: &Plan,
    store: &Store,
    night: Night,
    known: Option<&Morning>,
) -> Result<Usual, Failure> {
    let times = plan.night(night);
    let zone = plan.zone_of(night);
    let time = |at: Instant| {
        let local = zone.local(at).time();
        NaiveTime::from_hms_opt(local.hour(), local.minute(), 0).unwrap_or(local)
    };
    let (bedtime, wake) = (time(times.bedtime.at), time(times.wake.at));
    let own = known.filter(|known| !known.estimated);
    let last = match own {
        Some(known) => Some(known.clone()),
        None => store.last_answered_before(night)?,
    };
    let own_time = |at: fn(&Morning) -> Option<Instant>| own.and_then(at).map(time);
    let minutes = last.map(|last| last.times).unwrap_or_default();
    Ok(Usual {
        into_bed: own_time(|own| own.times.into_bed).unwrap_or(bedtime),
        lights_out: own_time(|own| own.times.lights_out).unwrap_or(bedtime),
        woke: own_time(|own| own.times.woke).unwrap_or(wake),
        up: own_time(|own| own.times.up).unwrap_or(wake),
        asleep_after: minutes.asleep_after_min.unwrap_or(15),
        wakings: minutes.wakings.unwrap_or(0),
        awake_for: minutes.awake_for_min.unwrap_or(10).max(1),
    })
}

/// The titles of what was planned on the day before a night and has no record: a session that was missed, or
/// an entry that was. Nothing where all is recorded or none was planned.
pub fn unrecorded(plan: &Plan, store: &Store, night: Night) -> Result<Option<String>, Failure> {
    let day = night.evening();
    let planned = plan.block.day(day);
    if planned.kind != DayKind::Training || !store.training(day, day)?.is_empty() {
        return Ok(None);
    }
    let titles: Vec<&str> = planned
        .sessions
        .iter()
        .map(|session| session.title.as_str())
        .collect();
    Ok(Some(titles.join(", ")))
}
