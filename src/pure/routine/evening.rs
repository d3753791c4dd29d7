//! One evening written by a coach: its values, and reading them from a file of `routines/evenings/`.

use std::collections::BTreeMap;

use crate::pure::complaint::{Complaint, nearest};
use crate::pure::document::{Document, Section};

use super::pattern::Pattern;
use super::stretch::{Side, Stretch, sentence};

/// How long the breathing of an evening lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Breathing {
    /// As many whole breaths as fit these seconds.
    Seconds(u32),
    /// A number of breaths.
    Cycles(u32),
}

/// One stretch of an evening.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EveningStretch {
    /// The stretch's id.
    pub id: String,
    /// One side only; `None` = both, one after the other, where it has two.
    pub side: Option<Side>,
    /// Seconds held a side; `None` = the usual hold.
    pub hold_s: Option<u32>,
}

/// An evening written by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Evening {
    /// Its id, the file's name without the ending.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// One sentence about it.
    pub about: String,
    /// Stretches in order.
    pub stretches: Vec<EveningStretch>,
    /// The pattern's id.
    pub pattern: String,
    /// Length of the breathing.
    pub breathing: Breathing,
}

/// Ids no evening may have: commands use them for the routine of the night.
const RESERVED: [&str; 2] = ["composed", "tonight"];

impl Evening {
    /// Reads a file of `routines/evenings/`; `id` is the file's name without the ending. What it names
    /// has to be among `stretches` and `patterns`.
    ///
    /// # Errors
    /// Every complaint about the text, in its order.
    pub fn parse(
        file: &str,
        id: &str,
        text: &str,
        stretches: &BTreeMap<String, Stretch>,
        patterns: &BTreeMap<String, Pattern>,
    ) -> Result<Self, Vec<Complaint>> {
        Document::read(file, text, |root| {
            if RESERVED.contains(&id) {
                root.complain_here(
                    format!("the id \"{id}\" is kept for the routine of the night"),
                    "Give the file another name",
                );
            }
            read(root, id, stretches, patterns)
        })
    }
}

fn read(
    root: &Section<'_, '_>,
    id: &str,
    stretches: &BTreeMap<String, Stretch>,
    patterns: &BTreeMap<String, Pattern>,
) -> Option<Evening> {
    let name = sentence(root, "name", "After legs");
    let about = sentence(
        root,
        "about",
        "Calves, thighs and seat, ending on the back.",
    );
    let pattern = known_id(root, "pattern", "longer_out_4_6", patterns);
    let breathing = breathing(root);
    let listed: Vec<EveningStretch> = root
        .tables("stretch")
        .iter()
        .filter_map(|section| {
            let listed = read_stretch(section, stretches);
            section.finish();
            listed
        })
        .collect();
    Some(Evening {
        id: id.to_owned(),
        name: name?,
        about: about?,
        stretches: listed,
        pattern: pattern?,
        breathing: breathing?,
    })
}

fn breathing(root: &Section<'_, '_>) -> Option<Breathing> {
    let seconds = root.integer("breathe", 30..=1800);
    let cycles = root.integer("cycles", 1..=300);
    match (root.has("breathe"), root.has("cycles")) {
        (true, true) => {
            root.complain(
                &root.place("cycles"),
                "breathe and cycles both say how long to breathe",
                "Keep breathe (seconds) or cycles (breaths)",
            );
            None
        }
        (false, false) => {
            root.missing(
                "breathe",
                "Write the seconds of breathing, for example breathe = 180, or the breaths, for example cycles = 18",
            );
            None
        }
        (true, false) => seconds
            .and_then(|count| u32::try_from(count.value).ok())
            .map(Breathing::Seconds),
        (false, true) => cycles
            .and_then(|count| u32::try_from(count.value).ok())
            .map(Breathing::Cycles),
    }
}

fn read_stretch(
    section: &Section<'_, '_>,
    stretches: &BTreeMap<String, Stretch>,
) -> Option<EveningStretch> {
    let id = known_id(section, "id", "wall_calf_straight", stretches);
    let side = section.word("side", &Side::ALL);
    let hold = section.integer("hold", 5..=180);
    let id = id?;
    let stretch = stretches.get(&id)?;
    if let Some(side) = &side
        && stretch.two_sided == (side.value == Side::Both)
    {
        let (what, instead) = if stretch.two_sided {
            (
                "is done one side at a time",
                "Remove side to do both in turn, or write \"left\" or \"right\"",
            )
        } else {
            ("has no sides", "Remove side")
        };
        section.complain(&side.span, format!("{id} {what}"), instead);
    }
    if let Some(hold) = &hold {
        let (low, high) = stretch.hold_s;
        if hold.value < i64::from(low) || hold.value > i64::from(high) {
            section.complain(
                &hold.span,
                format!("hold = {} is outside the range of {id}", hold.value),
                format!("Write {low} to {high} seconds"),
            );
        }
    }
    Some(EveningStretch {
        id,
        side: side.map(|side| side.value),
        hold_s: hold.and_then(|hold| u32::try_from(hold.value).ok()),
    })
}

/// A text that has to be the id of something known.
fn known_id<T>(
    section: &Section<'_, '_>,
    key: &str,
    example: &str,
    known: &BTreeMap<String, T>,
) -> Option<String> {
    if !section.has(key) {
        section.missing(
            key,
            format!("Write an id, for example {key} = \"{example}\""),
        );
        return None;
    }
    let written = section.text(key, example)?;
    if known.contains_key(&written.value) {
        return Some(written.value);
    }
    let instead = match nearest(&written.value, known.keys().map(String::as_str)) {
        Some(id) => format!("Did you mean \"{id}\"? \"evenfall routine list\" shows all"),
        None => "\"evenfall routine list\" shows all ids".to_owned(),
    };
    let what = format!(
        "{}: \"{}\" is not known",
        section.name_of(key),
        written.value
    );
    section.complain(&written.span, what, instead);
    None
}
