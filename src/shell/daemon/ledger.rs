//! The service's way to the store, which may fail it at any time.
//!
//! Prompts go on whatever becomes of the store: what happens to them is remembered and written down in
//! order as soon as the store takes it again. A store that cannot be opened or is damaged is left
//! alone, never replaced.

use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};

use chrono::{Days, NaiveDate};

use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Event, Key, Record};
use crate::shell::failure::Failure;
use crate::shell::store::{Store, about_the_screen_only};

/// Nights of records that are read back.
const READ_BACK_NIGHTS: u64 = 21;
/// A store that failed is asked again no sooner than after so many seconds: it may hold the caller up.
const RETRY_S: i64 = 30;
/// Steps that are remembered at most while nothing can be written: more than a year of prompts.
const MOST_UNWRITTEN: usize = 20_000;

/// The name under which the store keeps when a service first started.
const SINCE: &str = "service_since";

/// What happened at one instant, each with the zone of its night.
#[derive(Debug)]
struct Entry {
    at: Instant,
    events: Vec<(Key, Zone, Event)>,
}

impl Entry {
    /// The day of an instant where the first of them has its night.
    fn day(&self, now: Instant) -> Option<NaiveDate> {
        let (_, zone, _) = self.events.first()?;
        Some(zone.local(now).date_naive())
    }
}

/// The store, or what is remembered until there is one.
#[derive(Debug)]
pub struct Ledger {
    path: PathBuf,
    store: Option<Store>,
    unwritten: VecDeque<Entry>,
    /// What is wrong, said once until it is right again.
    trouble: Option<String>,
    failed_at: Option<Instant>,
    /// The store was opened while running: its records are to be read.
    came_back: bool,
    copied_on: Option<NaiveDate>,
    /// The day of a showing that was written down before the copy of that day was made.
    owes_copy_of: Option<NaiveDate>,
    said: Vec<String>,
}

impl Ledger {
    /// Of a store that is open.
    pub fn of(store: Store) -> Self {
        Self::new(store.path().to_path_buf(), Some(store))
    }

    fn new(path: PathBuf, store: Option<Store>) -> Self {
        Self {
            path,
            store,
            unwritten: VecDeque::new(),
            trouble: None,
            failed_at: None,
            came_back: false,
            copied_on: None,
            owes_copy_of: None,
            said: Vec::new(),
        }
    }

    /// Opens and checks the store at a path. If that fails it says so, and tries again when there is
    /// something to write.
    pub fn open(path: &Path, now: Instant) -> Self {
        match open_checked(path) {
            Ok(store) => Self::of(store),
            Err(failure) => {
                let mut ledger = Self::new(path.to_path_buf(), None);
                ledger.failed(&failure, now);
                ledger
            }
        }
    }

    /// Writes events as [`Store::add_events`] does, or remembers them.
    pub fn write(&mut self, at: Instant, events: Vec<(Key, Zone, Event)>) {
        if self.unwritten.len() == MOST_UNWRITTEN {
            self.unwritten.pop_front();
        }
        self.unwritten.push_back(Entry { at, events });
        self.catch_up(at);
    }

    /// Writes what is remembered, if the store takes it.
    pub fn catch_up(&mut self, now: Instant) {
        let waits = |failed: Instant| (now - failed).num_seconds().abs() < RETRY_S;
        if self.unwritten.is_empty() || self.failed_at.is_some_and(waits) {
            return;
        }
        if self.store.is_none() {
            match open_checked(&self.path) {
                Ok(store) => {
                    self.store = Some(store);
                    self.came_back = true;
                }
                Err(failure) => return self.failed(&failure, now),
            }
        }
        while let Some(entry) = self.unwritten.front() {
            match entry.day(now) {
                // A prompt that is due would come later by the copy: it is made when the screen has it.
                day if about_the_screen_only(&entry.events) => self.owes_copy_of = day,
                Some(day) => self.copy_of(day),
                None => {}
            }
            let (Some(entry), Some(store)) = (self.unwritten.front(), self.store.as_mut()) else {
                break;
            };
            match store.add_events(entry.at, &entry.events) {
                Ok(()) => drop(self.unwritten.pop_front()),
                Err(failure) => return self.failed(&failure, now),
            }
        }
        self.works();
    }

