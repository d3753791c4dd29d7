//! When sleep lies: the spread of its midpoints, and how far free days lie from days with an alarm.
//!
//! Times of day are points on a circle: 23:50 and 00:10 are 20 minutes apart, their mean is midnight.

use std::f64::consts::TAU;

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

/// Spread of times of day around their mean direction (Fischer D et al. 2021 compare such measures; the
/// statistics are those of directional data, Mardia KV & Jupp PE 2000, from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// How many times of day.
    pub count: usize,
    /// Mean direction, seconds after midnight, 0 to 86,400.
    pub mean_s: f64,
    /// Sample standard deviation of the differences from the mean direction, each within half a day;
    /// seconds. `None` for a single time.
    pub sd_s: Option<f64>,
    /// Circular standard deviation `sqrt(-2 ln R)`, seconds.
    pub circular_sd_s: f64,
    /// Length R of the mean of the unit vectors, 0 to 1.
    pub resultant_length: f64,
}

/// The spread of times of day, given in seconds after midnight. `None` for none at all, and where they
/// lie so evenly around the clock that they have no mean direction.
pub fn spread(seconds_of_day: &[f64]) -> Option<Spread> {
    let count = seconds_of_day.len();
    let (mut sin, mut cos) = (0.0, 0.0);
    for second in seconds_of_day {
        let angle = second / DAY_S * TAU;
        sin += angle.sin();
        cos += angle.cos();
    }
    // Never over 1 but by rounding, which would make the logarithm positive.
    let length = (sin.hypot(cos) / count as f64).min(1.0);
    if count == 0 || length < 1e-9 {
        return None;
    }
    let mean_s = (sin.atan2(cos) / TAU * DAY_S).rem_euclid(DAY_S);
    let squares: f64 = seconds_of_day
        .iter()
        .map(|second| wrap_s(second - mean_s).powi(2))
        .sum();
    Some(Spread {
        count,
        mean_s,
        sd_s: (count > 1).then(|| (squares / (count as f64 - 1.0)).sqrt()),
        circular_sd_s: (-2.0 * length.ln()).max(0.0).sqrt() / TAU * DAY_S,
        resultant_length: length,
    })
}

/// A difference of times of day, in seconds, brought to within half a day: over -43,200 to 43,200.
pub fn wrap_s(difference_s: f64) -> f64 {
    let turned = difference_s.rem_euclid(DAY_S);
    if turned > DAY_S / 2.0 {
        turned - DAY_S
    } else {
        turned
    }
}

/// The midpoint of sleep, seconds after midnight, from its onset (seconds after midnight) and length.
pub fn midpoint_s(onset_s: f64, length_s: f64) -> f64 {
    (onset_s + length_s / 2.0).rem_euclid(DAY_S)
}

/// Social jetlag in seconds: midpoint of sleep on free days less that on days with an alarm, wrapped to
/// within half a day; positive if free days lie later (Roenneberg T et al. 2012, Current Biology
/// 22:939-943; Roenneberg T et al. 2019, Biology 8:54).
pub fn social_jetlag_s(midpoint_alarm_s: f64, midpoint_free_s: f64) -> f64 {
    wrap_s(midpoint_free_s - midpoint_alarm_s)
}

/// Mean length of sleep over a week, from that on days with an alarm and on free days; same unit as given.
pub fn weekly_mean(alarm_length: f64, free_length: f64, alarm_days: u32) -> f64 {
    let alarm_days = f64::from(alarm_days.min(7));
    (alarm_length * alarm_days + free_length * (7.0 - alarm_days)) / 7.0
}

/// The midpoint on free days corrected for sleep made up on them, seconds after midnight: lengths in
/// seconds. `None` with an alarm on free days (Roenneberg T et al. 2019, Biology 8:54).
pub fn corrected_midpoint_s(
    midpoint_free_s: f64,
    alarm_length_s: f64,
    free_length_s: f64,
    weekly_length_s: f64,
    alarm_on_free_days: bool,
) -> Option<f64> {
    if alarm_on_free_days {
        return None;
    }
    let made_up = if free_length_s <= alarm_length_s {
        0.0
    } else {
        (free_length_s - weekly_length_s) / 2.0
    };
    Some((midpoint_free_s - made_up).rem_euclid(DAY_S))
}

/// One recorded sleep, for the comparison of days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimedSleep {
    /// Midpoint, seconds after local midnight.
    pub midpoint_s: f64,
    /// From falling asleep to waking, seconds.
    pub length_s: f64,
    /// An alarm sets the wake time on the day it ends; asked of the person, not guessed from training.
    pub alarm_day: bool,
}

