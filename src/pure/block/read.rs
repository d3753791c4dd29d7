//! The reader of `block.toml`: text in, a checked block or every complaint out.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::part::{ReadPart, read_part};
use super::{Block, Dated, Phase, Session, Shift};
use crate::pure::complaint::{Complaint, nearest, one_of};
use crate::pure::document::{Document, Placed, Section};
use crate::pure::phrase::counted;
use crate::pure::region::Region;
use crate::pure::weekday;

/// The word for a day without training; no session may have it as its id.
const REST: &str = "rest";

/// Reads `block.toml`. A template says no `starts`; it then starts on `default_start`.
///
/// # Errors
/// Every complaint about the text, in its order.
pub fn parse(
    file: &str,
    text: &str,
    default_start: Option<NaiveDate>,
) -> Result<Block, Vec<Complaint>> {
    Document::read(file, text, |root| read(root, default_start))
}

/// A session with what is only needed to check it against the phases.
struct ReadSession {
    session: Session,
    parts: Vec<ReadPart>,
}

fn read(root: &Section<'_, '_>, default_start: Option<NaiveDate>) -> Option<Block> {
    let name = name(root);
    let starts = starts(root, default_start);
    let sessions = sessions(root);
    let phases = phases(root, &sessions);
    check_weeks(root, &phases, &sessions);
    let shifts = shifts(root);
    Some(Block {
        name: name?,
        starts: starts?,
        phases: phases.into_iter().map(|read| read.phase).collect(),
        sessions: sessions
            .into_iter()
            .map(|(id, read)| (id, read.session))
            .collect(),
        shifts,
        dated: Dated::default(),
    })
}

fn name(root: &Section<'_, '_>) -> Option<String> {
    if !root.has("name") {
        root.missing(
            "name",
            "Write a name for the block, for example name = \"Stair-climb preparation\"",
        );
    }
    filled(root, "name", "Stair-climb preparation")
}

/// A text that is not empty.
fn filled(section: &Section<'_, '_>, key: &str, example: &str) -> Option<String> {
    let written = section.text(key, example)?;
    if written.value.trim().is_empty() {
        section.complain(
            &written.span,
            format!("{} is empty", section.name_of(key)),
            format!("Write a text, for example {key} = \"{example}\""),
        );
        return None;
    }
    Some(written.value)
}

fn starts(root: &Section<'_, '_>, default_start: Option<NaiveDate>) -> Option<NaiveDate> {
    if !root.has("starts") && default_start.is_none() {
        root.missing(
            "starts",
            "Write the first day of the block, for example starts = 2026-01-05",
        );
    }
    root.date("starts").map(|date| date.value).or(default_start)
}

fn sessions(root: &Section<'_, '_>) -> BTreeMap<String, ReadSession> {
    let mut found = BTreeMap::new();
    let Some(all) = root.table("session") else {
        return found;
    };
    for id in all.other_keys() {
        let is_id = !id.value.is_empty()
            && id
                .value
                .chars()
                .all(|letter| letter.is_alphanumeric() || letter == '_' || letter == '-');
        if id.value == REST || !is_id {
            all.complain(
                &id.span,
                format!("\"{}\" cannot be the id of a session", id.value),
                format!("Write an id of letters, digits and _ that is not \"{REST}\", for example [session.legs_and_lungs]"),
            );
        }
        if let Some(section) = all.table(&id.value) {
            let read = session(&section, &id.value);
            section.finish();
            found.insert(id.value, read);
        }
    }
    found
}

