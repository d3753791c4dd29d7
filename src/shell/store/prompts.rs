//! What happened to prompts.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::Store;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Event, Key, Kind, Record};
use crate::shell::failure::Failure;

impl Store {
    /// Adds an event, durably.
    pub fn add_event(
        &mut self,
        key: &Key,
        at: Instant,
        zone: &Zone,
        event: &Event,
    ) -> Result<(), Failure> {
        self.write(|connection| insert(connection, key, at, zone, event))
    }

    /// Adds events of one instant, durably, all or none, each with the zone of its night.
    pub fn add_events(
        &mut self,
        at: Instant,
        events: &[(Key, Zone, Event)],
    ) -> Result<(), Failure> {
        self.write(|connection| {
            events
                .iter()
                .try_for_each(|(key, zone, event)| insert(connection, key, at, zone, event))
        })
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
