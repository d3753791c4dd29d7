//! A shared file as a stream of rows.

use chrono::NaiveDate;
use csv_core::{ReadRecordResult, Reader as Records};

use crate::pure::caution::Level;
use crate::pure::complaint::Complaint;

/// The longest record that is read; a note has room in it.
const LONGEST_RECORD: usize = 64 * 1024;

/// Faults of one file that are named one by one.
const MOST_FAULTS: usize = 20;

/// The columns that matter here; others are passed over.
const COLUMNS: [&str; 6] = ["person", "date", "answered", "load", "readiness", "caution"];

/// What a row says, as far as it matters here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row<'r> {
    /// What the person is called in the file.
    pub person: &'r str,
    /// The day.
    pub date: NaiveDate,
    /// Its morning was recorded.
    pub answered: bool,
    /// Load, AU.
    pub load: Option<f64>,
    /// The readiness score.
    pub readiness: Option<f64>,
    /// How urgent the most urgent caution is.
    pub caution: Option<Level>,
}

/// Reads a file piece by piece.
pub struct Reader {
    file: String,
    records: Records,
    output: Vec<u8>,
    ends: Vec<usize>,
    written: usize,
    ended: usize,
    /// Line feeds read so far.
    feeds: usize,
    /// Line on which the record begins.
    line: usize,
    /// Where each of the columns is; nothing before the header was read.
    columns: Option<[Option<usize>; COLUMNS.len()]>,
    complaints: Vec<Complaint>,
    faults: usize,
    /// The file is none of ours: nothing more is read of it.
    given_up: bool,
}

