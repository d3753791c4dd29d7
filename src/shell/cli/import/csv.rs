//! Mornings and sessions from csv.

use std::collections::HashMap;
use std::path::Path;

use chrono::NaiveDate;
use serde_json::json;

use super::super::{Context, Said};
use super::Arguments;
use crate::pure::civil::{Instant, Night};
use crate::pure::complaint::Complaint;
use crate::pure::diary::Morning;
use crate::pure::exchange::csv::{
    Imported, MORNING_COLUMNS, SESSION_COLUMNS, Subject, merged, not_yet_known, read_mornings,
    read_sessions, subject_of,
};
use crate::pure::load::TrainingDone;
use crate::pure::phrase::counted;
use crate::shell::failure::Failure;
use crate::shell::given;
use crate::shell::store::{Store, sessions_of};
use crate::shell::world::World;

/// Octets of a file: more than fifty years of mornings with notes.
const MOST_OCTETS: u64 = 8 << 20;

/// What came of a file.
struct Outcome {
    kind: &'static str,
    rows: usize,
    added: usize,
    corrected: usize,
    complaints: Vec<Complaint>,
    notes: Vec<String>,
}

pub(super) fn run(context: &Context, arguments: &Arguments, file: &Path) -> Result<Said, Failure> {
    let text = given::text_of(file, MOST_OCTETS)?;
    let file = file.display().to_string();
    let (now, world) = context.open()?;
    let mut store = context.store()?;
    let ignore = arguments.ignore_unknown;
    let outcome = match subject_of(&text) {
        Some(Subject::Mornings) => {
            let read = read_mornings(&text, &file, &world.zone, ignore);
            mornings(
                &mut store,
                &world,
                now,
                checked(read, arguments)?,
                arguments,
            )?
        }
        Some(Subject::Sessions) => {
            let read = read_sessions(&text, &file, ignore);
            sessions(
                &mut store,
                &world,
                now,
                checked(read, arguments)?,
                arguments,
            )?
        }
        None => {
            return Err(Failure::wrong(format!(
                "{file}:1:1: the header names neither a night nor a date. Write one of these as the first line: {} or {}.",
                MORNING_COLUMNS.join(","),
                SESSION_COLUMNS.join(",")
            )));
        }
    };
    if !arguments.dry_run && outcome.added + outcome.corrected > 0 {
        context.tell_service();
    }
    for complaint in &outcome.complaints {
        eprintln!("{complaint}");
    }
    Ok(said(&outcome, arguments.dry_run))
}

/// Nothing of a file with faults is taken in, unless its good rows are wanted all the same.
fn checked<T>(read: Imported<T>, arguments: &Arguments) -> Result<Imported<T>, Failure> {
    if read.complaints.is_empty() || (arguments.skip_bad && read.header_ok) {
        return Ok(read);
    }
    let faults = read.complaints.len();
    let can_skip = read.header_ok;
    let mut failure = Failure::from(read.complaints);
    let skip = if can_skip {
        format!(
            " To take in {} all the same, add --skip-bad.",
            counted(read.rows.len(), "good rows")
        )
    } else {
        String::new()
    };
    failure.message.push_str(&format!(
        "\n{} in the file; nothing was taken in.{skip}",
        counted(faults, "faults")
    ));
    Err(failure)
}

fn mornings(
    store: &mut Store,
    world: &World,
    now: Instant,
    read: Imported<Morning>,
    arguments: &Arguments,
) -> Result<Outcome, Failure> {
    let nights = read.rows.iter().map(|row| row.value.night);
    let span = nights.clone().min().zip(nights.max());
    let known: HashMap<Night, Morning> = match span {
        Some((from, to)) => store.mornings(from, to)?,
        None => Vec::new(),
    }
    .into_iter()
    .map(|morning| (morning.night, morning))
    .collect();
    let mut added = 0;
    let mut changed: Vec<Morning> = Vec::new();
    for row in &read.rows {
        let known = known.get(&row.value.night);
        if let Some(morning) = merged(known, &row.value) {
            added += usize::from(known.is_none());
            changed.push(morning);
        }
    }
    if !arguments.dry_run && !changed.is_empty() {
        let recent = Night::at(now, &world.zone).previous();
        store.add_mornings(&changed, recent, now, &world.zone)?;
    }
    Ok(Outcome {
        kind: "mornings",
        rows: read.rows.len(),
        added,
        corrected: changed.len() - added,
        complaints: read.complaints,
        notes: read.notes,
    })
}

fn sessions(
    store: &mut Store,
    world: &World,
    now: Instant,
    read: Imported<TrainingDone>,
    arguments: &Arguments,
) -> Result<Outcome, Failure> {
    let done: Vec<TrainingDone> = read.rows.into_iter().map(|row| row.value).collect();
    let dates = done.iter().map(|done| done.date);
    let span: Option<(NaiveDate, NaiveDate)> = dates.clone().min().zip(dates.max());
    let known = match span {
        Some((from, to)) => sessions_of(&store.training(from, to)?),
        None => Vec::new(),
    };
    let fresh = not_yet_known(&known, &done);
    if !arguments.dry_run && !fresh.is_empty() {
        store.add_sessions(fresh.iter().copied(), now, &world.zone)?;
    }
    Ok(Outcome {
        kind: "sessions",
        rows: done.len(),
        added: fresh.len(),
        corrected: 0,
        complaints: read.complaints,
        notes: read.notes,
    })
}

fn said(outcome: &Outcome, dry_run: bool) -> Said {
    let Outcome {
        kind,
        rows,
        added,
        corrected,
        complaints,
        notes,
    } = outcome;
    let unchanged = rows - added - corrected;
    let would = if dry_run {
        "Nothing was changed; this is what would be.\n"
    } else {
        ""
    };
    let mut text = format!(
        "{would}{} read: {added} added, {corrected} corrected, {unchanged} there already.\n",
        counted(*rows, kind)
    );
    if !complaints.is_empty() {
        text.push_str("The rows complained of were left out.\n");
    }
    for note in notes {
        text.push_str(&format!("{note}\n"));
    }
    let complaints: Vec<String> = complaints.iter().map(ToString::to_string).collect();
    Said {
        text,
        json: json!({
            "kind": kind,
            "rows": rows,
            "added": added,
            "corrected": corrected,
            "unchanged": unchanged,
            "complaints": complaints,
            "notes": notes,
            "dry_run": dry_run,
        }),
    }
}
