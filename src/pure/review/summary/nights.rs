//! The nights of a span: length, shortfall, regularity and timing.

use std::collections::BTreeSet;

use chrono::{Datelike, Days, Timelike};

use super::{Records, Span};
use crate::pure::caution::{CANNOT_JUDGE, Level, Report, Sign, What};
use crate::pure::diary::{Morning, long_wake_nights, mention_sleep_help};
use crate::pure::night::{ADULT_MINIMUM_S, SleepNeed};
use crate::pure::review::regularity::{NightSleep, SHOWN_FROM_NIGHTS, lay_out, regularity};
use crate::pure::review::shortfall::{Shortfall, shortfall};
use crate::pure::review::timing::{AlarmAndFree, Spread, TimedSleep, alarm_and_free, spread};
use crate::pure::settings::day_key;

/// Nights of each kind that a difference between days with an alarm and free days rests on at least
/// (our own design choice: one weekend and as many other nights).
const LEAST_OF_EACH: usize = 2;

/// What was recorded about sleep.
#[derive(Clone, Debug, PartialEq)]
pub struct NightsSummary {
    /// Mornings that say anything.
    pub mornings: usize,
    /// Nights whose sleep is known.
    pub nights: usize,
    /// Mean seconds asleep.
    pub mean_asleep_s: Option<f64>,
    /// Nights with less than `need_s`.
    pub short_nights: usize,
    /// The least recommended for the age, or for adults where the year of birth is not set; seconds.
    pub need_s: i64,
    /// The ages `need_s` is for; `None` = adults in general.
    pub need_for: Option<SleepNeed>,
    /// Over the last seven known nights.
    pub shortfall: Option<Shortfall>,
    /// The regularity index; from seven nights on.
    pub regularity: Option<f64>,
    /// Where the middle of the sleep lies; from seven nights on.
    pub midpoints: Option<Spread>,
    /// Days with an alarm against free days; `None` until it is said which mornings have an alarm, and
    /// with too few of either.
    pub alarm_and_free: Option<AlarmAndFree>,
    /// Nights with a known middle.
    pub midpoint_nights: usize,
}

/// What is said about long times awake at night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SleepHelp {
    /// Weeks of the last four with at least three such nights.
    pub weeks: usize,
    /// The person said that the days suffer.
    pub days_suffer: bool,
    /// The words.
    pub text: String,
}

pub(super) fn summary(records: &Records<'_>, span: Span) -> NightsSummary {
    let mornings: Vec<&Morning> = records.mornings_of(span).collect();
    let need_for = records
        .plan
        .settings
        .born
        .and_then(|born| SleepNeed::in_year(born, span.to));
    let need_s = need_for.map_or(ADULT_MINIMUM_S, |need| need.least_s);
    let asleep: Vec<Option<i64>> = mornings
        .iter()
        .map(|morning| morning.times.measures().asleep_s)
        .collect();
    let known: Vec<i64> = asleep.iter().flatten().copied().collect();
    let middles = middles(records, &mornings);
    let seconds: Vec<f64> = middles.iter().map(|middle| middle.second).collect();
    let enough = middles.len() >= SHOWN_FROM_NIGHTS;
    NightsSummary {
        mornings: mornings.len(),
        nights: known.len(),
        mean_asleep_s: (!known.is_empty())
            .then(|| known.iter().sum::<i64>() as f64 / known.len() as f64),
        short_nights: known.iter().filter(|asleep| **asleep < need_s).count(),
        need_s,
        need_for,
        shortfall: shortfall(&asleep, need_s),
        regularity: index(records, &mornings),
        midpoints: if enough { spread(&seconds) } else { None },
        alarm_and_free: alarm_days_and_free(records, &middles),
        midpoint_nights: middles.len(),
    }
}

/// One night's sleep: on which morning it ended, its middle in seconds after midnight on its clock, and
/// its length.
struct Middle {
    morning: u8,
    second: f64,
    length_s: f64,
}

fn middles(records: &Records<'_>, mornings: &[&Morning]) -> Vec<Middle> {
    let middle = |morning: &&Morning| {
        let measures = morning.times.measures();
        let local = records.zone(&morning.zone).local(measures.midpoint?).time();
        Some(Middle {
            morning: day_key(morning.date().weekday()),
            second: f64::from(local.num_seconds_from_midnight())
                + f64::from(local.nanosecond()) / 1e9,
            length_s: measures.sleep_period_s? as f64,
        })
    };
    mornings.iter().filter_map(middle).collect()
}

fn index(records: &Records<'_>, mornings: &[&Morning]) -> Option<f64> {
    let nights: Vec<NightSleep<'_>> = mornings
        .iter()
        .filter_map(|morning| {
            let onset = morning.times.measures().onset?;
            Some(NightSleep {
                night: morning.night,
                zone: records.zone(&morning.zone),
                asleep: vec![onset..morning.times.woke?],
            })
        })
        .collect();
    if nights.len() < SHOWN_FROM_NIGHTS {
        return None;
    }
    regularity(&lay_out(&nights)).map(|found| found.index)
}

fn alarm_days_and_free(records: &Records<'_>, middles: &[Middle]) -> Option<AlarmAndFree> {
    let alarm_days: &BTreeSet<u8> = records.plan.settings.nights.alarm_days.as_ref()?;
    let sleeps: Vec<TimedSleep> = middles
        .iter()
        .map(|middle| TimedSleep {
            midpoint_s: middle.second,
            length_s: middle.length_s,
            alarm_day: alarm_days.contains(&middle.morning),
        })
        .collect();
    let count = u32::try_from(alarm_days.len()).unwrap_or(7);
    alarm_and_free(&sleeps, count)
        .filter(|found| found.alarm_nights >= LEAST_OF_EACH && found.free_nights >= LEAST_OF_EACH)
}

/// What is to be said about long times awake: professional help where three of the last four weeks had
/// at least three such nights and the person said that the days suffer; where they did not say, how to
/// say it. Nothing otherwise.
pub(super) fn help(records: &Records<'_>, span: Span) -> Option<SleepHelp> {
    let weeks: [usize; 4] = std::array::from_fn(|ago| {
        let last = span.to - Days::new(7 * ago as u64);
        let nights: Vec<Option<u32>> = records
            .mornings_of(Span::weeks_until(last, 1))
            .map(|morning| morning.times.long_wake_min())
            .collect();
        long_wake_nights(&nights)
    });
    let qualifying = weeks.iter().filter(|nights| **nights >= 3).count();
    let days_suffer = records
        .recorded
        .reports
        .iter()
        .any(|reported| reported.open_on(span.to) && says_days_suffer(&reported.report));
    let counted = format!(
        "In {qualifying} of the last 4 weeks you recorded three or more nights with 31 minutes or more awake."
    );
    if mention_sleep_help(weeks, days_suffer) {
        return Some(SleepHelp {
            weeks: qualifying,
            days_suffer,
            text: format!(
                "{counted} You also said that the days suffer. {} Behavioural therapy for sleep is usually tried first. {CANNOT_JUDGE}",
                Level::ClinicianSoon.deed(None, None)
            ),
        });
    }
    mention_sleep_help(weeks, true).then(|| SleepHelp {
        weeks: qualifying,
        days_suffer,
        text: format!(
            "{counted} If your days suffer from it, evenfall pain --sign {} records that.",
            Sign::Insomnia.id()
        ),
    })
}

fn says_days_suffer(report: &Report) -> bool {
    matches!(
        report.what,
        What::Sign {
            sign: Sign::Insomnia | Sign::Unrefreshed | Sign::SleepyDriving,
            ..
        }
    )
}
