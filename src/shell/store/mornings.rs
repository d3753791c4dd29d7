//! Records of nights and the ratings after them.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, Row, named_params};

use super::cells::{date, instant, instant_if_any, with_offset};
use super::{Store, prompts};
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::{Morning, Ratings, Times};
use crate::pure::prompt::{Answer, Event, Key, Kind};
use crate::pure::region::Region;
use crate::shell::failure::Failure;

/// One record, current or replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MorningRow {
    /// Its number.
    pub id: i64,
    /// The record it took the place of.
    pub replaces: Option<i64>,
    /// When it was written.
    pub at: Instant,
    /// What it says.
    pub morning: Morning,
}

const COLUMNS: &str = "id, replaces, at_ms, night, zone, into_bed_ms, lights_out_ms, asleep_after_min, wakings, \
     awake_for_min, woke_ms, up_ms, tried_after_min, sleep_min, sleep_quality, freshness, soreness, mood, sore_in, \
     ill, note, estimated";

impl Store {
    /// Adds a record; an earlier one of the same night is replaced by it and stays in the history. The
    /// night's prompt counts as answered, in the same transaction.
    pub fn add_morning(
        &mut self,
        morning: &Morning,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        let key = Key::once(Kind::Morning, morning.night);
        let answered = Event::Answered {
            answer: Answer::Done,
        };
        self.write(|connection| {
            insert(connection, morning, at, zone)?;
            prompts::insert(connection, &key, at, zone, &answered)
        })
    }

    /// Adds a record where the night has none yet; its prompt is left to the caller. Whether it did.
    pub fn add_morning_if_none(
        &mut self,
        morning: &Morning,
        at: Instant,
        zone: &Zone,
    ) -> Result<bool, Failure> {
        self.write(|connection| {
            if newest_id(connection, morning.night)?.is_some() {
                return Ok(false);
            }
            insert(connection, morning, at, zone)?;
            Ok(true)
        })
    }

    /// Adds many records in one transaction. Prompts of nights from `recent` on count as answered: the
    /// person need not be asked again for what came from a file.
    pub fn add_mornings<'m>(
        &mut self,
        mornings: impl IntoIterator<Item = &'m Morning>,
        recent: Night,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        let answered = Event::Answered {
            answer: Answer::Done,
        };
        self.write(|connection| {
            for morning in mornings {
                insert(connection, morning, at, zone)?;
                if morning.night >= recent {
                    let key = Key::once(Kind::Morning, morning.night);
                    prompts::insert(connection, &key, at, zone, &answered)?;
                }
            }
            Ok(())
        })
    }

    /// The current record of a night.
    pub fn morning(&self, night: Night) -> Result<Option<Morning>, Failure> {
        let history = self.morning_history(night)?;
        Ok(history.into_iter().next_back().map(|row| row.morning))
    }

    /// Every record of a night, oldest first; the last one is current.
    pub fn morning_history(&self, night: Night) -> Result<Vec<MorningRow>, Failure> {
        self.read(|connection| {
            let sql = format!("SELECT {COLUMNS} FROM morning WHERE night = ?1 ORDER BY id");
            let mut statement = connection.prepare(&sql)?;
            statement
                .query_map([night.to_string()], read_row)?
                .collect()
        })
    }

    /// The current records of a span of nights, both included, oldest night first.
    pub fn mornings(&self, from: Night, to: Night) -> Result<Vec<Morning>, Failure> {
        let rows = self.morning_rows(from, to)?;
        Ok(rows.into_iter().map(|row| row.morning).collect())
    }

    /// The same with when each was written.
    pub fn morning_rows(&self, from: Night, to: Night) -> Result<Vec<MorningRow>, Failure> {
        self.read(|connection| {
            let sql = format!(
                "SELECT {COLUMNS} FROM morning WHERE night BETWEEN ?1 AND ?2 ORDER BY night, id"
            );
            let mut statement = connection.prepare(&sql)?;
            let mut rows = statement.query([from.to_string(), to.to_string()])?;
            let mut found: Vec<MorningRow> = Vec::new();
            while let Some(row) = rows.next()? {
                let row = read_row(row)?;
                // A record always replaces the one before it, so the last of a night is current.
                match found.last_mut() {
                    Some(last) if last.morning.night == row.morning.night => *last = row,
                    _ => found.push(row),
                }
            }
            Ok(found)
        })
    }

    /// The newest record of a night before `night` that has times the person gave.
    pub fn last_answered_before(&self, night: Night) -> Result<Option<Morning>, Failure> {
        self.read(|connection| {
            let sql = format!(
                "SELECT {COLUMNS} FROM morning WHERE night < ?1 AND estimated = 0 AND woke_ms IS NOT NULL \
                 ORDER BY night DESC, id DESC LIMIT 1"
            );
            connection
                .query_row(&sql, [night.to_string()], read_row)
                .optional()
        })
        .map(|row| row.map(|row| row.morning))
    }
}

