//! Numbered upgrades of the store. Each is one transaction; before the first one a copy is laid aside.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, TransactionBehavior};

use super::trouble;
use crate::shell::failure::Failure;

/// The steps in order; step `n` leads to version `n + 1`.
const STEPS: &[&str] = &[include_str!("upgrade/001_first.sql")];

/// The version this program writes.
pub fn newest() -> usize {
    STEPS.len()
}

/// Brings a store up to date, or refuses one that a newer program wrote.
pub fn run(connection: &mut Connection, path: &Path) -> Result<(), Failure> {
    let version = known_version(connection, path)?;
    if version == newest() {
        return Ok(());
    }
    if version > 0 {
        lay_aside(connection, path, version)?;
    }
    upgrade(connection, version).map_err(|error| trouble(path, &error))
}

/// The version of a store that this program knows.
pub(super) fn known_version(connection: &Connection, path: &Path) -> Result<usize, Failure> {
    let version = version(connection).map_err(|error| trouble(path, &error))?;
    if version <= newest() {
        return Ok(version);
    }
    Err(Failure::failed(format!(
        "The store {} was written by a newer evenfall (its version is {version}, this program knows {}). \
         Install the newer program; nothing was changed.",
        path.display(),
        newest()
    )))
}

/// A store in memory as a program of an older version made it.
pub(super) fn as_of(version: usize) -> rusqlite::Result<Connection> {
    let connection = Connection::open_in_memory()?;
    for step in STEPS.iter().take(version) {
        connection.execute_batch(step)?;
    }
    Ok(connection)
}

fn version(connection: &Connection) -> rusqlite::Result<usize> {
    connection
        .query_row("PRAGMA user_version", [], |row| row.get::<_, i64>(0))
        .map(|n| usize::try_from(n).unwrap_or(usize::MAX))
}

fn upgrade(connection: &mut Connection, from: usize) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have done it while this one waited for the lock.
    let from = version(&transaction)?.max(from);
    for step in STEPS.iter().skip(from) {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(
        None,
        "user_version",
        i64::try_from(newest()).unwrap_or(i64::MAX),
    )?;
    transaction.commit()
}

/// Copies the store as it is to `diary.db.version-N` beside it.
fn lay_aside(connection: &Connection, path: &Path, version: usize) -> Result<(), Failure> {
    let mut name = path.as_os_str().to_owned();
    name.push(format!(".version-{version}"));
    let aside = PathBuf::from(name);
    if aside.exists() {
        return Ok(());
    }
    super::make_private(&aside)
        .map_err(|error| Failure::file("Cannot lay a copy aside at", &aside, &error))?;
    let copied = super::copies::copy(connection, &aside);
    copied.map_err(|error| {
        let _ = std::fs::remove_file(&aside);
        trouble(&aside, &error)
    })
}
