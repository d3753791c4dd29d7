//! Archives: a copy of the store with the person's files in it, as one SQLite file.

use std::path::Path;

use rusqlite::{Connection, params};

use super::{Store, copies, trouble, upgrade};
use crate::shell::failure::Failure;

mod foreign;

pub use foreign::{ArchivedFile, archived_files};
use foreign::{FILES_TABLE, open, read_all};

/// What became of the records of an archive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Restored {
    /// So many rows were taken in.
    Rows(usize),
    /// The store had them all, and nothing else.
    Nothing,
}

impl Store {
    /// Writes everything to a file that does not exist yet.
    pub fn write_archive(&self, target: &Path, files: &[ArchivedFile]) -> Result<(), Failure> {
        self.copy_to(target)?;
        let put = || {
            let mut archive = Connection::open(target)?;
            let transaction = archive.transaction()?;
            transaction.execute_batch(FILES_TABLE)?;
            for (path, octets) in files {
                let insert = "INSERT INTO archive_file (path, octets) VALUES (?1, ?2)";
                transaction.execute(insert, params![path, octets])?;
            }
            transaction.commit()
        };
        put().map_err(|error| trouble(target, &error))
    }

    /// Takes in the records of an archive, all or none. A store that has other records is refused.
    ///
    /// `copy` names a file that may be made beside the store and is removed again: an archive of an
    /// older version is brought up to date there, never in its own place.
    pub fn restore(&mut self, archive: &Path, copy: &Path) -> Result<Restored, Failure> {
        let _ = std::fs::remove_file(copy);
        let restored = self.restore_by(archive, copy);
        let _ = std::fs::remove_file(copy);
        restored
    }

    fn restore_by(&mut self, archive: &Path, copy: &Path) -> Result<Restored, Failure> {
        let source = open(archive)?;
        super::make_private(copy).map_err(|error| Failure::file("Cannot make", copy, &error))?;
        copies::copy(&source, copy).map_err(|error| trouble(archive, &error))?;
        drop(source);
        let mut brought = Connection::open(copy).map_err(|error| trouble(copy, &error))?;
        upgrade::run(&mut brought, copy)?;
        read_all(brought, copy, archive)?;
        let attach = "ATTACH DATABASE ?1 AS archive";
        let path = copy.display().to_string();
        self.connection
            .execute(attach, [path])
            .map_err(|error| trouble(copy, &error))?;
        let taken = self.take_in(archive);
        let _ = self.connection.execute_batch("DETACH DATABASE archive");
        taken
    }

    fn take_in(&mut self, archive: &Path) -> Result<Restored, Failure> {
        let tables = self.read(tables)?;
        let same = |connection: &Connection| {
            let differ = |table: &&String| Ok(differs(connection, table)? && *table != "fact");
            let different: Vec<&String> = filter(tables.iter(), differ)?;
            let full = |table: &&&String| Ok(rows(connection, "main", table)? > 0);
            let full = filter(different.iter(), full)?;
            Ok((different.is_empty(), full.is_empty()))
        };
        match self.read(same)? {
            (true, _) => Ok(Restored::Nothing),
            (false, true) => self.write(|connection| {
                connection.execute_batch("PRAGMA defer_foreign_keys = ON")?;
                let mut count = 0;
                for table in &tables {
                    let into = format!(
                        "INSERT OR REPLACE INTO main.\"{table}\" SELECT * FROM archive.\"{table}\""
                    );
                    count += connection.execute(&into, [])?;
                }
                Ok(Restored::Rows(count))
            }),
            (false, false) => Err(Failure::failed(format!(
                "The store {} has records that are not those of {}. Nothing was changed. Restore into an empty home: \
                 evenfall --home DIR import FILE.",
                self.path.display(),
                archive.display()
            ))),
        }
    }
}

/// The tables of a store.
fn tables(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut statement = connection.prepare(
        "SELECT name FROM main.sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid",
    )?;
    statement.query_map([], |row| row.get(0))?.collect()
}

fn rows(connection: &Connection, of: &str, table: &str) -> rusqlite::Result<i64> {
    connection.query_row(
        &format!("SELECT count(*) FROM {of}.\"{table}\""),
        [],
        |row| row.get(0),
    )
}

/// Whether a table holds other rows here than in the archive.
fn differs(connection: &Connection, table: &str) -> rusqlite::Result<bool> {
    if rows(connection, "main", table)? != rows(connection, "archive", table)? {
        return Ok(true);
    }
    let more = format!(
        "SELECT EXISTS (SELECT * FROM main.\"{table}\" EXCEPT SELECT * FROM archive.\"{table}\")"
    );
    connection.query_row(&more, [], |row| row.get(0))
}

/// Those for which a question that can fail is answered with yes.
fn filter<T>(
    all: impl Iterator<Item = T>,
    wanted: impl Fn(&T) -> rusqlite::Result<bool>,
) -> rusqlite::Result<Vec<T>> {
    let asked = all.map(|one| Ok((wanted(&one)?, one)));
    let answered: Vec<(bool, T)> = asked.collect::<rusqlite::Result<_>>()?;
    let wanted = answered.into_iter().filter(|(wanted, _)| *wanted);
    Ok(wanted.map(|(_, one)| one).collect())
}
