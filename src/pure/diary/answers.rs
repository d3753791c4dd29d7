//! What a person says in one go about a night and the morning after it, put on top of what is known.

use std::collections::BTreeMap;

use super::entry::DiaryEntry;
use super::measures::Times;
use super::moment::Moment;
use super::morning::{Item, Morning, Ratings};
use super::refusal::Refusal;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::region::Region;

/// Answers about one night. What was not said leaves a record that is there as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    /// Times and minutes.
    pub entry: DiaryEntry,
    /// The ratings.
    pub ratings: Ratings,
    /// Sore regions; an empty map says that nothing is sore.
    pub sore_in: Option<BTreeMap<Region, u8>>,
    /// Ill, or not.
    pub ill: Option<bool>,
    /// A remark; an empty one takes the old one away.
    pub note: Option<String>,
}

/// A record as it should be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// The record.
    pub morning: Morning,
    /// What the person should know about how it was read.
    pub notes: Vec<String>,
}

impl Answers {
    /// Whether nothing was said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    fn says_a_time(&self) -> bool {
        let entry = &self.entry;
        [entry.into_bed, entry.lights_out, entry.woke, entry.up]
            .iter()
            .any(Option::is_some)
    }

    /// Puts the answers on top of the record that is there.
    ///
    /// Times taken over from the plan go as soon as the person gives one: a planned time beside a real
    /// one would be nobody's statement. Minutes alone (how long it took to fall asleep) leave them.
    ///
    /// # Errors
    ///
    /// Every reason why the times cannot be meant as they stand, each a question.
    pub fn on_top_of(
        &self,
        known: Option<&Morning>,
        night: Night,
        zone: &Zone,
    ) -> Result<Answered, Vec<Refusal>> {
        let says_times = self.entry != DiaryEntry::default();
        let mut morning = known
            .cloned()
            .unwrap_or_else(|| Morning::empty(night, zone.name()));
        let mut notes = Vec::new();
        if says_times {
            let old = if morning.estimated && self.says_a_time() {
                morning.estimated = false;
                DiaryEntry::default()
            } else {
                said(&morning.times, zone)
            };
            let diary = on_top(&self.entry, old).resolve(night, zone)?;
            morning.times = diary.times;
            morning.zone = zone.name().to_owned();
            notes = diary.notes;
        }
        for item in Item::ALL {
            if let Some(value) = self.ratings.get(item) {
                morning.ratings.set(item, Some(value));
            }
        }
        if let Some(sore_in) = &self.sore_in {
            morning.sore_in = sore_in.clone();
        }
        morning.ill = self.ill.unwrap_or(morning.ill);
        if let Some(note) = &self.note {
            morning.note = note.clone();
        }
        Ok(Answered { morning, notes })
    }
}

/// Recorded times as if the person said them again, with their offsets, so that they are read as they
/// were.
fn said(times: &Times, zone: &Zone) -> DiaryEntry {
    let again = |at: Option<Instant>| at.map(|at| Moment::Fixed(zone.local(at)));
    DiaryEntry {
        into_bed: again(times.into_bed),
        lights_out: again(times.lights_out),
        asleep_after_min: times.asleep_after_min,
        wakings: times.wakings,
        awake_for_min: times.awake_for_min,
        woke: again(times.woke),
        up: again(times.up),
        tried_after_min: times.tried_after_min,
        sleep_min: times.sleep_min,
        // It was confirmed when it was recorded.
        long_confirmed: true,
    }
}

