//! Moving bedtime in small steps, and nights spent in another zone.
//!
//! Without a light box the steps are 15 minutes earlier or 30 minutes later a night (our own design
//! choice). Bright morning light and a schedule an hour earlier a day moved the body clock about 1.5
//! hours in 3 days, two hours a day was too fast (Eastman CI et al. 2005, Sleep 28:33-44); a fixed earlier
//! schedule alone takes longer.

use chrono::{Duration, NaiveDate, NaiveTime};

use crate::pure::civil::Night;
use crate::pure::night::planned_times;
use crate::pure::settings::{NightOverride, NightTimes, OneOff};

/// Minutes a night that bedtime is moved by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Steps {
    /// Towards an earlier bedtime.
    pub earlier_min: u32,
    /// Towards a later one.
    pub later_min: u32,
}

impl Default for Steps {
    fn default() -> Self {
        Self {
            earlier_min: 15,
            later_min: 30,
        }
    }
}

/// Minutes from one time of day to another the shorter way round, over -720 to 720; negative is earlier.
pub fn shift_min(current: NaiveTime, target: NaiveTime) -> i64 {
    let minutes = (target - current).num_minutes().rem_euclid(1440);
    if minutes > 720 {
        minutes - 1440
    } else {
        minutes
    }
}

/// The bedtimes of the nights it takes to move from one to another; empty if they are the same. The
/// last step is the rest.
pub fn bedtimes(current: NaiveTime, target: NaiveTime, steps: Steps) -> Vec<NaiveTime> {
    let whole = shift_min(current, target);
    let step = i64::from(if whole < 0 {
        steps.earlier_min
    } else {
        steps.later_min
    });
    if whole == 0 || step == 0 {
        return Vec::new();
    }
    let nights = (whole.abs() + step - 1) / step;
    (1..=nights)
        .map(|night| {
            let moved = (night * step).min(whole.abs()) * whole.signum();
            current + Duration::minutes(moved)
        })
        .collect()
}

/// One night of a shift.
#[derive(Clone, Debug, PartialEq)]
pub struct ShiftedNight {
    /// The night.
    pub night: Night,
    /// What is to be planned for it. The wake time moves with the bedtime, so that the time in bed
    /// stays what it was planned to be.
    pub once: OneOff,
    /// What was set for this night alone before, so that it can be put back.
    pub before: Option<OneOff>,
}

/// A plan for moving bedtime.
#[derive(Clone, Debug, PartialEq)]
pub struct ShiftPlan {
    /// The nights, in order; empty if nothing has to change.
    pub nights: Vec<ShiftedNight>,
    /// Minutes from the present bedtime to the new one; negative is earlier.
    pub shift_min: i64,
    /// The first night with the new bedtime; that of the start if nothing has to change.
    pub reached: Night,
    /// Nights by which this is later than asked for, because no night moves by more than a step.
    pub late_by: i64,
}

/// Plans the move to a bedtime by a night: as late as the steps allow, so that it is reached just then,
/// but no earlier than `from`, with the bedtime planned for that night as the present one.
pub fn shift_plan(
    times: &NightTimes,
    from: Night,
    target: NaiveTime,
    by: Night,
    steps: Steps,
) -> ShiftPlan {
    let (current, wake) = planned_times(from, times);
    let moved = bedtimes(current, target, steps);
    let count = i64::try_from(moved.len()).unwrap_or(0);
    let start = after(by, 1 - count.max(1)).max(from);
    let nights: Vec<ShiftedNight> = (0..)
        .zip(&moved)
        .map(|(step, bedtime)| {
            let night = after(start, step);
            let before = times.on.get(&night.evening()).cloned();
            let by_min = shift_min(current, *bedtime);
            ShiftedNight {
                night,
                once: OneOff {
                    times: NightOverride {
                        bedtime: Some(*bedtime),
                        wake: Some(wake + Duration::minutes(by_min)),
                    },
                    timezone: before.as_ref().and_then(|once| once.timezone.clone()),
                },
                before,
            }
        })
        .collect();
    let reached = nights.last().map_or(from, |last| last.night);
    ShiftPlan {
        shift_min: shift_min(current, target),
        late_by: (reached.evening() - by.evening()).num_days().max(0),
        reached,
        nights,
    }
}

/// The nights of a journey, from one evening to another, planned in another zone; their times stay as
/// planned, on the clock of that zone. At most 366 nights.
pub fn travel_nights(
    times: &NightTimes,
    from: NaiveDate,
    to: NaiveDate,
    zone_name: &str,
) -> Vec<ShiftedNight> {
    from.iter_days()
        .take_while(|date| *date <= to)
        .take(366)
        .map(|date| {
            let before = times.on.get(&date).cloned();
            let mut once = before.clone().unwrap_or_default();
            once.timezone = Some(zone_name.to_owned());
            ShiftedNight {
                night: Night(date),
                once,
                before,
            }
        })
        .collect()
}

