//! Archives that somebody else made: octets changed at random, and tables, views, triggers and values
//! that evenfall never writes.

use std::path::PathBuf;

use evenfall::pure::civil::Zone;
use evenfall::pure::diary::Morning;
use evenfall::shell::store::{Store, archived_files};
use rusqlite::Connection;

use super::corpus;
use crate::support::Home;

/// Pieces of SQLite's file format (sqlite.org/fileformat2.html) and of the store's words.
pub const WORDS: &[&[u8]] = &[
    b"SQLite format 3\0",
    b"CREATE TABLE",
    b"CREATE VIEW",
    b"archive_file",
    b"settings.toml",
    b"\x0d\x00\x00\x00",
    b"\x05\x00\x00\x00",
    b"\x02\x00\x00\x00",
    b"\x0a\x00\x00\x00",
    b"\xff\xff\xff\xff\xff\xff\xff\xff\xff",
    b"\x80\x80\x80\x80\x80\x80\x80\x80\x01",
    b"\x7f\xff\xff\xff",
    b"2026-99-99",
];

/// A folder to restore into.
pub struct Restoring {
    folder: tempfile::TempDir,
    good: Vec<u8>,
}

impl Restoring {
    /// An empty one, with an archive that can be restored.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let archive = folder.path().join("good.evenfall");
        let mut store = Store::open(&folder.path().join("good.db")).expect("store");
        let morning = Morning {
            note: "a note".to_owned(),
            ..Morning::empty(
                evenfall::pure::civil::Night("2026-01-05".parse().expect("date")),
                "UTC",
            )
        };
        let now = "2026-01-06T08:00:00Z".parse().expect("instant");
        store
            .add_morning(&morning, now, &Zone::utc())
            .expect("added");
        let files = [("settings.toml".to_owned(), b"born = 1991\n".to_vec())];
        store.write_archive(&archive, &files).expect("archive");
        Self {
            good: std::fs::read(&archive).expect("archive"),
            folder,
        }
    }

    /// An archive that can be restored.
    pub fn good(&self) -> Vec<u8> {
        self.good.clone()
    }

    /// Restores; whether that was done. Either way the store is whole afterwards.
    pub fn read(&self, octets: &[u8]) -> bool {
        let at = |name: &str| -> PathBuf { self.folder.path().join(name) };
        std::fs::write(at("x.evenfall"), octets).expect("written");
        for name in ["diary.db", "diary.db-wal", "diary.db-shm"] {
            let _ = std::fs::remove_file(at(name));
        }
        let mut store = Store::in_memory().expect("store");
        let restored = archived_files(&at("x.evenfall"))
            .and_then(|_| store.restore(&at("x.evenfall"), &at("diary.import")));
        if let Err(failure) = &restored {
            assert!(failure.message.contains("x.evenfall"), "{failure}");
            assert!(!store.has_sessions().expect("readable"));
        }
        assert!(!at("diary.import").exists(), "a copy was left behind");
        store.check().expect("whole");
        restored.is_ok()
    }
}

/// Each script of the folder changes a good archive; none may be taken, and nothing of it may run.
#[test]
fn archives_of_other_making_are_refused() {
    let scripts = corpus("archive");
    assert!(scripts.len() >= 10);
    for (name, script) in scripts {
        let home = Home::new();
        home.write("settings.toml", "timezone = \"UTC\"\n");
        let folder = tempfile::tempdir().expect("folder");
        let file = folder.path().join("all.evenfall");
        let path = file.to_str().expect("path");
        let at = "2026-03-01T09:00";
        assert_eq!(home.run(at, &["morning", "--sleep", "3"]).code, 0);
        assert_eq!(home.run(at, &["export", "all", path]).code, 0);
        let archive = Connection::open(&file).expect("open");
        archive
            .execute_batch(std::str::from_utf8(&script).expect("text"))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        drop(archive);
        let other = Home::new();
        let begun = std::time::Instant::now();
        let said = other.run(at, &["import", path]);
        assert_eq!(said.code, 2, "{name}: {said:?}");
        assert!(said.err.contains("all.evenfall"), "{name}: {said:?}");
        assert!(said.err.contains("Nothing was changed"), "{name}: {said:?}");
        assert!(
            begun.elapsed().as_secs() < 20,
            "{name} took {:?}",
            begun.elapsed()
        );
        assert!(!other.path().join("settings.toml").exists(), "{name}");
        let today = other.run(at, &["today"]);
        assert_eq!(today.code, 0, "{name}: {today:?}");
    }
}
