//! What happened to prompts.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use super::Store;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Event, Key, Kind, Record};
use crate::shell::failure::Failure;

impl Store {
    /// Adds an event, as [`Self::add_events`] does.
    pub fn add_event(
        &mut self,
        key: &Key,
        at: Instant,
        zone: &Zone,
        event: &Event,
    ) -> Result<(), Failure> {
        self.add_events(at, &[(key.clone(), zone.clone(), event.clone())])
    }

    /// Adds events of one instant, all or none, each with the zone of its night. It waits for the disk
    /// unless all of them are about the screen only.
    pub fn add_events(
        &mut self,
        at: Instant,
        events: &[(Key, Zone, Event)],
    ) -> Result<(), Failure> {
        let add = |connection: &Transaction<'_>| {
            events
                .iter()
                .try_for_each(|(key, zone, event)| insert(connection, key, at, zone, event))
        };
        if about_the_screen_only(events) {
            self.write_unawaited(add)
        } else {
            self.write(add)
        }
    }

    /// The records of prompts from a night on.
    pub fn records_since(&self, night: Night) -> Result<BTreeMap<Key, Record>, Failure> {
        let mut records: BTreeMap<Key, Record> = BTreeMap::new();
        for (key, at, event) in self.events_since(night)? {
            records.entry(key).or_default().apply(at, &event);
        }
        Ok(records)
    }

    /// The events of prompts from a night on, in the order they were written.
    pub fn events_since(&self, night: Night) -> Result<Vec<(Key, Instant, Event)>, Failure> {
        self.read(|connection| {
            let mut statement = connection.prepare(
                "SELECT kind, night, slot, at_ms, event FROM prompt_event WHERE night >= ?1 ORDER BY +id",
            )?;
            let rows = statement.query_map([night.to_string()], read_event)?;
            // A kind or event of a later version is skipped, not fatal.
            rows.filter_map(Result::transpose).collect()
        })
    }

    /// When a service last wrote anything about prompts, by the clock of then. Answers do not count:
    /// commands write them while no service runs.
    pub fn last_event(&self) -> Result<Option<Instant>, Failure> {
        let at: Option<i64> = self.read(|connection| {
            let last = "SELECT at_ms FROM prompt_event \
                        WHERE json_extract(event, '$.what') IN ('showing', 'shown', 'not_shown', 'missed', 'reopened') \
                        ORDER BY id DESC LIMIT 1";
            connection.query_row(last, [], |row| row.get(0)).optional()
        })?;
        Ok(at.and_then(DateTime::<Utc>::from_timestamp_millis))
    }
}

/// Whether events tell of the screen and of nothing else, so that writing them waits for nothing.
pub fn about_the_screen_only(events: &[(Key, Zone, Event)]) -> bool {
    let mut events = events.iter();
    events.all(|(_, _, event)| event.is_about_the_screen_only())
}

/// Adds an event within a transaction of the caller.
pub(super) fn insert(
    connection: &Connection,
    key: &Key,
    at: Instant,
    zone: &Zone,
    event: &Event,
) -> rusqlite::Result<()> {
    let event = serde_json::to_string(event)
        .map_err(|error| rusqlite::Error::ToSqlConversionFailure(error.into()))?;
    let offset = zone.offset_at(at).local_minus_utc();
    connection
        .prepare_cached(
            "INSERT INTO prompt_event (kind, night, slot, at_ms, offset_s, event) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![key.kind.id(), key.night.to_string(), key.slot, at.timestamp_millis(), offset, event])?;
    Ok(())
}

fn read_event(row: &Row<'_>) -> rusqlite::Result<Option<(Key, Instant, Event)>> {
    let kind: String = row.get(0)?;
    let night: String = row.get(1)?;
    let slot: String = row.get(2)?;
    let at: i64 = row.get(3)?;
    let event: String = row.get(4)?;
    let read = || {
        let kind = Kind::from_id(&kind)?;
        let night = Night(night.parse::<NaiveDate>().ok()?);
        let at = DateTime::<Utc>::from_timestamp_millis(at)?;
        Some((
            Key { kind, night, slot },
            at,
            serde_json::from_str(&event).ok()?,
        ))
    };
    Ok(read())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The levels of `PRAGMA synchronous`, as SQLite counts them.
    const NORMAL: i64 = 1;
    const FULL: i64 = 2;

    fn level(connection: &Connection) -> rusqlite::Result<i64> {
        connection.query_row("PRAGMA synchronous", [], |row| row.get(0))
    }

    fn store() -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().expect("folder");
        let store = Store::open(&folder.path().join("diary.db")).expect("store");
        (folder, store)
    }

    #[test]
    fn a_write_waits_for_the_disk_and_the_other_kind_does_not() {
        let (_folder, mut store) = store();
        let inside = |connection: &Transaction<'_>| level(connection);
        assert_eq!(store.write_unawaited(inside), Ok(NORMAL));
        assert_eq!(store.read(level), Ok(FULL));
        assert_eq!(store.write(inside), Ok(FULL));
    }

    #[test]
    fn after_a_write_that_fails_the_next_one_waits() {
        let (_folder, mut store) = store();
        let fails = |connection: &Transaction<'_>| {
            let level = level(connection)?;
            connection.execute("INSERT INTO nowhere VALUES (1)", [])?;
            Ok(level)
        };
        assert!(store.write_unawaited(fails).is_err());
        assert_eq!(store.read(level), Ok(FULL));
        assert_eq!(store.write(|connection| level(connection)), Ok(FULL));
    }

    #[test]
    fn only_what_is_about_the_screen_alone_is_written_without_the_wait() {
        let (_folder, mut store) = store();
        // Notes the level within whatever transaction an event is added in.
        let watch = "CREATE TEMP TABLE seen (level INTEGER); \
                     CREATE TEMP TRIGGER watch AFTER INSERT ON main.prompt_event \
                     BEGIN INSERT INTO seen SELECT synchronous FROM pragma_synchronous; END;";
        store
            .read(|connection| connection.execute_batch(watch))
            .expect("watch");
        let at = DateTime::<Utc>::from_timestamp(1_767_600_000, 0).expect("instant");
        let showing = Event::Showing { showing: 1 };
        let token = None;
        let shown = Event::Shown { showing: 1, token };
        let answer = crate::pure::prompt::Answer::Done;
        let cases = [
            (vec![showing.clone()], NORMAL),
            (vec![shown.clone()], NORMAL),
            (vec![Event::NotShown { showing: 1 }], NORMAL),
            (vec![showing, shown.clone()], NORMAL),
            (vec![shown, Event::Answered { answer }], FULL),
            (vec![Event::Later { until: at }], FULL),
            (vec![Event::Dismissed], FULL),
            (vec![Event::Missed], FULL),
            (vec![Event::Reopened], FULL),
        ];
        for (events, expected) in cases {
            let night = Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("date"));
            let key = Key::once(Kind::WindDown, night);
            let with_zone = |event: &Event| (key.clone(), Zone::utc(), event.clone());
            let all: Vec<_> = events.iter().map(with_zone).collect();
            store.add_events(at, &all).expect("written");
            let seen = store.read(|connection| {
                connection.query_row(
                    "SELECT level FROM seen ORDER BY rowid DESC LIMIT 1",
                    [],
                    |row| row.get::<_, i64>(0),
                )
            });
            assert_eq!(seen, Ok(expected), "{events:?}");
        }
    }
}
