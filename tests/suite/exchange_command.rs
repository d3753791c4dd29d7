//! Calendars and sleep data through the program: training days in, nights and sleep out.

use std::path::Path;

use serde_json::{Value, json};

use crate::support::{Home, Said};

const SETTINGS: &str = r#"
timezone = "Europe/Oslo"
[nights]
bedtime = "22:30"
wake = "06:30"
"#;

const BLOCK: &str = r#"
name = "Stairs"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 3
[phase.week]
mon = "legs"
wed = "back"
[session.legs]
title = "Legs and lungs"
rpe = 8
minutes = 30
at = "18:30"
regions = { calves = 2 }
[session.back]
title = "Back"
rpe = 6
minutes = 30
regions = { upper_back = 2 }
"#;

/// Legs on Tuesdays at 07:00 by New York's clock, which is 13:00 in Oslo; called off in the second week.
const TRAINING: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//our own//sample//EN\r\n\
BEGIN:VEVENT\r\nUID:legs@sample\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Training: legs and lungs\r\n\
DTSTART;TZID=America/New_York:20260106T070000\r\nDURATION:PT45M\r\nRRULE:FREQ=WEEKLY;COUNT=3\r\nEND:VEVENT\r\n\
BEGIN:VEVENT\r\nUID:legs@sample\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Training: legs and lungs\r\n\
RECURRENCE-ID;TZID=America/New_York:20260113T070000\r\nDTSTART;TZID=America/New_York:20260113T070000\r\n\
DURATION:PT45M\r\nSTATUS:CANCELLED\r\nEND:VEVENT\r\n\
BEGIN:VEVENT\r\nUID:dentist@sample\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Dentist\r\n\
DTSTART:20260107T090000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS)
        .write("block.toml", BLOCK)
        .write("training.ics", TRAINING);
    home
}

fn import(home: &Home, file: &str, more: &[&str]) -> Said {
    let path = home.path().join(file);
    let mut arguments = vec!["import", path.to_str().expect("path")];
    arguments.extend(more);
    home.run("2026-01-05T08:00", &arguments)
}

fn session_on(home: &Home, date: &str) -> Value {
    home.json(&format!("{date}T12:00"), &["tonight"])["day"]["session"].clone()
}

fn store(home: &Home) -> Vec<u8> {
    std::fs::read(home.path().join("diary.db")).unwrap_or_default()
}

#[test]
fn training_days_are_shown_first_and_then_count() {
    let home = home();
    let shown = import(&home, "training.ics", &[]);
    assert_eq!(shown.code, 0, "{}", shown.err);
    assert!(
        shown.out.contains("Tue 06 Jan  13:00  legs"),
        "{}",
        shown.out
    );
    assert!(
        shown.out.contains("Tue 13 Jan  off    legs"),
        "{}",
        shown.out
    );
    assert!(shown.out.contains("No session: Dentist"), "{}", shown.out);
    assert!(shown.out.contains("--write takes it in"), "{}", shown.out);
    assert_eq!(session_on(&home, "2026-01-05"), "legs");
    let taken = import(&home, "training.ics", &["--write", "--json"]);
    assert_eq!(taken.code, 0, "{}", taken.err);
    let days = [
        "2026-01-05",
        "2026-01-06",
        "2026-01-07",
        "2026-01-12",
        "2026-01-13",
        "2026-01-20",
    ];
    let sessions = days.map(|day| session_on(&home, day));
    let none = Value::Null;
    // The week of the 12th has its legs called off; Back is nowhere in the calendar and stays.
    assert_eq!(
        sessions,
        [
            none.clone(),
            json!("legs"),
            json!("back"),
            none.clone(),
            none,
            json!("legs")
        ]
    );
    let again = import(&home, "training.ics", &["--write"]);
    assert!(again.out.contains("taken in before"), "{}", again.out);
    home.done("2026-01-05T09:00", &["import", "--undo"]);
    assert_eq!(session_on(&home, "2026-01-05"), "legs");
    assert_eq!(home.run("2026-01-05T09:00", &["import", "--undo"]).code, 1);
}

#[test]
fn a_dry_run_lists_what_happens_and_keeps_nothing() {
    let home = home();
    let said = import(
        &home,
        "training.ics",
        &[
            "--dry-run",
            "--json",
            "--from",
            "2026-01-01",
            "--to",
            "2026-02-01",
            "--zone",
            "Asia/Kathmandu",
        ],
    );
    assert_eq!(said.code, 0, "{}", said.err);
    let read: Value = serde_json::from_str(&said.out).expect("JSON");
    let occurrences = read["occurrences"].as_array().expect("occurrences");
    assert_eq!(occurrences.len(), 4);
    assert_eq!(occurrences[0]["uid"], "legs@sample");
    assert_eq!(occurrences[0]["start"], "2026-01-06T17:45:00+05:45");
    assert_eq!(occurrences[0]["end"], "2026-01-06T18:30:00+05:45");
    assert_eq!(occurrences[2]["status"], "CANCELLED");
    assert!(!home.path().join("diary.db").exists());
}

