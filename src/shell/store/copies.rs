//! The daily copies: seven, in the folder `copies` beside the store.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::NaiveDate;
use rusqlite::Connection;

use super::{Store, make_private, trouble};
use crate::shell::failure::Failure;
use crate::shell::home;

/// How many are kept.
const KEPT: usize = 7;
/// Pages copied at a time.
const PAGES: std::ffi::c_int = 1000;

impl Store {
    /// Keeps a copy of the store under a date, unless there is one already, and drops the oldest
    /// beyond seven. A copy that does not check out is not kept, and then none is dropped.
    pub fn keep_copy(&self, date: NaiveDate) -> Result<(), Failure> {
        if !self.is_file() {
            return Ok(());
        }
        let folder = copies_of(self.path());
        let copy = folder.join(format!("diary-{date}.db"));
        if copy.exists() {
            return Ok(());
        }
        home::make_folder(&folder)
            .map_err(|error| Failure::file("Cannot make the folder", &folder, &error))?;
        let beside = folder.join("diary.new");
        let _ = fs::remove_file(&beside);
        let made = self
            .copy_to(&beside)
            .and_then(|()| place(&beside, &copy, &folder));
        if made.is_err() {
            let _ = fs::remove_file(&beside);
        }
        made?;
        drop_oldest(&folder);
        Ok(())
    }

    /// Copies the store as it is at this moment to a file that does not exist yet.
    pub fn copy_to(&self, target: &Path) -> Result<(), Failure> {
        make_private(target).map_err(|error| Failure::file("Cannot make", target, &error))?;
        copy(&self.connection, target).map_err(|error| trouble(target, &error))
    }
}

/// The folder of a store's daily copies.
pub fn copies_of(store: &Path) -> PathBuf {
    store.with_file_name("copies")
}

/// The daily copies of a store, the newest first.
pub fn copies(store: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(copies_of(store)) else {
        return Vec::new();
    };
    let mut found: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| {
            let name = path.file_name().and_then(|name| name.to_str());
            name.and_then(|name| name.strip_prefix("diary-")?.strip_suffix(".db"))
                .is_some_and(|date| date.parse::<NaiveDate>().is_ok())
        })
        .collect();
    found.sort();
    found.reverse();
    found
}

/// Copies a database page by page, also while it is being written to, and checks the copy.
pub(super) fn copy(from: &Connection, target: &Path) -> rusqlite::Result<()> {
    let mut copy = Connection::open(target)?;
    rusqlite::backup::Backup::new(from, &mut copy)?.run_to_completion(
        PAGES,
        Duration::from_millis(1),
        None,
    )?;
    // A copy is one file: it must not need a journal beside it.
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    super::checked(&copy)
}

fn place(beside: &Path, copy: &Path, folder: &Path) -> Result<(), Failure> {
    let moved = (|| {
        fs::File::open(beside)?.sync_all()?;
        fs::rename(beside, copy)?;
        fs::File::open(folder)?.sync_all()
    })();
    moved.map_err(|error| Failure::file("Cannot keep the daily copy", copy, &error))
}

fn drop_oldest(folder: &Path) {
    for old in copies(&folder.with_file_name("diary.db")).iter().skip(KEPT) {
        let _ = fs::remove_file(old);
    }
}
