//! The person's files, read and checked together.

mod on_demand;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::failure::Failure;
use super::given::{self, MOST_OF_A_TEXT};
use super::home::Home;
use super::store::Peek;
use super::zones::ZoneFiles;
use crate::pure::agenda::Plan;
use crate::pure::block::{self, Block};
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::compare::{DrawnEvening, Has, Planned};
use crate::pure::complaint::Complaint;
use crate::pure::routine::Timeline;
use crate::pure::routine::library::{Kind as TextKind, Limits};
use crate::pure::settings::{self, KnownIds, Settings};

pub use on_demand::LibraryOnDemand;

/// The fact in the store that says when the service first ran on the default block: without it the
/// block would start next Monday for ever.
pub const DEFAULT_BLOCK_BEGUN: &str = "default_block_begun";

/// Everything a command needs to know of the person's files.
#[derive(Clone, Debug)]
pub struct World {
    /// Where they are.
    pub home: Home,
    /// The settings.
    pub settings: Settings,
    /// The block.
    pub block: Block,
    /// The shipped library with the person's own files in it.
    pub library: LibraryOnDemand,
    /// The zone rules of the machine.
    pub zones: ZoneFiles,
    /// The person's zone.
    pub zone: Zone,
    /// There is no settings file: the embedded defaults are in force.
    pub on_defaults: bool,
    /// There is no block file: the default block is in force.
    pub on_default_block: bool,
    /// The newest comparison of two evenings.
    pub comparison: Option<Planned>,
}

/// The texts of a home as they are on disk.
#[derive(Clone, Debug, Default)]
struct Texts {
    settings: Option<String>,
    block: Option<String>,
    routines: Vec<RoutineText>,
    /// Routine files that are there and cannot be read as text.
    unusable: Vec<Complaint>,
}

#[derive(Clone, Debug)]
struct RoutineText {
    file: String,
    kind: TextKind,
    id: String,
    text: String,
}

/// What is in force, and everything there is to complain of.
#[derive(Debug)]
pub struct Checked {
    /// The world, with defaults in place of files that cannot be used.
    pub world: World,
    /// Complaints about settings and block.
    pub complaints: Vec<Complaint>,
    /// Complaints about single routine files; the rest of the library is in force.
    pub routine_complaints: Vec<Complaint>,
}

impl World {
    /// Reads and checks everything; a complaint about settings or block is a failure with exit
    /// status 2, those about single routine files come along.
    pub fn load(home: &Home, now: Instant) -> Result<(Self, Vec<Complaint>), Failure> {
        let Checked {
            world,
            complaints,
            routine_complaints,
        } = Self::check(home, now)?;
        if complaints.is_empty() {
            Ok((world, routine_complaints))
        } else {
            Err(complaints.into())
        }
    }

    /// Reads and checks everything. Fails only where a file cannot be read at all.
    pub fn check(home: &Home, now: Instant) -> Result<Checked, Failure> {
        let texts = Texts::read(home)?;
        let zones = ZoneFiles::of_machine();
        let (library, mut routine_complaints) = LibraryOnDemand::with_own(&texts.routines);
        routine_complaints.extend(texts.unusable.iter().cloned());
        let mut complaints = Vec::new();
        let (settings, zone) = read_settings(home, &texts, &zones, &library, &mut complaints);
        let today = zone.local(now).date_naive();
        let kept = Peek::into(&home.diary());
        let begun = || kept.fact(DEFAULT_BLOCK_BEGUN)?.parse().ok();
        let block = match &texts.block {
            Some(text) => block::parse(&home.block().display().to_string(), text, None),
            None => Ok(default_block(begun().unwrap_or(today))),
        };
        let block = block.unwrap_or_else(|found| {
            complaints.extend(found);
            default_block(today)
        });
        let block = block.with_dates(&kept.calendar_days());
        let on_defaults = texts.settings.is_none();
        let on_default_block = texts.block.is_none();
        let world = Self {
            home: home.clone(),
            settings,
            block,
            library,
            zones,
            zone,
            on_defaults,
            on_default_block,
            comparison: kept.comparison().map(|row| row.planned),
        };
        Ok(Checked {
            world,
            complaints,
            routine_complaints,
        })
    }

