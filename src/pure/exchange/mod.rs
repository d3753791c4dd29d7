//! Other programs' formats and ours: text to values and back.

pub mod calendar;
pub mod csv;
pub mod sleep_schema;
pub mod training_days;
