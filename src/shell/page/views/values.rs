//! What stands in the fields of a form: as known, or as the person left them.

use std::collections::BTreeMap;

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
}
