//! Whole commands on a diary of years, from the start of the process to its end.

use std::process::{Command, Stdio};
use std::time::Instant;

use crate::support::Home;

use super::figures::{Times, head};
use super::{peers, years};

/// How often each is run; they take turns, so that a busy moment hits all of them.
fn rounds() -> usize {
    super::setting("EVENFALL_ROUNDS", 100)
}

/// Prints how long commands take with 1, 10 and 40 years of mornings and sessions.
pub fn run() {
    for years in [1, 10, 40] {
        head(&format!("whole process, {years} years"));
        let home = years::home(years, "");
        let measured = measured(&home, years);
        let mut times: Vec<Times> = measured.iter().map(|_| Times::default()).collect();
        for _ in 0..rounds() {
            for ((_, command), times) in measured.iter().zip(&mut times) {
                let begun = Instant::now();
                let status = command()
                    .stdout(Stdio::null())
                    .stderr(Stdio::null())
                    .status()
                    .expect("runs");
                times.add(begun.elapsed());
                assert!(status.success(), "a measured command failed");
            }
        }
        let row = measured
            .iter()
            .position(|(name, _)| name.starts_with("sqlite3"));
        for ((name, _), all) in measured.iter().zip(&times) {
            all.row(name, row.map(|at| &times[at]));
        }
        println!();
    }
}

type Measured<'h> = (String, Box<dyn Fn() -> Command + 'h>);

fn measured(home: &Home, years: i64) -> Vec<Measured<'_>> {
    let mut all: Vec<Measured<'_>> = Vec::new();
    if peers::installed("sqlite3") {
        all.push((
            "sqlite3 reading one row".to_owned(),
            Box::new(|| one_row(home)),
        ));
    }
    // What `review` takes at most.
    let weeks = (years * 52).min(1000).to_string();
    let morning = [
        "morning",
        "--sleep",
        "3",
        "--fresh",
        "3",
        "--sore",
        "4",
        "--mood",
        "3",
        "--lights-out",
        "22:50",
        "--woke",
        "06:20",
    ];
    let commands: [(&str, Vec<String>); 6] = [
        ("--version", vec!["--version".to_owned()]),
        ("today", vec!["today".to_owned()]),
        ("tonight", vec!["tonight".to_owned()]),
        (
            "morning (writes a row)",
            morning.map(str::to_owned).to_vec(),
        ),
        (
            "review --weeks 9",
            ["review", "--weeks", "9"].map(str::to_owned).to_vec(),
        ),
        (
            "review of all (40 years: of 1000 weeks)",
            ["review", "--weeks", &weeks].map(str::to_owned).to_vec(),
        ),
    ];
    for (name, arguments) in commands {
        all.push((
            name.to_owned(),
            Box::new(move || {
                let mut words = vec!["--json"];
                words.extend(arguments.iter().map(String::as_str));
                home.command(years::NOW, &words)
            }),
        ));
    }
    all
}

fn one_row(home: &Home) -> Command {
    let mut command = Command::new("sqlite3");
    command
        .arg(home.path().join("diary.db"))
        .arg("SELECT * FROM morning ORDER BY id DESC LIMIT 1");
    command
}
