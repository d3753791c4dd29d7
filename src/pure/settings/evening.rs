//! `[evening]`: the wind-down.

use super::read::small;
use super::{Evening, EveningNights, KnownIds, PatternChoice, StartWith};
use crate::pure::complaint::{nearest, one_of};
use crate::pure::document::{Placed, Section};

/// How many reminders a prompt may have.
const MOST_REMINDERS: usize = 5;

pub(super) fn read(root: &Section<'_, '_>, page_on: bool, known: Option<&KnownIds<'_>>) -> Evening {
    let mut evening = Evening::default();
    if !page_on {
        evening.start = StartWith::Nothing;
    }
    let Some(section) = root.table("evening") else {
        return evening;
    };
    if let Some(minutes) = section.integer("minutes", 3..=30) {
        evening.minutes = small(minutes.value);
    }
    if let Some(settle) = section.integer("settle", 0..=180) {
        evening.settle = small(settle.value);
    }
    let nights = [
        ("every", EveningNights::Every),
        ("training", EveningNights::Training),
    ];
    if let Some(nights) = section.word("nights", &nights) {
        evening.nights = nights.value;
    }
    if let Some(pattern) = pattern(&section, known) {
        evening.pattern = pattern;
    }
    if let Some(remind) = remind(&section) {
        evening.remind = remind;
    }
    evening.routine = section
        .text("routine", "after_legs")
        .filter(|id| is_known(&section, "routine", id, known.map(|known| known.evenings)))
        .map(|id| id.value);
    if let Some(holds) = section.boolean("holds") {
        evening.holds = holds.value;
    }
    evening.breaths_per_min = section
        .number("breaths_per_min", 3.0..=40.0)
        .map(|rate| rate.value);
    if let Some(start) = start(&section, page_on) {
        evening.start = start;
    }
    section.finish();
    evening
}

fn pattern(section: &Section<'_, '_>, known: Option<&KnownIds<'_>>) -> Option<PatternChoice> {
    let id = section.text("pattern", "longer_out_4_6")?;
    if id.value == "rotate" {
        return Some(PatternChoice::Rotate);
    }
    is_known(section, "pattern", &id, known.map(|known| known.patterns))
        .then_some(PatternChoice::Always(id.value))
}

/// Whether an id is in the library; complains if not. Without a library every id passes.
fn is_known(
    section: &Section<'_, '_>,
    key: &str,
    id: &Placed<String>,
    known: Option<&[&str]>,
) -> bool {
    let Some(known) = known else {
        return true;
    };
    if known.contains(&id.value.as_str()) {
        return true;
    }
    let names = known.iter().copied();
    let instead = match nearest(&id.value, names.clone()) {
        Some(near) => format!("Did you mean \"{near}\"? Known: {}", one_of(names)),
        None if known.is_empty() => "Remove it, or add its file to the routines".to_owned(),
        None => format!("Write one of: {}", one_of(names)),
    };
    section.complain(
        &id.span,
        format!("there is no {key} \"{}\"", id.value),
        instead,
    );
    false
}

fn remind(section: &Section<'_, '_>) -> Option<Vec<u32>> {
    let minutes = section.integers("remind", 1..=120)?;
    if let Some(surplus) = minutes.get(MOST_REMINDERS) {
        section.complain(
            &surplus.span,
            format!("evening.remind has {} entries", minutes.len()),
            format!("Write at most {MOST_REMINDERS}, each the minutes since the prompt before"),
        );
        return None;
    }
    Some(minutes.iter().map(|minutes| small(minutes.value)).collect())
}

fn start(section: &Section<'_, '_>, page_on: bool) -> Option<StartWith> {
    let words = section.text_or_texts("start", "page")?;
    let span = section.place("start");
    let is_list = section.is_list("start");
    match words.as_slice() {
        [one] if !is_list && one.value == "nothing" => Some(StartWith::Nothing),
        [one] if !is_list && one.value == "page" => {
            if !page_on {
                section.complain(
                    &one.span,
                    "evening.start = \"page\", but the page is off",
                    "Write on = true under [page], or start = \"nothing\", or the words of a command as a list",
                );
            }
            Some(StartWith::Page)
        }
        [one] if !is_list => {
            let list: Vec<String> = one
                .value
                .split_whitespace()
                .map(|word| format!("\"{word}\""))
                .collect();
            section.complain(
                &one.span,
                format!("evening.start = \"{}\" is not known", one.value),
                format!(
                    "Write \"page\", \"nothing\", or a command as a list of words: [{}]",
                    list.join(", ")
                ),
            );
            None
        }
        [first, ..] if !first.value.trim().is_empty() => Some(StartWith::Command(
            words.into_iter().map(|word| word.value).collect(),
        )),
        _ => {
            section.complain(
                &span,
                "evening.start names no command",
                "Write the words of a command, for example [\"xterm\", \"-e\"], or \"page\" or \"nothing\"",
            );
            None
        }
    }
}