fn newest_id(connection: &Connection, night: Night) -> rusqlite::Result<Option<i64>> {
    connection
        .prepare_cached("SELECT max(id) FROM morning WHERE night = ?1")?
        .query_row([night.to_string()], |row| row.get(0))
}

/// Adds a record within a transaction of the caller.
fn insert(
    connection: &Connection,
    morning: &Morning,
    at: Instant,
    zone: &Zone,
) -> rusqlite::Result<()> {
    let replaces = newest_id(connection, morning.night)?;
    let Times {
        into_bed,
        lights_out,
        asleep_after_min,
        wakings,
        awake_for_min,
        woke,
        up,
        tried_after_min,
        sleep_min,
    } = &morning.times;
    let into_bed = with_offset(*into_bed, zone);
    let lights_out = with_offset(*lights_out, zone);
    let woke = with_offset(*woke, zone);
    let up = with_offset(*up, zone);
    connection
        .prepare_cached(
            "INSERT INTO morning (replaces, night, at_ms, offset_s, zone, into_bed_ms, into_bed_offset_s, \
             lights_out_ms, lights_out_offset_s, asleep_after_min, wakings, awake_for_min, woke_ms, woke_offset_s, \
             up_ms, up_offset_s, tried_after_min, sleep_min, sleep_quality, freshness, soreness, mood, sore_in, ill, \
             note, estimated) VALUES (:replaces, :night, :at, :offset, :zone, :bed, :bed_offset, :lights, \
             :lights_offset, :after, :wakings, :awake, :woke, :woke_offset, :up, :up_offset, :tried, :sleep_min, \
             :quality, :freshness, :soreness, :mood, :sore_in, :ill, :note, :estimated)",
        )?
        .execute(named_params! {
            ":replaces": replaces,
            ":night": morning.night.to_string(),
            ":at": at.timestamp_millis(),
            ":offset": zone.offset_at(at).local_minus_utc(),
            ":zone": morning.zone,
            ":bed": into_bed.0,
            ":bed_offset": into_bed.1,
            ":lights": lights_out.0,
            ":lights_offset": lights_out.1,
            ":after": asleep_after_min,
            ":wakings": wakings,
            ":awake": awake_for_min,
            ":woke": woke.0,
            ":woke_offset": woke.1,
            ":up": up.0,
            ":up_offset": up.1,
            ":tried": tried_after_min,
            ":sleep_min": sleep_min,
            ":quality": morning.ratings.sleep_quality,
            ":freshness": morning.ratings.freshness,
            ":soreness": morning.ratings.soreness,
            ":mood": morning.ratings.mood,
            ":sore_in": sore_in_text(&morning.sore_in),
            ":ill": morning.ill,
            ":note": morning.note,
            ":estimated": morning.estimated,
        })
        .map(drop)
}

/// `calves=2,glutes=3`, as it is written in flags.
fn sore_in_text(sore_in: &BTreeMap<Region, u8>) -> String {
    let regions: Vec<String> = sore_in
        .iter()
        .map(|(region, degree)| format!("{region}={degree}"))
        .collect();
    regions.join(",")
}

/// A region of a later version is left out, not fatal.
fn sore_in(text: &str) -> BTreeMap<Region, u8> {
    text.split(',')
        .filter_map(|piece| {
            let (region, degree) = piece.split_once('=')?;
            Some((Region::from_id(region)?, degree.parse().ok()?))
        })
        .collect()
}

