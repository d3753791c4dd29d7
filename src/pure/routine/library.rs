//! The library: the shipped files and the person's own, which add to them or replace them by id.

use std::collections::{BTreeMap, BTreeSet};

use crate::pure::avoid::Avoid;
use crate::pure::complaint::Complaint;
use crate::pure::region::Region;

use super::breath::{cycles_for, pattern_for};
use super::embedded;
use super::evening::{Breathing, Evening};
use super::pattern::Pattern;
use super::steps::{Routine, Step, change_s};
use super::stretch::Stretch;

/// What a file of the library holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A stretch.
    Stretch,
    /// A breathing pattern.
    Pattern,
    /// An evening written by hand.
    Evening,
}

impl Kind {
    /// Every kind with its folder below `routines/`, in the order they are read: an evening names
    /// stretches and patterns.
    pub const ALL: [(&'static str, Self); 3] = [
        ("stretches", Self::Stretch),
        ("patterns", Self::Pattern),
        ("evenings", Self::Evening),
    ];

    /// The folder below `routines/`.
    pub fn folder(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    fn noun(self) -> &'static str {
        match self {
            Self::Stretch => "stretch",
            Self::Pattern => "pattern",
            Self::Evening => "evening",
        }
    }
}

/// The text of one file of the library.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LibraryText<'t> {
    /// The file as the person knows it, for complaints.
    pub file: &'t str,
    /// Its kind, from its folder.
    pub kind: Kind,
    /// Its id, the file's name without the ending.
    pub id: &'t str,
    /// What is written in it.
    pub text: &'t str,
}

/// What a person leaves out of a routine.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Conditions and positions.
    pub avoid: BTreeSet<Avoid>,
    /// Regions in pain: nothing that stretches or loads them is done.
    pub painful: BTreeSet<Region>,
    /// The one-time question about breath holds was answered with "none of these".
    pub holds_ok: bool,
}

/// Stretches, patterns and evenings by id.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Library {
    /// Stretches.
    pub stretches: BTreeMap<String, Stretch>,
    /// Patterns.
    pub patterns: BTreeMap<String, Pattern>,
    /// Evenings.
    pub evenings: BTreeMap<String, Evening>,
}

/// Reads a stretch from the file's name, its id and its text.
type ParseStretch<'t> = fn(&str, &str, &'t str) -> Result<Stretch, Vec<Complaint>>;

impl Library {
    /// The shipped library alone.
    pub fn shipped() -> Self {
        Self::load(embedded::TEXTS, &[]).0
    }