#[test]
fn a_broken_calendar_names_its_faults_and_changes_nothing() {
    let home = home();
    assert_eq!(import(&home, "training.ics", &["--write"]).code, 0);
    let before = store(&home);
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/ics");
    for broken in [
        "bad-01-truncated.ics",
        "bad-02-wrong-dates.ics",
        "bad-08-html.ics",
    ] {
        let path = samples.join(broken);
        let said = home.run(
            "2026-01-05T08:00",
            &["import", path.to_str().expect("path"), "--write"],
        );
        assert_eq!(said.code, 2, "{broken}");
        assert!(
            said.err.contains(broken) && said.out.is_empty(),
            "{}",
            said.err
        );
    }
    assert_eq!(store(&home), before);
    assert_eq!(
        session_on(&home, "2026-01-06"),
        "legs",
        "the earlier import stays in force"
    );
}

fn lines<'t>(text: &'t str, start: &str) -> Vec<&'t str> {
    text.lines()
        .filter(|line| line.starts_with(start))
        .collect()
}

#[test]
fn nights_go_out_the_same_until_something_changes() {
    let home = home();
    let file = home.path().join("nights.ics");
    let file = file.to_str().expect("path");
    let export_days = |at: &str, days: &str| {
        let words = [
            "export",
            "nights",
            file,
            "--from",
            "2026-01-05",
            "--days",
            days,
        ];
        home.done(at, &words);
        std::fs::read_to_string(file).expect("calendar")
    };
    let export = |at: &str| export_days(at, "3");
    let first = export("2026-01-05T08:00");
    assert_eq!(export("2026-01-05T09:00"), first);
    assert_eq!(
        lines(&first, "DTSTART;TZID=Europe/Oslo:20260105T220700").len(),
        1,
        "{first}"
    );
    assert_eq!(lines(&first, "SEQUENCE:0").len(), 3);
    home.write(
        "settings.toml",
        &format!("{SETTINGS}[[nights.on]]\ndate = 2026-01-06\nbedtime = \"23:00\"\n"),
    );
    let changed = export("2026-01-05T10:00");
    assert_eq!(
        (
            lines(&changed, "SEQUENCE:0").len(),
            lines(&changed, "SEQUENCE:1").len()
        ),
        (2, 1)
    );
    assert_eq!(lines(&changed, "UID:night-"), lines(&first, "UID:night-"));
    // One night alone, then all again: a calendar would pass over a night that began anew at 0.
    export_days("2026-01-05T11:00", "1");
    assert_eq!(export("2026-01-05T12:00"), changed);
    let uid = lines(&first, "UID:night-2026-01-05@")[0];
    let other = Home::new();
    let said = other.run(
        "2026-01-05T08:00",
        &[
            "export",
            "nights",
            "-",
            "--from",
            "2026-01-05",
            "--days",
            "1",
        ],
    );
    assert!(
        !said.out.contains(uid),
        "two people's nights have ids of their own"
    );
}

#[test]
fn a_drawn_night_without_wind_down_has_lights_out_alone() {
    let home = home();
    home.json(
        "2026-01-04T12:00",
        &[
            "compare",
            "plan",
            "--a",
            "legs",
            "--b",
            "none",
            "--outcome",
            "freshness",
            "--seed",
            "7",
        ],
    );
    let said = home.run(
        "2026-01-04T12:00",
        &[
            "export",
            "nights",
            "-",
            "--from",
            "2026-01-05",
            "--days",
            "6",
        ],
    );
    assert_eq!(
        lines(&said.out, "SUMMARY:Wind-down").len(),
        3,
        "{}",
        said.out
    );
    assert_eq!(lines(&said.out, "SUMMARY:Lights out").len(), 3);
}

#[test]
fn recorded_nights_go_out_as_sleep_episodes() {
    let home = home();
    for (night, after) in [("2026-01-05", "15"), ("2026-01-06", "20")] {
        home.done(
            "2026-01-08T08:00",
            &[
                "morning",
                "--night",
                night,
                "--lights-out",
                "22:30",
                "--asleep-after",
                after,
                "--wakings",
                "1",
                "--awake-for",
                "10",
                "--woke",
                "06:30",
                "--sleep",
                "4",
                "--note",
                "private",
            ],
        );
    }
    home.done("2026-01-08T08:00", &["morning", "--as-usual"]);
    let said = home.done("2026-01-08T09:00", &["export", "sleep", "-"]);
    assert!(!said.out.contains("private"));
    let points: Value = serde_json::from_str(&said.out).expect("JSON");
    let points = points.as_array().expect("list");
    let of = |name: &str| -> Vec<&Value> {
        points
            .iter()
            .filter(|point| point["header"]["schema_id"]["name"] == name)
            .collect()
    };
    let episodes = of("sleep-episode");
    assert_eq!(
        episodes.len(),
        2,
        "a night taken over with one key was not told"
    );
    let interval = &episodes[0]["body"]["effective_time_frame"]["time_interval"];
    assert_eq!(interval["start_date_time"], "2026-01-05T22:45:00+01:00");
    assert_eq!(interval["end_date_time"], "2026-01-06T06:30:00+01:00");
    assert_eq!(
        episodes[0]["body"]["total_sleep_time"],
        json!({ "unit": "min", "value": 455 })
    );
    assert_eq!(
        of("total-sleep-time")[0]["body"]["total_sleep_time"]["value"],
        452.5
    );
}