fn on_top(new: &DiaryEntry, old: DiaryEntry) -> DiaryEntry {
    let only_sleep = DiaryEntry {
        sleep_min: new.sleep_min,
        long_confirmed: new.long_confirmed,
        ..DiaryEntry::default()
    };
    // Minutes asleep stood in for times; times that are given now take their place.
    let old_sleep = old.sleep_min.filter(|_| *new == only_sleep);
    DiaryEntry {
        into_bed: new.into_bed.or(old.into_bed),
        lights_out: new.lights_out.or(old.lights_out),
        asleep_after_min: new.asleep_after_min.or(old.asleep_after_min),
        wakings: new.wakings.or(old.wakings),
        awake_for_min: new.awake_for_min.or(old.awake_for_min),
        woke: new.woke.or(old.woke),
        up: new.up.or(old.up),
        tried_after_min: new.tried_after_min.or(old.tried_after_min),
        sleep_min: new.sleep_min.or(old_sleep),
        // A time in bed is long because of what is said now, unless nothing about the times is.
        long_confirmed: new.long_confirmed || *new == only_sleep,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn night() -> Night {
        Night(chrono::NaiveDate::from_ymd_opt(2026, 1, 5).expect("date"))
    }

    fn oslo() -> Zone {
        Zone::embedded("Europe/Oslo").expect("zone")
    }

    fn times(woke: &str, up: &str) -> Answers {
        Answers {
            entry: DiaryEntry {
                lights_out: "22:50".parse().ok(),
                asleep_after_min: Some(10),
                awake_for_min: Some(0),
                woke: woke.parse().ok(),
                up: up.parse().ok(),
                ..DiaryEntry::default()
            },
            ..Answers::default()
        }
    }

    #[test]
    fn a_correction_changes_what_it_says_and_nothing_else() {
        let first = times("06:20", "06:30")
            .on_top_of(None, night(), &oslo())
            .expect("read")
            .morning;
        let correction = Answers {
            entry: DiaryEntry {
                woke: "06:00".parse().ok(),
                ..DiaryEntry::default()
            },
            ratings: Ratings {
                mood: Some(4),
                ..Ratings::default()
            },
            ..Answers::default()
        };
        let second = correction
            .on_top_of(Some(&first), night(), &oslo())
            .expect("read")
            .morning;
        assert_eq!(second.times.up, first.times.up);
        assert_eq!(second.times.measures().asleep_s, Some(420 * 60));
        assert_eq!(second.ratings.mood, Some(4));
        assert_eq!(second.ratings.freshness, None);
        let nothing = Answers::default()
            .on_top_of(Some(&second), night(), &oslo())
            .expect("read");
        assert_eq!(nothing.morning, second);
    }

    #[test]
    fn an_impossible_correction_is_a_question() {
        let first = times("06:20", "06:30")
            .on_top_of(None, night(), &oslo())
            .expect("read")
            .morning;
        let late = Answers {
            entry: DiaryEntry {
                woke: "06:45".parse().ok(),
                ..DiaryEntry::default()
            },
            ..Answers::default()
        };
        let refusals = late
            .on_top_of(Some(&first), night(), &oslo())
            .expect_err("up before waking");
        assert_eq!(refusals[0].id(), "order");
    }

    #[test]
    fn real_times_take_the_place_of_planned_ones() {
        let at = |text: &str| text.parse().expect("instant");
        let planned = Morning::as_usual(
            night(),
            "Europe/Oslo",
            at("2026-01-05T21:30:00Z"),
            at("2026-01-06T05:30:00Z"),
        );
        let mood = Answers {
            ratings: Ratings {
                mood: Some(2),
                ..Ratings::default()
            },
            ..Answers::default()
        };
        let rated = mood
            .on_top_of(Some(&planned), night(), &oslo())
            .expect("read")
            .morning;
        assert!(rated.estimated);
        let slow = Answers {
            entry: DiaryEntry {
                asleep_after_min: Some(40),
                wakings: Some(0),
                ..DiaryEntry::default()
            },
            ..Answers::default()
        };
        let slow = slow
            .on_top_of(Some(&rated), night(), &oslo())
            .expect("read")
            .morning;
        assert!(slow.estimated);
        assert_eq!(slow.times.measures().asleep_s, Some(440 * 60));
        let timed = times("07:20", "07:30")
            .on_top_of(Some(&rated), night(), &oslo())
            .expect("read")
            .morning;
        assert!(!timed.estimated && timed.times.into_bed.is_none());
        assert_eq!(timed.ratings.mood, Some(2));
    }

    #[test]
    fn minutes_asleep_give_way_to_times() {
        let minutes = Answers {
            entry: DiaryEntry {
                sleep_min: Some(400),
                ..DiaryEntry::default()
            },
            ..Answers::default()
        };
        let first = minutes
            .on_top_of(None, night(), &oslo())
            .expect("read")
            .morning;
        assert_eq!(first.times.measures().asleep_s, Some(400 * 60));
        let second = times("06:20", "06:30")
            .on_top_of(Some(&first), night(), &oslo())
            .expect("read")
            .morning;
        assert_eq!(second.times.measures().asleep_s, Some(440 * 60));
    }
}
