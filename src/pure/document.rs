//! A TOML text read with its places, so that every fault can be named with line and column.
//!
//! Deserialising straight into structs stops at the first fault. A person who wrote a file wants all
//! of them, so the tree is walked by hand: each reading method takes a key, notes that it is known,
//! and complains where the value does not fit. What nobody asked for is complained of at the end.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::{Range, RangeInclusive};

use chrono::{NaiveDate, NaiveTime};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::complaint::{Complaint, Lines, nearest, one_of};

mod syntax;
#[cfg(test)]
mod tests;

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

    fn complain(&self, byte: usize, what: impl Into<String>, instead: impl Into<String>) {
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

    /// A text.
    pub fn text(&self, key: &str, example: &str) -> Option<Placed<String>> {
        let value = self.value(key)?;
        match value.get_ref() {
            DeValue::String(text) => Some(Placed {
                value: text.clone().into_owned(),
                span: value.span(),
            }),
            _ => {
                self.mismatch(
                    key,
                    value,
                    &format!("a text in quotes, for example {key} = \"{example}\""),
                );
                None
            }
        }
    }

    /// A whole number within bounds.
    pub fn integer(&self, key: &str, bounds: RangeInclusive<i64>) -> Option<Placed<i64>> {
        let value = self.value(key)?;
        let want = format!("a whole number from {} to {}", bounds.start(), bounds.end());
        let DeValue::Integer(number) = value.get_ref() else {
            self.mismatch(key, value, &want);
            return None;
        };
        let read = i64::from_str_radix(number.as_str(), number.radix()).ok();
        match read.filter(|number| bounds.contains(number)) {
            Some(number) => Some(Placed {
                value: number,
                span: value.span(),
            }),
            None => {
                let what = format!(
                    "{} = {} is out of range",
                    self.name_of(key),
                    number.as_str()
                );
                self.complain(&value.span(), what, format!("Write {want}"));
                None
            }
        }
    }

    /// Whether a certain whole number is written under the key.
    pub fn is_integer(&self, key: &str, number: i64) -> bool {
        self.table.iter().any(|(written, value)| {
            written.get_ref().as_ref() == key
                && matches!(value.get_ref(), DeValue::Integer(read)
                    if i64::from_str_radix(read.as_str(), read.radix()) == Ok(number))
        })
    }

    /// A number, whole or with a decimal point, within bounds.
    pub fn number(&self, key: &str, bounds: RangeInclusive<f64>) -> Option<Placed<f64>> {
        let value = self.value(key)?;
        let want = format!("a number from {} to {}", bounds.start(), bounds.end());
        let (read, written) = match value.get_ref() {
            DeValue::Integer(number) => (
                i64::from_str_radix(number.as_str(), number.radix())
                    .ok()
                    .map(|n| n as f64),
                number.as_str(),
            ),
            DeValue::Float(number) => (number.as_str().parse().ok(), number.as_str()),
            _ => {
                self.mismatch(key, value, &want);
                return None;
            }
        };
        match read.filter(|number| bounds.contains(number)) {
            Some(number) => Some(Placed {
                value: number,
                span: value.span(),
            }),
            None => {
                let what = format!("{} = {written} is out of range", self.name_of(key));
                self.complain(&value.span(), what, format!("Write {want}"));
                None
            }
        }
    }

    /// `true` or `false`.
    pub fn boolean(&self, key: &str) -> Option<Placed<bool>> {
        let value = self.value(key)?;
        if let DeValue::Boolean(flag) = value.get_ref() {
            return Some(Placed {
                value: *flag,
                span: value.span(),
            });
        }
        self.mismatch(key, value, "true or false");
        None
    }

    /// A date, bare (`2026-01-05`) or in quotes.
    pub fn date(&self, key: &str) -> Option<Placed<NaiveDate>> {
        let value = self.value(key)?;
        let written = match value.get_ref() {
            DeValue::Datetime(stamp) if stamp.time.is_none() => stamp.to_string(),
            DeValue::String(text) => text.clone().into_owned(),
            _ => {
                self.mismatch(key, value, "a date such as 2026-01-05");
                return None;
            }
        };
        match written.parse() {
            Ok(date) => Some(Placed {
                value: date,
                span: value.span(),
            }),
            Err(_) => {
                let what = format!(
                    "{} = \"{written}\" is no date of the calendar",
                    self.name_of(key)
                );
                self.complain(
                    &value.span(),
                    what,
                    "Write a date as year-month-day, for example 2026-01-05",
                );
                None
            }
        }
    }

    /// A time of day, in quotes (`"22:30"`) or bare as TOML 1.1 allows (`22:30`).
    pub fn time(&self, key: &str) -> Option<Placed<NaiveTime>> {
        let value = self.value(key)?;
        let written = match value.get_ref() {
            DeValue::Datetime(stamp) if stamp.date.is_none() => stamp.to_string(),
            DeValue::String(text) => text.clone().into_owned(),
            _ => {
                self.mismatch(key, value, "a time of day in quotes, for example \"22:30\"");
                return None;
            }
        };
        match parse_time(&written) {
            Some(time) => Some(Placed {
                value: time,
                span: value.span(),
            }),
            None => {
                let what = format!("{} = \"{written}\" is no time of day", self.name_of(key));
                self.complain(
                    &value.span(),
                    what,
                    "Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\"",
                );
                None
            }
        }
    }

    /// A text, or a bare time of day read as its text (`wake + 10 min`, `"07:00"` and `07:00`).
    pub fn text_or_time(&self, key: &str, example: &str) -> Option<Placed<String>> {
        let value = self.value(key)?;
        match value.get_ref() {
            DeValue::Datetime(stamp) if stamp.date.is_none() => Some(Placed {
                value: stamp.to_string(),
                span: value.span(),
            }),
            _ => self.text(key, example),
        }
    }

    /// Where the letter at a byte of a text value stands: inside the quotes if the value is written
    /// plainly between them, else where the value begins.
    pub fn place_in(&self, written: &Placed<String>, byte: usize) -> Range<usize> {
        let start = written.span.start;
        let raw = self.document.text.get(written.span.clone());
        let plain = raw.and_then(|raw| raw.get(1..raw.len().checked_sub(1)?));
        match plain {
            Some(inner) if inner == written.value => start + 1 + byte..written.span.end,
            _ => written.span.clone(),
        }
    }

    /// A list; what is no list is complained of and read as nothing.
    fn items(&self, key: &str, want: &str) -> Option<&'d [Spanned<DeValue<'t>>]> {
        let value = self.value(key)?;
        if let DeValue::Array(items) = value.get_ref() {
            return Some(items.as_ref());
        }
        self.mismatch(key, value, want);
        None
    }

    /// A list of texts.
    pub fn texts(&self, key: &str) -> Option<Vec<Placed<String>>> {
        let want = "a list of texts in quotes";
        let items = self.items(key, want)?;
        let mut texts = Vec::with_capacity(items.len());
        for item in items {
            match item.get_ref() {
                DeValue::String(text) => {
                    texts.push(Placed {
                        value: text.clone().into_owned(),
                        span: item.span(),
                    });
                }
                _ => self.mismatch(key, item, want),
            }
        }
        Some(texts)
    }

    /// One text, or a list of texts.
    pub fn text_or_texts(&self, key: &str, example: &str) -> Option<Vec<Placed<String>>> {
        match self.value(key)?.get_ref() {
            DeValue::Array(_) => self.texts(key),
            _ => self.text(key, example).map(|text| vec![text]),
        }
    }

    /// A list of numbers within bounds.
    pub fn numbers(&self, key: &str, bounds: RangeInclusive<f64>) -> Option<Vec<Placed<f64>>> {
        let want = format!(
            "a list of numbers from {} to {}",
            bounds.start(),
            bounds.end()
        );
        let items = self.items(key, &want)?;
        let mut numbers = Vec::with_capacity(items.len());
        for item in items {
            let read = match item.get_ref() {
                DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                    .ok()
                    .map(|n| n as f64),
                DeValue::Float(number) => number.as_str().parse().ok(),
                _ => None,
            };
            match read.filter(|number| bounds.contains(number)) {
                Some(number) => numbers.push(Placed {
                    value: number,
                    span: item.span(),
                }),
                None => self.complain(
                    &item.span(),
                    format!("an entry of {} does not fit", self.name_of(key)),
                    format!("Write {want}"),
                ),
            }
        }
        Some(numbers)
    }

    /// A list of whole numbers within bounds.
    pub fn integers(&self, key: &str, bounds: RangeInclusive<i64>) -> Option<Vec<Placed<i64>>> {
        let want = format!(
            "a list of whole numbers from {} to {}",
            bounds.start(),
            bounds.end()
        );
        let mut numbers = Vec::new();
        for item in self.items(key, &want)? {
            let read = match item.get_ref() {
                DeValue::Integer(number) => {
                    i64::from_str_radix(number.as_str(), number.radix()).ok()
                }
                _ => None,
            };
            match read.filter(|number| bounds.contains(number)) {
                Some(value) => numbers.push(Placed {
                    value,
                    span: item.span(),
                }),
                None => self.complain(
                    &item.span(),
                    format!("an entry of {} does not fit", self.name_of(key)),
                    format!("Write {want}"),
                ),
            }
        }
        Some(numbers)
    }

    /// A table under a key.
    pub fn table(&self, key: &str) -> Option<Section<'d, 't>> {
        let name = self.name_of(key);
        self.table_as(key, &format!("a table, either [{name}] or {{ ... }}"))
    }

    /// A table under a key, with own words for what to write instead of anything else.
    pub fn table_as(&self, key: &str, want: &str) -> Option<Section<'d, 't>> {
        let value = self.value(key)?;
        if let DeValue::Table(table) = value.get_ref() {
            let place = self.place_of(key, value);
            return Some(Section::new(self.document, table, place, self.name_of(key)));
        }
        self.mismatch(key, value, want);
        None
    }

    /// A list of tables under a key (`[[key]]`, or a list of `{ ... }`); nothing written is an empty list.
    pub fn tables(&self, key: &str) -> Vec<Section<'d, 't>> {
        let want = format!("tables, each begun by [[{}]]", self.name_of(key));
        let mut sections = Vec::new();
        for item in self.items(key, &want).unwrap_or_default() {
            match item.get_ref() {
                DeValue::Table(table) => {
                    sections.push(Section::new(
                        self.document,
                        table,
                        item.span(),
                        self.name_of(key),
                    ));
                }
                _ => self.mismatch(key, item, &want),
            }
        }
        sections
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

    /// Reads one of a set of words; complains with the nearest known word otherwise.
    pub fn word<T: Copy>(&self, key: &str, words: &[(&'static str, T)]) -> Option<Placed<T>> {
        let example = words.first().map_or("", |(word, _)| word);
        let written = self.text(key, example)?;
        self.known_word(&self.name_of(key), &written, words)
            .map(|value| Placed {
                value,
                span: written.span.clone(),
            })
    }

    /// Looks a written word up in a set of words; complains otherwise.
    pub fn known_word<T: Copy>(
        &self,
        name: &str,
        written: &Placed<String>,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == written.value) {
            return Some(*value);
        }
        let known = words.iter().map(|(word, _)| *word);
        let instead = match nearest(&written.value, known.clone()) {
            Some(word) => format!("Did you mean \"{word}\"? Known: {}", one_of(known)),
            None => format!("Write one of: {}", one_of(known)),
        };
        self.complain(
            &written.span,
            format!("{name}: \"{}\" is not known", written.value),
            instead,
        );
        None
    }

    /// Complains of every key that was never asked for. Called by [`Document::read`] for the root;
    /// call it for every table that was opened.
    pub fn finish(&self) {
        self.finish_with(|_| None);
    }

    /// As [`Section::finish`], with a guess of its own what an unknown key was meant to be.
    pub fn finish_with(&self, guess: impl Fn(&str) -> Option<&'static str>) {
        let known: Vec<String> = self.known.borrow().iter().cloned().collect();
        for key in self.other_keys() {
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

/// Hours and minutes, with seconds allowed; `None` for anything that is no time of day.
pub fn parse_time(written: &str) -> Option<NaiveTime> {
    let written = written.trim();
    NaiveTime::parse_from_str(written, "%H:%M")
        .or_else(|_| NaiveTime::parse_from_str(written, "%H:%M:%S"))
        .ok()
        .filter(|time| chrono::Timelike::nanosecond(time) < 1_000_000_000)
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
