//! The load of calendar days, and what is said about a day and the weeks before it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use super::done::TrainingDone;
use super::week::{Change, change_from_usual, total, week};

/// The load of every day.
///
/// A day with sessions has their sum. A day without is 0 after the first record, unless it is marked as
/// unknown: a training day on which nothing was recorded may be a missed session or a missed entry.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayLoads {
    known: BTreeMap<NaiveDate, f64>,
    unknown: BTreeSet<NaiveDate>,
    first: Option<NaiveDate>,
}

/// What is said about one day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayNumbers {
    /// Load of the day, AU; `None` = unknown.
    pub day: Option<f64>,
    /// Sum of the known days of the last seven, this day included, AU.
    pub week: f64,
    /// How many of the seven are known.
    pub known_days: usize,
    /// Sum of the last 7 days divided by 7, AU. Days before the first record count as 0; `None` while a
    /// day is unknown.
    pub mean_7: Option<f64>,
    /// The same for 28 days.
    pub mean_28: Option<f64>,
    /// Monotony of the last seven days; here days before the first record are unknown, because they would
    /// make up a pattern that nobody trained.
    pub monotony: Option<f64>,
    /// Strain of the last seven days, AU.
    pub strain: Option<f64>,
    /// The last seven days against up to four times seven days before them.
    pub change: Option<Change>,
}

impl DayLoads {
    /// From sessions in any order. A day with a session whose rating or minutes are missing is unknown.
    pub fn new<'t>(done: impl IntoIterator<Item = &'t TrainingDone>) -> Self {
        let mut loads = Self::default();
        for training in done {
            loads.add(training.date, training.load());
        }
        loads
    }

    /// Adds a session's load, `None` = not known yet; 0 for a day confirmed as rest.
    pub fn add(&mut self, date: NaiveDate, load: Option<f64>) {
        match load {
            Some(load) => *self.known.entry(date).or_insert(0.0) += load,
            None => {
                self.unknown.insert(date);
            }
        }
        self.first = Some(self.first.map_or(date, |first| first.min(date)));
    }

    /// Says that nothing is known about a day: training was planned and neither done nor declined was
    /// recorded. A day with recorded sessions stays known.
    pub fn mark_unknown(&mut self, date: NaiveDate) {
        if !self.known.contains_key(&date) {
            self.unknown.insert(date);
        }
    }

    /// The day of the first record.
    pub fn first(&self) -> Option<NaiveDate> {
        self.first
    }

    /// The load of a day, days before the first record counted as 0; `None` = unknown.
    pub fn day(&self, date: NaiveDate) -> Option<f64> {
        (!self.unknown.contains(&date)).then(|| self.known.get(&date).copied().unwrap_or(0.0))
    }

    /// The load of a day, days before the first record unknown.
    fn day_since_first(&self, date: NaiveDate) -> Option<f64> {
        self.day(date)
            .filter(|_| self.first.is_some_and(|first| first <= date))
    }

    /// The sum of `count` days up to `date`, divided by `count`.
    fn mean(&self, date: NaiveDate, count: u64) -> Option<f64> {
        let days: Option<Vec<f64>> = back(date, count).map(|date| self.day(date)).collect();
        days.map(|days| days.iter().sum::<f64>() / count as f64)
    }

    /// What is said about a day. The day itself may not be over: then it is the sum so far.
    pub fn numbers(&self, date: NaiveDate) -> DayNumbers {
        let last: [Option<f64>; 7] =
            std::array::from_fn(|ago| self.day(date - Days::new(ago as u64)));
        let since_first: [Option<f64>; 7] =
            std::array::from_fn(|ago| self.day_since_first(date - Days::new(ago as u64)));
        let known = week(&since_first);
        let weeks: Vec<Option<f64>> = (0..5_u64)
            .rev()
            .map(|ago| self.full_week(date - Days::new(7 * ago)))
            .collect();
        DayNumbers {
            day: self.day(date),
            week: total(last.iter().flatten().copied()),
            known_days: known.known_days,
            mean_7: self.mean(date, 7),
            mean_28: self.mean(date, 28),
            monotony: known.monotony,
            strain: known.strain,
            change: change_from_usual(&weeks),
        }
    }

    fn full_week(&self, last_day: NaiveDate) -> Option<f64> {
        back(last_day, 7)
            .map(|date| self.day_since_first(date))
            .sum()
    }
}

/// `count` days ending with `date`, oldest first, so that sums do not depend on where they start.
fn back(date: NaiveDate, count: u64) -> impl Iterator<Item = NaiveDate> {
    (0..count).rev().map(move |ago| date - Days::new(ago))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(number: u64) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, 5).expect("date") + Days::new(number)
    }

    fn five_plus_two(weeks: u64) -> DayLoads {
        let mut loads = DayLoads::default();
        for number in (0..weeks * 7).filter(|number| number % 7 < 5) {
            loads.add(date(number), Some(100.0));
            loads.add(date(number), Some(100.0));
        }
        loads
    }

    #[test]
    fn two_sessions_of_a_day_add_up_and_rest_is_zero() {
        let numbers = five_plus_two(1).numbers(date(6));
        assert_eq!(numbers.day, Some(0.0));
        assert_eq!(numbers.week, 1000.0);
        assert_eq!(numbers.mean_28, Some(1000.0 / 28.0));
        // Foster C 1998 with the population's standard deviation: sqrt(5/2).
        assert!((numbers.monotony.expect("seven days") - 2.5_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn missing_is_not_zero() {
        let mut loads = five_plus_two(1);
        loads.mark_unknown(date(0));
        assert_eq!(loads.day(date(0)), Some(200.0), "recorded sessions stay");
        loads.mark_unknown(date(5));
        let numbers = loads.numbers(date(6));
        assert_eq!((numbers.week, numbers.known_days), (1000.0, 6));
        assert_eq!(
            (numbers.mean_7, numbers.monotony, numbers.strain),
            (None, None, None)
        );
        let mut unrated = five_plus_two(1);
        unrated.add(date(5), None);
        assert_eq!(unrated.day(date(5)), None);
    }

    #[test]
    fn a_first_week_has_a_sum_and_no_pattern() {
        let numbers = five_plus_two(1).numbers(date(3));
        assert_eq!(numbers.week, 800.0);
        assert_eq!(numbers.mean_7, Some(800.0 / 7.0));
        assert_eq!(numbers.monotony, None);
        assert_eq!(numbers.change, None);
    }

    #[test]
    fn a_steady_plan_shows_no_change() {
        let loads = five_plus_two(6);
        for day in 27..42 {
            let change = loads.numbers(date(day)).change.expect("four weeks");
            assert!(change.fraction.abs() < 1e-12, "{day}: {change:?}");
        }
        assert_eq!(loads.numbers(date(26)).change, None);
    }

    #[test]
    fn nothing_recorded_is_no_numbers() {
        let numbers = DayLoads::default().numbers(date(0));
        assert_eq!(
            (numbers.known_days, numbers.monotony, numbers.change),
            (0, None, None)
        );
    }
}
