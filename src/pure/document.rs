//! A TOML text read with its places, so that every fault can be named with line and column.
//!
//! Deserialising straight into structs stops at the first fault. A person who wrote a file wants all
//! of them, so the tree is walked by hand: each reading method takes a key, notes that it is known,
//! and complains where the value does not fit. What nobody asked for is complained of at the end.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::complaint::{Complaint, Lines, nearest, one_of};

mod lists;
mod syntax;
#[cfg(test)]
mod tests;
mod unprintable;
mod values;

pub use values::parse_time;

/// Complaints about one text: a file with more is none that a person wrote, and each costs time.
const MOST_COMPLAINTS: usize = 500;

/// A value with the bytes it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<T> {
    /// The value.
    pub value: T,
    /// Where it stands, in bytes of the text.
    pub span: Range<usize>,
}

/// One text being read, and the complaints about it so far.
#[derive(Debug)]
pub struct Document<'t> {
    file: &'t str,
    text: &'t str,
    lines: Lines<'t>,
    complaints: RefCell<Vec<Complaint>>,
    /// Complaints that something is absent. They are dropped where the text is no TOML: what the
    /// reader could not take in is not missing.
    absent: RefCell<Vec<Complaint>>,
}

impl<'t> Document<'t> {
    /// Reads `text` as TOML and hands the root table to `read`; returns what `read` gave, or every
    /// complaint in the order of the text if there was any.
    pub fn read<T>(
        file: &'t str,
        text: &'t str,
        read: impl FnOnce(&Section<'_, 't>) -> Option<T>,
    ) -> Result<T, Vec<Complaint>> {
        let document = Self {
            file,
            text,
            lines: Lines::new(text),
            complaints: RefCell::default(),
            absent: RefCell::default(),
        };
        let (root, errors) = DeTable::parse_recoverable(text);
        unprintable::complain(&document, root.get_ref());
        let section = Section::new(&document, root.get_ref(), 0..0, String::new());
        let value = read(&section);
        section.finish();
        let complaints = document.all_complaints(&errors);
        match value {
            Some(value) if complaints.is_empty() => Ok(value),
            _ => Err(complaints),
        }
    }

    /// Every complaint in the order of the text, with those about the TOML itself.
    fn all_complaints(self, errors: &[toml::de::Error]) -> Vec<Complaint> {
        let found = self.complaints.take();
        if errors.is_empty() {
            self.complaints.replace(found);
            self.complaints.borrow_mut().extend(self.absent.take());
        } else {
            let end = syntax::complain(&self, errors);
            // A line with a slip of the pen has been complained of, and below a broken structure
            // nothing can be trusted to stand in its own table.
            let slips: BTreeSet<usize> = self
                .complaints
                .borrow()
                .iter()
                .map(|one| one.line)
                .collect();
            let kept = found
                .into_iter()
                .filter(|one| one.line < end && !slips.contains(&one.line));
            self.complaints.borrow_mut().extend(kept);
        }
        let mut complaints = self.complaints.take();
        complaints.sort_by_key(|complaint| (complaint.line, complaint.column));
        complaints.dedup();
        complaints
    }

    /// Whether there are so many complaints that more of them help nobody.
    fn is_full(&self) -> bool {
        self.complaints.borrow().len() >= MOST_COMPLAINTS
    }

    fn complain(&self, byte: usize, what: impl Into<String>, instead: impl Into<String>) {
        if self.is_full() {
            return;
        }
        let complaint = self.complaint(byte, what, instead);
        self.complaints.borrow_mut().push(complaint);
    }

    fn complaint(
        &self,
        byte: usize,
        what: impl Into<String>,
        instead: impl Into<String>,
    ) -> Complaint {
        let (line, column) = self.lines.place(byte);
        Complaint {
            file: self.file.to_owned(),
            line,
            column,
            what: what.into(),
            instead: instead.into(),
        }
    }
}

/// One table of a [`Document`].
#[derive(Debug)]
pub struct Section<'d, 't> {
    document: &'d Document<'t>,
    table: &'d DeTable<'t>,
    /// Where the table stands: complaints about missing keys point here.
    span: Range<usize>,
    path: String,
    known: RefCell<BTreeSet<String>>,
}

impl<'d, 't> Section<'d, 't> {
    fn new(
        document: &'d Document<'t>,
        table: &'d DeTable<'t>,
        span: Range<usize>,
        path: String,
    ) -> Self {
        Self {
            document,
            table,
            span,
            path,
            known: RefCell::default(),
        }
    }

    /// A complaint about some place of this text.
    pub fn complain(
        &self,
        span: &Range<usize>,
        what: impl Into<String>,
        instead: impl Into<String>,
    ) {
        self.document.complain(span.start, what, instead);
    }

    /// A complaint that something is absent from this table.
    pub fn complain_here(&self, what: impl Into<String>, instead: impl Into<String>) {
        let complaint = self.document.complaint(self.span.start, what, instead);
        self.document.absent.borrow_mut().push(complaint);
    }