/// Days with an alarm against free days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlarmAndFree {
    /// Nights before days with an alarm.
    pub alarm_nights: usize,
    /// Nights before free days.
    pub free_nights: usize,
    /// Mean midpoint before days with an alarm, seconds after midnight.
    pub midpoint_alarm_s: f64,
    /// Mean midpoint before free days, seconds after midnight.
    pub midpoint_free_s: f64,
    /// Social jetlag, seconds; positive if free days lie later.
    pub social_jetlag_s: f64,
    /// Corrected midpoint on free days, seconds after midnight.
    pub corrected_midpoint_s: Option<f64>,
}

/// Compares recorded sleep on days with an alarm and on free days, with so many alarm days a week.
/// `None` unless there are nights of both kinds.
pub fn alarm_and_free(sleeps: &[TimedSleep], alarm_days: u32) -> Option<AlarmAndFree> {
    let of_kind = |alarm: bool| sleeps.iter().filter(move |sleep| sleep.alarm_day == alarm);
    let middle = |alarm: bool| {
        let midpoints: Vec<f64> = of_kind(alarm).map(|sleep| sleep.midpoint_s).collect();
        spread(&midpoints)
    };
    let length = |alarm: bool, count: usize| {
        of_kind(alarm).map(|sleep| sleep.length_s).sum::<f64>() / count as f64
    };
    let (alarm, free) = (middle(true)?, middle(false)?);
    let (alarm_length, free_length) = (length(true, alarm.count), length(false, free.count));
    Some(AlarmAndFree {
        alarm_nights: alarm.count,
        free_nights: free.count,
        midpoint_alarm_s: alarm.mean_s,
        midpoint_free_s: free.mean_s,
        social_jetlag_s: social_jetlag_s(alarm.mean_s, free.mean_s),
        corrected_midpoint_s: corrected_midpoint_s(
            free.mean_s,
            alarm_length,
            free_length,
            weekly_mean(alarm_length, free_length, alarm_days),
            false,
        ),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn times_around_midnight_lie_close() {
        let found = spread(&[86_400.0 - 600.0, 600.0]).expect("direction");
        assert!(wrap_s(found.mean_s).abs() < 1e-6);
        assert!((found.sd_s.expect("two") - 600.0 * 2_f64.sqrt()).abs() < 1e-6);
    }

    #[test]
    fn no_direction_no_spread() {
        assert_eq!(spread(&[]), None);
        assert_eq!(spread(&[0.0, 43_200.0]), None);
        assert_eq!(spread(&[3600.0]).expect("one").sd_s, None);
        let same = spread(&[10_800.0; 5]).expect("direction");
        assert!(same.sd_s.expect("five") < 1e-6 && same.circular_sd_s < 1e-2);
    }

    #[test]
    fn half_a_day_is_kept_positive() {
        assert_eq!(wrap_s(43_200.0), 43_200.0);
        assert_eq!(wrap_s(-43_200.0), 43_200.0);
        assert_eq!(wrap_s(86_400.0), 0.0);
    }

    #[test]
    fn both_kinds_of_days_are_needed() {
        let sleep = |midpoint_s: f64, length_s: f64, alarm_day| TimedSleep {
            midpoint_s,
            length_s,
            alarm_day,
        };
        let work = sleep(2.75 * 3600.0, 6.5 * 3600.0, true);
        let free = sleep(4.75 * 3600.0, 8.5 * 3600.0, false);
        assert_eq!(alarm_and_free(&[work, work], 5), None);
        assert_eq!(alarm_and_free(&[], 5), None);
        let found = alarm_and_free(&[work, work, free], 5).expect("both kinds");
        assert_eq!((found.alarm_nights, found.free_nights), (2, 1));
        assert!((found.social_jetlag_s - 7200.0).abs() < 1e-6);
        // 04:45 less half of (8.5 h less the weekly 7.0714 h)
        let corrected = found.corrected_midpoint_s.expect("no alarm on free days");
        assert!((corrected - (4.75 - (8.5 - 49.5 / 7.0) / 2.0) * 3600.0).abs() < 1e-6);
    }

    proptest! {
        /// Turning the clock turns the mean with it and leaves the spread alone.
        #[test]
        fn the_spread_does_not_depend_on_where_the_day_begins(
            times in prop::collection::vec(70_000.0..110_000.0_f64, 2..20),
            turn in 0.0..86_400.0_f64)
        {
            let turned: Vec<f64> = times.iter().map(|time| (time + turn) % DAY_S).collect();
            let (one, other) = (spread(&times).expect("direction"), spread(&turned).expect("direction"));
            prop_assert!(wrap_s(one.mean_s + turn - other.mean_s).abs() < 1e-4);
            prop_assert!((one.sd_s.expect("sd") - other.sd_s.expect("sd")).abs() < 1e-4);
            prop_assert!((one.circular_sd_s - other.circular_sd_s).abs() < 1e-3);
        }
    }
}