fn after(night: Night, days: i64) -> Night {
    Night(night.evening() + Duration::days(days))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use proptest::prelude::*;

    use super::*;

    fn time(text: &str) -> NaiveTime {
        NaiveTime::parse_from_str(text, "%H:%M").expect("time")
    }

    fn night(text: &str) -> Night {
        Night(text.parse().expect("date"))
    }

    fn times() -> NightTimes {
        NightTimes {
            bedtime: time("23:00"),
            wake: time("07:00"),
            by_day: BTreeMap::new(),
            on: BTreeMap::new(),
            alarm_days: None,
        }
    }

    fn shown(plan: &ShiftPlan) -> Vec<String> {
        let line = |night: &ShiftedNight| {
            let of = |time: Option<NaiveTime>| time.expect("set").format("%H:%M").to_string();
            let once = night.once.times;
            format!("{} {} {}", night.night, of(once.bedtime), of(once.wake))
        };
        plan.nights.iter().map(line).collect()
    }

    #[test]
    fn the_new_bedtime_is_reached_on_the_night_asked_for() {
        let by = night("2026-02-10");
        let plan = shift_plan(
            &times(),
            night("2026-02-01"),
            time("22:00"),
            by,
            Steps::default(),
        );
        assert_eq!(
            shown(&plan),
            [
                "2026-02-07 22:45 06:45",
                "2026-02-08 22:30 06:30",
                "2026-02-09 22:15 06:15",
                "2026-02-10 22:00 06:00",
            ]
        );
        assert_eq!((plan.reached, plan.late_by, plan.shift_min), (by, 0, -60));
    }

    #[test]
    fn too_little_time_makes_it_later_not_faster() {
        let plan = shift_plan(
            &times(),
            night("2026-02-01"),
            time("22:00"),
            night("2026-02-02"),
            Steps::default(),
        );
        assert_eq!(plan.nights[0].night, night("2026-02-01"));
        assert_eq!((plan.reached, plan.late_by), (night("2026-02-04"), 2));
    }

    #[test]
    fn nothing_to_move_is_an_empty_plan() {
        let from = night("2026-02-01");
        let plan = shift_plan(
            &times(),
            from,
            time("23:00"),
            night("2026-02-05"),
            Steps::default(),
        );
        assert!(plan.nights.is_empty());
        assert_eq!((plan.reached, plan.late_by, plan.shift_min), (from, 0, 0));
    }

    #[test]
    fn what_was_set_before_is_kept_for_putting_back() {
        let mut times = times();
        let once = OneOff {
            times: NightOverride {
                bedtime: Some(time("01:00")),
                wake: None,
            },
            timezone: Some("Asia/Kathmandu".to_owned()),
        };
        let date = "2026-02-03".parse().expect("date");
        times.on.insert(date, once.clone());
        let plan = shift_plan(
            &times,
            night("2026-02-01"),
            time("23:45"),
            night("2026-02-03"),
            Steps::default(),
        );
        assert_eq!(plan.nights.len(), 2);
        assert_eq!(plan.nights[1].before, Some(once.clone()));
        assert_eq!(plan.nights[1].once.timezone, once.timezone);
        assert_eq!(plan.nights[0].before, None);

        let journey = travel_nights(
            &times,
            date,
            "2026-02-05".parse().expect("date"),
            "Asia/Tokyo",
        );
        assert_eq!(journey.len(), 3);
        assert_eq!(journey[0].once.times, once.times);
        assert_eq!(journey[0].before, Some(once));
        assert!(
            journey
                .iter()
                .all(|night| night.once.timezone.as_deref() == Some("Asia/Tokyo"))
        );
        assert!(
            travel_nights(&times, date, night("2026-02-02").evening(), "Asia/Tokyo").is_empty()
        );
    }

    proptest! {
        #[test]
        fn every_step_goes_the_same_way_and_none_is_too_long(from in 0_u32..1440, to in 0_u32..1440) {
            let of = |minute: u32| NaiveTime::from_hms_opt(minute / 60, minute % 60, 0).expect("time");
            let steps = Steps::default();
            let mut at = of(from);
            let whole = shift_min(of(from), of(to));
            let moved = bedtimes(of(from), of(to), steps);
            for next in &moved {
                let step = shift_min(at, *next);
                prop_assert!(step != 0 && step.signum() == whole.signum());
                prop_assert!((-15..=30).contains(&step));
                at = *next;
            }
            prop_assert_eq!(at, of(to));
        }
    }
}
