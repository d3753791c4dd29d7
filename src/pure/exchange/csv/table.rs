//! The text as rows of cells with their places, and the header.

use crate::pure::complaint::{Complaint, Lines, nearest, one_of};
use crate::pure::phrase::counted;

/// What a file is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// One row a night.
    Mornings,
    /// One row a session.
    Sessions,
}

/// What a file is about, by its header: mornings have a column `night`, sessions a column `date`.
pub fn subject_of(text: &str) -> Option<Subject> {
    let header = Table::new("", text).header?;
    let has = |name: &str| header.iter().any(|cell| cell.text.trim() == name);
    if has("night") {
        Some(Subject::Mornings)
    } else if has("date") {
        Some(Subject::Sessions)
    } else {
        None
    }
}

/// Rows of a file: more days than a life has.
const MOST_RECORDS: usize = 50_000;
/// Cells of a row: several times what any of the files has.
const MOST_CELLS: usize = 100;

/// A value read from a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<T> {
    /// Line of the row's first cell, counted from 1.
    pub line: usize,
    /// What it says.
    pub value: T,
}

/// What was read from a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported<T> {
    /// The good rows, in the order of the file.
    pub rows: Vec<Row<T>>,
    /// Everything wrong, in the order of the file.
    pub complaints: Vec<Complaint>,
    /// The header can be read. If not, no row was, and skipping bad rows does not help.
    pub header_ok: bool,
    /// What the person should know about how rows were read, each with its line.
    pub notes: Vec<String>,
}

/// One cell with its place.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub text: String,
    /// Byte offset of its beginning.
    pub at: usize,
    /// Why its quotes are wrong, if they are.
    pub fault: Option<&'static str>,
}

pub(super) struct Table<'t> {
    file: &'t str,
    lines: Lines<'t>,
    pub header: Option<Vec<Cell>>,
    pub records: Vec<Vec<Cell>>,
}

impl<'t> Table<'t> {
    pub fn new(file: &'t str, text: &'t str) -> Self {
        let mut records = records(text);
        let header = (!records.is_empty()).then(|| records.remove(0));
        Self {
            file,
            lines: Lines::new(text),
            header,
            records,
        }
    }

    pub fn line(&self, at: usize) -> usize {
        self.lines.place(at).0
    }

    pub fn complaint(
        &self,
        at: usize,
        what: impl Into<String>,
        instead: impl Into<String>,
    ) -> Complaint {
        let (line, column) = self.lines.place(at);
        Complaint {
            file: self.file.to_owned(),
            line,
            column,
            what: what.into(),
            instead: instead.into(),
        }
    }

    /// For each column of the file its place in `known`; `None` for one to pass over.
    ///
    /// # Errors
    ///
    /// Unknown columns (unless they are to be ignored), columns written twice, and required ones missing.
    pub fn columns(
        &self,
        known: &[&'static str],
        required: &[&'static str],
        ignore_unknown: bool,
    ) -> Result<Vec<Option<usize>>, Vec<Complaint>> {
        let example = format!("Write them in the first line: {}", known.join(","));
        let Some(header) = &self.header else {
            return Err(vec![self.complaint(
                0,
                "the header with the names of the columns is missing",
                example,
            )]);
        };
        let mut complaints: Vec<Complaint> = Vec::new();
        if let Some(record) = self.records.get(MOST_RECORDS) {
            complaints.push(self.complaint(
                record.first().map_or(0, |cell| cell.at),
                format!("the file has more than {MOST_RECORDS} rows, the limit"),
                "Split it",
            ));
        }
        let mut found: Vec<Option<usize>> = Vec::new();
        for cell in header {
            let name = cell.text.trim();
            let at = known.iter().position(|column| *column == name);
            if at.is_some() && found.contains(&at) {
                complaints.push(self.complaint(
                    cell.at,
                    format!("the column {name} is there twice"),
                    "Keep one of them",
                ));
            } else if at.is_none() && !ignore_unknown {
                complaints.push(self.complaint(
                    cell.at,
                    format!("the column `{name}` is not known"),
                    unknown_column(name, known),
                ));
            }
            found.push(at);
        }
        for name in required {
            let at = known.iter().position(|column| column == name);
            if !found.contains(&at) {
                complaints.push(self.complaint(
                    0,
                    format!("the column {name} is missing"),
                    example.clone(),
                ));
            }
        }
        if complaints.is_empty() {
            Ok(found)
        } else {
            Err(complaints)
        }
    }

    /// The cells of a record in the order of `known`, blank ones `None`; or what is wrong with its shape.
    pub fn arrange<'r>(
        &self,
        record: &'r [Cell],
        columns: &[Option<usize>],
        known: usize,
    ) -> Result<Vec<Option<&'r Cell>>, Vec<Complaint>> {
        let faults: Vec<Complaint> = record
            .iter()
            .filter_map(|cell| {
                let fault = cell.fault?;
                Some(self.complaint(
                    cell.at,
                    fault,
                    "Put the cell into quotes \"like this\" and write a quote within as two",
                ))
            })
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        if record.len() != columns.len() {
            let at = record.get(columns.len()).or(record.first());
            return Err(vec![self.complaint(
                at.map_or(0, |cell| cell.at),
                format!(
                    "the row has {}, the header {}",
                    counted(record.len(), "cells"),
                    columns.len()
                ),
                "Write one cell for each column, empty where nothing is known",
            )]);
        }
        let mut arranged = vec![None; known];
        for (cell, column) in record.iter().zip(columns) {
            if let Some(column) = column
                && !cell.text.trim().is_empty()
            {
                arranged[*column] = Some(cell);
            }
        }
        Ok(arranged)
    }
}

