//! Soreness after training: what fits the usual picture, and when it has stayed too long.

use chrono::NaiveDate;

use crate::pure::diary::Morning;
use crate::pure::region::Region;

/// Unrecorded mornings in a row that do not end a time of soreness (our own design choice).
const GAP_DAYS: i64 = 3;

/// How a soreness came and went, to compare with the usual delayed one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SorenessPicture {
    /// Hours from the training to its start.
    pub onset_h: f64,
    /// Hours from the training to its peak.
    pub peak_h: f64,
    /// Days so far.
    pub days: u32,
    /// In the middle of a muscle, not at a joint or in one point.
    pub in_muscle_belly: bool,
    /// It hurts at rest too.
    pub at_rest: bool,
}

impl SorenessPicture {
    /// Whether it fits usual delayed soreness: starts within the first day or so, peaks around two days,
    /// gone within a week, in the muscle, felt on moving or pressing rather than at rest (Cheung K et al.
    /// 2003, Sports Med 33:145-164; the tolerant limits are our own design choice). Both sides are usual
    /// but not needed.
    pub fn fits(&self) -> bool {
        (6.0..=36.0).contains(&self.onset_h)
            && (18.0..=84.0).contains(&self.peak_h)
            && self.days <= 7
            && self.in_muscle_belly
            && !self.at_rest
    }
}

/// A region that has been sore on every recorded morning for more than seven days.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LongSoreness {
    /// The region.
    pub region: Region,
    /// The first morning of it.
    pub since: NaiveDate,
    /// Days from that morning to the last one with it, both included.
    pub days: i64,
}

/// Regions sore for more than seven days up to today, from the mornings' own answers, in any order. A
/// morning that names other regions, or none while it rates soreness, ends it; so do more than three
/// mornings in a row without a record.
pub fn long_soreness(mornings: &[Morning], today: NaiveDate) -> Vec<LongSoreness> {
    let mut recorded: Vec<&Morning> = mornings
        .iter()
        .filter(|morning| morning.date() <= today && says_where(morning))
        .collect();
    recorded.sort_by_key(|morning| std::cmp::Reverse(morning.date()));
    let Some(newest) = recorded.first() else {
        return Vec::new();
    };
    let of = |region: &Region| {
        let mut since = today;
        for morning in &recorded {
            let missing = (since - morning.date()).num_days() - 1;
            if missing > GAP_DAYS || !morning.sore_in.contains_key(region) {
                break;
            }
            since = morning.date();
        }
        LongSoreness {
            region: *region,
            since,
            days: (newest.date() - since).num_days() + 1,
        }
    };
    newest
        .sore_in
        .keys()
        .map(of)
        .filter(|found| found.days > 7)
        .collect()
}

/// Whether a morning says where it is sore, "nowhere" included.
fn says_where(morning: &Morning) -> bool {
    !morning.sore_in.is_empty() || morning.ratings.soreness.is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::civil::Night;
    use crate::pure::diary::Ratings;

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("date")
    }

    fn sore(days: impl IntoIterator<Item = u32>, regions: &[Region]) -> Vec<Morning> {
        days.into_iter()
            .map(|day| Morning {
                ratings: Ratings::AS_USUAL,
                sore_in: regions.iter().map(|region| (*region, 2)).collect(),
                ..Morning::empty(Night(date(day)).previous(), "UTC")
            })
            .collect()
    }

    #[test]
    fn eight_days_are_more_than_seven() {
        assert_eq!(long_soreness(&sore(1..=7, &[Region::Calves]), date(7)), []);
        let found = long_soreness(&sore(1..=8, &[Region::Calves]), date(8));
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].since, found[0].days), (date(1), 8));
    }

    #[test]
    fn a_morning_without_it_ends_it_and_a_short_gap_does_not() {
        let mut mornings = sore((1..=4).chain(7..=10), &[Region::Calves]);
        mornings.reverse();
        assert_eq!(long_soreness(&mornings, date(10)).len(), 1);
        mornings.extend(sore([6], &[]));
        assert_eq!(long_soreness(&mornings, date(10)), []);
        let far = sore((1..=3).chain(8..=10), &[Region::Calves]);
        assert_eq!(long_soreness(&far, date(10)), []);
    }

    #[test]
    fn each_region_has_its_own_time() {
        let mut mornings = sore(1..=4, &[Region::Calves]);
        mornings.extend(sore(5..=9, &[Region::Calves, Region::Glutes]));
        let found = long_soreness(&mornings, date(9));
        let regions: Vec<Region> = found.iter().map(|found| found.region).collect();
        assert_eq!(regions, [Region::Calves]);
        // Old news is no news.
        assert_eq!(long_soreness(&mornings, date(20)), []);
        // What comes later is not known yet.
        assert_eq!(long_soreness(&mornings, date(6)), []);
    }
}