impl Reader {
    /// A reader for a file; its name is for complaints.
    pub fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            records: Records::new(),
            output: vec![0; LONGEST_RECORD],
            ends: vec![0; 64],
            written: 0,
            ended: 0,
            feeds: 0,
            line: 1,
            columns: None,
            complaints: Vec::new(),
            faults: 0,
            given_up: false,
        }
    }

    /// Takes the next piece of the file, empty at its end, and hands on every row that is whole.
    pub fn feed(&mut self, mut piece: &[u8], take: &mut impl FnMut(&Row<'_>)) {
        let at_end = piece.is_empty();
        while !self.given_up {
            let (result, read, written, ended) = self.records.read_record(
                piece,
                &mut self.output[self.written..],
                &mut self.ends[self.ended..],
            );
            let (taken, rest) = piece.split_at(read);
            piece = rest;
            self.feeds += taken.iter().filter(|byte| **byte == b'\n').count();
            self.written += written;
            self.ended += ended;
            match result {
                ReadRecordResult::InputEmpty if at_end => break,
                ReadRecordResult::InputEmpty => return,
                ReadRecordResult::OutputFull | ReadRecordResult::OutputEndsFull => {
                    self.complain(
                        "the row is longer than any of ours",
                        "Share the file anew, or take the row out",
                    );
                    self.given_up = true;
                }
                ReadRecordResult::Record => {
                    self.record(take);
                    self.written = 0;
                    self.ended = 0;
                    // A record is over with the carriage return; its line feed comes with the next one.
                    let pending = usize::from(taken.last() == Some(&b'\r'));
                    self.line = self.feeds + pending + 1;
                }
                ReadRecordResult::End => break,
            }
        }
        if at_end && self.columns.is_none() && !self.given_up {
            self.complain("the file is empty", "Share it anew with evenfall share");
        }
    }

    /// What is wrong in the file, the first faults one by one.
    pub fn complaints(&self) -> &[Complaint] {
        &self.complaints
    }

    /// How many faults there are in all.
    pub fn faults(&self) -> usize {
        self.faults
    }

    fn record(&mut self, take: &mut impl FnMut(&Row<'_>)) {
        let Ok(text) = std::str::from_utf8(&self.output[..self.written]) else {
            self.complain("the row is not UTF-8 text", "Save the file as UTF-8");
            return;
        };
        let ends = &self.ends[..self.ended];
        let cell = |index: usize| {
            let to = *ends.get(index)?;
            let from = index.checked_sub(1).map_or(0, |before| ends[before]);
            text.get(from..to)
        };
        let Some(columns) = &self.columns else {
            let names = (0..self.ended).filter_map(cell);
            let names: Vec<&str> = names
                .map(|name| name.trim_start_matches('\u{feff}').trim())
                .collect();
            let found = COLUMNS.map(|column| names.iter().position(|name| *name == column));
            let needed = found[..3].iter().all(Option::is_some);
            self.columns = Some(found);
            if !needed {
                self.complain(
                    "the columns person, date and answered are not all there",
                    "Share the file anew with evenfall share",
                );
                self.given_up = true;
            }
            return;
        };
        let value = |column: usize| {
            let text = cell(columns[column]?)?.trim();
            (!text.is_empty()).then_some(text)
        };
        match row(&value) {
            Ok(row) => take(&row),
            Err((what, instead)) => self.complain(what, instead),
        }
    }

    fn complain(&mut self, what: impl Into<String>, instead: impl Into<String>) {
        self.faults += 1;
        if self.faults <= MOST_FAULTS {
            self.complaints.push(Complaint {
                file: self.file.clone(),
                line: self.line,
                column: 1,
                what: what.into(),
                instead: instead.into(),
            });
        }
    }
}

fn row<'r>(value: &impl Fn(usize) -> Option<&'r str>) -> Result<Row<'r>, (String, String)> {
    let wrong =
        |text: &str, what: &str, instead: &str| (format!("`{text}` is {what}"), instead.to_owned());
    let number = |column: usize| match value(column) {
        None => Ok(None),
        Some(text) => match text.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(wrong(
                text,
                "not a number",
                "Write digits, with a point for parts",
            )),
        },
    };
    let Some(person) = value(0) else {
        return Err((
            "the person is missing".to_owned(),
            "Write what the person is called".to_owned(),
        ));
    };
    let date = value(1).unwrap_or_default();
    Ok(Row {
        person,
        date: date
            .parse()
            .map_err(|_| wrong(date, "no date", "Write it like 2026-01-05"))?,
        answered: match value(2) {
            Some("1") => true,
            Some("0") | None => false,
            Some(text) => {
                return Err(wrong(
                    text,
                    "neither 1 nor 0",
                    "Write 1 for answered, 0 for not",
                ));
            }
        },
        load: number(3)?,
        readiness: number(4)?,
        caution: match value(5) {
            None => None,
            Some(text) => Some(Level::from_id(text).ok_or_else(|| {
                wrong(
                    text,
                    "no level of a caution",
                    "Write clinician_soon, same_day_care or emergency_now",
                )
            })?),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "\u{feff}person,date,answered,note,load\r\n\
        ada,2026-01-05,1,\"two\r\nlines\",240\r\n\
        ada,2026-01-06,0,,\r\nada,2026-13-07,1,,0\r\nada,2026-01-08,yes,,0\r\nbo,2026-01-05,1,,12.5";

    fn rows(pieces: &[&[u8]]) -> (Vec<String>, Vec<String>) {
        let mut reader = Reader::new("a.csv");
        let mut found = Vec::new();
        let mut take = |row: &Row<'_>| {
            found.push(format!(
                "{} {} {} {:?}",
                row.person, row.date, row.answered, row.load
            ));
        };
        for piece in pieces {
            reader.feed(piece, &mut take);
        }
        reader.feed(&[], &mut take);
        let complaints = reader.complaints().iter().map(ToString::to_string);
        (found, complaints.collect())
    }

    #[test]
    fn rows_come_out_the_same_whatever_the_pieces() {
        let (found, complaints) = rows(&[FILE.as_bytes()]);
        assert_eq!(
            found,
            [
                "ada 2026-01-05 true Some(240.0)",
                "ada 2026-01-06 false None",
                "bo 2026-01-05 true Some(12.5)"
            ]
        );
        assert_eq!(
            complaints,
            [
                "a.csv:5:1: `2026-13-07` is no date. Write it like 2026-01-05.",
                "a.csv:6:1: `yes` is neither 1 nor 0. Write 1 for answered, 0 for not."
            ]
        );
        for size in [1, 2, 7, 40] {
            let pieces: Vec<&[u8]> = FILE.as_bytes().chunks(size).collect();
            assert_eq!(rows(&pieces).0, found, "pieces of {size}");
        }
    }

    #[test]
    fn a_file_of_something_else_is_given_up_at_once() {
        let (found, complaints) = rows(&[b"night,into_bed\r\n2026-01-05,\r\n"]);
        assert_eq!((found.len(), complaints.len()), (0, 1));
        assert_eq!(rows(&[]).1.len(), 1);
    }
}
