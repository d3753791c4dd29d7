//! One row a night.

use std::collections::BTreeMap;

use super::cells::{Reading, guarded};
use super::table::{Imported, Row, Table};
use super::write::Writer;
use crate::pure::civil::{Instant, Night, Resolved, Zone};
use crate::pure::diary::{DiaryEntry, Field, Item, Moment, Morning, Ratings, Times};

/// The columns in their order.
pub const MORNING_COLUMNS: [&str; 14] = [
    "night",
    "into_bed",
    "lights_out",
    "asleep_after_min",
    "wakings",
    "awake_for_min",
    "woke",
    "up",
    "sleep_min",
    "sleep_quality",
    "freshness",
    "soreness",
    "mood",
    "note",
];

/// The place of the first rating; the four stand in the order of [`Item::ALL`].
const FIRST_RATING: usize = 9;
const NOTE: usize = 13;
const DAY_MIN: u32 = 24 * 60;
const MOST_WAKINGS: u32 = 100;

/// Reads mornings. Times are local in `zone`, with or without their date; with an offset they need no
/// zone. A row that says nothing but its night is passed over, as a missed day left blank.
pub fn read_mornings(
    text: &str,
    file: &str,
    zone: &Zone,
    ignore_unknown: bool,
) -> Imported<Morning> {
    let table = Table::new(file, text);
    let mut read = Imported {
        rows: Vec::new(),
        complaints: Vec::new(),
        header_ok: true,
        notes: Vec::new(),
    };
    let columns = match table.columns(&MORNING_COLUMNS, &["night"], ignore_unknown) {
        Ok(columns) => columns,
        Err(complaints) => {
            read.complaints = complaints;
            read.header_ok = false;
            return read;
        }
    };
    let mut seen: BTreeMap<Night, (usize, Morning)> = BTreeMap::new();
    for record in &table.records {
        let start = record.first().map_or(0, |cell| cell.at);
        let cells = match table.arrange(record, &columns, MORNING_COLUMNS.len()) {
            Ok(cells) => cells,
            Err(complaints) => {
                read.complaints.extend(complaints);
                continue;
            }
        };
        let mut row = Reading {
            table: &table,
            cells,
            start,
            complaints: Vec::new(),
        };
        let found = morning(&mut row, zone);
        let line = table.line(start);
        if let Some((morning, notes)) = found {
            read.notes
                .extend(notes.into_iter().map(|note| format!("line {line}: {note}")));
            match seen.get(&morning.night) {
                Some((_, known)) if *known == morning => {}
                Some((before, _)) => row.complain(
                    start,
                    format!(
                        "the night {} is there twice and differs, the first time in line {before}",
                        morning.night
                    ),
                    "Keep the right one",
                ),
                None => {
                    seen.insert(morning.night, (line, morning.clone()));
                    read.rows.push(Row {
                        line,
                        value: morning,
                    });
                }
            }
        }
        read.complaints.extend(row.complaints);
    }
    read
}

/// The morning of one row, with notes on how its times were read; `None` where a cell is wrong or nothing
/// is said.
fn morning(row: &mut Reading<'_>, zone: &Zone) -> Option<(Morning, Vec<String>)> {
    let night = row.date(0).map(Night);
    let entry = DiaryEntry {
        into_bed: moment(row, Field::IntoBed),
        lights_out: moment(row, Field::LightsOut),
        asleep_after_min: row.whole(column(Field::AsleepAfter), DAY_MIN),
        wakings: row.whole(column(Field::Wakings), MOST_WAKINGS),
        awake_for_min: row.whole(column(Field::AwakeFor), DAY_MIN),
        woke: moment(row, Field::Woke),
        up: moment(row, Field::Up),
        sleep_min: row.whole(column(Field::SleepMin), DAY_MIN),
        ..DiaryEntry::default()
    };
    let mut ratings = Ratings::default();
    for (index, item) in Item::ALL.into_iter().enumerate() {
        let rating = row.read(
            FIRST_RATING + index,
            |value: &u8| Ratings::in_range(*value),
            "not a rating",
            "Write 1 to 5, 3 as usual and 5 the best, or leave it empty",
        );
        ratings.set(item, rating);
    }
    let night = night.filter(|_| row.complaints.is_empty())?;
    match entry.resolve(night, zone) {
        Ok(diary) => {
            let morning = Morning {
                times: diary.times,
                ratings,
                note: row.note(NOTE),
                ..Morning::empty(night, zone.name())
            };
            (!morning.is_empty()).then_some((morning, diary.notes))
        }
        Err(refusals) => {
            for refusal in refusals {
                let at = row.place(column(refusal.field()));
                row.complain(at, refusal.what(), refusal.instead());
            }
            None
        }
    }
}

