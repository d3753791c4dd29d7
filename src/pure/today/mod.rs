//! What is said about a day: readiness as it was known that morning, the session as planned and as
//! suggested, the load so far, and what to be careful of.
//!
//! [`days`] takes the records as values and works through them once, whatever the span. Of the mornings
//! only those up to a day count for it, so a score never changes when later days are added; a correction
//! of the morning itself does count.

mod day;
mod loads;
mod night;
mod records;

pub use day::{SessionToday, Today, days};
pub use loads::{Rest, rest_of};
pub use records::{Records, Reported};
