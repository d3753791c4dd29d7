//! The person's records: one SQLite file, one short file of code a table.
//!
//! Rows are only added. A correction is a new row, so the history of an answer stays. Every writing
//! transaction is immediate (a deferred one that read first fails at once when another process wrote
//! in between).
//!
//! Writing waits until the disk has it: what a command acknowledged survives a power cut. What happens
//! on the screen alone ([`Event::is_about_the_screen_only`]) is written without the wait, because a
//! prompt that is due would come later by it. That survives a killed process. A power cut may take it,
//! and takes the notification with it. The journal keeps the order: a write that waits brings all before it
//! to the disk, so a power cut takes only what came after the last of them.
//!
//! [`Event::is_about_the_screen_only`]: crate::pure::prompt::Event::is_about_the_screen_only

mod archive;
mod calendar;
mod cells;
mod compare;
mod copies;
mod evening;
mod fact;
mod kept;
mod mornings;
mod pain;
mod peek;
mod prompts;
mod sessions;
mod upgrade;

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use super::failure::Failure;
use super::home;

pub use archive::{ArchivedFile, Restored, archived_files};
pub use calendar::CalendarRow;
pub use compare::ComparisonRow;
pub use copies::{copies, copies_of};
pub use evening::EveningRow;
pub use mornings::MorningRow;
pub use pain::PainRow;
pub use peek::Peek;
pub use prompts::about_the_screen_only;
pub use sessions::{SessionRow, TrainingDay, rest_days_of, sessions_of};

/// An open store.
#[derive(Debug)]
pub struct Store {
    connection: Connection,
    path: PathBuf,
}

impl Store {
    /// Opens the store at a path, makes it if it is missing, and brings an older one up to date.
    pub fn open(path: &Path) -> Result<Self, Failure> {
        if let Some(folder) = path.parent() {
            home::make_folder(folder)
                .map_err(|error| Failure::file("Cannot make the folder", folder, &error))?;
        }
        refuse_cut_off(path)?;
        make_private(path).map_err(|error| Failure::file("Cannot make the store", path, &error))?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection =
            Connection::open_with_flags(path, flags).map_err(|error| trouble(path, &error))?;
        let mut store = Self {
            connection,
            path: path.to_path_buf(),
        };
        store.prepare().map_err(|error| trouble(path, &error))?;
        upgrade::run(&mut store.connection, path)?;
        Ok(store)
    }

    /// A store in memory, gone when dropped: for rehearsals and tests.
    pub fn in_memory() -> Result<Self, Failure> {
        let path = PathBuf::from(":memory:");
        let connection = Connection::open_in_memory().map_err(|error| trouble(&path, &error))?;
        let mut store = Self { connection, path };
        upgrade::run(&mut store.connection, &store.path)?;
        Ok(store)
    }

    /// Whether the store is in a file.
    fn is_file(&self) -> bool {
        self.path.as_os_str() != ":memory:"
    }

    /// Reads the whole store and fails if its structure is damaged.
    pub fn check(&self) -> Result<(), Failure> {
        checked(&self.connection).map_err(|error| trouble(&self.path, &error))
    }

    fn prepare(&self) -> rusqlite::Result<()> {
        self.connection.busy_timeout(Duration::from_secs(5))?;
        self.connection.pragma_update(None, "journal_mode", "WAL")?;
        self.wait_for_disk(true)?;
        self.connection.pragma_update(None, "foreign_keys", true)
    }

    /// Whether the end of a write waits until the disk has it.
    fn wait_for_disk(&self, wait: bool) -> rusqlite::Result<()> {
        let level = if wait { "FULL" } else { "NORMAL" };
        self.connection.pragma_update(None, "synchronous", level)
    }

    /// Where the store is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Carries out `work` in one writing transaction, and returns when the disk has it.
    pub fn write<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
    ) -> Result<T, Failure> {
        let path = &self.path;
        let attempt = || {
            let transaction = self
                .connection
                .transaction_with_behavior(TransactionBehavior::Immediate)?;
            let value = work(&transaction)?;
            transaction.commit()?;
            Ok(value)
        };
        attempt().map_err(|error| trouble(path, &error))
    }

    /// The same without the wait: every other program sees it at once and a killed process takes nothing of
    /// it along, but a power cut may take it until the next [`Self::write`] of whatever process.
    pub fn write_unawaited<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
    ) -> Result<T, Failure> {
        let off = self.wait_for_disk(false);
        off.map_err(|error| trouble(&self.path, &error))?;
        let written = self.write(work);
        // Whatever came of it. A store that cannot be told to wait again must not look as if it did.
        let on = self.wait_for_disk(true);
        on.map_err(|error| trouble(&self.path, &error))?;
        written
    }

    /// Writes what is there already, so that the journal begins on the disk. Else the first write after an
    /// open waits for that, also one that need not wait, and it may be the showing of a prompt.
    pub fn begin_journal(&mut self) -> Result<(), Failure> {
        self.write(|store| {
            let version: i64 = store.pragma_query_value(None, "user_version", |row| row.get(0))?;
            store.pragma_update(None, "user_version", version)
        })
    }

    /// Carries out `work`, which only reads.
    pub fn read<T>(
        &self,
        work: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, Failure> {
        work(&self.connection).map_err(|error| trouble(&self.path, &error))
    }
}