    /// Whether anything has been complained of so far, anywhere in the text.
    pub fn is_clean(&self) -> bool {
        self.document.complaints.borrow().is_empty() && self.document.absent.borrow().is_empty()
    }

    /// How many complaints there are so far, anywhere in the text: compare before and after a part was
    /// read to know whether it was sound.
    pub fn complaint_count(&self) -> usize {
        self.document.complaints.borrow().len()
    }

    /// Where this table stands.
    pub fn span(&self) -> &Range<usize> {
        &self.span
    }

    /// The dotted name of a key of this table, for messages.
    pub fn name_of(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    /// Whether the key is written in this table.
    pub fn has(&self, key: &str) -> bool {
        self.table
            .iter()
            .any(|(written, _)| written.get_ref().as_ref() == key)
    }

    /// Whether a list is written under the key.
    pub fn is_list(&self, key: &str) -> bool {
        self.table.iter().any(|(written, value)| {
            written.get_ref().as_ref() == key && matches!(value.get_ref(), DeValue::Array(_))
        })
    }

    /// The value under a key, which counts as known from here on.
    fn value(&self, key: &str) -> Option<&'d Spanned<DeValue<'t>>> {
        self.known.borrow_mut().insert(key.to_owned());
        self.table
            .iter()
            .find(|(written, _)| written.get_ref().as_ref() == key)
            .map(|(_, value)| value)
    }

    /// Says that a key is missing.
    pub fn missing(&self, key: &str, instead: impl Into<String>) {
        self.complain_here(format!("{} is missing", self.name_of(key)), instead);
    }

    fn mismatch(&self, key: &str, value: &Spanned<DeValue<'t>>, want: &str) {
        let found = kind_of(value.get_ref());
        self.complain(
            &value.span(),
            format!("{} is {found}", self.name_of(key)),
            format!("Write {want}"),
        );
    }

    /// A table under a key.
    pub fn table(&self, key: &str) -> Option<Section<'d, 't>> {
        self.table_or(key, || {
            format!("a table, either [{}] or {{ ... }}", self.name_of(key))
        })
    }

    /// A table under a key, with own words for what to write instead of anything else.
    pub fn table_as(&self, key: &str, want: &str) -> Option<Section<'d, 't>> {
        self.table_or(key, || want.to_owned())
    }

    fn table_or(&self, key: &str, want: impl FnOnce() -> String) -> Option<Section<'d, 't>> {
        let value = self.value(key)?;
        if let DeValue::Table(table) = value.get_ref() {
            let place = self.place_of(key, value);
            return Some(Section::new(self.document, table, place, self.name_of(key)));
        }
        self.mismatch(key, value, &want());
        None
    }

    /// Every key that has not been read yet, with its place, in the order of the text. They count as
    /// known from here on.
    pub fn other_keys(&self) -> Vec<Placed<String>> {
        let mut known = self.known.borrow_mut();
        let mut keys: Vec<Placed<String>> = self
            .table
            .iter()
            .filter(|(key, _)| !known.contains(key.get_ref().as_ref()))
            .map(|(key, _)| Placed {
                value: key.get_ref().clone().into_owned(),
                span: key.span(),
            })
            .collect();
        keys.sort_by_key(|key| key.span.start);
        known.extend(keys.iter().map(|key| key.value.clone()));
        keys
    }

    /// Where a key is written, or where its table is.
    pub fn place(&self, key: &str) -> Range<usize> {
        let written = self
            .table
            .iter()
            .find(|(written, _)| written.get_ref().as_ref() == key);
        written.map_or_else(|| self.span.clone(), |(written, _)| written.span())
    }

    fn place_of(&self, key: &str, value: &Spanned<DeValue<'t>>) -> Range<usize> {
        let span = value.span();
        if span.is_empty() {
            self.place(key)
        } else {
            span
        }
    }

    /// Complains of every key that was never asked for. Called by [`Document::read`] for the root;
    /// call it for every table that was opened.
    pub fn finish(&self) {
        self.finish_with(|_| None);
    }

    /// As [`Section::finish`], with a guess of its own what an unknown key was meant to be.
    pub fn finish_with(&self, guess: impl Fn(&str) -> Option<&'static str>) {
        let every_key_was_asked_for = {
            let known = self.known.borrow();
            let mut keys = self.table.keys();
            keys.all(|key| known.contains(key.get_ref().as_ref()))
        };
        if every_key_was_asked_for {
            return;
        }
        let known: Vec<String> = self.known.borrow().iter().cloned().collect();
        for key in self.other_keys() {
            if self.document.is_full() {
                return;
            }
            let name = self.name_of(&key.value);
            let names = known.iter().map(String::as_str);
            let meant = guess(&key.value).or_else(|| nearest(&key.value, names.clone()));
            let instead = match meant {
                Some(word) => format!("Did you mean {word}? Known here: {}", one_of(names)),
                None if known.is_empty() => "Remove it".to_owned(),
                None => format!("Remove it. Known here: {}", one_of(names)),
            };
            self.complain(&key.span, format!("{name} is not known"), instead);
        }
    }
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number with decimals",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
