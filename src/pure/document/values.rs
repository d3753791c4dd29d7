//! Single values of a table: texts, numbers, dates, times, words of a set.

use std::ops::{Range, RangeInclusive};

use chrono::{NaiveDate, NaiveTime};
use toml::de::DeValue;

use super::{Placed, Section};
use crate::pure::complaint::{nearest, one_of};

impl Section<'_, '_> {
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
        let want = || format!("a whole number from {} to {}", bounds.start(), bounds.end());
        let DeValue::Integer(number) = value.get_ref() else {
            self.mismatch(key, value, &want());
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
                self.complain(&value.span(), what, format!("Write {}", want()));
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
        let want = || format!("a number from {} to {}", bounds.start(), bounds.end());
        let (read, written) = match value.get_ref() {
            DeValue::Integer(number) => (
                i64::from_str_radix(number.as_str(), number.radix())
                    .ok()
                    .map(|n| n as f64),
                number.as_str(),
            ),
            DeValue::Float(number) => (number.as_str().parse().ok(), number.as_str()),
            _ => {
                self.mismatch(key, value, &want());
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
                self.complain(&value.span(), what, format!("Write {}", want()));
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
}

/// Hours and minutes, with seconds allowed; `None` for anything that is no time of day.
pub fn parse_time(written: &str) -> Option<NaiveTime> {
    let written = written.trim();
    NaiveTime::parse_from_str(written, "%H:%M")
        .or_else(|_| NaiveTime::parse_from_str(written, "%H:%M:%S"))
        .ok()
        .filter(|time| chrono::Timelike::nanosecond(time) < 1_000_000_000)
}
