//! `import`: takes in records from a file, told by its ending.

mod all;
mod csv;
mod ics;

use std::path::PathBuf;

use chrono::NaiveDate;

use super::{Context, Said};
use crate::shell::failure::Failure;

/// Which file, and how strictly.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The file; its ending tells what it is
    #[arg(value_name = "FILE", required_unless_present = "undo")]
    file: Option<PathBuf>,
    /// Leave out rows that cannot be read, and take in the rest
    #[arg(long)]
    skip_bad: bool,
    /// Pass over columns that are not known
    #[arg(long)]
    ignore_unknown: bool,
    /// Only say what would be taken in
    #[arg(long)]
    dry_run: bool,
    /// ics: take the training days in without asking
    #[arg(long, conflicts_with = "dry_run")]
    write: bool,
    /// ics: first date [default: today]
    #[arg(long, value_name = "DATE")]
    from: Option<NaiveDate>,
    /// ics: the date after the last one [default: the end of the block]
    #[arg(long, value_name = "DATE")]
    to: Option<NaiveDate>,
    /// ics: the zone of whole days and of times without a zone [default: yours]
    #[arg(long, value_name = "ZONE")]
    zone: Option<String>,
    /// Take the calendar taken in last back
    #[arg(long, exclusive = true)]
    undo: bool,
}

/// What is understood, for messages.
const ENDINGS: &str = "csv (mornings or sessions), ics (training days) or evenfall (everything)";

/// Takes a file in. The same file twice changes nothing the second time.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let Some(file) = &arguments.file else {
        return ics::undo(context);
    };
    let ending = file
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("csv") => csv::run(context, arguments, file),
        Some("ics") => ics::run(context, arguments, file),
        Some("evenfall") => all::run(context, file, arguments.dry_run),
        _ => Err(Failure::wrong(format!(
            "{}: nobody can tell what this is by its ending. Name it {ENDINGS}.",
            file.display()
        ))),
    }
}
