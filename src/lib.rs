//! evenfall closes a training day and opens the next one.
//!
//! The crate has two halves and one direction between them:
//!
//! - [`pure`] takes values and gives values: no clock, no files, no async. Time is an argument.
//! - [`shell`] touches the world: the clock, files, the store, the desktop bus, the terminal, the page.
//!
//! `main` calls [`shell::cli`], which calls the service and the guide, which call the leaves
//! (store, notifications, files, clock), which use the types of [`pure`]. Nothing points the other way;
//! a test reads the sources and fails when something does.

pub mod pure;
pub mod shell;
