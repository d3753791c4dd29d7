//! An archive is a file that somebody else may have made. Before anything of it is used it has to be, word
//! for word, what this program makes: a database can carry code of its own (views, triggers, computed
//! columns) that runs when it is read.

use std::collections::BTreeSet;
use std::path::Path;

use chrono::NaiveDate;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use super::super::{Store, checked, trouble, upgrade};
use crate::pure::civil::Night;
use crate::shell::failure::Failure;

/// The table that makes a store an archive.
pub(super) const FILES_TABLE: &str =
    "CREATE TABLE archive_file (path TEXT PRIMARY KEY, octets BLOB NOT NULL) STRICT";

/// Octets of an archive: our own choice, room for decades of records with calendars.
const MOST_OCTETS: u64 = 512 << 20;
/// Files of the person in one.
const MOST_FILES: u32 = 2_000;
/// Octets of one of these files.
const LONGEST_FILE: u32 = crate::shell::given::MOST_OF_A_TEXT as u32;

/// A file of the person: its path below the home, with `/`, and what is in it.
pub type ArchivedFile = (String, Vec<u8>);

/// The files in an archive.
///
/// # Errors
/// No archive of this program's making, or one beyond its limits.
pub fn archived_files(archive: &Path) -> Result<Vec<ArchivedFile>, Failure> {
    let connection = open(archive)?;
    let longest = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
    let (count, longest): (u32, Option<u32>) = connection
        .query_row(
            "SELECT count(*), max(length(octets) + length(path)) FROM archive_file",
            [],
            longest,
        )
        .map_err(|error| trouble(archive, &error))?;
    if count > MOST_FILES || longest.is_some_and(|longest| longest > LONGEST_FILE) {
        return Err(Failure::wrong(format!(
            "{}: it holds more files than {MOST_FILES}, or one of more than {} kB, the limits. Nothing was changed.",
            archive.display(),
            LONGEST_FILE / 1024
        )));
    }
    let read = || -> rusqlite::Result<Vec<ArchivedFile>> {
        let mut statement =
            connection.prepare("SELECT path, octets FROM archive_file ORDER BY path")?;
        let files = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        files.collect()
    };
    read().map_err(|error| trouble(archive, &error))
}

/// Opens an archive for reading, or says what it is instead.
pub(super) fn open(path: &Path) -> Result<Connection, Failure> {
    let no_archive = || {
        Failure::wrong(format!(
            "{}: this is no archive of evenfall, or it is cut off. Make one with: evenfall export all FILE.evenfall",
            path.display()
        ))
    };
    let file =
        std::fs::metadata(path).map_err(|error| Failure::file("Cannot read", path, &error))?;
    if !file.is_file() {
        return Err(no_archive());
    }
    std::fs::File::open(path).map_err(|error| Failure::file("Cannot read", path, &error))?;
    if file.len() > MOST_OCTETS {
        return Err(Failure::wrong(format!(
            "{}: it is longer than {} MB, the limit for an archive. Nothing was changed.",
            path.display(),
            MOST_OCTETS >> 20
        )));
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|_| no_archive())?;
    connection
        .set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)
        .and_then(|_| connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true))
        .map_err(|_| no_archive())?;
    // The words first: nothing that the file brings along may run, not even for the check.
    let words = schema(&connection).map_err(|_| no_archive())?;
    if !words.iter().any(|(_, name, _)| name == "archive_file") {
        return Err(no_archive());
    }
    let version = upgrade::known_version(&connection, path)?;
    let own = upgrade::as_of(version)
        .and_then(|own| {
            own.execute_batch(FILES_TABLE)?;
            schema(&own)
        })
        .map_err(|error| trouble(path, &error))?;
    if words != own {
        return Err(Failure::wrong(format!(
            "{}: it is made like an archive and holds more or other tables than evenfall makes. Nothing was changed. \
             Make one with: evenfall export all FILE.evenfall",
            path.display()
        )));
    }
    checked(&connection).map_err(|_| no_archive())?;
    Ok(connection)
}

/// Kind, name and words of everything that a database consists of. What SQLite makes by itself has no
/// words; its statistics are left out.
fn schema(connection: &Connection) -> rusqlite::Result<BTreeSet<(String, String, Option<String>)>> {
    let mut statement = connection.prepare(
        "SELECT type, name, sql FROM sqlite_schema WHERE NOT (type = 'table' AND name GLOB 'sqlite_stat[14]')",
    )?;
    let parts = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    parts.collect()
}

/// Reads every record the way the commands do. One that cannot be read would stop them for ever after.
pub(super) fn read_all(brought: Connection, copy: &Path, archive: &Path) -> Result<(), Failure> {
    let store = Store {
        connection: brought,
        path: copy.to_path_buf(),
    };
    let day = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default();
    let (first, last) = (day(1000), day(9999));
    let read = || {
        let stray = store.read(stray_value)?;
        store.morning_rows(Night(first), Night(last))?;
        store.training(first, last)?;
        store.kept_days(first, last)?;
        store.pain()?;
        store.evenings_since(Night(first))?;
        store.events_since(Night(first))?;
        store.calendar_days()?;
        store.newest_calendar()?;
        store.comparison()?;
        Ok::<_, Failure>(stray)
    };
    let what = match read() {
        Ok(None) => return Ok(()),
        Ok(Some(column)) => format!("it has a value under {column} that evenfall never writes"),
        Err(_) => "some of its records cannot be read".to_owned(),
    };
    Err(Failure::wrong(format!(
        "{}: {what}. Nothing was changed. Make the archive anew: evenfall export all FILE.evenfall",
        archive.display()
    )))
}

/// The first column that has a date, an instant or an offset no record can have: the commands compute with
/// them, and the calendar ends somewhere.
fn stray_value(connection: &Connection) -> rusqlite::Result<Option<String>> {
    let mut columns = connection.prepare(
        "SELECT tables.name, columns.name FROM sqlite_schema AS tables, pragma_table_info(tables.name) AS columns \
         WHERE tables.type = 'table'",
    )?;
    let mut columns = columns.query([])?;
    while let Some(row) = columns.next()? {
        let (table, column): (String, String) = (row.get(0)?, row.get(1)?);
        // 1900 to 2200, in milliseconds and as dates, like the dates that options take.
        let good = match column.as_str() {
            "night" | "date" | "since" | "from_date" | "until_date" => {
                format!("date({column}) IS {column} AND {column} BETWEEN '1900' AND '2201'")
            }
            name if name.ends_with("_ms") => {
                format!("{column} BETWEEN -2208988800000 AND 7289654400000")
            }
            name if name.ends_with("offset_s") => format!("abs({column}) < 86400"),
            _ => continue,
        };
        let strays = format!(
            "SELECT EXISTS (SELECT 1 FROM {table} WHERE {column} IS NOT NULL AND NOT ({good}))"
        );
        if connection.query_row(&strays, [], |row| row.get(0))? {
            return Ok(Some(format!("{table}.{column}")));
        }
    }
    Ok(None)
}
