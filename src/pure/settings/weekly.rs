//! Cron fields that say no more than a time of day and days of the week, as a form can show them.

use std::collections::BTreeSet;

use chrono::NaiveTime;

use super::{CronFields, time_text};
use crate::pure::phrase::{capitalised, listed};
use crate::pure::weekday;

/// A time of day on some days of the week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weekly {
    /// When.
    pub time: NaiveTime,
    /// On which days, counted from Monday.
    pub days: BTreeSet<u8>,
}

const LONG: [&str; 7] = [
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
];

impl Weekly {
    /// What the fields say, if they say no more than this.
    pub fn of(fields: &CronFields) -> Option<Self> {
        let words: Vec<&str> = fields.text.split_whitespace().collect();
        let [second, minute, hour, "*", "*", days] = words[..] else {
            return None;
        };
        let number = |word: &str| word.parse::<u32>().ok();
        let time = NaiveTime::from_hms_opt(number(hour)?, number(minute)?, 0)?;
        if number(second)? != 0 {
            return None;
        }
        let days = match days {
            "*" | "?" => (0..7).collect(),
            list => {
                let each = list.split(',').map(span).collect::<Option<Vec<_>>>()?;
                each.into_iter().flatten().collect()
            }
        };
        Some(Self { time, days })
    }

    /// As cron fields.
    pub fn fields(&self) -> String {
        use chrono::Timelike;
        let days = match self.run() {
            Some((0, 6)) => "*".to_owned(),
            // The week of cron fields begins on Sunday, and ranges do not wrap.
            Some((first, last)) if last < 6 => format!("{}-{}", short(first), short(last)),
            _ => {
                let names: Vec<String> = self.days.iter().map(|day| short(*day)).collect();
                names.join(",")
            }
        };
        format!("0 {} {} * * {days}", self.time.minute(), self.time.hour())
    }

    /// In words: `13:30, Monday to Friday`.
    pub fn words(&self) -> String {
        let name = |day: u8| LONG.get(usize::from(day)).copied().unwrap_or_default();
        let days = match self.run() {
            Some((0, 6)) => "every day".to_owned(),
            Some((first, last)) => format!("{} to {}", name(first), name(last)),
            None => listed(&self.days.iter().map(|day| name(*day)).collect::<Vec<_>>()),
        };
        format!("{}, {days}", time_text(self.time))
    }

    /// First and last of three days or more that follow one another.
    fn run(&self) -> Option<(u8, u8)> {
        let (first, last) = (*self.days.first()?, *self.days.last()?);
        let length = usize::from(last - first) + 1;
        (length >= 3 && length == self.days.len()).then_some((first, last))
    }
}

fn short(day: u8) -> String {
    let key = weekday::KEYS.get(usize::from(day)).copied();
    capitalised(key.unwrap_or_default())
}

/// The days of `Mon` or `Mon-Fri`.
fn span(word: &str) -> Option<std::ops::RangeInclusive<u8>> {
    let day = |name: &str| weekday::from_key(&name.to_ascii_lowercase());
    match word.split_once('-') {
        Some((first, last)) => Some(day(first)?..=day(last)?).filter(|days| !days.is_empty()),
        None => day(word).map(|day| day..=day),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::pure::schedule;

    fn of(text: &str) -> Option<Weekly> {
        Weekly::of(&schedule::parse(text).expect("cron fields"))
    }

    #[test]
    fn times_and_days_are_read_and_said() {
        for (fields, words) in [
            ("0 30 13 * * Mon-Fri", "13:30, Monday to Friday"),
            ("0 0 18 * * Sun", "18:00, Sunday"),
            ("0 5 7 * * *", "07:05, every day"),
            ("0 0 9 * * Tue,Thu", "09:00, Tuesday and Thursday"),
            (
                "0 0 9 * * Mon,Wed-Fri",
                "09:00, Monday, Wednesday, Thursday and Friday",
            ),
        ] {
            assert_eq!(of(fields).expect(fields).words(), words);
        }
    }

    #[test]
    fn what_says_more_stays_with_the_file() {
        for fields in [
            "30 0 18 * * Sun",
            "0 0/15 9 * * Mon",
            "0 0 18 1 * *",
            "0 0 18 * Jan Mon",
            "0 0 8,20 * * *",
            "@daily",
        ] {
            assert_eq!(of(fields), None, "{fields}");
        }
    }

    proptest! {
        #[test]
        fn fields_come_back(
            minutes in 0_u32..1440,
            days in proptest::collection::btree_set(0_u8..7, 1..=7),
        ) {
            let time = NaiveTime::from_hms_opt(minutes / 60, minutes % 60, 0).unwrap();
            let weekly = Weekly { time, days };
            prop_assert_eq!(of(&weekly.fields()), Some(weekly.clone()), "{}", weekly.fields());
        }
    }
}
