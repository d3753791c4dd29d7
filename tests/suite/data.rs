//! What was said is kept: kills, full disks, locks, damage, old and new stores, archives.

mod archive;
mod copies;
mod damage;
mod private;
mod torture;

use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::support::Home;

/// The store of a home.
fn diary(home: &Home) -> PathBuf {
    home.path().join("diary.db")
}

/// Records a morning; the night makes it one of its own.
fn morning(home: &Home, night: &str) -> crate::support::Said {
    home.run(
        "2026-03-01T09:00",
        &[
            "morning",
            "--night",
            night,
            "--sleep",
            "3",
            "--note",
            "for a test",
        ],
    )
}

/// A home with some records and nobody at work in it.
fn lived_in() -> Home {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\nborn = 1991\n");
    for night in ["2026-01-05", "2026-01-06", "2026-01-07"] {
        let said = morning(&home, night);
        assert_eq!(said.code, 0, "{said:?}");
    }
    let trained = home.run(
        "2026-01-07T20:00",
        &[
            "train",
            "--date",
            "2026-01-07",
            "--minutes",
            "30",
            "--rpe",
            "6",
        ],
    );
    assert_eq!(trained.code, 0, "{trained:?}");
    home
}

/// What SQLite says of a whole store.
fn integrity(path: &Path) -> String {
    let store = Connection::open(path).expect("open");
    store
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .expect("check")
}

/// How many rows a table has.
fn count(path: &Path, table: &str) -> i64 {
    let store = Connection::open(path).expect("open");
    store
        .query_row(&format!("SELECT count(*) FROM {table}"), [], |row| {
            row.get(0)
        })
        .expect("count")
}