/// An error if SQLite finds the structure of a database damaged.
fn checked(connection: &Connection) -> rusqlite::Result<()> {
    let said: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if said == "ok" {
        return Ok(());
    }
    Err(rusqlite::Error::SqliteFailure(
        rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_CORRUPT),
        Some(said),
    ))
}

/// The least that a store can have: SQLite's smallest page.
const SMALLEST: u64 = 512;

/// To SQLite a file that is empty or shorter than its header is a new store. Bytes that are no store,
/// and an empty file where there are copies of one that was not, are what is left of one.
fn refuse_cut_off(path: &Path) -> Result<(), Failure> {
    let Ok(file) = std::fs::metadata(path) else {
        return Ok(());
    };
    let newest = copies(path).into_iter().next();
    let at = path.display();
    let whole = file.len() >= SMALLEST && !ends_within_a_page(path, file.len());
    match newest {
        _ if whole => Ok(()),
        None if file.len() == 0 => Ok(()),
        Some(copy) => Err(Failure::failed(format!(
            "The store {at} is damaged: it is cut off, and there is a whole copy of it. Nothing was overwritten. Put \
             the copy in its place: cp {} {at}",
            copy.display()
        ))),
        None => Err(Failure::failed(format!(
            "The store {at} is damaged: it is cut off. Nothing was overwritten. Move it aside to begin a new one."
        ))),
    }
}

/// Whether a store ends in the middle of a page, which SQLite reads as zeros. With a journal beside it
/// that is a write which was cut short, and the journal has the rest.
fn ends_within_a_page(path: &Path, length: u64) -> bool {
    use std::io::Read;
    let mut journal = path.as_os_str().to_owned();
    journal.push("-wal");
    if std::fs::metadata(journal).is_ok_and(|journal| journal.len() > 0) {
        return false;
    }
    // SQLite's file format: the size of a page stands in bytes 16 and 17, 1 meaning 65536.
    let mut header = [0_u8; 18];
    let read = std::fs::File::open(path).and_then(|mut file| file.read_exact(&mut header));
    let page = match u64::from(u16::from_be_bytes([header[16], header[17]])) {
        1 => 65_536,
        size => size,
    };
    read.is_ok()
        && header.starts_with(b"SQLite format 3\0")
        && page > 0
        && !length.is_multiple_of(page)
}

/// Makes the file with mode 0600 before SQLite sees it; journal and shared memory follow its mode.
fn make_private(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::OpenOptionsExt;
    if path.exists() {
        return Ok(());
    }
    std::fs::OpenOptions::new()
        .append(true)
        .create(true)
        .mode(0o600)
        .open(path)
        .map(drop)
}

/// What went wrong with the store, and what to do.
pub(super) fn trouble(path: &Path, error: &rusqlite::Error) -> Failure {
    use rusqlite::ErrorCode;
    let path = path.display();
    let message = match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => format!(
            "The store {path} is held by another program for more than 5 seconds. Close that program and try \
             again; nothing was changed."
        ),
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => format!(
            "The store {path} is damaged ({error}). Nothing was overwritten. Daily copies are in the folder \
             copies beside it: move the damaged file and those named like it with -wal and -shm aside, and put the \
             newest copy in its place."
        ),
        Some(ErrorCode::DiskFull) => {
            format!(
                "The disk is full, the store {path} was not changed. Free some space and try again."
            )
        }
        Some(ErrorCode::SystemIoFailure) => format!(
            "The store {path} could not be written or read ({error}), and was not changed. The disk may be full or \
             faulty: free some space, look at the disk, and try again."
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => format!(
            "The store {path} cannot be written ({error}). Make the file and its folder writable, or choose \
             another home with --home."
        ),
        _ => format!(
            "The store {path}: {error}. Nothing was changed; evenfall doctor looks for the cause."
        ),
    };
    Failure::failed(message)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_journal_begins_without_a_change() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("diary.db");
        drop(Store::open(&path).expect("made"));
        let mut store = Store::open(&path).expect("open");
        let journal = folder.path().join("diary.db-wal");
        let length = || std::fs::metadata(&journal).map_or(0, |file| file.len());
        assert_eq!(length(), 0);
        store.begin_journal().expect("begun");
        assert!(length() > 32, "no more than a header: {}", length());
        store.check().expect("whole");
        drop(store);
        Store::open(&path).expect("of the same version");
    }
}
