//! Mornings and sessions as csv.

use std::path::Path;

use chrono::NaiveDate;

use super::super::{Context, Said};
use super::written;
use crate::pure::civil::Night;
use crate::pure::exchange::csv::{write_mornings, write_sessions};
use crate::shell::failure::Failure;
use crate::shell::store::sessions_of;

/// Dates that a record can have, as the store orders them.
fn whole_span() -> (NaiveDate, NaiveDate) {
    let day = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default();
    (day(1000), day(9999))
}

pub(super) fn mornings(context: &Context, file: &Path) -> Result<Said, Failure> {
    let (_, world) = context.open()?;
    let (from, to) = whole_span();
    let mornings = context.store()?.mornings(Night(from), Night(to))?;
    let text = write_mornings(&mornings, &world.zone);
    written("mornings", mornings.len(), text.as_bytes(), file)
}

pub(super) fn sessions(context: &Context, file: &Path) -> Result<Said, Failure> {
    let (from, to) = whole_span();
    let done = sessions_of(&context.store()?.training(from, to)?);
    let text = write_sessions(&done);
    written("sessions", done.len(), text.as_bytes(), file)
}
