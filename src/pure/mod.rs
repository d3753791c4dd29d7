//! The core: values in, values out.
//!
//! Rules of this folder, guarded by `tests/suite/layers.rs`:
//!
//! 1. no clock: every function that depends on time takes the instant or the date as an argument;
//! 2. no input or output: text comes in as `&str`, text goes out as `String`;
//! 3. no async, no threads, no logging, no global state;
//! 4. nothing here names `crate::shell`.

pub mod adjust;
pub mod agenda;
pub mod avoid;
pub mod block;
pub mod caution;
pub mod civil;
pub mod compare;
pub mod complaint;
pub mod diary;
pub mod document;
pub mod edit;
pub mod exchange;
pub mod load;
pub mod night;
pub mod pace;
pub mod phrase;
pub mod prompt;
pub mod readiness;
pub mod region;
pub mod review;
pub mod roster;
pub mod routine;
pub mod schedule;
pub mod settings;
pub mod sound;
pub mod step;
pub mod today;
pub mod tonight;
pub mod weekday;
pub mod words;
