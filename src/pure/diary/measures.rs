//! What follows from the times of a night.

use chrono::Duration;

use super::quality::LONG_WAKE_MIN;
use crate::pure::civil::Instant;

/// The times of a night as instants. What was not said is `None`, never zero.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Times {
    /// Into bed.
    pub into_bed: Option<Instant>,
    /// Began trying to sleep.
    pub lights_out: Option<Instant>,
    /// Minutes from there to falling asleep.
    pub asleep_after_min: Option<u32>,
    /// How often awake in between.
    pub wakings: Option<u32>,
    /// Minutes awake in between, all together.
    pub awake_for_min: Option<u32>,
    /// Final waking.
    pub woke: Option<Instant>,
    /// Out of bed.
    pub up: Option<Instant>,
    /// Minutes of trying to sleep after the final waking; not said counts as none, because the short
    /// form does not ask.
    pub tried_after_min: Option<u32>,
    /// Minutes asleep, said instead of the times.
    pub sleep_min: Option<u32>,
}

/// Lengths of a night in seconds of elapsed time, and shares in percent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measures {
    /// Time in bed: into bed to up.
    pub in_bed_s: Option<i64>,
    /// Sleep period: falling asleep to the final waking.
    pub sleep_period_s: Option<i64>,
    /// Total sleep time: the sleep period without the time awake in between.
    pub asleep_s: Option<i64>,
    /// The sleep attempt: minutes to fall asleep, asleep, awake in between, trying afterwards. Time in
    /// bed spent reading or time up at night does not count against it (Reed DL & Sacco WP 2016, J Clin
    /// Sleep Med 12(2):263-266).
    pub attempt_s: Option<i64>,
    /// Final waking to up.
    pub after_waking_s: Option<i64>,
    /// Share of the sleep attempt spent asleep, percent 0 to 100. This is the one to show.
    pub efficiency_attempt: Option<f64>,
    /// Share of the time in bed spent asleep, percent 0 to 100.
    pub efficiency_bed: Option<f64>,
    /// The moment of falling asleep.
    pub onset: Option<Instant>,
    /// Halfway between falling asleep and the final waking.
    pub midpoint: Option<Instant>,
    /// The most that can have been slept: what `asleep_s` says, else the time between lights out (or
    /// into bed) and waking (or up) less what is known to have been awake.
    pub asleep_at_most_s: Option<i64>,
}

/// `100 x asleep / of`, or nothing where there is no time to divide by.
pub fn efficiency_percent(asleep_s: i64, of_s: i64) -> Option<f64> {
    // Seconds of one night are far below 2^52, so the conversion is exact.
    (of_s > 0).then(|| 100.0 * asleep_s as f64 / of_s as f64)
}

impl Times {
    /// Whether nothing at all was said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Every length and share that follows from what was said.
    ///
    /// Berlin put its clocks forward in the night below, so eight hours and ten minutes on the wall are
    /// seven hours and ten minutes in bed:
    ///
    /// ```
    /// use evenfall::pure::civil::{Night, Zone};
    /// use evenfall::pure::diary::DiaryEntry;
    ///
    /// let entry = DiaryEntry {
    ///     into_bed: "23:00".parse().ok(),
    ///     lights_out: "23:00".parse().ok(),
    ///     asleep_after_min: Some(15),
    ///     awake_for_min: Some(10),
    ///     woke: "07:00".parse().ok(),
    ///     up: "07:10".parse().ok(),
    ///     ..DiaryEntry::default()
    /// };
    /// let night = Night(chrono::NaiveDate::from_ymd_opt(2026, 3, 28).unwrap());
    /// let zone = Zone::embedded("Europe/Berlin").unwrap();
    /// let measures = entry.resolve(night, &zone).unwrap().times.measures();
    /// assert_eq!(measures.in_bed_s, Some(430 * 60));
    /// assert_eq!(measures.asleep_s, Some(395 * 60));
    /// ```
    pub fn measures(&self) -> Measures {
        let onset = self
            .lights_out
            .zip(self.asleep_after_min)
            .map(|(at, after)| at + Duration::minutes(i64::from(after)));
        let period = span(onset, self.woke);
        let awake_s = self.awake_s();
        let from_times = period.zip(awake_s).map(|(period, awake)| period - awake);
        let asleep = from_times.or(self.sleep_min.map(|minutes| i64::from(minutes) * 60));
        let in_bed = span(self.into_bed, self.up);
        let attempt =
            span(self.lights_out, self.woke).map(|trying| trying + seconds(self.tried_after_min));
        Measures {
            in_bed_s: in_bed,
            sleep_period_s: period,
            asleep_s: asleep,
            attempt_s: attempt,
            after_waking_s: span(self.woke, self.up),
            efficiency_attempt: asleep
                .zip(attempt)
                .and_then(|(asleep, of)| efficiency_percent(asleep, of)),
            efficiency_bed: asleep
                .zip(in_bed)
                .and_then(|(asleep, of)| efficiency_percent(asleep, of)),
            onset,
            midpoint: onset
                .zip(period)
                .map(|(onset, period)| onset + Duration::milliseconds(period * 500)),
            asleep_at_most_s: asleep.or_else(|| self.room_for_sleep()),
        }
    }

    /// The longer of the minutes to fall asleep and the minutes awake in between, for counting nights with
    /// a long time awake. One of them alone is enough only if it is long.
    pub fn long_wake_min(&self) -> Option<u32> {
        let awake = self
            .awake_for_min
            .or((self.wakings == Some(0)).then_some(0));
        match (self.asleep_after_min, awake) {
            (Some(to_sleep), Some(awake)) => Some(to_sleep.max(awake)),
            (Some(only), None) | (None, Some(only)) => (only >= LONG_WAKE_MIN).then_some(only),
            (None, None) => None,
        }
    }

    /// The same without the minutes asleep that were said.
    pub(super) fn without_sleep_min(&self) -> Self {
        Self {
            sleep_min: None,
            ..self.clone()
        }
    }

    /// Drops minutes asleep that only repeat what the times say.
    pub(super) fn without_echo(self) -> Self {
        if self.without_sleep_min().measures().asleep_s.is_some() {
            self.without_sleep_min()
        } else {
            self
        }
    }

    /// Seconds awake in between: none where nobody said minutes but said there was no waking.
    fn awake_s(&self) -> Option<i64> {
        match (self.awake_for_min, self.wakings) {
            (Some(minutes), _) => Some(i64::from(minutes) * 60),
            (None, Some(0)) => Some(0),
            (None, _) => None,
        }
    }

    fn room_for_sleep(&self) -> Option<i64> {
        let from = self.lights_out.or(self.into_bed);
        let room = span(from, self.woke.or(self.up))?;
        Some(room - seconds(self.asleep_after_min) - seconds(self.awake_for_min))
    }
}

fn span(from: Option<Instant>, to: Option<Instant>) -> Option<i64> {
    from.zip(to).map(|(from, to)| (to - from).num_seconds())
}

fn seconds(minutes: Option<u32>) -> i64 {
    i64::from(minutes.unwrap_or(0)) * 60
}
