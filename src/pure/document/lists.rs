//! Lists of a table: texts, numbers, tables.

use std::ops::RangeInclusive;

use toml::Spanned;
use toml::de::DeValue;

use super::{Placed, Section};

impl<'d, 't> Section<'d, 't> {
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
}
