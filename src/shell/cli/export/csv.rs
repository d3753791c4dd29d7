//! Mornings and sessions as csv.

use std::path::Path;

use super::super::{Context, Said};
use super::{whole_span, written};
use crate::pure::civil::Night;
use crate::pure::exchange::csv::{write_mornings, write_sessions};
use crate::shell::failure::Failure;
use crate::shell::store::sessions_of;

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
