//! Evenings that were begun, and how far they went.

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::{Connection, Row, params};

use super::{Store, prompts};
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Answer, Event, Key, Kind};
use crate::shell::failure::Failure;

/// One evening's routine as it was played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EveningRow {
    /// The night it belongs to.
    pub night: Night,
    /// The routine's id.
    pub routine: String,
    /// The pattern's id.
    pub pattern: String,
    /// Ids of its stretches in order.
    pub stretches: Vec<String>,
    /// When it was begun.
    pub started: Instant,
    /// Its length, seconds.
    pub planned_s: u32,
    /// How much of it was done, seconds.
    pub done_s: u32,
}

impl EveningRow {
    /// Whether it was followed to its end.
    pub fn is_done(&self) -> bool {
        self.done_s >= self.planned_s
    }
}

impl Store {
    /// Adds an evening and, with it in one transaction, the answer to its prompt.
    pub fn add_evening(
        &mut self,
        row: &EveningRow,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        let offset = zone.offset_at(row.started).local_minus_utc();
        self.write(|connection| insert(connection, row, offset, at, zone))
    }

    /// As [`Self::add_evening`], once for each `run`: a second call with the same one changes nothing and
    /// gives false. Whoever cannot know whether the first one arrived may simply ask again.
    pub fn add_evening_once(
        &mut self,
        run: &str,
        row: &EveningRow,
        at: Instant,
        zone: &Zone,
    ) -> Result<bool, Failure> {
        let offset = zone.offset_at(row.started).local_minus_utc();
        self.write(|connection| {
            let new = connection.execute(
                "INSERT INTO fact (name, value, at_ms) VALUES (?1, '', ?2) ON CONFLICT (name) DO NOTHING",
                params![format!("run_recorded {run}"), at.timestamp_millis()],
            )?;
            if new > 0 {
                insert(connection, row, offset, at, zone)?;
            }
            Ok(new > 0)
        })
    }

    /// Evenings from a night on, oldest first.
    pub fn evenings_since(&self, night: Night) -> Result<Vec<EveningRow>, Failure> {
        self.read(|connection| {
            let mut statement = connection.prepare(
                "SELECT night, routine, pattern, stretches, started_ms, planned_s, done_s FROM evening \
                 WHERE night >= ?1 ORDER BY started_ms, id",
            )?;
            statement.query_map([night.to_string()], read_row)?.collect()
        })
    }

    /// How many evenings there are in all.
    pub fn evening_count(&self) -> Result<u32, Failure> {
        self.read(|connection| {
            connection.query_row(
                "SELECT count(DISTINCT night) FROM evening WHERE done_s > 0",
                [],
                |row| row.get(0),
            )
        })
    }
}

fn insert(
    connection: &Connection,
    row: &EveningRow,
    offset_s: i32,
    at: Instant,
    zone: &Zone,
) -> rusqlite::Result<()> {
    connection.execute(
        "INSERT INTO evening (night, routine, pattern, stretches, started_ms, offset_s, planned_s, done_s) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            row.night.to_string(),
            row.routine,
            row.pattern,
            row.stretches.join(","),
            row.started.timestamp_millis(),
            offset_s,
            row.planned_s,
            row.done_s
        ],
    )?;
    let key = Key::once(Kind::WindDown, row.night);
    let event = Event::Answered {
        answer: Answer::Done,
    };
    prompts::insert(connection, &key, at, zone, &event)
}

fn read_row(row: &Row<'_>) -> rusqlite::Result<EveningRow> {
    let night: String = row.get(0)?;
    let stretches: String = row.get(3)?;
    let started: i64 = row.get(4)?;
    Ok(EveningRow {
        night: Night(night.parse::<NaiveDate>().unwrap_or_default()),
        routine: row.get(1)?,
        pattern: row.get(2)?,
        stretches: stretches
            .split(',')
            .filter(|id| !id.is_empty())
            .map(str::to_owned)
            .collect(),
        started: DateTime::<Utc>::from_timestamp_millis(started).unwrap_or_default(),
        planned_s: row.get(5)?,
        done_s: row.get(6)?,
    })
}