    /// The copy that a showing did not wait for, if one is owed.
    pub fn make_owed_copy(&mut self) {
        if let Some(day) = self.owes_copy_of {
            self.copy_of(day);
        }
    }

    /// The copy of the store as the day before left it, made before the first write of a day that is not
    /// about the screen only.
    fn copy_of(&mut self, day: NaiveDate) {
        self.owes_copy_of = None;
        if self.copied_on == Some(day) {
            return;
        }
        self.copied_on = Some(day);
        let Some(store) = &self.store else { return };
        if let Err(failure) = store.keep_copy(day) {
            self.said.push(failure.message);
        }
    }

    /// The records of the recent nights; nothing, and said once, while they cannot be read. `None`
    /// also while there is something that the store does not know yet.
    pub fn records(&mut self, now: Instant, zone: &Zone) -> Option<BTreeMap<Key, Record>> {
        self.catch_up(now);
        self.came_back = false;
        let tonight = Night::at(now, zone).evening();
        let from = tonight
            .checked_sub_days(Days::new(READ_BACK_NIGHTS))
            .unwrap_or(tonight);
        let read = self.store.as_ref()?.records_since(Night(from));
        match read {
            Ok(records) => self.unwritten.is_empty().then_some(records),
            Err(failure) => {
                // What cannot be read is not written to either, until a check finds it whole.
                self.store = None;
                self.failed(&failure, now);
                None
            }
        }
    }

    /// When a service first started for this store, and when one last wrote anything.
    pub fn history(&mut self, now: Instant) -> (Option<Instant>, Option<Instant>) {
        let Some(store) = self.store.as_mut() else {
            return (None, None);
        };
        let read = (|| {
            let since = store.fact(SINCE)?.and_then(|text| text.parse().ok());
            if since.is_none() {
                store.set_fact(SINCE, &now.to_rfc3339(), now)?;
            }
            Ok::<_, Failure>((since, store.last_event()?))
        })();
        read.unwrap_or_else(|failure| {
            self.failed(&failure, now);
            (None, None)
        })
    }

    /// Has the journal begin before a prompt is due. Nothing hangs on it: what keeps the store from being
    /// written is said when there is something to write.
    pub fn begin_journal(&mut self) {
        if let Some(store) = &mut self.store {
            let _ = store.begin_journal();
        }
    }

    /// Sets a fact that is not set yet. Nothing hangs on it: a store that does not take it now gets it
    /// at another start.
    pub fn note_once(&mut self, name: &str, value: &str, now: Instant) {
        let Some(store) = self.store.as_mut() else {
            return;
        };
        let noted = store.fact(name).and_then(|known| match known {
            Some(_) => Ok(()),
            None => store.set_fact(name, value, now),
        });
        if let Err(failure) = noted {
            self.failed(&failure, now);
        }
    }

    /// Whether a store was found that was not there before; emptied by reading the records.
    pub fn came_back(&self) -> bool {
        self.came_back
    }

    /// What keeps the store from being written, if anything does.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// The store, while it is open.
    pub fn store(&mut self) -> Option<&mut Store> {
        self.store.as_mut()
    }

    /// Lines for the log, emptied by the call.
    pub fn take_said(&mut self) -> Vec<String> {
        std::mem::take(&mut self.said)
    }

    /// Notes a failure of the store, and says it if it is a new one.
    pub fn failed(&mut self, failure: &Failure, now: Instant) {
        self.failed_at = Some(now);
        if self.trouble.as_ref() != Some(&failure.message) {
            self.said.push(format!(
                "{failure} Prompts go on from the settings meanwhile."
            ));
            self.trouble = Some(failure.message.clone());
        }
    }

    fn works(&mut self) {
        self.failed_at = None;
        if self.trouble.take().is_some() {
            self.said.push(
                "The store can be written again; what happened meanwhile is in it.".to_owned(),
            );
        }
    }
}

/// Opens a store for a service: a damaged one is refused here, before anything is written to it.
fn open_checked(path: &Path) -> Result<Store, Failure> {
    let store = Store::open(path)?;
    store.check()?;
    Ok(store)
}

/// What a test or a command takes back out of a service.
impl From<Ledger> for Option<Store> {
    fn from(ledger: Ledger) -> Self {
        ledger.store
    }
}