fn unknown_column(name: &str, known: &[&'static str]) -> String {
    if name.contains(';') || name.contains('\t') {
        return "Separate the columns with commas".to_owned();
    }
    match nearest(name, known.iter().copied()) {
        Some(near) => format!("Did you mean {near}"),
        None => format!(
            "Write {}, or leave it out with --ignore-unknown",
            one_of(known.iter().copied())
        ),
    }
}

/// Splits the text into records. The library reads the cells; the places and the strictness about quotes
/// are ours, because it takes whatever comes, and half a file may vanish into an open quote.
/// The cells of each record. What is beyond the limits is not kept, but for one more that tells so.
fn records(text: &str) -> Vec<Vec<Cell>> {
    let bytes = text.as_bytes();
    let mut reader = csv_core::Reader::new();
    let mut buffer = vec![0; bytes.len() + 1];
    let mut all: Vec<Vec<Cell>> = Vec::new();
    let mut record: Vec<Cell> = Vec::new();
    let mut at = if text.starts_with('\u{feff}') { 3 } else { 0 };
    loop {
        if record.is_empty() {
            // The reader passes over empty lines before a record; so does the place.
            while matches!(bytes.get(at), Some(b'\r' | b'\n')) {
                at += 1;
            }
        }
        let (mut read, mut written) = (0, 0);
        let record_end = loop {
            let (result, input, output) =
                reader.read_field(&bytes[at + read..], &mut buffer[written..]);
            read += input;
            written += output;
            match result {
                csv_core::ReadFieldResult::Field { record_end } => break record_end,
                csv_core::ReadFieldResult::End => return all,
                csv_core::ReadFieldResult::InputEmpty | csv_core::ReadFieldResult::OutputFull => {}
            }
        };
        if record.len() <= MOST_CELLS {
            record.push(Cell {
                // Cells of a text are cut at commas, quotes and line ends only, so they are text again.
                text: String::from_utf8_lossy(&buffer[..written]).into_owned(),
                at,
                fault: fault(&text[at..at + read]),
            });
        }
        at += read;
        if record_end {
            all.push(std::mem::take(&mut record));
            if all.len() > MOST_RECORDS + 1 {
                return all;
            }
        }
    }
}

/// What is wrong with the quotes of a cell as written, its delimiter included.
fn fault(raw: &str) -> Option<&'static str> {
    if !raw.starts_with('"') {
        return None;
    }
    if raw.matches('"').count() % 2 == 1 {
        return Some("a quote is opened and not closed");
    }
    let after = raw.rsplit('"').next().unwrap_or("");
    let ends = after.trim_end_matches([',', '\r', '\n']).is_empty();
    (!ends).then_some("something stands after the closing quote")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<(String, (usize, usize))>> {
        let lines = Lines::new(text);
        records(text)
            .into_iter()
            .map(|record| {
                record
                    .into_iter()
                    .map(|cell| (cell.text, lines.place(cell.at)))
                    .collect()
            })
            .collect()
    }

    // RFC 4180 section 2: line breaks of either kind, an optional one at the end, quoted cells with
    // commas, line breaks and doubled quotes.
    #[test]
    fn cells_have_their_text_and_place() {
        let text = "a,b\r\n1,\"two, \"\"2\"\"\nlines\"\r\n\r\n,4";
        let found = cells(text);
        assert_eq!(found.len(), 3);
        assert_eq!(found[0], [("a".into(), (1, 1)), ("b".into(), (1, 3))]);
        assert_eq!(
            found[1],
            [("1".into(), (2, 1)), ("two, \"2\"\nlines".into(), (2, 3))]
        );
        assert_eq!(found[2], [("".into(), (5, 1)), ("4".into(), (5, 2))]);
        assert_eq!(cells("").len(), 0);
        assert_eq!(cells("\u{feff}a\n")[0][0].0, "a");
        assert_eq!(cells("ä,ö\n")[0][1], ("ö".into(), (1, 3)));
        assert_eq!(cells("a,\n")[0].len(), 2);
    }

    #[test]
    fn quotes_that_do_not_close_are_seen() {
        let faults = |text: &str| -> Vec<Option<&'static str>> {
            records(text)
                .into_iter()
                .flatten()
                .map(|cell| cell.fault)
                .collect()
        };
        assert_eq!(faults("a,\"b\"\n"), [None, None]);
        assert_eq!(faults("\"a\"\"\",b"), [None, None]);
        assert!(faults("a,\"b\nc,d\n")[1].is_some());
        assert!(faults("\"a\"x,b\n")[0].is_some());
    }

    #[test]
    fn a_file_tells_what_it_is_about() {
        assert_eq!(
            subject_of("date,session,minutes,rpe,note\n"),
            Some(Subject::Sessions)
        );
        assert_eq!(subject_of("freshness,night\n"), Some(Subject::Mornings));
        assert_eq!(subject_of("when,what\n"), None);
        assert_eq!(subject_of(""), None);
    }
}
