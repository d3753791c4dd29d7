//! Days on which the person chose to train as planned anyway.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use rusqlite::params;

use super::Store;
use super::cells::date;
use crate::pure::civil::{Instant, Zone};
use crate::shell::failure::Failure;

impl Store {
    /// Remembers the choice for a day: as planned anyway, or (`false`) as suggested after all.
    pub fn keep(
        &mut self,
        day: NaiveDate,
        kept: bool,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO kept (date, at_ms, offset_s, zone, kept) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![
                    day.to_string(),
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name(),
                    kept
                ],
            )?;
            Ok(())
        })
    }

    /// Days of a span, both included, that go as planned anyway.
    pub fn kept_days(
        &self,
        from: NaiveDate,
        to: NaiveDate,
    ) -> Result<BTreeSet<NaiveDate>, Failure> {
        self.read(|connection| {
            let mut statement = connection
                .prepare("SELECT date, kept FROM kept WHERE date BETWEEN ?1 AND ?2 ORDER BY id")?;
            let mut rows = statement.query(params![from.to_string(), to.to_string()])?;
            let mut days = BTreeSet::new();
            while let Some(row) = rows.next()? {
                let day = date(row, 0)?;
                if row.get(1)? {
                    days.insert(day);
                } else {
                    days.remove(&day);
                }
            }
            Ok(days)
        })
    }
}