fn session(section: &Section<'_, '_>, id: &str) -> ReadSession {
    let title = filled(section, "title", "Legs and lungs").unwrap_or_else(|| id.replace('_', " "));
    let rpe = rpe(section);
    let regions = section
        .table("regions")
        .map(|table| regions(&table))
        .unwrap_or_default();
    let at = section.time("at").map(|time| time.value);
    let minutes = section
        .integer("minutes", 1..=600)
        .and_then(|minutes| u32::try_from(minutes.value).ok());
    let parts: Vec<ReadPart> = section.tables("part").iter().map(read_part).collect();
    if parts.is_empty() && !section.has("part") && !section.has("minutes") {
        section.complain_here(
            format!("session.{id} has no part and no minutes"),
            format!("Write [[session.{id}.part]] for each part, or minutes = 30"),
        );
    }
    ReadSession {
        session: Session {
            id: id.to_owned(),
            title,
            rpe,
            regions,
            at,
            minutes,
            parts: parts.iter().filter_map(|read| read.part.clone()).collect(),
        },
        parts,
    }
}

fn rpe(section: &Section<'_, '_>) -> f64 {
    if !section.has("rpe") {
        section.missing(
            "rpe",
            "Write the planned effort of the whole session from 0 to 10, for example rpe = 7",
        );
    }
    let Some(rpe) = section.number("rpe", 0.0..=10.0) else {
        return 0.0;
    };
    if (rpe.value * 2.0).fract() != 0.0 {
        section.complain(
            &rpe.span,
            format!(
                "{} = {} is no half point",
                section.name_of("rpe"),
                rpe.value
            ),
            format!(
                "Write {} or {}",
                (rpe.value * 2.0).floor() / 2.0,
                (rpe.value * 2.0).ceil() / 2.0
            ),
        );
    }
    rpe.value
}

fn regions(table: &Section<'_, '_>) -> BTreeMap<Region, u8> {
    let mut found = BTreeMap::new();
    for key in table.other_keys() {
        let emphasis = table.integer(&key.value, 1..=3);
        if let Some(region) = table.known_word("regions", &key, &Region::ALL)
            && let Some(emphasis) = emphasis
        {
            found.insert(region, u8::try_from(emphasis.value).unwrap_or(1));
        }
    }
    found
}

/// A phase as read; `weeks` is nothing where it cannot be read.
struct ReadPhase {
    phase: Phase,
    weeks: Option<u32>,
}

fn phases(root: &Section<'_, '_>, sessions: &BTreeMap<String, ReadSession>) -> Vec<ReadPhase> {
    let tables = root.tables("phase");
    if tables.is_empty() {
        root.complain_here(
            "the block has no phase",
            "Write [[phase]] with name and weeks, and [phase.week] below it",
        );
    }
    tables
        .iter()
        .zip(1..)
        .map(|(table, number)| {
            let phase = phase(table, number, sessions);
            table.finish();
            phase
        })
        .collect()
}

fn phase(
    table: &Section<'_, '_>,
    number: u32,
    sessions: &BTreeMap<String, ReadSession>,
) -> ReadPhase {
    let name = filled(table, "name", "Groundwork").unwrap_or_else(|| format!("Phase {number}"));
    let weeks = weeks(table, &name);
    let mut plan: [Vec<String>; 7] = Default::default();
    if let Some(week) = table.table("week") {
        for (key, day) in weekday::KEYS.iter().zip(&mut plan) {
            *day = sessions_of_day(&week, key, sessions);
        }
        week.finish_with(weekday::meant_by);
    } else if !table.has("week") {
        table.complain_here(
            format!("the phase \"{name}\" has no week"),
            format!(
                "Write [phase.week] with the session of each day, for example mon = \"{}\"",
                an_id(sessions)
            ),
        );
    }
    ReadPhase {
        phase: Phase {
            name,
            weeks: weeks.unwrap_or(1),
            week: plan,
        },
        weeks,
    }
}

