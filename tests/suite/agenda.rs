//! The agenda around clock changes, against Python's zoneinfo: every prompt of four days around each
//! change of two years in seven zones, two of them with a change at midnight.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use serde_json::Value;

use crate::support::Home;

const SETTINGS: &str = r#"
[nights]
bedtime = "00:30"
wake = "07:30"
[evening]
minutes = 8
settle = 15
[prompts]
morning = "wake + 10 min"
session = "off"
week_review = "0 0 18 * * Sun"
[[prompts.own]]
when = "0 15 2 * * *"
text = "In the hour that is skipped or repeated"
[[prompts.own]]
when = "0 20 0 * * *"
text = "Just after midnight"
"#;

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name)
}

type Prompt = (DateTime<Utc>, String);

fn instant(text: &str) -> DateTime<Utc> {
    DateTime::parse_from_rfc3339(text)
        .expect("instant")
        .with_timezone(&Utc)
}

/// What is expected of each zone and first date.
fn expected() -> BTreeMap<(String, String, String), Vec<Prompt>> {
    let text = std::fs::read_to_string(data("agenda/agenda.csv")).expect("table");
    let mut spans: BTreeMap<_, Vec<Prompt>> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let [zone, first, days, kind, due_at] = line.split(',').collect::<Vec<_>>()[..] else {
            panic!("five columns: {line}");
        };
        let span = (zone.to_owned(), first.to_owned(), days.to_owned());
        let prompt = (instant(due_at), kind.to_owned());
        spans.entry(span).or_default().push(prompt);
    }
    spans
}

fn planned(zone: &str, first: &str, days: &str) -> Vec<Prompt> {
    let home = Home::new();
    home.write(
        "settings.toml",
        &format!("timezone = \"{zone}\"\n{SETTINGS}"),
    );
    let output = home
        .command("", &["--json", "agenda", "--from", first, "--days", days])
        .env("TZDIR", data("nights/zoneinfo"))
        .output()
        .expect("the program starts");
    let said: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let prompts = said["prompts"].as_array().expect("prompts");
    let prompt = |prompt: &Value| {
        let text = |key: &str| prompt[key].as_str().expect("text").to_owned();
        (instant(&text("due_at")), text("kind"))
    };
    prompts.iter().map(prompt).collect()
}

#[test]
fn every_prompt_around_every_clock_change_is_where_zoneinfo_puts_it() {
    let spans = expected();
    assert!(spans.len() >= 27, "{} spans", spans.len());
    for ((zone, first, days), mut expected) in spans {
        let mut planned = planned(&zone, &first, &days);
        assert!(
            planned.is_sorted_by_key(|prompt| prompt.0),
            "{zone} {first}"
        );
        // Prompts due at one instant have an order of their own.
        planned.sort();
        expected.sort();
        assert_eq!(planned, expected, "{zone} from {first}");
    }
}
