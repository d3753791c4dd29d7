//! Texts with characters that command a terminal instead of printing.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Document;

/// Complains of every text in a table that has such a character; line ends and tabs are none.
pub(super) fn complain(document: &Document<'_>, table: &DeTable<'_>) {
    for (_, value) in table.iter() {
        look(document, value);
    }
}

fn look(document: &Document<'_>, value: &Spanned<DeValue<'_>>) {
    match value.get_ref() {
        DeValue::String(text) => {
            let prints = |c: char| !c.is_control() || matches!(c, '\n' | '\r' | '\t');
            if let Some(found) = text.chars().find(|c| !prints(*c)) {
                let what = format!(
                    "this text has the character U+{:04X}, which does not print",
                    u32::from(found)
                );
                document.complain(value.span().start, what, "Leave it out");
            }
        }
        DeValue::Array(all) => all.iter().for_each(|one| look(document, one)),
        DeValue::Table(table) => complain(document, table),
        _ => {}
    }
}
