//! Which zone the machine is set to.

use std::fs;
use std::path::{Path, PathBuf};

use super::{ZoneFiles, read_zone};
use crate::pure::civil::Zone;

/// Where the machine's zone was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoundBy {
    /// The variable `TZ`, as the process was started with.
    Variable,
    /// The link `/etc/localtime`.
    Link,
    /// The name in `/etc/timezone`.
    NameFile,
    /// The rules in `/etc/localtime`, a plain file without a name.
    PlainFile,
    /// Nowhere: universal time stands in.
    Nowhere,
}

impl FoundBy {
    /// Where, in plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Variable => "the variable TZ",
            Self::Link => "the link /etc/localtime",
            Self::NameFile => "/etc/timezone",
            Self::PlainFile => "the file /etc/localtime, which has no name",
            Self::Nowhere => "nothing found, universal time stands in",
        }
    }
}

/// The zone the machine is set to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SystemZone {
    /// Its rules.
    pub zone: Zone,
    /// Where it was found.
    pub found_by: FoundBy,
    /// What is wrong and what to do, in plain words: a `TZ` that means nothing, no zone at all.
    pub complaint: Option<String>,
}

impl SystemZone {
    /// Whether a change of the machine's zone reaches a running process. `TZ` is fixed at its start.
    pub fn follows_travel(&self) -> bool {
        self.found_by != FoundBy::Variable
    }
}

/// `TZ` first, then the link, then the name file, then the rules without a name.
pub(super) fn detect(files: &ZoneFiles) -> SystemZone {
    let mut complaint = None;
    if let Some(text) = &files.variable {
        if let Some(zone) = by_variable(files, text) {
            return found(zone, FoundBy::Variable, None);
        }
        complaint = Some(format!(
            "TZ is {text:?}, which is no time zone here. Unset it, or set it to a name such as Europe/Oslo."
        ));
    }
    let localtime = files.etc.join("localtime");
    if let Some(zone) = by_link(files, &localtime) {
        return found(zone, FoundBy::Link, complaint);
    }
    if let Some(zone) = by_name_file(files, &files.etc.join("timezone")) {
        return found(zone, FoundBy::NameFile, complaint);
    }
    if let Some(zone) = plain_file("localtime", &localtime) {
        return found(zone, FoundBy::PlainFile, complaint);
    }
    let complaint = complaint.unwrap_or_else(|| {
        "The time zone of this machine is not set. Write timezone = \"Europe/Oslo\", with your zone's name, in settings.toml.".to_owned()
    });
    found(Zone::utc(), FoundBy::Nowhere, Some(complaint))
}

fn found(zone: Zone, found_by: FoundBy, complaint: Option<String>) -> SystemZone {
    SystemZone {
        zone,
        found_by,
        complaint,
    }
}

/// `TZ` holds a name, a path, or a rule as POSIX writes it; a colon may stand before the first two.
fn by_variable(files: &ZoneFiles, text: &str) -> Option<Zone> {
    let text = text.strip_prefix(':').unwrap_or(text);
    if text.is_empty() {
        return Some(Zone::utc());
    }
    let path = Path::new(text);
    if path.is_absolute() {
        return name_of(path)
            .and_then(|name| files.load(&name).ok())
            .or_else(|| plain_file(text, path));
    }
    files
        .load(text)
        .ok()
        .or_else(|| Zone::from_posix(text).ok())
}

/// A link may lead over further links before it names a zone file.
fn by_link(files: &ZoneFiles, link: &Path) -> Option<Zone> {
    let mut at = link.to_owned();
    for _ in 0..8 {
        let target = fs::read_link(&at).ok()?;
        at = match at.parent() {
            Some(folder) => folder.join(target),
            None => target,
        };
        if let Some(name) = name_of(&at) {
            return files.load(&name).ok().or_else(|| plain_file(&name, &at));
        }
    }
    None
}

fn by_name_file(files: &ZoneFiles, path: &Path) -> Option<Zone> {
    let text = fs::read_to_string(path).ok()?;
    let name = text
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with('#'))?;
    files.load(name).ok()
}

fn plain_file(name: &str, path: &Path) -> Option<Zone> {
    path.is_file().then(|| read_zone(name, path).ok()).flatten()
}

/// The zone name in a path: what follows a folder called `zoneinfo`.
fn name_of(path: &Path) -> Option<String> {
    let mut parts = path.components().map(|part| part.as_os_str());
    parts.find(|part| part.to_str().is_some_and(|text| text == "zoneinfo"))?;
    let mut rest: PathBuf = parts.collect();
    for copy in ["posix", "right"] {
        if let Ok(inner) = rest.strip_prefix(copy) {
            rest = inner.to_owned();
        }
    }
    let name = rest.to_str()?;
    (!name.is_empty()).then(|| name.to_owned())
}
