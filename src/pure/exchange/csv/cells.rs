//! Reading single cells, and collecting what is wrong with a row.

use std::str::FromStr;

use chrono::{Datelike, NaiveDate};

use super::table::{Cell, Table};
use crate::pure::complaint::Complaint;

/// The cells of one row while they are read.
pub(super) struct Reading<'r> {
    pub table: &'r Table<'r>,
    pub cells: Vec<Option<&'r Cell>>,
    /// Where the row begins, for what belongs to no cell.
    pub start: usize,
    pub complaints: Vec<Complaint>,
}

impl<'r> Reading<'r> {
    pub fn complain(&mut self, at: usize, what: impl Into<String>, instead: impl Into<String>) {
        self.complaints
            .push(self.table.complaint(at, what, instead));
    }

    /// Where a column's cell begins, or the row where it is blank.
    pub fn place(&self, column: usize) -> usize {
        self.cells[column].map_or(self.start, |cell| cell.at)
    }

    /// A cell as something that reads itself from text; `None` where it is blank or wrong.
    pub fn read<T: FromStr>(
        &mut self,
        column: usize,
        good: impl Fn(&T) -> bool,
        what: &str,
        instead: &str,
    ) -> Option<T> {
        let cell = self.cells[column]?;
        match cell.text.trim().parse::<T>() {
            Ok(value) if good(&value) => Some(value),
            _ => {
                self.complain(
                    cell.at,
                    format!("`{}` is {what}", cell.text.trim()),
                    instead,
                );
                None
            }
        }
    }

    /// A whole number of minutes, or a count.
    pub fn whole(&mut self, column: usize, most: u32) -> Option<u32> {
        let instead = format!("Write a whole number, 0 to {most}");
        self.read(column, |value| *value <= most, "not a count", &instead)
    }

    /// A number, with a point if it needs one.
    pub fn number(&mut self, column: usize) -> Option<f64> {
        self.read(
            column,
            |value: &f64| value.is_finite(),
            "not a number",
            "Write digits, with a point for parts: 12.5",
        )
    }

    /// A date that a diary can mean.
    pub fn date(&mut self, column: usize) -> Option<NaiveDate> {
        if self.cells[column].is_none() {
            self.complain(
                self.start,
                "the date is missing",
                "Write it like 2026-01-05",
            );
        }
        self.read(
            column,
            |date: &NaiveDate| (1900..2200).contains(&date.year()),
            "not a date of a diary",
            "Write it like 2026-01-05",
        )
    }

    /// A note, without the apostrophe that keeps spreadsheets from running it.
    pub fn note(&self, column: usize) -> String {
        self.cells[column].map_or(String::new(), |cell| unguarded(&cell.text).to_owned())
    }
}

/// Whether a text would be run by a spreadsheet, apostrophes before it left aside.
fn looks_like_a_formula(text: &str) -> bool {
    text.trim_start_matches('\'')
        .starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])
}

/// A text as it goes into a file.
pub(super) fn guarded(text: &str) -> String {
    if looks_like_a_formula(text) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// A text as it comes out of a file.
fn unguarded(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if looks_like_a_formula(text) => rest,
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_guarded_and_come_back() {
        for note in [
            "=1+1", "+47 12", "-", "@here", "\tx", "'=1", "''-a", "'quoted'", "plain", "", "'",
            "a=b", "\nx",
        ] {
            let written = guarded(note);
            assert!(
                !written.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']),
                "{note:?}"
            );
            assert_eq!(unguarded(&written), note);
        }
        assert_eq!(guarded("plain"), "plain");
        assert_eq!(unguarded("'quoted'"), "'quoted'");
    }
}
