//! `roster`: many people's shared files, and what in them is worth a coach's look.

use std::ffi::OsStr;
use std::fs::{self, DirEntry, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::{Context, Said};
use crate::pure::phrase::counted;
use crate::pure::roster::{Findings, Reader, Roster, Rules};
use crate::shell::failure::Failure;

/// Octets that are read at once.
const PIECE: usize = 64 * 1024;

/// Faulty files whose faults are named one by one.
const MOST_FAULTY_FILES: usize = 20;

/// Where the files are, and what is worth a look.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A folder of files written by evenfall share; folders in it are read too
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Days without an answer
    #[arg(long, value_name = "DAYS", default_value_t = Rules::default().stopped_days)]
    stopped_after: u32,
    /// Percent of load above the weeks before
    #[arg(long, value_name = "PERCENT", default_value_t = Rules::default().load_above * 100.0)]
    load_above: f64,
}

/// Reads the files and lists what is worth a look.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let today = world.zone.local(now).date_naive();
    let mut files = Vec::new();
    find(&arguments.folder, &mut files)?;
    if files.is_empty() {
        return Err(Failure::failed(format!(
            "There is no .csv file in {}. evenfall share writes such files.",
            arguments.folder.display()
        )));
    }
    let mut roster = Roster::new(today);
    let mut faulty = Faulty::default();
    let mut piece = vec![0; PIECE];
    for file in &files {
        read(file, &mut piece, &mut roster, &mut faulty)?;
    }
    let rules = Rules {
        stopped_days: arguments.stopped_after,
        load_above: arguments.load_above / 100.0,
        ..Rules::default()
    };
    let found = roster.findings(&rules);
    faulty.tell();
    let mut text = format!(
        "{} in {}, {}, looked at on {today}\n",
        counted(found.people, "people"),
        counted(files.len(), "files"),
        counted(found.rows, "days")
    );
    text.push_str(&words(&found));
    if faulty.faults > 0 {
        text.push_str(&format!(
            "\n{} could not be read, in {}: not counted.\n",
            counted(faulty.faults, "rows"),
            counted(faulty.files, "files")
        ));
    }
    Ok(Said {
        text,
        json: as_json(&found, today, files.len(), &faulty),
    })
}

/// Every csv file below a folder, in the order of the names: of several files of a person the later one
/// counts. A link to a folder is not followed, because it may lead back up; a pipe is no file.
fn find(folder: &Path, found: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let trouble = |error| Failure::file("Cannot read", folder, &error);
    let mut entries: Vec<DirEntry> = fs::read_dir(folder)
        .and_then(Iterator::collect)
        .map_err(trouble)?;
    entries.sort_by_key(DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        if entry.file_type().map_err(trouble)?.is_dir() {
            find(&path, found)?;
        } else if path.extension() == Some(OsStr::new("csv")) && path.is_file() {
            found.push(path);
        }
    }
    Ok(())
}

fn read(
    path: &Path,
    piece: &mut [u8],
    roster: &mut Roster,
    faulty: &mut Faulty,
) -> Result<(), Failure> {
    let trouble = |error| Failure::file("Cannot read", path, &error);
    let mut file = File::open(path).map_err(trouble)?;
    let mut reader = Reader::new(&path.display().to_string());
    loop {
        let count = file.read(piece).map_err(trouble)?;
        reader.feed(&piece[..count], &mut |row| roster.add(row));
        if count == 0 {
            break;
        }
    }
    faulty.add(&reader);
    Ok(())
}

/// What could not be read.
#[derive(Debug, Default)]
struct Faulty {
    faults: usize,
    files: usize,
    lines: Vec<String>,
}

impl Faulty {
    fn add(&mut self, reader: &Reader) {
        if reader.faults() == 0 {
            return;
        }
        self.faults += reader.faults();
        self.files += 1;
        if self.files <= MOST_FAULTY_FILES {
            let complaints = reader.complaints().iter();
            self.lines.extend(complaints.map(ToString::to_string));
        }
    }

    fn tell(&self) {
        for line in &self.lines {
            eprintln!("{line}");
        }
    }
}

fn words(found: &Findings) -> String {
    let mut text = String::new();
    let mut list = |title: &str, lines: Vec<String>| {
        text.push_str(&format!("\n{title}: {}\n", lines.len()));
        for line in lines {
            text.push_str(&format!("  {line}\n"));
        }
    };
    let to_be_seen = found.to_be_seen.iter().map(|(person, level, on)| {
        format!("{person:<24} {} on {on}", level.id().replace('_', " "))
    });
    list("Pain or a sign to be seen", to_be_seen.collect());
    let stopped = found.stopped.iter().map(|stopped| {
        let last = stopped.last_answer.map_or_else(
            || "never answered".to_owned(),
            |last| format!("last on {last}"),
        );
        format!(
            "{:<24} {last}, {} without",
            stopped.person,
            counted(stopped.days, "days")
        )
    });
    list("Stopped answering", stopped.collect());
    let low = found.low_readiness.iter().map(|(person, mean, scores)| {
        let scores = counted(*scores, "mornings");
        format!("{person:<24} {mean:+.1} on average, {scores}")
    });
    list("Readiness low for a week", low.collect());
    let jumped = found.load_jumped.iter().map(|(person, load, change)| {
        format!(
            "{person:<24} {load:.0} AU in seven days, {:+.0} % from {:.0} in the {} weeks before",
            change.fraction * 100.0,
            change.usual,
            change.weeks
        )
    });
    list("Load above the weeks before", jumped.collect());
    text
}

fn as_json(found: &Findings, today: chrono::NaiveDate, files: usize, faulty: &Faulty) -> Value {
    let to_be_seen: Vec<Value> = found
        .to_be_seen
        .iter()
        .map(|(person, level, on)| {
            json!({ "person": person, "level": level.id(), "on": on.to_string() })
        })
        .collect();
    let stopped: Vec<Value> = found
        .stopped
        .iter()
        .map(|stopped| {
            json!({
                "person": stopped.person,
                "last_answer": stopped.last_answer.map(|last| last.to_string()),
                "days": stopped.days,
            })
        })
        .collect();
    let low: Vec<Value> = found
        .low_readiness
        .iter()
        .map(|(person, mean, scores)| json!({ "person": person, "mean": mean, "scores": scores }))
        .collect();
    let jumped: Vec<Value> = found
        .load_jumped
        .iter()
        .map(|(person, load, change)| {
            json!({
                "person": person, "load": load, "usual": change.usual, "change": change.fraction,
                "weeks": change.weeks,
            })
        })
        .collect();
    json!({
        "date": today.to_string(),
        "files": files,
        "people": found.people,
        "rows": found.rows,
        "to_be_seen": to_be_seen,
        "stopped": stopped,
        "low_readiness": low,
        "load_jumped": jumped,
        "faults": faulty.faults,
        "faulty_files": faulty.files,
    })
}
