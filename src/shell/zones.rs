//! Where zone rules come from: the machine's zone files first, the compiled-in tables where there are none.
//!
//! The machine's files are kept current by its package manager, the tables only by a new build. Nothing
//! is cached: a zone is read anew each time it is asked for, so that an upgrade of the zone data or a
//! move of the machine reaches a running service.

mod machine;

pub use machine::{FoundBy, SystemZone};

use std::fmt;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use chrono::FixedOffset;

use crate::pure::civil::{BadZoneData, Instant, Zone, ZoneNames, first_difference};
use crate::pure::settings::ZoneChoice;

/// Folders with zone files, where `TZDIR` does not name one.
const FOLDERS: [&str; 3] = ["/usr/share/zoneinfo", "/usr/lib/zoneinfo", "/etc/zoneinfo"];

/// Zone files are a few kilobytes; anything longer is something else.
const LONGEST_FILE: u64 = 1 << 20;

/// Files in those folders that are no zones of their own.
const NO_ZONES: [&str; 3] = ["localtime", "posixrules", "Factory"];

/// The zone files of a machine and what it says about its own zone.
#[derive(Clone, Debug)]
pub struct ZoneFiles {
    folders: Vec<PathBuf>,
    etc: PathBuf,
    variable: Option<String>,
}

/// A zone name for which there are no rules at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSuchZone {
    /// The name asked for.
    pub name: String,
}

impl fmt::Display for NoSuchZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "there is no time zone {:?}. Write a name such as \"Europe/Oslo\", or \"system\".",
            self.name
        )
    }
}

impl std::error::Error for NoSuchZone {}

/// Where the machine's files and the compiled-in tables part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The zone.
    pub name: String,
    /// The first instant at which they differ.
    pub first: Instant,
    /// The offset by the machine's files then.
    pub system: FixedOffset,
    /// The offset by the compiled-in tables then.
    pub embedded: FixedOffset,
}

/// Versions of the zone data, as the tz project names them (`2026f`).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataVersions {
    /// Of the machine's files, where they say one.
    pub system: Option<String>,
    /// Of the compiled-in tables.
    pub embedded: &'static str,
}

impl ZoneFiles {
    /// Those of this machine: `TZDIR` or the usual folders, `TZ`, and `/etc`.
    pub fn of_machine() -> Self {
        let set = |name| std::env::var(name).ok();
        let folders = match set("TZDIR").filter(|folder| !folder.is_empty()) {
            Some(folder) => vec![PathBuf::from(folder)],
            None => FOLDERS.iter().map(PathBuf::from).collect(),
        };
        Self {
            folders,
            etc: PathBuf::from("/etc"),
            variable: set("TZ"),
        }
    }

    /// Those below given folders, with a given `TZ`: for a machine that is made up.
    pub fn at(folder: &Path, etc: &Path, variable: Option<&str>) -> Self {
        Self {
            folders: vec![folder.to_owned()],
            etc: etc.to_owned(),
            variable: variable.map(str::to_owned),
        }
    }

    /// The rules of a zone: the machine's if they can be read, else the compiled-in ones.
    pub fn load(&self, name: &str) -> Result<Zone, NoSuchZone> {
        self.system_file(name)
            .ok()
            .flatten()
            .or_else(|| Zone::embedded(name).filter(|_| is_zone_name(name)))
            .ok_or_else(|| NoSuchZone {
                name: name.to_owned(),
            })
    }

    /// The rules of the person's choice.
    pub fn choose(&self, choice: &ZoneChoice) -> Result<Zone, NoSuchZone> {
        match choice {
            ZoneChoice::System => Ok(self.system().zone),
            ZoneChoice::Named(name) => self.load(name),
        }
    }

    /// The rules of a zone by the machine's files; nothing where there is no such file, an error where
    /// there is one that cannot be read.
    pub fn system_file(&self, name: &str) -> Result<Option<Zone>, BadZoneData> {
        if !is_zone_name(name) {
            return Ok(None);
        }
        for folder in &self.folders {
            let path = folder.join(name);
            if path.is_file() {
                return read_zone(name, &path).map(Some);
            }
        }
        Ok(None)
    }

    /// The first instant from `from` on, before `until`, at which the machine's files and the
    /// compiled-in tables differ for a zone. Nothing where one of them does not know it.
    pub fn differs(&self, name: &str, from: Instant, until: Instant) -> Option<Difference> {
        let system = self.system_file(name).ok().flatten()?;
        let embedded = Zone::embedded(name)?;
        let first = first_difference(&system, &embedded, from, until)?;
        Some(Difference {
            name: name.to_owned(),
            first,
            system: system.offset_at(first),
            embedded: embedded.offset_at(first),
        })
    }

    /// Versions of the zone data in reach.
    pub fn versions(&self) -> DataVersions {
        DataVersions {
            system: self.folders.iter().find_map(|folder| version_in(folder)),
            embedded: chrono_tz::IANA_TZDB_VERSION,
        }
    }

    /// The zone the machine is set to.
    pub fn system(&self) -> SystemZone {
        machine::detect(self)
    }
}

impl ZoneNames for ZoneFiles {
    fn knows(&self, name: &str) -> bool {
        self.load(name).is_ok()
    }
}

/// Whether a text can be the name of a zone: plain words joined by `/`. Names with dots never are,
/// which also keeps them inside the folder; `posix/` and `right/` hold second copies.
fn is_zone_name(name: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"_+-".contains(&byte);
    let mut words = name.split('/');
    name.len() <= 64
        && words.all(|word| !word.is_empty() && word.bytes().all(plain))
        && !NO_ZONES.contains(&name)
        && !name.starts_with("posix/")
        && !name.starts_with("right/")
}

fn read_zone(name: &str, path: &Path) -> Result<Zone, BadZoneData> {
    let bad = |reason: String| BadZoneData {
        name: name.to_owned(),
        reason,
    };
    let mut bytes = Vec::new();
    fs::File::open(path)
        .and_then(|file| file.take(LONGEST_FILE).read_to_end(&mut bytes))
        .map_err(|error| bad(format!("{}: {error}", path.display())))?;
    Zone::from_tzif(name, &bytes)
        .map_err(|error| bad(format!("{}: {}", path.display(), error.reason)))
}

/// The version in a folder of zone files: the first line of `tzdata.zi` (`# version 2026f`), or the
/// file `+VERSION` some systems have.
fn version_in(folder: &Path) -> Option<String> {
    let first_line = |name: &str| {
        let mut start = String::new();
        let file = fs::File::open(folder.join(name)).ok()?;
        file.take(200).read_to_string(&mut start).ok()?;
        start.lines().next().map(|line| line.trim().to_owned())
    };
    first_line("tzdata.zi")
        .and_then(|line| line.strip_prefix("# version ").map(str::to_owned))
        .or_else(|| first_line("+VERSION"))
        .filter(|version| !version.is_empty())
}

#[cfg(test)]
mod tests;
