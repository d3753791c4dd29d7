//! The sleep regularity index: how often one is in the same state, asleep or awake, 24 hours later.
//!
//! Phillips AJK et al. 2017, Scientific Reports 7:3216. A value of 100 means every day like the day
//! before, 0 is what random sleep of 12 hours a day gives, -100 every day the reverse of the day before.

use std::collections::BTreeMap;
use std::ops::Range;

use chrono::{Duration, NaiveTime};

use crate::pure::civil::{Instant, Night, Resolved, Zone};

/// Epochs of one minute in a day from noon to noon.
pub const EPOCHS: usize = 24 * 60;

/// The index is shown from so many recorded nights on (our own design choice).
pub const SHOWN_FROM_NIGHTS: usize = 7;

/// One day from noon to noon by the local clock, an epoch a minute: asleep, awake, or unknown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Day(pub Vec<Option<bool>>);

impl Day {
    /// A day of which nothing is known.
    pub fn unknown() -> Self {
        Self(vec![None; EPOCHS])
    }

    /// Whether anything is known of it.
    pub fn is_known(&self) -> bool {
        self.0.iter().any(Option::is_some)
    }
}

/// What is known of one night: when the person slept, in the zone it was recorded in.
///
/// A diary has no times for wakings in the night, so the whole sleep period counts as asleep. Naps
/// between its noons can be added; everything else counts as awake.
#[derive(Clone, Debug)]
pub struct NightSleep<'a> {
    /// The night.
    pub night: Night,
    /// Its zone.
    pub zone: &'a Zone,
    /// Spans of sleep, from falling asleep to waking.
    pub asleep: Vec<Range<Instant>>,
}

/// The index with what it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regularity {
    /// The index, -100 to 100.
    pub index: f64,
    /// Pairs of epochs, 24 hours apart, of which both are known.
    pub known_pairs: usize,
    /// Days of which something is known.
    pub known_days: usize,
}

/// Lays records out as days from the first recorded night to the last; a night without a record is
/// unknown. The records may come in any order; the last one for a night counts.
///
/// Epochs follow the local clock: where the clock goes forward, the missing hour is unknown; where it
/// goes back, the repeated hour is used once, in its first passing.
pub fn lay_out(records: &[NightSleep]) -> Vec<Day> {
    let by_night: BTreeMap<Night, &NightSleep> = records
        .iter()
        .map(|record| (record.night, record))
        .collect();
    let (Some(first), Some(last)) = (by_night.keys().next(), by_night.keys().last()) else {
        return Vec::new();
    };
    first
        .evening()
        .iter_days()
        .map(Night)
        .take_while(|night| night <= last)
        .map(|night| match by_night.get(&night) {
            Some(record) => day_of(record, &by_night),
            None => Day::unknown(),
        })
        .collect()
}

/// Sleep may run past noon, so the spans of the neighbouring nights are looked at too.
fn day_of(record: &NightSleep, by_night: &BTreeMap<Night, &NightSleep>) -> Day {
    let spans: Vec<&Range<Instant>> = by_night
        .range(record.night.previous()..=record.night.next())
        .flat_map(|(_, near)| &near.asleep)
        .collect();
    let asleep = |at: Instant| spans.iter().any(|span| span.contains(&at));
    Day(epoch_starts(record.night, record.zone)
        .into_iter()
        .map(|start| start.map(asleep))
        .collect())
}

/// The instants at which the epochs of a day start; none for a minute the clock skips.
fn epoch_starts(night: Night, zone: &Zone) -> Vec<Option<Instant>> {
    let noon = night
        .evening()
        .and_time(NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default());
    let minute = |epoch| Duration::minutes(i64::try_from(epoch).unwrap_or(0));
    let (first, last) = (zone.resolve(noon), zone.resolve(noon + minute(EPOCHS)));
    if let (Resolved::Exact(first), Resolved::Exact(last)) = (first, last)
        && zone.next_change(first, last).is_none()
    {
        // Asking the zone for each minute of years of days takes most of a long look back.
        return (0..EPOCHS)
            .map(|epoch| Some(first + minute(epoch)))
            .collect();
    }
    (0..EPOCHS)
        .map(|epoch| match zone.resolve(noon + minute(epoch)) {
            Resolved::Skipped { .. } => None,
            known => Some(known.earlier()),
        })
        .collect()
}