    /// What the agenda follows from.
    pub fn plan(&self) -> Plan {
        let named = self
            .settings
            .nights
            .on
            .values()
            .filter_map(|one| one.timezone.as_deref());
        let zones: BTreeMap<String, Zone> = named
            .filter_map(|name| Some((name.to_owned(), self.zones.load(name).ok()?)))
            .collect();
        let routine = self.settings.evening.routine.as_deref();
        Plan {
            settings: self.settings.clone(),
            block: self.block.clone(),
            zone: self.zone.clone(),
            zones,
            routine_seconds: routine.and_then(|id| self.seconds_of(id)),
            drawn: self.drawn(),
        }
    }
}

impl World {
    /// What the comparison drew, by night.
    fn drawn(&self) -> BTreeMap<Night, DrawnEvening> {
        let Some(planned) = &self.comparison else {
            return BTreeMap::new();
        };
        let drawn = |(night, _)| {
            let has = planned.has(planned.on(night)?);
            let seconds = match has {
                Has::Evening(id) => self.seconds_of(id),
                Has::Nothing | Has::Pattern(_) => None,
            };
            let has = has.clone();
            Some((night, DrawnEvening { has, seconds }))
        };
        planned.nights().filter_map(drawn).collect()
    }

    /// What the person leaves out of a routine, by the settings alone.
    pub fn limits(&self) -> Limits {
        Limits {
            avoid: self.settings.avoid.clone(),
            painful: BTreeSet::new(),
            holds_ok: self.settings.evening.holds,
        }
    }

    /// Seconds of a routine given by name, up to a whole minute.
    fn seconds_of(&self, id: &str) -> Option<u32> {
        let (routine, _) = self
            .library
            .routine(self.library.evenings.get(id)?, &self.limits());
        let seconds = Timeline::compile(&routine, &self.library)
            .total_ms
            .div_ceil(60_000)
            * 60;
        u32::try_from(seconds).ok()
    }
}

fn read_settings(
    home: &Home,
    texts: &Texts,
    zones: &ZoneFiles,
    library: &LibraryOnDemand,
    complaints: &mut Vec<Complaint>,
) -> (Settings, Zone) {
    let known = KnownIds {
        patterns: &library.pattern_ids(),
        evenings: &library.evening_ids(),
    };
    let settings = match &texts.settings {
        Some(text) => {
            settings::parse_with_ids(&home.settings().display().to_string(), text, zones, &known)
        }
        None => Ok(Settings::default()),
    };
    let settings = settings.unwrap_or_else(|found| {
        complaints.extend(found);
        Settings::default()
    });
    // The settings' zone name was checked against the same zone data, so this only falls back where
    // the system's own zone is unusable.
    let zone = zones
        .choose(&settings.timezone)
        .unwrap_or_else(|_| Zone::utc());
    (settings, zone)
}

/// The block that is in force while there is no block file.
fn default_block(today: NaiveDate) -> Block {
    let (id, _) = block::SHIPPED[0];
    match block::shipped(id, today) {
        Some(Ok(block)) => block,
        // A test reads every shipped block, so this would be a build that was never tested.
        _ => unreachable!("the shipped block {id} cannot be read"),
    }
}

impl Texts {
    fn read(home: &Home) -> Result<Self, Failure> {
        let (mut routines, mut unusable) = (Vec::new(), Vec::new());
        for (_, kind) in TextKind::ALL {
            let paths = home.routine_files(kind)?;
            read_routines(paths, kind, &mut routines, &mut unusable);
        }
        Ok(Self {
            settings: person_text(&home.settings())?,
            block: person_text(&home.block())?,
            routines,
            unusable,
        })
    }
}

fn person_text(path: &Path) -> Result<Option<String>, Failure> {
    given::text(path, MOST_OF_A_TEXT).map_err(|refused| refused.failure(path))
}

fn read_routines(
    paths: Vec<PathBuf>,
    kind: TextKind,
    found: &mut Vec<RoutineText>,
    unusable: &mut Vec<Complaint>,
) {
    for path in paths {
        let id = path
            .file_stem()
            .map(|stem| stem.to_string_lossy().into_owned())
            .unwrap_or_default();
        match given::text(&path, MOST_OF_A_TEXT) {
            Ok(None) => {}
            Err(refused) => unusable.push(refused.complaint(&path)),
            Ok(Some(text)) => found.push(RoutineText {
                file: path.display().to_string(),
                kind,
                id,
                text,
            }),
        }
    }
}
