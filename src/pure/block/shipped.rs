//! The blocks that come with the program.

use chrono::{Datelike, Days, NaiveDate};

use super::{Block, parse};
use crate::pure::complaint::Complaint;

#[cfg(test)]
mod tests;

/// Ids and texts of the shipped blocks; the first is the one used where no `block.toml` is written.
/// They have no `starts` of their own.
pub const SHIPPED: [(&str, &str); 3] = [
    (
        "nine_week_home",
        include_str!("../../../routines/blocks/nine_week_home.toml"),
    ),
    (
        "stair_climb_ten_weeks",
        include_str!("../../../routines/blocks/stair_climb_ten_weeks.toml"),
    ),
    (
        "return_four_weeks",
        include_str!("../../../routines/blocks/return_four_weeks.toml"),
    ),
];

/// A shipped block by id, begun on the Monday on or after a date; `None` for an id that is not shipped.
///
/// # Errors
/// Complaints about the shipped text; a test keeps it free of them.
pub fn shipped(id: &str, from: NaiveDate) -> Option<Result<Block, Vec<Complaint>>> {
    let (id, text) = SHIPPED.into_iter().find(|(known, _)| *known == id)?;
    Some(parse(
        &format!("routines/blocks/{id}.toml"),
        text,
        Some(next_monday(from)),
    ))
}

/// The Monday on or after a date.
pub fn next_monday(from: NaiveDate) -> NaiveDate {
    let days = (7 - from.weekday().num_days_from_monday()) % 7;
    from.checked_add_days(Days::new(u64::from(days)))
        .unwrap_or(from)
}
