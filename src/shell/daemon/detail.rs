//! What a notification can say beyond the plan, and what its buttons write.

use crate::pure::agenda::{Due, Plan};
use crate::pure::civil::Instant;
use crate::pure::prompt::Key;
use crate::shell::failure::Failure;
use crate::shell::store::Store;

/// A sentence about the prompt from the records, if there is one.
pub fn of(_plan: &Plan, _store: &Store, _due: &Due, _now: Instant) -> Option<String> {
    None
}

/// Records the morning of a night as usual, with the planned times, marked as estimated.
pub fn record_usual_morning(
    _plan: &Plan,
    _store: &mut Store,
    _key: &Key,
    _now: Instant,
) -> Result<(), Failure> {
    Ok(())
}
