//! Whole commands on a diary of years.

use std::process::{Command, Stdio};
use std::time::Instant;

use chrono::{Duration, NaiveDate};

use crate::support::Home;

use super::figures::{Times, head, installed};

/// The day after the last morning of [`mornings_csv`].
const TODAY: &str = "2026-01-01";

/// Mornings of so many years up to the end of 2025, ratings that wander without chance.
pub fn mornings_csv(years: i64) -> String {
    let mut text = String::from(
        "night,lights_out,asleep_after_min,woke,sleep_quality,freshness,soreness,mood\n",
    );
    let last = NaiveDate::from_ymd_opt(2025, 12, 31).expect("date");
    for back in (0..years * 365).rev() {
        let night = last - Duration::days(back);
        let morning = night + Duration::days(1);
        let rating = |step: i64| 2 + (back * step / 7 + back % 3) % 3;
        text.push_str(&format!(
            "{night},{night}T22:{:02},15,{morning}T06:{:02},{},{},{},{}\n",
            30 + back % 20,
            back % 40,
            rating(3),
            rating(5),
            rating(2),
            rating(11)
        ));
    }
    text
}

/// Prints how long commands take with 1 to 40 years of mornings.
pub fn run() {
    head("whole process");
    let mut first = None;
    for years in [1, 10, 40] {
        let home = Home::new();
        home.write("settings.toml", "timezone = \"UTC\"\n");
        let file = home.path().join("mornings.csv");
        std::fs::write(&file, mornings_csv(years)).expect("csv");
        let begun = Instant::now();
        let said = home.run("", &["import", file.to_str().expect("path")]);
        assert_eq!(said.code, 0, "{said:?}");
        let imported = begun.elapsed();
        let row = one_row(&home);
        if let Some(row) = &row {
            row.row(&format!("sqlite3 reading one row, {years} years"), None);
        }
        let at = format!("{TODAY}T07:00");
        for arguments in [&["today"][..], &["tonight"], &["review", "--weeks", "9"]] {
            let times = timed(|| home.command(&at, &[&["--json"], arguments].concat()));
            times.row(
                &format!("{}, {years} years", arguments.join(" ")),
                row.as_ref(),
            );
            if arguments == ["today"] {
                let base = *first.get_or_insert(times.quantile(0.5));
                println!(
                    "| growth of today against one year | | {:.2} | | | |",
                    times.quantile(0.5) / base
                );
            }
        }
        println!(
            "| import of {} rows | 1 | {:.1} | | | |",
            years * 365,
            imported.as_secs_f64() * 1000.0
        );
    }
}

fn one_row(home: &Home) -> Option<Times> {
    if !installed("sqlite3") {
        println!("| sqlite3 | not installed | | | | |");
        return None;
    }
    let store = home.path().join("diary.db");
    Some(timed(|| {
        let mut command = Command::new("sqlite3");
        command
            .arg(&store)
            .arg("SELECT * FROM morning ORDER BY id DESC LIMIT 1");
        command
    }))
}

fn timed(mut command: impl FnMut() -> Command) -> Times {
    let mut times = Times::default();
    for _ in 0..30 {
        let begun = Instant::now();
        let status = command()
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .expect("runs");
        times.add(begun.elapsed());
        assert!(status.success(), "a measured command failed");
    }
    times
}
