//! Recommended hours of sleep by age.

use chrono::{Datelike, NaiveDate};

/// The least sleep an adult should regularly get, in seconds: 7 hours (Watson NF et al. 2015, joint
/// consensus statement of the American Academy of Sleep Medicine and the Sleep Research Society,
/// Sleep 38:843-844).
pub const ADULT_MINIMUM_S: i64 = 7 * 3600;

/// Recommended sleep in 24 hours for an age, in seconds.
///
/// Hirshkowitz M et al. 2015, Sleep Health 1:40-43 and 1:233-243. The range that "may be appropriate"
/// is from memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SleepNeed {
    /// Youngest age of the group, years.
    pub from_age: i32,
    /// Oldest age of the group, years; `None` = open.
    pub to_age: Option<i32>,
    /// Least recommended.
    pub least_s: i64,
    /// Most recommended.
    pub most_s: i64,
    /// Least that may be appropriate for some.
    pub may_least_s: i64,
    /// Most that may be appropriate for some.
    pub may_most_s: i64,
}

/// First age, last age, recommended from and to, may be appropriate from and to; hours.
const TABLE: [(i32, Option<i32>, i64, i64, i64, i64); 5] = [
    (6, Some(13), 9, 11, 7, 12),
    (14, Some(17), 8, 10, 7, 11),
    (18, Some(25), 7, 9, 6, 11),
    (26, Some(64), 7, 9, 6, 10),
    (65, None, 7, 8, 5, 9),
];

impl SleepNeed {
    /// The recommendation for an age in whole years; none below 6 (no such person plans this way) or
    /// beyond 130.
    pub fn for_age(age: i32) -> Option<Self> {
        if age > 130 {
            return None;
        }
        TABLE
            .iter()
            .find(|row| age >= row.0 && row.1.is_none_or(|last| age <= last))
            .map(
                |&(from_age, to_age, least, most, may_least, may_most)| Self {
                    from_age,
                    to_age,
                    least_s: least * 3600,
                    most_s: most * 3600,
                    may_least_s: may_least * 3600,
                    may_most_s: may_most * 3600,
                },
            )
    }

    /// The recommendation for someone born in a year, at a date. Only the year is known, so the age is
    /// the one reached in the course of the date's year.
    pub fn in_year(born: i32, date: NaiveDate) -> Option<Self> {
        Self::for_age(date.year() - born)
    }

    /// The ages in words: `ages 26 to 64`, `ages 65 and over`.
    pub fn ages(&self) -> String {
        match self.to_age {
            Some(last) => format!("ages {} to {last}", self.from_age),
            None => format!("ages {} and over", self.from_age),
        }
    }

    /// Whether the group is one of adults.
    pub fn is_adult(&self) -> bool {
        self.from_age >= 18
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_groups_join_without_gap() {
        let mut last: Option<SleepNeed> = None;
        for age in 6..=130 {
            let need = SleepNeed::for_age(age).expect("every age from 6 on");
            assert!(need.from_age <= age && need.to_age.is_none_or(|to| age <= to));
            assert!(need.may_least_s <= need.least_s && need.least_s < need.most_s);
            assert!(need.most_s <= need.may_most_s);
            if let Some(before) = last.filter(|before| *before != need) {
                assert_eq!(before.to_age, Some(age - 1));
            }
            last = Some(need);
        }
        assert_eq!(SleepNeed::for_age(5), None);
        assert_eq!(SleepNeed::for_age(131), None);
    }

    // Hirshkowitz M et al. 2015, Sleep Health 1:40-43, the recommended range.
    #[test]
    fn published_ranges() {
        let hours = |age| {
            let need = SleepNeed::for_age(age).expect("known age");
            (need.least_s / 3600, need.most_s / 3600)
        };
        assert_eq!(hours(13), (9, 11));
        assert_eq!(hours(14), (8, 10));
        assert_eq!(hours(18), (7, 9));
        assert_eq!(hours(25), (7, 9));
        assert_eq!(hours(64), (7, 9));
        assert_eq!(hours(65), (7, 8));
    }

    #[test]
    fn the_age_is_the_one_reached_in_the_year() {
        let date = NaiveDate::from_ymd_opt(2026, 1, 1).expect("date");
        assert_eq!(SleepNeed::in_year(2008, date), SleepNeed::for_age(18));
        assert_eq!(SleepNeed::in_year(2030, date), None);
    }
}
