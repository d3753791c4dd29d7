//! What the person says about a night, and what it means in a zone.

use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime};

use super::measures::Times;
use super::moment::{Dated, Moment};
use super::reading::Reading;
use super::refusal::{Field, Refusal};
use crate::pure::civil::{Instant, Night, Zone};

/// A night as the person said it. Nothing is required.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiaryEntry {
    /// Into bed.
    pub into_bed: Option<Moment>,
    /// Began trying to sleep.
    pub lights_out: Option<Moment>,
    /// Minutes to fall asleep.
    pub asleep_after_min: Option<u32>,
    /// How often awake in between.
    pub wakings: Option<u32>,
    /// Minutes awake in between, all together.
    pub awake_for_min: Option<u32>,
    /// Final waking.
    pub woke: Option<Moment>,
    /// Out of bed.
    pub up: Option<Moment>,
    /// Minutes of trying to sleep after the final waking.
    pub tried_after_min: Option<u32>,
    /// Minutes asleep, said instead of the times.
    pub sleep_min: Option<u32>,
    /// The person confirmed that more than 16 hours in bed are meant.
    pub long_confirmed: bool,
}

/// A resolved entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Diary {
    /// The times as instants.
    pub times: Times,
    /// What the person should know about how the entry was read, in sentences.
    pub notes: Vec<String>,
}

/// Puts dates to a bedtime and a wake time that were said without, for the morning of a date: waking is
/// on that date; bedtime too, or the day before where it would not come before waking.
pub fn attach(
    bed: NaiveTime,
    wake: NaiveTime,
    morning: NaiveDate,
) -> (NaiveDateTime, NaiveDateTime) {
    let woke = morning.and_time(wake);
    (before_waking(bed, woke), woke)
}

fn before_waking(bed: NaiveTime, woke: NaiveDateTime) -> NaiveDateTime {
    let same_day = woke.date().and_time(bed);
    if same_day >= woke {
        same_day - Duration::days(1)
    } else {
        same_day
    }
}

impl DiaryEntry {
    /// Turns what was said into instants.
    ///
    /// A time without a date belongs to the night; a time that happened twice is taken as the later of
    /// the two unless only the earlier one fits the order, and a note says so.
    ///
    /// # Errors
    ///
    /// Every reason why the entry cannot be meant as it stands, each a question to the person.
    pub fn resolve(&self, night: Night, zone: &Zone) -> Result<Diary, Vec<Refusal>> {
        let mut reading = Reading {
            zone,
            refusals: Vec::new(),
            notes: Vec::new(),
        };
        let said = self.dated(night, zone);
        for (field, dated) in &said {
            reading.check_night(*field, dated.wall(zone), night);
        }
        // Backwards, because the reading of a repeated hour depends on what comes after it.
        let mut found: Vec<(Field, Instant)> = Vec::new();
        for (field, dated) in said.iter().rev() {
            let limit = found.last().map(|(_, at)| *at);
            if let Some(at) = reading.instant(*field, *dated, limit) {
                found.push((*field, at));
            }
        }
        found.reverse();
        let times = self.times(&found);
        if reading.refusals.is_empty() {
            reading.check_order(&found);
        }
        if reading.refusals.is_empty() {
            reading.check_awake(&times);
            reading.check_length(&found, self.long_confirmed);
            reading.check_sleep_min(&times);
        }
        if reading.refusals.is_empty() {
            Ok(Diary {
                times: times.without_echo(),
                notes: reading.notes,
            })
        } else {
            Err(reading.refusals)
        }
    }

    /// The times that were said, in the order in which they have to happen, with dates.
    fn dated(&self, night: Night, zone: &Zone) -> Vec<(Field, Dated)> {
        let woke = self
            .woke
            .map(|said| Dated::of(said, |time| night.morning().and_time(time)));
        let anchor = woke.map(|woke| woke.wall(zone));
        let evening = |said: Moment| {
            Dated::of(said, |time| match anchor {
                Some(woke) => before_waking(time, woke),
                None => night.wall(time),
            })
        };
        let morning = |said: Moment| {
            let date = anchor.map_or(night.morning(), |woke| woke.date());
            Dated::of(said, |time| date.and_time(time))
        };
        [
            (Field::IntoBed, self.into_bed.map(evening)),
            (Field::LightsOut, self.lights_out.map(evening)),
            (Field::Woke, woke),
            (Field::Up, self.up.map(morning)),
        ]
        .into_iter()
        .filter_map(|(field, dated)| dated.map(|dated| (field, dated)))
        .collect()
    }

    fn times(&self, found: &[(Field, Instant)]) -> Times {
        let at = |wanted: Field| {
            found
                .iter()
                .find(|(field, _)| *field == wanted)
                .map(|(_, at)| *at)
        };
        Times {
            into_bed: at(Field::IntoBed),
            lights_out: at(Field::LightsOut),
            asleep_after_min: self.asleep_after_min,
            wakings: self.wakings,
            awake_for_min: self.awake_for_min,
            woke: at(Field::Woke),
            up: at(Field::Up),
            tried_after_min: self.tried_after_min,
            sleep_min: self.sleep_min,
        }
    }
}

#[cfg(test)]
mod tests;
