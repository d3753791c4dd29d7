//! Changes to `block.toml` that keep what the coach wrote.

use chrono::NaiveDate;
use toml_edit::Value;

use super::Shift;
use crate::pure::edit::{CannotEdit, add_row, date_value, set_value};

/// Adds a move of the later part of the block.
///
/// # Errors
/// The text is no TOML, or `shift` is no list of tables.
pub fn add_shift(text: &str, shift: Shift) -> Result<String, CannotEdit> {
    let row = [
        ("from", Some(date_value(shift.from))),
        ("days", Some(Value::from(i64::from(shift.days)))),
    ];
    add_row(text, &["shift"], &row)
}

/// Sets the first day of the block, as for a shipped block that has none.
///
/// # Errors
/// The text is no TOML.
pub fn set_start(text: &str, starts: NaiveDate) -> Result<String, CannotEdit> {
    set_value(text, &["starts"], date_value(starts))
}
