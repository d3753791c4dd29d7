//! Single facts: what was asked once, what was shown once.

use rusqlite::{OptionalExtension, params};

use super::Store;
use crate::pure::civil::Instant;
use crate::shell::failure::Failure;

/// The words before the first session were shown.
const SCREENING_SHOWN: &str = "screening_shown";

impl Store {
    /// Whether the words before the first session were shown.
    pub fn screening_shown(&self) -> Result<bool, Failure> {
        Ok(self.fact(SCREENING_SHOWN)?.is_some())
    }

    /// Remembers that they were.
    pub fn set_screening_shown(&mut self, at: Instant) -> Result<(), Failure> {
        self.set_fact(SCREENING_SHOWN, "yes", at)
    }

    /// The value of a fact.
    pub fn fact(&self, name: &str) -> Result<Option<String>, Failure> {
        self.read(|connection| {
            connection
                .query_row("SELECT value FROM fact WHERE name = ?1", [name], |row| {
                    row.get(0)
                })
                .optional()
        })
    }

    /// Sets a fact.
    pub fn set_fact(&mut self, name: &str, value: &str, at: Instant) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO fact (name, value, at_ms) VALUES (?1, ?2, ?3) \
                 ON CONFLICT (name) DO UPDATE SET value = excluded.value, at_ms = excluded.at_ms",
                params![name, value, at.timestamp_millis()],
            )?;
            Ok(())
        })
    }
}
