//! What was exported before, and how it is called off.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use super::{Text, utc};
use crate::pure::civil::{Instant, Night};
use crate::pure::exchange::calendar::line::Unfolded;
use crate::pure::exchange::calendar::{Faults, LIMITS, Limits, ZoneLookup};

/// What an earlier export said of each night, by UID.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Earlier(BTreeMap<String, Said>);

/// A night of an earlier export that does not take place any more, see [`Earlier::called_off`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CalledOff {
    pub(super) uid: String,
    pub(super) content: Vec<String>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Said {
    sequence: u32,
    stamp: String,
    content: Vec<String>,
}

impl Earlier {
    /// Reads an earlier export; a file that is none says nothing.
    pub fn read(octets: &[u8]) -> Self {
        let mut faults = Faults::new("");
        let limits = Limits {
            line_octets: 10_000,
            ..LIMITS
        };
        let unfolded = Unfolded::new(octets, &limits, &mut faults);
        let mut nights = BTreeMap::new();
        let mut open: Option<(Option<String>, Said)> = None;
        for (_, line) in unfolded.pieces() {
            let Ok(line) = std::str::from_utf8(line) else {
                continue;
            };
            match (line, &mut open) {
                ("BEGIN:VEVENT", _) => open = Some((None, Said::default())),
                ("END:VEVENT", _) => {
                    if let Some((Some(uid), said)) = open.take() {
                        nights.insert(uid, said);
                    }
                }
                (line, Some((uid, said))) => said.take(line, uid),
                _ => {}
            }
        }
        Self(nights)
    }

    /// Takes a later export up. Nights that are not in it stay known: one that is left out of an export
    /// and put in again later has to go on from its SEQUENCE, or calendars would take it for an old copy.
    pub fn then(&mut self, export: &str) {
        self.0.append(&mut Self::read(export.as_bytes()).0);
    }

    /// Leaves out nights before one: an event in the past is not exported any more.
    pub fn forget_before(&mut self, night: Night) {
        let first = format!("night-{night}@");
        self.0 = self.0.split_off(&first);
    }

    /// The nights of an owner that are known, from one on.
    pub fn nights_from(&self, first: Night, owner: &str) -> Vec<Night> {
        let own = format!("@{}", identifier(owner));
        let nights = self.0.keys().filter_map(|uid| {
            let date = uid.strip_prefix("night-")?.strip_suffix(&own)?;
            date.parse().ok().map(Night)
        });
        nights.filter(|night| *night >= first).collect()
    }

    /// Calls a night off, if an earlier export held it: as it was said, in UTC, so that no zone has to be
    /// defined along, and without alarms. Nothing where its zone is not known any more.
    pub fn called_off(&self, night: Night, owner: &str, zones: &ZoneLookup) -> Option<CalledOff> {
        let uid = uid(night, owner);
        let said = self.0.get(&uid)?;
        let mut content = Vec::new();
        let its_own = |line: &&String| *line != "BEGIN:VALARM";
        for line in said.content.iter().take_while(its_own) {
            let name = line.split([':', ';']).next().unwrap_or_default();
            match name {
                "DTSTART" | "DTEND" => {
                    content.push(format!("{name}:{}", utc(instant(line, zones)?)));
                }
                "STATUS" => {}
                "SUMMARY" => content.extend([line.clone(), "STATUS:CANCELLED".to_owned()]),
                _ => content.push(line.clone()),
            }
        }
        Some(CalledOff { uid, content })
    }

    /// The stamp and the SEQUENCE of an event: those it had while it says the same.
    pub(super) fn version(&self, uid: &str, content: &[String], now: Instant) -> (String, u32) {
        match self.0.get(uid) {
            Some(said) if said.content == content => (said.stamp.clone(), said.sequence),
            Some(said) => (utc(now), said.sequence.saturating_add(1)),
            None => (utc(now), 0),
        }
    }

    /// What is known, as [`Earlier::read`] takes it.
    pub fn text(&self) -> String {
        let mut out = Text::default();
        for said in self.0.values() {
            out.event(&said.content, &said.stamp, said.sequence);
        }
        out.0
    }
}

impl Said {
    fn take(&mut self, line: &str, uid: &mut Option<String>) {
        if let Some(number) = line.strip_prefix("SEQUENCE:") {
            self.sequence = number.parse().unwrap_or(0);
        } else if let Some(stamp) = line.strip_prefix("DTSTAMP:") {
            self.stamp = stamp.to_owned();
        } else {
            // The first UID is the event's own; those of its alarms come after it.
            if let (None, Some(id)) = (&uid, line.strip_prefix("UID:")) {
                *uid = Some(id.to_owned());
            }
            self.content.push(line.to_owned());
        }
    }
}

/// What identifies a night's event, for ever.
pub(super) fn uid(night: Night, owner: &str) -> String {
    format!("night-{night}@{}", identifier(owner))
}

/// Only what may stand in an identifier without being escaped.
fn identifier(text: &str) -> String {
    let plain = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_');
    text.chars().filter(plain).collect()
}

/// The instant of a line that [`super::time`] wrote.
fn instant(line: &str, zones: &ZoneLookup) -> Option<Instant> {
    let (property, at) = line.rsplit_once(':')?;
    let wall = |text: &str| NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%S").ok();
    match property.split_once(";TZID=") {
        Some((_, zone)) => {
            let zone = zones(zone.trim_matches('"'))?;
            Some(zone.resolve(wall(at)?).earlier())
        }
        None => Some(wall(at.strip_suffix('Z')?)?.and_utc()),
    }
}