fn weeks(table: &Section<'_, '_>, name: &str) -> Option<u32> {
    if !table.has("weeks") {
        table.missing(
            "weeks",
            "Write how many weeks the phase lasts, for example weeks = 3",
        );
    }
    if table.is_integer("weeks", 0) {
        let place = table.integer("weeks", 0..=0)?.span;
        table.complain(
            &place,
            format!("the phase \"{name}\" has 0 weeks"),
            "Write 1 or more, or remove the phase",
        );
        return None;
    }
    let weeks = table.integer("weeks", 1..=104)?;
    u32::try_from(weeks.value).ok()
}

fn an_id(sessions: &BTreeMap<String, ReadSession>) -> &str {
    sessions
        .keys()
        .next()
        .map_or("legs_and_lungs", String::as_str)
}

fn sessions_of_day(
    week: &Section<'_, '_>,
    key: &str,
    sessions: &BTreeMap<String, ReadSession>,
) -> Vec<String> {
    let written = week.text_or_texts(key, an_id(sessions)).unwrap_or_default();
    let with_others = written.len() > 1;
    let mut ids = Vec::new();
    for id in written {
        if id.value == REST {
            if with_others {
                week.complain(
                    &id.span,
                    format!("{} has \"{REST}\" beside a session", week.name_of(key)),
                    format!("Write \"{REST}\" alone, or leave it out"),
                );
            }
        } else if sessions.contains_key(&id.value) {
            ids.push(id.value);
        } else {
            unknown_session(week, key, &id, sessions);
        }
    }
    ids
}

fn unknown_session(
    week: &Section<'_, '_>,
    key: &str,
    id: &Placed<String>,
    sessions: &BTreeMap<String, ReadSession>,
) {
    let names = || sessions.keys().map(String::as_str).chain([REST]);
    let instead = match nearest(&id.value, names()) {
        Some(near) => format!("Did you mean \"{near}\"? Known: {}", one_of(names())),
        None => format!(
            "Write one of {}, or add [session.{}]",
            one_of(names()),
            id.value
        ),
    };
    week.complain(
        &id.span,
        format!(
            "{}: there is no session \"{}\"",
            week.name_of(key),
            id.value
        ),
        instead,
    );
}

/// Complains of parts that change by week for more weeks than any phase with their session has.
fn check_weeks(
    root: &Section<'_, '_>,
    phases: &[ReadPhase],
    sessions: &BTreeMap<String, ReadSession>,
) {
    for (id, read) in sessions {
        let planned = phases.iter().filter(|read| {
            read.phase
                .week
                .iter()
                .flatten()
                .any(|planned| planned == id)
        });
        // A phase whose length cannot be read has its own complaint and may be long enough.
        let longest = planned.max_by_key(|read| read.weeks.unwrap_or(u32::MAX));
        let Some((phase, weeks)) = longest.and_then(|read| Some((&read.phase, read.weeks?))) else {
            continue;
        };
        for by_week in read.parts.iter().filter_map(|part| part.by_week.as_ref()) {
            if by_week.value > usize::try_from(weeks).unwrap_or(usize::MAX) {
                root.complain(
                    &by_week.span,
                    format!(
                        "by_week of session \"{id}\" has {}, but the phase \"{}\" has {}",
                        counted(by_week.value, "entries"),
                        phase.name,
                        counted(weeks, "weeks")
                    ),
                    format!("Write at most {weeks}, or make the phase longer"),
                );
            }
        }
    }
}

fn shifts(root: &Section<'_, '_>) -> Vec<Shift> {
    let mut shifts = Vec::new();
    for table in root.tables("shift") {
        for (key, example) in [("from", "from = 2026-02-09"), ("days", "days = 7")] {
            if !table.has(key) {
                table.missing(
                    key,
                    format!(
                        "Write the first day that moves and by how many days, for example {example}"
                    ),
                );
            }
        }
        let from = table.date("from");
        let days = table.integer("days", 1..=365);
        table.finish();
        if let (Some(from), Some(days)) = (from, days) {
            shifts.push(Shift {
                from: from.value,
                days: u32::try_from(days.value).unwrap_or(1),
            });
        }
    }
    shifts
}
