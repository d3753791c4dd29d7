//! A look into a store that may not exist yet, before anybody needs it.

use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use super::calendar::days;
use super::compare::{ComparisonRow, newest};
use crate::pure::block::DatedSession;

/// A store that is only looked into. Anything in the way reads as nothing, because whoever needs the
/// store opens it and is told then.
#[derive(Debug)]
pub struct Peek(Option<Connection>);

impl Peek {
    /// Of the store at a path.
    pub fn into(path: &Path) -> Self {
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        Self(Connection::open_with_flags(path, flags).ok())
    }

    fn ask<T>(&self, what: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> Option<T> {
        what(self.0.as_ref()?).ok()
    }

    /// The value of a fact.
    pub fn fact(&self, name: &str) -> Option<String> {
        self.ask(|connection| {
            connection.query_row("SELECT value FROM fact WHERE name = ?1", [name], |row| {
                row.get(0)
            })
        })
    }

    /// Sessions that calendars name for dates.
    pub fn calendar_days(&self) -> Vec<DatedSession> {
        self.ask(days).unwrap_or_default()
    }

    /// The newest comparison.
    pub fn comparison(&self) -> Option<ComparisonRow> {
        self.ask(newest).flatten()
    }
}
