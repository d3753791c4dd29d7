//! `block`: move the later part of the block.

use chrono::NaiveDate;
use serde_json::json;

use super::{Context, Said};
use crate::pure::block::{Shift, add_shift};
use crate::pure::phrase::counted;
use crate::shell::failure::Failure;
use crate::shell::home::write_private;

/// What to change.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    change: Change,
}

#[derive(Debug, clap::Subcommand)]
enum Change {
    /// Move everything planned from a date on later by some days; what was, stays
    Shift {
        /// Days
        #[arg(value_parser = clap::value_parser!(u32).range(1..=365))]
        days: u32,
        /// First date that moves [default: today]
        #[arg(long, value_name = "DATE", value_parser = super::read_date)]
        from: Option<NaiveDate>,
    },
}

/// Writes the change to the block file.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let Change::Shift { days, from } = arguments.change;
    let (now, world) = context.open()?;
    let from = from.unwrap_or_else(|| world.zone.local(now).date_naive());
    let path = context.home().block();
    let text = std::fs::read_to_string(&path).map_err(|_| {
        Failure::failed(format!(
            "There is no block file at {} to change. evenfall setup writes one.",
            path.display()
        ))
    })?;
    let changed = add_shift(&text, Shift { from, days })
        .map_err(|error| Failure::failed(error.to_string()))?;
    crate::pure::block::parse(&path.display().to_string(), &changed, None)?;
    write_private(&path, changed.as_bytes())
        .map_err(|error| Failure::file("Cannot write", &path, &error))?;
    context.tell_service();
    let said = format!(
        "Everything planned from {from} on comes {} later. What was before stays.",
        counted(days, "days")
    );
    Ok(Said {
        text: format!("{said}\n"),
        json: json!({ "from": from.to_string(), "days": days }),
    })
}
