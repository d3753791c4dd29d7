//! One row a session.

use std::collections::HashMap;

use chrono::NaiveDate;

use super::cells::{Reading, guarded};
use super::table::{Imported, Row, Table};
use super::write::Writer;
use crate::pure::load::{TrainingDone, check_minutes, check_rpe};

/// The columns in their order.
pub const SESSION_COLUMNS: [&str; 5] = ["date", "session", "minutes", "rpe", "note"];

/// Reads sessions. Minutes or rating may be empty: then the load of that day is unknown.
pub fn read_sessions(text: &str, file: &str, ignore_unknown: bool) -> Imported<TrainingDone> {
    let table = Table::new(file, text);
    let mut read = Imported {
        rows: Vec::new(),
        complaints: Vec::new(),
        header_ok: true,
        notes: Vec::new(),
    };
    let columns = match table.columns(&SESSION_COLUMNS, &["date"], ignore_unknown) {
        Ok(columns) => columns,
        Err(complaints) => {
            read.complaints = complaints;
            read.header_ok = false;
            return read;
        }
    };
    for record in &table.records {
        let start = record.first().map_or(0, |cell| cell.at);
        match table.arrange(record, &columns, SESSION_COLUMNS.len()) {
            Ok(cells) => {
                let mut row = Reading {
                    table: &table,
                    cells,
                    start,
                    complaints: Vec::new(),
                };
                let found = session(&mut row);
                read.complaints.extend(row.complaints);
                read.rows.extend(found.map(|value| Row {
                    line: table.line(start),
                    value,
                }));
            }
            Err(complaints) => read.complaints.extend(complaints),
        }
    }
    read
}

fn session(row: &mut Reading<'_>) -> Option<TrainingDone> {
    let date = row.date(0);
    let minutes = row.number(2);
    let rpe = row.number(3);
    if let Some(Err((what, instead))) = minutes.map(check_minutes) {
        row.complain(row.place(2), what, instead);
    }
    if let Some(Err((what, instead))) = rpe.map(|rpe| check_rpe(rpe, minutes)) {
        row.complain(row.place(3), what, instead);
    }
    let done = TrainingDone {
        date: date?,
        session: row.cells[1].map(|cell| cell.text.trim().to_owned()),
        minutes,
        rpe,
        parts: Vec::new(),
        note: row.note(4),
    };
    row.complaints.is_empty().then_some(done)
}

/// Writes sessions, oldest first, those of one day in the order given.
pub fn write_sessions(done: &[TrainingDone]) -> String {
    let mut sorted: Vec<&TrainingDone> = done.iter().collect();
    sorted.sort_by_key(|training| training.date);
    let mut writer = Writer::new(&SESSION_COLUMNS);
    for training in sorted {
        writer.cell(Some(training.date));
        writer.cell(training.session.as_deref());
        writer.cell(training.minutes);
        writer.cell(training.rpe);
        let note = (!training.note.is_empty()).then(|| guarded(&training.note));
        writer.cell(note);
        writer.end_row();
    }
    writer.finish()
}

/// What tells one session of a file from another. Numbers by their bits: they come from the same digits.
type Key<'t> = (
    NaiveDate,
    Option<&'t str>,
    Option<u64>,
    Option<u64>,
    &'t str,
);

fn key(training: &TrainingDone) -> Key<'_> {
    (
        training.date,
        training.session.as_deref(),
        training.minutes.map(f64::to_bits),
        training.rpe.map(f64::to_bits),
        &training.note,
    )
}

/// The sessions of a file that are not there yet. Equal rows are equal sessions of one day, and as many of
/// them count as the file has: a file read twice adds nothing the second time, in whatever order.
pub fn not_yet_known<'t>(
    known: &'t [TrainingDone],
    read: &'t [TrainingDone],
) -> Vec<&'t TrainingDone> {
    let mut there: HashMap<Key<'t>, usize> = HashMap::new();
    for training in known {
        *there.entry(key(training)).or_insert(0) += 1;
    }
    read.iter()
        .filter(|training| match there.get_mut(&key(training)) {
            Some(count) if *count > 0 => {
                *count -= 1;
                false
            }
            _ => true,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "date,session,minutes,rpe,note\r\n\
        2026-01-05,legs_and_lungs,28,8,\"steady, cold\"\r\n\
        2026-01-05,legs_and_lungs,28,8,\"steady, cold\"\r\n\
        2026-01-06,,12.5,3.5,\r\n\
        2026-01-07,walk,,,'=later\r\n";

    fn values(text: &str) -> Vec<TrainingDone> {
        let read = read_sessions(text, "s.csv", false);
        assert_eq!(read.complaints, []);
        read.rows.into_iter().map(|row| row.value).collect()
    }

    #[test]
    fn what_is_written_is_read_back() {
        let done = values(GOOD);
        assert_eq!(done.len(), 4);
        assert_eq!(done[2].load(), Some(43.75));
        assert_eq!((done[3].load(), done[3].note.as_str()), (None, "=later"));
        assert_eq!(write_sessions(&done), GOOD);
    }

    #[test]
    fn equal_rows_are_equal_sessions_and_a_second_reading_adds_none() {
        let done = values(GOOD);
        assert_eq!(not_yet_known(&[], &done).len(), 4);
        assert_eq!(not_yet_known(&done, &done).len(), 0);
        assert_eq!(not_yet_known(&done[1..], &done), [&done[1]]);
        assert_eq!(not_yet_known(&done, &done[..1]).len(), 0);
    }

    #[test]
    fn every_bad_cell_is_named_with_its_place() {
        let text = "date,session,minutes,rpe,note\n\
            2026-01-05,a,28,8,\n\
            05.01.2026,a,28,8,\n\
            2026-01-05,a,many,11,x\n\
            ,a,700,7.3,\n\
            2026-01-05,a,20,0,\n\
            2026-01-05,a\n";
        let read = read_sessions(text, "s.csv", false);
        assert_eq!(read.rows.len(), 1);
        let places: Vec<(usize, usize)> = read
            .complaints
            .iter()
            .map(|complaint| (complaint.line, complaint.column))
            .collect();
        assert_eq!(
            places,
            [
                (3, 1),
                (4, 14),
                (4, 19),
                (5, 1),
                (5, 4),
                (5, 8),
                (6, 17),
                (7, 1)
            ]
        );
        assert_eq!(
            read.complaints[1].to_string(),
            "s.csv:4:14: `many` is not a number. Write digits, with a point for parts: 12.5."
        );
    }

    #[test]
    fn unknown_columns_are_named_or_passed_over() {
        let text = "date,minutes,effort,rep\n2026-01-05,28,8,7\n";
        let read = read_sessions(text, "s.csv", false);
        assert!(!read.header_ok && read.rows.is_empty());
        assert_eq!(
            read.complaints[1].to_string(),
            "s.csv:1:21: the column `rep` is not known. Did you mean rpe."
        );
        let read = read_sessions(text, "s.csv", true);
        assert_eq!(read.rows[0].value.minutes, Some(28.0));
        let semicolons = read_sessions("date;minutes\n", "s.csv", false);
        assert!(semicolons.complaints[0].instead.contains("commas"));
        assert!(!read_sessions("", "s.csv", true).header_ok);
        assert!(!read_sessions("date,date\n", "s.csv", true).header_ok);
    }
}
