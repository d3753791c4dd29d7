//! Whole commands on a diary of years, from the start of the process to its end.

use std::cell::Cell;
use std::process::{Command, Stdio};
use std::time::Instant;

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::Service;

use super::figures::{Times, head};
use super::{peers, years};

/// How often each is run; they take turns, so that a busy moment hits all of them.
fn rounds() -> usize {
    super::setting("EVENFALL_ROUNDS", 100)
}

/// Prints how long commands take with 1, 10 and 40 years of mornings and sessions, and a morning that has
/// to be on the disk before it is acknowledged.
pub fn run() {
    for years in [1, 10, 40] {
        head(&format!("whole process, {years} years"));
        let home = years::home(years, "");
        take_turns(&reading(&home, years));
        println!();
    }
    head("whole process, a row that has to be on the disk, 10 years");
    let home = years::home(10, "");
    let with_service = years::home(10, "[page]\non = false\n");
    let bus = Bus::start();
    let _server = Server::start(&bus, Script::default());
    let _service = Service::start(&with_service, &bus);
    take_turns(&writing(&home, &with_service));
    println!();
}

type Measured<'h> = (&'static str, Box<dyn Fn() -> Command + 'h>);

/// Runs all in turn, and prints a row for each, beside the first where that is sqlite3.
fn take_turns(measured: &[Measured<'_>]) {
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
    let peer = measured
        .iter()
        .position(|(name, _)| name.starts_with("sqlite3"));
    for ((name, _), all) in measured.iter().zip(&times) {
        all.row(name, peer.map(|at| &times[at]));
    }
}

fn reading(home: &Home, years: i64) -> Vec<Measured<'_>> {
    let mut all: Vec<Measured<'_>> = Vec::new();
    if peers::installed("sqlite3") {
        all.push(("sqlite3 reading one row", Box::new(|| one_row(home))));
    }
    // What `review` takes at most.
    let weeks = (years * 52).min(1000).to_string();
    let commands = [
        ("--version", vec!["--version".to_owned()]),
        ("today", vec!["today".to_owned()]),
        ("tonight", vec!["tonight".to_owned()]),
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
            name,
            Box::new(move || {
                let mut words = vec!["--json"];
                words.extend(arguments.iter().map(String::as_str));
                home.command(years::NOW, &words)
            }),
        ));
    }
    all.push((
        "morning, the same again (nothing is written)",
        Box::new(|| morning(home, "3")),
    ));
    all
}

/// `sqlite3` and a morning alone each make a new journal, and bring it into the store when they close it as the
/// last one; with the service, which holds the store open, the row is all there is to wait for.
fn writing<'h>(home: &'h Home, with_service: &'h Home) -> Vec<Measured<'h>> {
    let mut all: Vec<Measured<'_>> = Vec::new();
    if peers::installed("sqlite3") {
        let diary = home.path().join("diary.db");
        let peer = home.path().join("peer.db");
        std::fs::copy(diary, &peer).expect("a copy");
        all.push(("sqlite3 writing one row", Box::new(move || {
            let mut command = Command::new("sqlite3");
            command.arg(&peer).arg("PRAGMA synchronous = FULL; INSERT INTO fact VALUES (hex(randomblob(8)), '', 0)");
            command
        })));
    }
    all.push(("morning, no service runs", another_morning(home)));
    all.push(("morning, the service runs", another_morning(with_service)));
    all
}

/// Another answer each time: the same one writes nothing.
fn another_morning(home: &Home) -> Box<dyn Fn() -> Command + '_> {
    let sleep = Cell::new(0);
    Box::new(move || {
        sleep.set(sleep.get() % 5 + 1);
        morning(home, &sleep.get().to_string())
    })
}

fn morning(home: &Home, sleep: &str) -> Command {
    let arguments = [
        "--json",
        "morning",
        "--sleep",
        sleep,
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
    home.command(years::NOW, &arguments)
}

fn one_row(home: &Home) -> Command {
    let mut command = Command::new("sqlite3");
    command
        .arg(home.path().join("diary.db"))
        .arg("SELECT * FROM morning ORDER BY id DESC LIMIT 1");
    command
}
