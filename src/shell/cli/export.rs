//! `export`: gives out records as a file.

mod all;
mod csv;
mod nights;
mod sleep;

use std::io::Write;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use serde_json::json;

use super::{Context, Said};
use crate::pure::complaint::nearest;
use crate::pure::phrase::counted;
use crate::shell::failure::Failure;
use crate::shell::home::write_private;

/// What, and where to.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// What to give out: mornings, sessions, nights (to come, for a calendar), sleep (open data points) or all (one archive)
    #[arg(value_name = "KIND")]
    kind: String,
    /// The file, written as a whole and readable by you alone; - for standard output
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// nights, sleep: first night [default: tonight; for sleep the first recorded]
    #[arg(long, value_name = "DATE")]
    from: Option<NaiveDate>,
    /// sleep: last night
    #[arg(long, value_name = "DATE")]
    to: Option<NaiveDate>,
    /// nights: how many
    #[arg(long, value_name = "N", default_value_t = 28, value_parser = clap::value_parser!(u32).range(1..=1000))]
    days: u32,
}

/// As a file name.
const STANDARD_OUTPUT: &str = "-";

/// What can be given out.
const KINDS: [&str; 5] = ["mornings", "sessions", "nights", "sleep", "all"];

/// Writes the file.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    if context.json() && arguments.file == Path::new(STANDARD_OUTPUT) {
        return Err(Failure::wrong(
            "--json does not go with - as the file. Name a file, or leave --json out.",
        ));
    }
    match arguments.kind.as_str() {
        "all" => all::run(context, &arguments.file),
        "mornings" => csv::mornings(context, &arguments.file),
        "sessions" => csv::sessions(context, &arguments.file),
        "nights" => nights::run(context, &arguments.file, arguments.from, arguments.days),
        "sleep" => sleep::run(context, &arguments.file, arguments.from, arguments.to),
        other => {
            let instead = match nearest(other, KINDS) {
                Some(near) => format!("Did you mean {near}?"),
                None => format!("Write {}.", crate::pure::complaint::one_of(KINDS)),
            };
            Err(Failure::wrong(format!(
                "`{other}` is nothing that can be given out. {instead}"
            )))
        }
    }
}

/// Dates that a record can have, as the store orders them.
fn whole_span() -> (NaiveDate, NaiveDate) {
    let day = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default();
    (day(1000), day(9999))
}

/// Writes what was made, and says so.
fn written(kind: &str, rows: usize, bytes: &[u8], file: &Path) -> Result<Said, Failure> {
    let trouble = |error| Failure::file("Cannot write", file, &error);
    if file == Path::new(STANDARD_OUTPUT) {
        let mut out = std::io::stdout().lock();
        return match out.write_all(bytes).and_then(|()| out.flush()) {
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(trouble(error)),
            _ => Ok(Said::default()),
        };
    }
    let path = std::path::absolute(file).map_err(trouble)?;
    match std::fs::metadata(&path) {
        // A device or a pipe takes the bytes; it must not be replaced by a file of that name.
        Ok(known) if !known.is_file() => std::fs::write(&path, bytes).map_err(trouble)?,
        _ => write_private(&path, bytes).map_err(trouble)?,
    }
    let path = file.display().to_string();
    Ok(Said {
        text: format!("{} written to {path}\n", counted(rows, kind)),
        json: json!({ "kind": kind, "rows": rows, "file": path }),
    })
}
