//! Many made-up people: what the roster lists is what the query lists on existing engines.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use chrono::{Days, NaiveDate};
use serde_json::Value;

use crate::support::chance::Chance;
use crate::support::{Home, not_tested};

const TODAY: &str = "2026-03-30";

/// The csv of a person over twelve weeks. Every third shares no pain, every fifth no readiness.
fn person(number: u64, today: NaiveDate) -> String {
    let mut draw = Chance::new(number);
    let (pain, readiness) = (!number.is_multiple_of(3), !number.is_multiple_of(5));
    let mut text = String::from("person,date,answered,load,planned_load");
    text.push_str(if readiness { ",readiness,band" } else { "" });
    text.push_str(if pain { ",caution,pain" } else { "" });
    text.push_str("\r\n");
    let stops = if draw.percent(10) { draw.below(12) } else { 0 };
    let low = draw.percent(8);
    let jump = draw.percent(10);
    for ago in (0..84).rev() {
        let date = today - Days::new(ago);
        let answered = ago >= stops && draw.percent(95);
        let load = match (draw.percent(2), draw.percent(30)) {
            (true, _) => String::new(),
            (_, true) => "0".to_owned(),
            _ => {
                let base = 120 + draw.below(180);
                (if jump && ago < 7 { base * 2 } else { base }).to_string()
            }
        };
        text.push_str(&format!(
            "p{number:05},{date},{},{load},200",
            u8::from(answered)
        ));
        if readiness {
            let score = draw.below(2000) as f64 / 1000.0 - if low && ago < 7 { 2.0 } else { 1.0 };
            let score = answered.then(|| format!("{score:.4}"));
            text.push_str(&format!(",{},as_planned", score.unwrap_or_default()));
        }
        if pain {
            let level = match draw.below(400) {
                0 => "clinician_soon",
                1 => "same_day_care",
                _ => "",
            };
            text.push_str(&format!(",{level},\"made up, with a comma\""));
        }
        text.push_str("\r\n");
    }
    text
}

fn today() -> NaiveDate {
    TODAY.parse().expect("date")
}

/// Writes so many people's files; two in one file and one in two among them.
fn write(folder: &Path, count: u64) {
    let later = folder.join("later");
    fs::create_dir_all(&later).expect("folder");
    for number in 0..count {
        fs::write(
            folder.join(format!("{number:05}.csv")),
            person(number, today()),
        )
        .expect("file");
    }
    // Shared again for the last ten days: what the later file says counts.
    let whole = person(1, today());
    let lines: Vec<&str> = whole.lines().collect();
    let again = [&lines[..1], &lines[lines.len() - 10..]]
        .concat()
        .join("\r\n");
    fs::write(later.join("00001.csv"), again.replace(",1,", ",0,")).expect("file");
}

/// What the roster lists, as `finding person` to value and basis.
fn listed(roster: &Value) -> BTreeMap<String, (f64, i64)> {
    let levels = [
        "carry_on",
        "clinician_soon",
        "same_day_care",
        "emergency_now",
    ];
    let mut found = BTreeMap::new();
    for (finding, value, basis) in [
        ("stopped", "days", ""),
        ("low_readiness", "mean", "scores"),
        ("to_be_seen", "level", ""),
        ("load_jumped", "change", "weeks"),
    ] {
        for row in roster[finding].as_array().expect("list") {
            let number = match &row[value] {
                Value::String(level) => levels
                    .iter()
                    .position(|known| known == level)
                    .expect("level") as f64,
                number => number.as_f64().expect("number"),
            };
            let person = row["person"].as_str().expect("person");
            found.insert(
                format!("{finding} {person}"),
                (number, row[basis].as_i64().unwrap_or(0)),
            );
        }
    }
    found
}

/// What the query lists on an engine; nothing where the engine is not installed.
fn queried(engine: &str, module: &str, folder: &Path) -> Option<BTreeMap<String, (f64, i64)>> {
    let python = std::env::var("EVENFALL_TEST_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let probe = Command::new(&python)
        .args(["-c", &format!("import {module}")])
        .output();
    if !probe.is_ok_and(|probe| probe.status.success()) {
        return None;
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output = Command::new(&python)
        .arg(root.join("tests/suite/share/engines.py"))
        .arg(engine)
        .arg(root.join("packaging/doc/roster.sql"))
        .arg(folder)
        .output()
        .expect("python");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{engine}: {said}");
    let rows = String::from_utf8(output.stdout).expect("text");
    let row = |line: &str| {
        let row: Value = serde_json::from_str(line).expect("JSON");
        let word = |index: usize| row[index].as_str().expect("word").to_owned();
        let value = row[2].as_f64().expect("number");
        (
            format!("{} {}", word(0), word(1)),
            (value, row[3].as_i64().expect("basis")),
        )
    };
    Some(rows.lines().map(row).collect())
}

fn same(
    engine: &str,
    found: &BTreeMap<String, (f64, i64)>,
    expected: &BTreeMap<String, (f64, i64)>,
) {
    let keys = |map: &BTreeMap<String, (f64, i64)>| map.keys().cloned().collect::<Vec<_>>();
    assert_eq!(keys(found), keys(expected), "{engine}");
    for (key, (value, basis)) in found {
        let (expected, rests_on) = expected[key];
        assert!(
            (value - expected).abs() < 1e-9,
            "{engine} {key}: {value} {expected}"
        );
        assert_eq!(*basis, rests_on, "{engine} {key}");
    }
}

#[test]
fn the_query_lists_the_same_people_on_existing_engines() {
    let folder = tempfile::tempdir().expect("folder");
    write(folder.path(), 300);
    let path = folder.path().to_str().expect("path");
    let roster = Home::new().json(&format!("{TODAY}T12:00"), &["roster", path]);
    assert_eq!(
        (&roster["people"], &roster["rows"]),
        (&Value::from(300), &Value::from(300 * 84 + 10))
    );
    let listed = listed(&roster);
    for finding in ["stopped", "low_readiness", "to_be_seen", "load_jumped"] {
        assert!(
            listed.keys().any(|key| key.starts_with(finding)),
            "nobody in {finding}"
        );
    }
    for (engine, module) in [
        ("duckdb", "duckdb"),
        ("duckdb-parquet", "duckdb"),
        ("datafusion", "datafusion, pyarrow"),
    ] {
        match queried(engine, module, folder.path()) {
            Some(found) => same(engine, &found, &listed),
            None => not_tested(
                &format!("the roster's query on {engine}"),
                "Install duckdb and datafusion for Python",
            ),
        }
    }
}

/// Made for measuring: EVENFALL_PEOPLE=folder:count writes that many people's files.
#[test]
#[ignore = "writes a large folder, for measuring"]
fn write_many_people() {
    let Ok(order) = std::env::var("EVENFALL_PEOPLE") else {
        return;
    };
    let (folder, count) = order.rsplit_once(':').expect("folder:count");
    write(Path::new(folder), count.parse().expect("count"));
}