/// The index over consecutive days. `None` if not one pair of epochs is known on both days.
///
/// `-100 + 200 / pairs * same`, over all pairs of epochs 24 hours apart with both states known.
pub fn regularity(days: &[Day]) -> Option<Regularity> {
    let (mut known_pairs, mut same) = (0_usize, 0_usize);
    for pair in days.windows(2) {
        for (one, next) in pair[0].0.iter().zip(&pair[1].0) {
            if let (Some(one), Some(next)) = (one, next) {
                known_pairs += 1;
                same += usize::from(one == next);
            }
        }
    }
    (known_pairs > 0).then(|| Regularity {
        index: 200.0 * same as f64 / known_pairs as f64 - 100.0,
        known_pairs,
        known_days: days.iter().filter(|day| day.is_known()).count(),
    })
}

/// What the index is expected to be for someone asleep at random with this probability:
/// `100 (1 - 2p)^2`. It is 0 only for a half; sleeping 8 hours of 24 at random already gives 11.
pub fn expected_of_random_sleep(probability_asleep: f64) -> f64 {
    100.0 * (1.0 - 2.0 * probability_asleep).powi(2)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at(zone: &Zone, wall: &str) -> Instant {
        zone.resolve(wall.parse().expect("wall time")).earlier()
    }

    fn slept<'a>(zone: &'a Zone, evening: &str, from: &str, to: &str) -> NightSleep<'a> {
        NightSleep {
            night: Night(evening.parse().expect("date")),
            zone,
            asleep: vec![at(zone, from)..at(zone, to)],
        }
    }

    fn minutes_asleep(day: &Day) -> usize {
        day.0.iter().filter(|epoch| **epoch == Some(true)).count()
    }

    #[test]
    fn a_night_lies_where_the_clock_says() {
        let zone = Zone::embedded("Europe/Oslo").expect("known zone");
        let days = lay_out(&[slept(
            &zone,
            "2026-01-13",
            "2026-01-13T23:00:00",
            "2026-01-14T07:00:00",
        )]);
        assert_eq!(days.len(), 1);
        let asleep: Vec<usize> = (0..EPOCHS)
            .filter(|at| days[0].0[*at] == Some(true))
            .collect();
        assert_eq!((asleep[0], asleep[asleep.len() - 1]), (660, 1139));
        assert_eq!(asleep.len(), 480);
        assert_eq!(regularity(&days), None);
    }

    #[test]
    fn a_night_without_a_record_is_unknown_and_drops_its_pairs() {
        let zone = Zone::utc();
        let night = |day: u32| {
            slept(
                &zone,
                &format!("2026-01-{day}"),
                &format!("2026-01-{day}T23:00:00"),
                &format!("2026-01-{}T07:00:00", day + 1),
            )
        };
        let days = lay_out(&[night(13), night(10), night(14), night(12)]);
        assert_eq!(days.len(), 5);
        assert!(!days[1].is_known());
        let found = regularity(&days).expect("pairs");
        assert_eq!(found.index, 100.0);
        assert_eq!((found.known_pairs, found.known_days), (2 * EPOCHS, 4));
        assert_eq!(lay_out(&[]), []);
    }

    #[test]
    fn every_minute_is_where_the_zone_says_whether_or_not_the_clock_changes() {
        for name in [
            "Europe/Berlin",
            "Australia/Lord_Howe",
            "Asia/Kathmandu",
            "Pacific/Apia",
        ] {
            let zone = Zone::embedded(name).expect("known zone");
            // A year with both changes, and December 2011, in which Samoa left out a day.
            for first in ["2011-12-25", "2026-03-01", "2026-10-01"] {
                let first: chrono::NaiveDate = first.parse().expect("date");
                for day in first.iter_days().take(40) {
                    let noon = day.and_hms_opt(12, 0, 0).expect("noon");
                    for (epoch, found) in epoch_starts(Night(day), &zone).into_iter().enumerate() {
                        let expected = match zone.resolve(noon + Duration::minutes(epoch as i64)) {
                            Resolved::Skipped { .. } => None,
                            known => Some(known.earlier()),
                        };
                        assert_eq!(found, expected, "{name} {day} {epoch}");
                    }
                }
            }
        }
    }

    // Clock changes of 2026 by the tz database.
    #[test]
    fn the_same_hours_by_the_clock_stay_regular_over_a_clock_change() {
        let zone = Zone::embedded("Europe/Berlin").expect("known zone");
        let over = |before: &str, change: &str, after: &str, end: &str| {
            lay_out(&[
                slept(
                    &zone,
                    before,
                    &format!("{before}T23:00:00"),
                    &format!("{change}T07:00:00"),
                ),
                slept(
                    &zone,
                    change,
                    &format!("{change}T23:00:00"),
                    &format!("{after}T07:00:00"),
                ),
                slept(
                    &zone,
                    after,
                    &format!("{after}T23:00:00"),
                    &format!("{end}T07:00:00"),
                ),
            ])
        };
        let forward = over("2026-03-27", "2026-03-28", "2026-03-29", "2026-03-30");
        let unknown: Vec<usize> = (0..EPOCHS)
            .filter(|at| forward[1].0[*at].is_none())
            .collect();
        assert_eq!(unknown, (840..900).collect::<Vec<_>>()); // 02:00 to 03:00 after noon
        assert_eq!(minutes_asleep(&forward[1]), 420);
        let found = regularity(&forward).expect("pairs");
        assert_eq!(found.index, 100.0);
        assert_eq!(found.known_pairs, 2 * (EPOCHS - 60));

        let back = over("2026-10-23", "2026-10-24", "2026-10-25", "2026-10-26");
        assert_eq!(minutes_asleep(&back[1]), 480); // nine hours pass, the clock shows eight
        let found = regularity(&back).expect("pairs");
        assert_eq!(found.index, 100.0);
        assert_eq!(found.known_pairs, 2 * EPOCHS);
    }

    #[test]
    fn sleep_past_noon_reaches_into_the_next_day() {
        let zone = Zone::utc();
        let days = lay_out(&[
            slept(
                &zone,
                "2026-01-13",
                "2026-01-14T06:00:00",
                "2026-01-14T13:30:00",
            ),
            slept(
                &zone,
                "2026-01-14",
                "2026-01-15T06:00:00",
                "2026-01-15T11:00:00",
            ),
        ]);
        assert_eq!(minutes_asleep(&days[0]), 360);
        assert_eq!(minutes_asleep(&days[1]), 90 + 300);
    }

    #[test]
    fn the_zone_is_that_of_each_night() {
        let (oslo, kathmandu) = (
            Zone::embedded("Europe/Oslo").expect("known zone"),
            Zone::embedded("Asia/Kathmandu").expect("known zone"),
        );
        let days = lay_out(&[
            slept(
                &oslo,
                "2026-01-13",
                "2026-01-13T23:00:00",
                "2026-01-14T07:00:00",
            ),
            slept(
                &kathmandu,
                "2026-01-14",
                "2026-01-14T23:00:00",
                "2026-01-15T07:00:00",
            ),
        ]);
        assert_eq!(regularity(&days).expect("pairs").index, 100.0);
    }

    proptest! {
        #[test]
        fn the_index_stays_in_its_range(states in prop::collection::vec(prop::collection::vec(
            prop::option::of(any::<bool>()), 24), 2..9))
        {
            let days: Vec<Day> = states.into_iter().map(Day).collect();
            if let Some(found) = regularity(&days) {
                prop_assert!((-100.0..=100.0).contains(&found.index));
                let mut turned = days.clone();
                turned.reverse();
                prop_assert_eq!(regularity(&turned), Some(found));
            }
        }
    }
}
