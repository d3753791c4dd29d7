//! A morning's turn: which night it is about, and what is known of it.

use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::Morning;
use crate::shell::failure::Failure;
use crate::shell::morning::{Usual, unrecorded, usual};
use crate::shell::page::reply::Trouble;
use crate::shell::page::site::{Files, Site};
use crate::shell::store::Store;

/// Nights looked back at for missing mornings.
const LOOK_BACK: u64 = 7;

/// A night and what is known of it.
pub(super) struct Turn {
    pub(super) files: Files,
    pub(super) plan: Plan,
    pub(super) night: Night,
    pub(super) zone: Zone,
    pub(super) now: Instant,
    pub(super) known: Option<Morning>,
    pub(super) usual: Usual,
    pub(super) missing: Vec<Night>,
    /// The session of the day before, where it is planned and nothing is recorded.
    pub(super) unrecorded: Option<String>,
}

impl Turn {
    pub(super) fn new(site: &Site, night: Option<Night>) -> Result<Self, Trouble> {
        let now = site.now();
        let files = site.files(now)?;
        let plan = files.world.plan();
        let last = plan.last_night(now);
        let night = night.unwrap_or(last);
        if night > last {
            return Err(Trouble::form(format!(
                "The night of {night} is still to come. Its morning can be recorded when it is over."
            )));
        }
        let store = site.store();
        let known = store.morning(night)?;
        Ok(Self {
            zone: plan.zone_of(night).clone(),
            usual: usual(&plan, &store, night, known.as_ref())?,
            missing: missing(&store, last)?,
            unrecorded: unrecorded(&plan, &store, night)?,
            files,
            night,
            now,
            known,
            plan,
        })
    }
}

fn missing(store: &Store, last: Night) -> Result<Vec<Night>, Failure> {
    let first = last
        .evening()
        .checked_sub_days(chrono::Days::new(LOOK_BACK))
        .map_or(last, Night);
    let recorded = store.mornings(first, last)?;
    // Before the first record of all nothing is missing.
    let Some(begin) = recorded.first().map(|morning| morning.night) else {
        return Ok(Vec::new());
    };
    let nights = begin.evening().iter_days().map(Night);
    Ok(nights
        .take_while(|night| *night <= last)
        .filter(|night| !recorded.iter().any(|morning| morning.night == *night))
        .collect())
}
