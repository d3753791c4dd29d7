//! Mornings and sessions as csv (RFC 4180, UTF-8, a header, ISO dates): the form every spreadsheet opens.
//!
//! Every bad cell is a [`Complaint`](crate::pure::complaint::Complaint) with line and column, and a row
//! with one is not among the rows read; whether the good rows are then taken is the caller's choice.
//!
//! **Cells that look like a formula.** Some spreadsheets run a cell that begins with `=`, `+`, `-`, `@`, a
//! tab or a line break. Notes that begin so are written with an apostrophe before them, and one apostrophe
//! before such a beginning is taken off on reading. A note that has such apostrophes of its own gets one
//! more, so that every note comes back as it was.
//!
//! The columns carry what other programs know as well. Sore regions, illness, counted repetitions and
//! whether a record was estimated stay behind; [`merged`] keeps them when a file comes back.

mod cells;
mod mornings;
mod sessions;
mod shared;
mod table;
mod write;

pub use mornings::{MORNING_COLUMNS, merged, read_mornings, write_mornings};
pub use sessions::{SESSION_COLUMNS, not_yet_known, read_sessions, write_sessions};
pub use shared::{SHARED_COLUMNS, write_shared};
pub use table::{Imported, Row, Subject, subject_of};
