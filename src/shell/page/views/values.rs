//! What stands in the fields of a form: as known, or as the person left them.

use std::collections::BTreeMap;

use maud::{Markup, html};

use crate::shell::page::guard::Form;

/// Texts by field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Values(BTreeMap<String, String>);

impl Values {
    /// The text of a field; empty if there is none.
    pub fn get(&self, field: &str) -> &str {
        self.0.get(field).map_or("", String::as_str)
    }

    /// Fills a field.
    pub fn set(&mut self, field: &str, value: impl ToString) {
        self.0.insert(field.to_owned(), value.to_string());
    }

    /// The fields in order.
    pub fn fields(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// The same fields as the person left them.
    pub fn sent(&self, form: &Form) -> Self {
        let sent = |field: &str| {
            let text = form.text(field).unwrap_or_default();
            (field.to_owned(), text.to_owned())
        };
        Self(self.fields().map(sent).collect())
    }

    /// The same with the times in some fields written as the files write them.
    pub fn with_times<'f>(mut self, fields: impl IntoIterator<Item = &'f str>) -> Self {
        for field in fields {
            if let Some(text) = self.0.get_mut(field) {
                *text = clock_time(text);
            }
        }
        self
    }
}

/// A time of day as people write it, as the files write it: `2240`, `22.40` and `22:40` are `22:40`, and `7`
/// is `07:00`. What is no time stays as it is, to be asked about.
pub fn clock_time(text: &str) -> String {
    let is_number = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let parts = match text.split_once([':', '.', ' ', 'h']) {
        Some(parts) => parts,
        None if !text.is_ascii() || text.len() < 3 => (text, "00"),
        None => text.split_at(text.len() - 2),
    };
    match parts {
        (hour, minute)
            if is_number(hour) && hour.len() < 3 && is_number(minute) && minute.len() == 2 =>
        {
            format!("{hour:0>2}:{minute}")
        }
        _ => text.to_owned(),
    }
}

/// A field for a time of day. A plain one: it is one stop of the Tab key, takes four digits from the
/// keypad of a telephone, and shows 24 hours whatever language the browser speaks.
pub fn time_field(values: &Values, name: &str, words: &str) -> Markup {
    named_time_field(name, values.get(name), name, words)
}

/// The same where the id is not the name, because the name stands in several forms.
pub fn named_time_field(id: &str, value: &str, name: &str, words: &str) -> Markup {
    html! {
        div.field {
            label for=(id) { (words) }
            input.time id=(id) name=(name) type="text" inputmode="numeric" autocomplete="off" maxlength="8"
                placeholder="hh:mm" value=(value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_people_write_them() {
        for (written, read) in [
            ("2240", "22:40"),
            ("22:40", "22:40"),
            ("22.40", "22:40"),
            ("22 40", "22:40"),
            ("7", "07:00"),
            ("07", "07:00"),
            ("730", "07:30"),
            ("7:30", "07:30"),
            ("22h40", "22:40"),
        ] {
            assert_eq!(clock_time(written), read, "{written}");
        }
        for no_time in [
            "",
            "off",
            "wake + 10 min",
            "ten",
            "223040",
            "-7",
            "22:4O",
            "12:3",
            "1:2:3",
            ":30",
            "1٣",
            "22:40:30",
        ] {
            assert_eq!(clock_time(no_time), no_time);
        }
    }
}
