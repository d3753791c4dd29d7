//! An evening as it stands: its plan, what was chosen for it, and what happened to it.

use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Key, Kind, Record};
use crate::pure::routine::library::Limits;
use crate::pure::tonight::{Chosen, Known, Tonight, limits, tonight_by};
use crate::shell::failure::Failure;
use crate::shell::known;
use crate::shell::page::run;
use crate::shell::page::site::{Files, Site};
use crate::shell::store::EveningRow;

/// What the evening looks like at an instant.
pub struct Evening {
    /// The person's files.
    pub files: Files,
    /// The agenda.
    pub plan: Plan,
    /// Which night.
    pub night: Night,
    /// The zone of the night.
    pub zone: Zone,
    /// What the person leaves out.
    pub limits: Limits,
    /// What was chosen for this night.
    pub chosen: Chosen,
    /// What happened to its prompt.
    pub record: Record,
    /// Evenings recorded for it.
    pub rows: Vec<EveningRow>,
}

impl Evening {
    /// Gathers it.
    pub fn of(site: &Site, now: Instant) -> Result<(Self, Known), Failure> {
        let files = site.files(now)?;
        let plan = files.world.plan();
        let night = plan.tonight(now);
        let zone = plan.zone_of(night).clone();
        let mut store = site.store();
        run::sweep(&mut store, now, &zone)?;
        let known = known::for_night(&store, night)?;
        let record = store
            .records_since(night)?
            .remove(&Key::once(Kind::WindDown, night))
            .unwrap_or_default();
        let rows = store
            .evenings_since(night)?
            .into_iter()
            .filter(|row| row.night == night)
            .collect();
        let evening = Self {
            limits: limits(&plan, &known),
            chosen: known.chosen.clone(),
            files,
            night,
            zone,
            record,
            rows,
            plan,
        };
        Ok((evening, known))
    }

    /// Its plan and routine.
    pub fn tonight(&self, site: &Site, now: Instant, known: &Known) -> Tonight<'_> {
        let mut memory = site.composed();
        tonight_by(
            &mut |request, stretches, pattern| memory.compose(request, stretches, pattern),
            &self.plan,
            &self.files.world.library,
            self.night,
            now,
            known,
        )
    }

    /// The wall time of an instant.
    pub fn clock(&self, at: Instant) -> String {
        self.zone.local(at).format("%H:%M").to_string()
    }
}