fn read_row(row: &Row<'_>) -> rusqlite::Result<MorningRow> {
    Ok(MorningRow {
        id: row.get(0)?,
        replaces: row.get(1)?,
        at: instant(row, 2)?,
        morning: Morning {
            night: Night(date(row, 3)?),
            zone: row.get(4)?,
            times: Times {
                into_bed: instant_if_any(row, 5)?,
                lights_out: instant_if_any(row, 6)?,
                asleep_after_min: row.get(7)?,
                wakings: row.get(8)?,
                awake_for_min: row.get(9)?,
                woke: instant_if_any(row, 10)?,
                up: instant_if_any(row, 11)?,
                tried_after_min: row.get(12)?,
                sleep_min: row.get(13)?,
            },
            ratings: Ratings {
                sleep_quality: row.get(14)?,
                freshness: row.get(15)?,
                soreness: row.get(16)?,
                mood: row.get(17)?,
            },
            sore_in: sore_in(row.get_ref(18)?.as_str()?),
            ill: row.get(19)?,
            note: row.get(20)?,
            estimated: row.get(21)?,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn store() -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().expect("folder");
        let store = Store::open(&folder.path().join("diary.db")).expect("store");
        (folder, store)
    }

    fn night(day: u32) -> Night {
        Night(chrono::NaiveDate::from_ymd_opt(2026, 1, day).expect("date"))
    }

    fn at(text: &str) -> Instant {
        text.parse().expect("instant")
    }

    fn full() -> Morning {
        Morning {
            times: Times {
                into_bed: Some(at("2026-01-05T21:40:00Z")),
                lights_out: Some(at("2026-01-05T21:50:00Z")),
                asleep_after_min: Some(15),
                wakings: Some(2),
                awake_for_min: Some(20),
                woke: Some(at("2026-01-06T05:20:00Z")),
                up: Some(at("2026-01-06T05:30:00Z")),
                tried_after_min: Some(5),
                sleep_min: Some(400),
            },
            ratings: Ratings {
                mood: None,
                ..Ratings::AS_USUAL
            },
            sore_in: BTreeMap::from([(Region::Calves, 2), (Region::Glutes, 3)]),
            ill: true,
            note: "a storm".to_owned(),
            estimated: true,
            ..Morning::empty(night(5), "Europe/Oslo")
        }
    }

    #[test]
    fn a_record_comes_back_whole_and_a_correction_keeps_the_old_answer() {
        let (_folder, mut store) = store();
        let zone = Zone::embedded("Europe/Oslo").expect("zone");
        let now = at("2026-01-06T05:40:00Z");
        store.add_morning(&full(), now, &zone).expect("added");
        assert_eq!(store.morning(night(5)).expect("read"), Some(full()));
        let corrected = Morning {
            note: String::new(),
            ..full()
        };
        store.add_morning(&corrected, now, &zone).expect("added");
        let history = store.morning_history(night(5)).expect("read");
        assert_eq!(history.len(), 2);
        assert_eq!(
            (history[0].replaces, history[1].replaces),
            (None, Some(history[0].id))
        );
        assert_eq!(history[0].morning, full());
        assert_eq!(
            store.mornings(night(1), night(9)).expect("read"),
            [corrected]
        );
        assert_eq!(store.mornings(night(6), night(9)).expect("read"), []);
    }

    #[test]
    fn the_prompt_is_answered_with_the_record_and_only_then() {
        let (_folder, mut store) = store();
        let zone = Zone::utc();
        let now = at("2026-01-06T05:40:00Z");
        assert!(
            store
                .add_morning_if_none(&full(), now, &zone)
                .expect("added")
        );
        assert!(
            !store
                .add_morning_if_none(&full(), now, &zone)
                .expect("left")
        );
        assert!(store.records_since(night(1)).expect("read").is_empty());
        store.add_morning(&full(), now, &zone).expect("added");
        let records = store.records_since(night(1)).expect("read");
        assert!(records[&Key::once(Kind::Morning, night(5))].is_settled());
        let older = Morning::empty(night(2), "UTC");
        let newer = Morning::empty(night(6), "UTC");
        store
            .add_mornings([&older, &newer], night(5), now, &zone)
            .expect("added");
        let nights: Vec<Night> = store
            .records_since(night(1))
            .expect("read")
            .keys()
            .map(|key| key.night)
            .collect();
        assert_eq!(nights, [night(5), night(6)]);
    }
}
