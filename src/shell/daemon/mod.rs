//! The service: waits for the next due instant or for somebody to say something, and acts.

mod core;
mod desk;
mod detail;
mod give_back;
mod instance;
mod ledger;
mod open;
mod report;
mod run;
mod supervisor;

pub use self::core::{Core, Wish, kind_words};
pub use self::desk::Desk;
pub use self::ledger::Ledger;
pub use self::open::browse;
pub use self::report::due_json;
pub use self::run::run;
pub use self::supervisor::{is_managed, start_command};