/// The place of a field among the columns; the one field without a column shares that of waking, which it
/// follows.
fn column(field: Field) -> usize {
    let named = |field: Field| {
        MORNING_COLUMNS
            .iter()
            .position(|name| *name == field.column())
    };
    named(field).or_else(|| named(Field::Woke)).unwrap_or(0)
}

fn moment(row: &mut Reading<'_>, field: Field) -> Option<Moment> {
    row.read(
        column(field),
        |_| true,
        "not a time",
        "Write a local date and time like 2026-01-05T22:40",
    )
}

/// Writes mornings, oldest night first. Times are local in `zone`; where that would have two readings, or
/// the record was made in another zone, the offset stands with them.
pub fn write_mornings(mornings: &[Morning], zone: &Zone) -> String {
    let mut sorted: Vec<&Morning> = mornings.iter().collect();
    sorted.sort_by_key(|morning| morning.night);
    let mut writer = Writer::new(&MORNING_COLUMNS);
    for morning in sorted {
        let times = &morning.times;
        let local = |at: Option<Instant>| at.map(|at| local_text(at, zone, &morning.zone));
        writer.cell(Some(morning.night));
        writer.cell(local(times.into_bed));
        writer.cell(local(times.lights_out));
        writer.cell(times.asleep_after_min);
        writer.cell(times.wakings);
        writer.cell(times.awake_for_min);
        writer.cell(local(times.woke));
        writer.cell(local(times.up));
        // Whoever opens the file should not have to work it out; on the way back it has to agree.
        writer.cell(times.measures().asleep_s.map(|seconds| (seconds + 30) / 60));
        for item in Item::ALL {
            writer.cell(morning.ratings.get(item));
        }
        let note = (!morning.note.is_empty()).then(|| guarded(&morning.note));
        writer.cell(note);
        writer.end_row();
    }
    writer.finish()
}

fn local_text(at: Instant, zone: &Zone, recorded_in: &str) -> String {
    let local = zone.local(at);
    let one_reading = matches!(zone.resolve(local.naive_local()), Resolved::Exact(_));
    if one_reading && recorded_in == zone.name() {
        local.format("%Y-%m-%dT%H:%M").to_string()
    } else {
        local.format("%Y-%m-%dT%H:%M%:z").to_string()
    }
}

/// The record to keep for an imported morning: what a file cannot carry stays as it was. `None` where
/// nothing changes, so that importing a file twice does nothing the second time.
pub fn merged(known: Option<&Morning>, imported: &Morning) -> Option<Morning> {
    let Some(known) = known else {
        return Some(imported.clone());
    };
    let times = Times {
        tried_after_min: known.times.tried_after_min,
        ..imported.times.clone()
    };
    let same_times = times == known.times;
    let same = same_times && imported.ratings == known.ratings && imported.note == known.note;
    (!same).then(|| Morning {
        zone: if same_times {
            known.zone.clone()
        } else {
            imported.zone.clone()
        },
        times,
        ratings: imported.ratings,
        note: imported.note.clone(),
        estimated: false,
        ..known.clone()
    })
}

#[cfg(test)]
mod tests;
