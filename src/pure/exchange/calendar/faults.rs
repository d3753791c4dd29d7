//! Collecting everything that is wrong in one run.

use crate::pure::complaint::Complaint;

/// Faults named singly; the rest is counted.
const MOST: usize = 100;

/// Where something stands: line and column from 1, the column within the unfolded line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) line: usize,
    pub(super) column: usize,
}

/// The faults of one file.
#[derive(Debug)]
pub(super) struct Faults<'f> {
    file: &'f str,
    named: Vec<Complaint>,
    unnamed: usize,
}

impl<'f> Faults<'f> {
    pub(super) fn new(file: &'f str) -> Self {
        Self {
            file,
            named: Vec::new(),
            unnamed: 0,
        }
    }

    /// Names a fault: what is wrong, and what to do, each a sentence without its full stop.
    pub(super) fn say(
        &mut self,
        place: Place,
        what: impl Into<String>,
        instead: impl Into<String>,
    ) {
        if self.named.len() >= MOST {
            self.unnamed += 1;
            return;
        }
        self.named.push(Complaint {
            file: self.file.to_owned(),
            line: place.line,
            column: place.column,
            what: what.into(),
            instead: instead.into(),
        });
    }

    /// How many so far.
    pub(super) fn count(&self) -> usize {
        self.named.len() + self.unnamed
    }

    pub(super) fn is_empty(&self) -> bool {
        self.named.is_empty()
    }

    /// All of them in the order of the file.
    pub(super) fn into_complaints(mut self) -> Vec<Complaint> {
        self.named.sort();
        if let (Some(last), 1..) = (self.named.last().cloned(), self.unnamed) {
            self.named.push(Complaint {
                what: format!("{} more problems are not listed", self.unnamed),
                instead: "Put those above right first".to_owned(),
                ..last
            });
        }
        self.named
    }
}

/// Text of a foreign file shortened for a message, its control characters made visible.
pub(super) fn shown(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut short: String = text
        .chars()
        .take(LONGEST)
        .flat_map(char::escape_debug)
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        short.push('…');
    }
    short
}
