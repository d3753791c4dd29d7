//! How much of something in a second: simulated nights, imported rows, roster rows, sound.

use std::process::{Command, Stdio};
use std::time::Instant;

use chrono::{Duration, NaiveDate};

use crate::support::Home;

use super::figures::Times;
use super::peers::installed;
use super::simulated;
use super::years::{self, Spread};

/// Repetitions of which the median counts.
const ROUNDS: usize = 5;

/// Prints the table.
pub fn run() {
    println!("| what | how much | a second | beside | ratio |\n|---|---|---|---|---|");
    simulated();
    imported();
    listed();
    sounded();
}

/// The median seconds of some work.
fn seconds(mut work: impl FnMut()) -> f64 {
    let mut times = Times::default();
    for _ in 0..ROUNDS {
        let begun = Instant::now();
        work();
        times.add(begun.elapsed());
    }
    times.quantile(0.5) / 1000.0
}

fn simulated() {
    let mut nights = 0;
    let took = seconds(|| nights = simulated::ten_years());
    println!(
        "| simulated nights, fair weather | {nights} | {:.0} | real time | {:.1e} |",
        nights as f64 / took,
        nights as f64 * 86_400.0 / took
    );
}

/// Runs a command to its end; it has to succeed.
fn ran(command: &mut Command) {
    let said = command.stdout(Stdio::null()).output().expect("starts");
    assert!(
        said.status.success(),
        "{}",
        String::from_utf8_lossy(&said.stderr)
    );
}

fn imported() {
    let text = years::mornings_csv(40);
    let rows = text.lines().count() - 1;
    let fresh = || {
        let home = Home::new();
        home.write("settings.toml", "timezone = \"UTC\"\n");
        home.write("mornings.csv", &text);
        home
    };
    let mut homes: Vec<Home> = (0..ROUNDS).map(|_| fresh()).collect();
    let mut done = Vec::new();
    let took = seconds(|| {
        let home = homes.pop().expect("a home");
        ran(&mut home.command(
            "",
            &[
                "import",
                home.path().join("mornings.csv").to_str().expect("a path"),
            ],
        ));
        done.push(home);
    });
    let again = seconds(|| {
        let home = &done[0];
        ran(&mut home.command(
            "",
            &[
                "import",
                home.path().join("mornings.csv").to_str().expect("a path"),
            ],
        ));
    });
    let mut beside = "sqlite3 is not installed | ".to_owned();
    if installed("sqlite3") {
        let theirs = seconds(|| {
            let home = fresh();
            let folder = home.path();
            let order = format!(
                ".import --csv {} morning",
                folder.join("mornings.csv").display()
            );
            ran(Command::new("sqlite3")
                .arg(folder.join("plain.db"))
                .arg(order));
        });
        beside = format!(
            "sqlite3 .import, unchecked text | {:.1} x its time",
            took / theirs
        );
    }
    println!(
        "| mornings imported, checked and stored | {rows} | {:.0} | {beside} |",
        rows as f64 / took
    );
    println!(
        "| the same file again (nothing changes) | {rows} | {:.0} | the first time | {:.2} |",
        rows as f64 / again,
        again / took
    );
}

/// A thousand people's shared files.
fn listed() {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n");
    let first: NaiveDate = "2025-10-09".parse().expect("a date");
    let mut spread = Spread(9);
    let mut rows = 0;
    for person in 0..1000 {
        let mut text = String::from("person,date,answered,load,planned_load,readiness,band\r\n");
        for day in 0..84 {
            let date = first + Duration::days(day);
            let score = spread.below(4000) as f64 / 1000.0 - 2.0;
            let load = spread.below(500);
            text.push_str(&format!(
                "p{person:04},{date},1,{load},200,{score:.4},as_planned\r\n"
            ));
            rows += 1;
        }
        home.write(&format!("people/{person}.csv"), &text);
    }
    let folder = home.path().join("people");
    let folder = folder.to_str().expect("a path");
    let took = seconds(|| ran(&mut home.command(years::NOW, &["roster", folder])));
    let all = home.path().join("people/*.csv");
    let theirs = seconds(|| {
        ran(Command::new("sh").arg("-c").arg(format!(
            "awk -F, '{{ load += $4 }} END {{ print load }}' {}",
            all.display()
        )))
    });
    println!(
        "| roster rows read and judged | {rows} | {:.0} | awk adding up one column | {:.2} x its time |",
        rows as f64 / took,
        took / theirs
    );
}

/// Ten minutes of tones.
fn sounded() {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n");
    home.write(
        "routines/evenings/breathing.toml",
        "name = \"Breathing\"\nabout = \"Breathing alone.\"\npattern = \"longer_out_4_6\"\nbreathe = 600\n",
    );
    let path = |name: &str| home.path().join(name).to_str().expect("a path").to_owned();
    let (wav, flac) = (path("track.wav"), path("track.flac"));
    let to = |file: &str| ran(&mut home.command("", &["routine", "sound", "breathing", file]));
    let wav_s = seconds(|| to(&wav));
    println!(
        "| sound, WAV, 600 s | 600 s | {:.0} s | real time | {:.0} |",
        600.0 / wav_s,
        600.0 / wav_s
    );
    let flac_s = seconds(|| to(&flac));
    let mut beside = "flac is not installed | ".to_owned();
    if installed("flac") {
        let theirs = seconds(|| {
            ran(Command::new("flac").args(["-s", "-f", "-o", &path("theirs.flac"), &wav]))
        });
        beside = format!(
            "writing the WAV, then flac -5 | {:.2} x its time",
            flac_s / (wav_s + theirs)
        );
    }
    println!(
        "| sound, FLAC, 600 s | 600 s | {:.0} s | {beside} |",
        600.0 / flac_s
    );
}
