//! The readiness arithmetic beside the same in numpy and pandas, on the same file.

use std::time::Instant;

use chrono::NaiveDate;
use evenfall::pure::diary::Ratings;
use evenfall::pure::readiness::{RatedMorning, history};
use serde_json::Value;

use super::figures::Times;
use super::{peers, years};

const ROUNDS: usize = 50;
/// How far results may lie apart.
const TOLERANCE: f64 = 1e-9;

/// Prints the table.
pub fn run() {
    println!(
        "| years | mornings | evenfall ms | numpy ms | numpy / evenfall | pandas ms | pandas / evenfall | greatest difference |\n|---|---|---|---|---|---|---|---|"
    );
    for years in [1, 10, 40] {
        let home = years::home(years, "");
        let text = years::mornings_csv(years);
        let mornings = rated(&text);
        let mut times = Times::default();
        for _ in 0..ROUNDS {
            let begun = Instant::now();
            std::hint::black_box(history(&mornings));
            times.add(begun.elapsed());
        }
        let scores = history(&mornings);
        let ours = times.quantile(0.5);
        let path = home.path().join("mornings.csv");
        let mut apart = 0.0_f64;
        let mut cells = String::new();
        for way in ["numpy", "pandas"] {
            let Some(mut command) = peers::python("readiness.py") else {
                cells.push_str(" not installed | |");
                continue;
            };
            let said = command
                .arg(way)
                .arg(&path)
                .arg(ROUNDS.to_string())
                .output()
                .expect("python");
            let said: Value = serde_json::from_slice(&said.stdout).expect("an object");
            let told = said["scores"].as_object().expect("scores");
            assert_eq!(
                told.len(),
                scores.iter().filter(|score| score.score.is_some()).count()
            );
            for score in scores.iter().filter(|score| score.score.is_some()) {
                let theirs = &told[&score.date.to_string()];
                for (at, value) in [score.deviation, score.score].into_iter().enumerate() {
                    let theirs = theirs[at].as_f64().expect("a number");
                    apart = apart.max((theirs - value.expect("scored")).abs());
                }
            }
            let seconds = said["seconds"].as_f64().expect("seconds");
            cells.push_str(&format!(
                " {:.2} | {:.1} |",
                seconds * 1000.0,
                seconds * 1000.0 / ours
            ));
        }
        assert!(apart <= TOLERANCE, "{apart} apart");
        println!(
            "| {years} | {} | {ours:.2} |{cells} {apart:.1e} |",
            mornings.len()
        );
    }
}

/// The ratings of a file of mornings, by the date of the morning.
fn rated(text: &str) -> Vec<RatedMorning> {
    text.lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let night: NaiveDate = cells[0].parse().expect("a date");
            RatedMorning {
                date: night + chrono::Duration::days(1),
                ratings: Ratings {
                    sleep_quality: cells[4].parse().ok(),
                    freshness: cells[5].parse().ok(),
                    soreness: cells[6].parse().ok(),
                    mood: cells[7].parse().ok(),
                },
            }
        })
        .collect()
}