    /// The shipped files with the person's own on top. A file with complaints is left out - the
    /// shipped one of that id stays - and the rest loads.
    pub fn load(
        shipped: &[LibraryText<'static>],
        own: &[LibraryText<'_>],
    ) -> (Self, Vec<Complaint>) {
        let mut library = Self::default();
        // Shipped evenings are checked against shipped stretches: a person's narrower hold is no fault
        // in a file that the person did not write.
        let mut complaints = library.add_all(shipped, Stretch::parse_shipped);
        complaints.extend(library.add_all(own, Stretch::parse));
        (library, complaints)
    }

    fn add_all<'t>(
        &mut self,
        texts: &[LibraryText<'t>],
        parse: ParseStretch<'t>,
    ) -> Vec<Complaint> {
        let mut complaints = Vec::new();
        let mut seen = BTreeMap::new();
        let mut fit = Vec::with_capacity(texts.len());
        for text in texts {
            match unfit_id(text, self, &mut seen) {
                Some(complaint) => complaints.push(complaint),
                None => fit.push(text),
            }
        }
        for (_, kind) in Kind::ALL {
            for text in fit.iter().filter(|text| text.kind == kind) {
                if let Err(found) = self.add(**text, parse) {
                    complaints.extend(found);
                }
            }
        }
        complaints
    }

    fn add<'t>(
        &mut self,
        text: LibraryText<'t>,
        parse: ParseStretch<'t>,
    ) -> Result<(), Vec<Complaint>> {
        let LibraryText {
            file,
            kind,
            id,
            text,
        } = text;
        match kind {
            Kind::Stretch => {
                let stretch = parse(file, id, text)?;
                self.stretches.insert(id.to_owned(), stretch);
            }
            Kind::Pattern => {
                let pattern = Pattern::parse(file, id, text)?;
                self.patterns.insert(id.to_owned(), pattern);
            }
            Kind::Evening => {
                let evening = Evening::parse(file, id, text, &self.stretches, &self.patterns)?;
                self.evenings.insert(id.to_owned(), evening);
            }
        }
        Ok(())
    }

    /// An evening as a person does it: without what the person leaves out, and with the notes that say
    /// so. Holds outside a stretch's range, possible where the person's own file narrowed it, are moved
    /// into it.
    pub fn routine(&self, evening: &Evening, limits: &Limits) -> (Routine, Vec<String>) {
        let mut notes = Vec::new();
        let steps = self.steps(evening, limits, &mut notes);
        let (pattern, note) = pattern_for(&limits.avoid, limits.holds_ok, &evening.pattern, self);
        notes.extend(note);
        let cycles = match evening.breathing {
            Breathing::Seconds(seconds) => cycles_for(&pattern, u64::from(seconds) * 1000),
            Breathing::Cycles(cycles) if pattern.id == evening.pattern => cycles,
            Breathing::Cycles(cycles) => {
                // Another pattern stands in: keep the time, not the count.
                let wanted = self.patterns.get(&evening.pattern).unwrap_or(&pattern);
                cycles_for(&pattern, u64::from(cycles) * u64::from(wanted.cycle_ms()))
            }
        };
        let routine = Routine {
            id: evening.id.clone(),
            steps,
            pattern,
            cycles,
        };
        (routine, notes)
    }

    fn steps(&self, evening: &Evening, limits: &Limits, notes: &mut Vec<String>) -> Vec<Step> {
        let mut steps = Vec::new();
        let mut before = None;
        for listed in &evening.stretches {
            let Some(stretch) = self.stretches.get(&listed.id) else {
                continue;
            };
            if let Some(why) = why_left_out(stretch, limits) {
                notes.push(format!("\"{}\" is left out: {why}.", stretch.name));
                continue;
            }
            let hold_s = listed
                .hold_s
                .map_or(stretch.usual_hold_s(), |hold| stretch.clamp_hold(hold));
            let one = listed.side.filter(|_| stretch.two_sided);
            let sides = one.as_ref().map_or(stretch.sides(), std::slice::from_ref);
            for side in sides {
                steps.push(Step {
                    stretch: stretch.id.clone(),
                    side: *side,
                    hold_s,
                    change_s: change_s(before, stretch.position),
                });
                before = Some(stretch.position);
            }
        }
        steps
    }
}

/// Why a person does not do a stretch, for a sentence; `None` = nothing speaks against it.
pub fn why_left_out(stretch: &Stretch, limits: &Limits) -> Option<String> {
    if let Some(region) = limits
        .painful
        .iter()
        .find(|region| stretch.touches(**region))
    {
        return Some(format!("there is pain noted in the {}", region.words()));
    }
    let avoided = stretch.left_out_by(&limits.avoid)?;
    Some(format!(
        "your settings list {} under avoid",
        avoided.words()
    ))
}

/// What is wrong with the id of a file, if anything: how it is written, or that it is used already.
fn unfit_id<'t>(
    text: &LibraryText<'t>,
    below: &Library,
    seen: &mut BTreeMap<&'t str, &'t str>,
) -> Option<Complaint> {
    let complaint = |what: String, instead: &str| {
        Some(Complaint {
            file: text.file.to_owned(),
            line: 1,
            column: 1,
            what,
            instead: instead.to_owned(),
        })
    };
    if !is_id(text.id) {
        return complaint(
            format!("\"{}\" is no id", text.id),
            "Name the file with small letters, digits and _, beginning with a letter",
        );
    }
    if let Some(first) = seen.get(text.id) {
        return complaint(
            format!("the id \"{}\" is used by {first} already", text.id),
            "Give one of the two files another name",
        );
    }
    seen.insert(text.id, text.file);
    let kind = other_kind(text, below)?;
    complaint(
        format!(
            "the id \"{}\" belongs to a shipped {}",
            text.id,
            kind.noun()
        ),
        "Give the file another name",
    )
}

fn other_kind(text: &LibraryText<'_>, below: &Library) -> Option<Kind> {
    let taken = |kind: &Kind| match kind {
        Kind::Stretch => below.stretches.contains_key(text.id),
        Kind::Pattern => below.patterns.contains_key(text.id),
        Kind::Evening => below.evenings.contains_key(text.id),
    };
    let mut kinds = Kind::ALL.iter().map(|(_, kind)| *kind);
    kinds.find(|kind| *kind != text.kind && taken(kind))
}

fn is_id(id: &str) -> bool {
    id.starts_with(|first: char| first.is_ascii_lowercase())
        && id
            .chars()
            .all(|one| one.is_ascii_lowercase() || one.is_ascii_digit() || one == '_')
}

#[cfg(test)]
mod tests;
