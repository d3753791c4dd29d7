//! Mornings through the binary: every flag, every night with a clock change, corrections, the form.

mod clock_changes;
mod form;

use serde_json::{Value, json};

use crate::support::service::events;
use crate::support::{Home, Said};

const SETTINGS: &str = "timezone = \"Europe/Oslo\"\n";

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS);
    home
}

/// The flags of an ordinary night.
const USUAL: [&str; 15] = [
    "morning",
    "--into-bed",
    "22:40",
    "--lights-out",
    "22:50",
    "--asleep-after",
    "15",
    "--wakings",
    "2",
    "--awake-for",
    "20",
    "--woke",
    "06:20",
    "--up",
    "06:30",
];

const MORNING: &str = "2026-01-06T06:40";

fn with<'f>(flags: &[&'f str], more: &[&'f str]) -> Vec<&'f str> {
    [flags, more].concat()
}

#[test]
fn every_flag_is_kept_and_the_lengths_follow() {
    let home = home();
    let flags = with(
        &USUAL,
        &[
            "--tried-for",
            "5",
            "--sleep",
            "3",
            "--fresh",
            "2",
            "--sore",
            "4",
            "--mood",
            "5",
            "--sore-in",
            "calves=2,glutes=3",
            "--ill",
            "--note",
            " wind on the roof ",
        ],
    );
    let said = home.json(MORNING, &flags);
    // 22:50 to 06:20 are 450 minutes of trying, 415 of them asleep (450 - 15 - 20).
    let expected = json!({
        "night": "2026-01-05",
        "timezone": "Europe/Oslo",
        "in_bed_s": 470 * 60,
        "sleep_period_s": 435 * 60,
        "asleep_s": 415 * 60,
        "attempt_s": 455 * 60,
        "efficiency_attempt": 100.0 * 415.0 / 455.0,
        "efficiency_bed": 100.0 * 415.0 / 470.0,
        "midpoint": "2026-01-06T02:42:30+01:00",
        "ratings": { "sleep_quality": 3, "freshness": 2, "soreness": 4, "mood": 5 },
        "into_bed": "2026-01-05T22:40:00+01:00",
        "lights_out": "2026-01-05T22:50:00+01:00",
        "asleep_after_min": 15,
        "wakings": 2,
        "awake_for_min": 20,
        "woke": "2026-01-06T06:20:00+01:00",
        "up": "2026-01-06T06:30:00+01:00",
        "tried_after_min": 5,
        "sore_in": { "calves": 2, "glutes": 3 },
        "ill": true,
        "note": "wind on the roof",
        "estimated": false,
        "notes": [],
    });
    assert_eq!(said, expected);
    assert_eq!(
        home.json("2026-02-01T12:00", &["morning", "--show", "2026-01-05"]),
        expected
    );
}

#[test]
fn one_rating_or_the_times_are_enough_and_what_is_not_said_is_null() {
    let home = home();
    let said = home.json(MORNING, &["morning", "--mood", "4"]);
    assert_eq!(said["ratings"]["mood"], 4);
    for absent in ["in_bed_s", "asleep_s", "midpoint", "into_bed", "note"] {
        assert_eq!(said[absent], Value::Null, "{absent}");
    }
    assert_eq!(said["ratings"]["freshness"], Value::Null);
    let times = home.json(
        MORNING,
        &[
            "morning",
            "--night",
            "2026-01-03",
            "--lights-out",
            "23:00",
            "--woke",
            "07:00",
        ],
    );
    assert_eq!(
        (&times["attempt_s"], &times["asleep_s"]),
        (&json!(8 * 3600), &Value::Null)
    );
    let minutes = home.json(
        MORNING,
        &["morning", "--night", "2026-01-02", "--asleep-for", "400"],
    );
    assert_eq!(minutes["asleep_s"], 400 * 60);
}

#[test]
fn nothing_to_record_and_nobody_to_ask_is_a_wrong_call() {
    let home = home();
    for flags in [
        &["morning"][..],
        &["--json", "morning"],
        &["morning", "--anew"],
    ] {
        let said = home.run(MORNING, flags);
        assert_eq!(said.code, 2, "{flags:?}");
        assert!(
            said.err.contains("evenfall morning --as-usual"),
            "{}",
            said.err
        );
        assert!(said.out.is_empty());
    }
}

#[test]
fn slips_are_named_with_what_to_write_and_nothing_is_kept() {
    let home = home();
    for (flags, word) in [
        (&["--sleep", "6"][..], "Write 1 to 5"),
        (&["--fresh", "0"], "Write 1 to 5"),
        (&["--sore", "good"], "Write 1 to 5"),
        (&["--woke", "25:10"], "Write 22:40"),
        (&["--asleep-after", "-3"], "Write a whole number"),
        (&["--wakings", "1000"], "from 0 to 100"),
        (&["--sore-in", "calfs=2"], "Did you mean calves"),
        (&["--sore-in", "calves=5"], "calves=3"),
        (&["--ill", "--not-ill"], "cannot be used with"),
        (&["--night", "yesterday"], "--night"),
    ] {
        let said = home.run(MORNING, &with(&["morning", "--mood", "3"], flags));
        assert_eq!(said.code, 2, "{flags:?}");
        assert!(said.err.contains(word), "{flags:?}: {}", said.err);
    }
    assert_eq!(home.run(MORNING, &["morning", "--show"]).code, 1);
}

#[test]
fn an_impossible_night_is_refused_with_both_values() {
    let home = home();
    for (flags, words) in [
        (
            &["--woke", "07:00", "--up", "06:30"][..],
            ["woke 2026-01-06 07:00", "up 2026-01-06 06:30"],
        ),
        (
            &[
                "--lights-out",
                "23:00",
                "--asleep-after",
                "10",
                "--awake-for",
                "500",
                "--woke",
                "06:00",
            ],
            ["510 minutes awake", "420 minutes"],
        ),
        (
            &["--into-bed", "07:00", "--woke", "07:00"],
            ["24 h 0 min", "16 hours"],
        ),
        (
            &["--woke", "2026-01-12T06:00"],
            ["2026-01-12 06:00", "night of 2026-01-05"],
        ),
        (
            &[
                "--lights-out",
                "23:00",
                "--asleep-after",
                "0",
                "--awake-for",
                "0",
                "--woke",
                "06:00",
                "--asleep-for",
                "300",
            ],
            ["300 minutes asleep", "420 minutes"],
        ),
    ] {
        let said = home.run(MORNING, &with(&["morning"], flags));
        assert_eq!(said.code, 2, "{flags:?}");
        for word in words {
            assert!(said.err.contains(word), "{flags:?}: {}", said.err);
        }
        assert!(said.err.contains('?'), "a question: {}", said.err);
    }
    assert_eq!(
        home.run(MORNING, &["morning", "--show"]).code,
        1,
        "nothing was kept"
    );
    home.done(
        MORNING,
        &[
            "morning",
            "--into-bed",
            "07:00",
            "--woke",
            "07:00",
            "--long-night",
        ],
    );
}

#[test]
fn a_correction_keeps_the_earlier_answer_in_the_history() {
    let home = home();
    home.json(MORNING, &with(&USUAL, &["--mood", "2"]));
    let corrected = home.json(
        "2026-01-06T18:00",
        &["morning", "--mood", "4", "--woke", "06:00"],
    );
    assert_eq!(corrected["ratings"]["mood"], 4);
    assert_eq!(corrected["asleep_s"], 395 * 60);
    assert_eq!(corrected["up"], "2026-01-06T06:30:00+01:00");
    let again = home.run("2026-01-06T18:05", &["morning", "--mood", "4"]);
    assert!(again.out.starts_with("Nothing changed"), "{}", again.out);
    let history = home.json(
        "2026-01-07T12:00",
        &["morning", "--night", "2026-01-05", "--history"],
    );
    let moods: Vec<&Value> = history["records"]
        .as_array()
        .expect("records")
        .iter()
        .map(|record| &record["ratings"]["mood"])
        .collect();
    assert_eq!(moods, [2, 4]);
    assert_eq!(
        history["records"][1]["recorded_at"],
        "2026-01-06T18:00:00+01:00"
    );
    let refused = home.run("2026-01-06T18:05", &["morning", "--up", "05:00"]);
    assert_eq!(refused.code, 2);
    assert!(
        refused.err.contains("woke 2026-01-06 06:00"),
        "{}",
        refused.err
    );
    let anew = home.json("2026-01-06T19:00", &["morning", "--anew", "--fresh", "3"]);
    assert_eq!(
        (&anew["asleep_s"], &anew["ratings"]["mood"]),
        (&Value::Null, &Value::Null)
    );
    home.json(
        "2026-01-06T19:10",
        &["morning", "--ill", "--sore-in", "calves", "--note", "x"],
    );
    let well = home.json(
        "2026-01-06T19:20",
        &["morning", "--not-ill", "--sore-in", "none", "--note", ""],
    );
    assert_eq!(
        (&well["ill"], &well["sore_in"], &well["note"]),
        (&json!(false), &json!({}), &Value::Null)
    );
}

#[test]
fn as_usual_is_one_key_marked_as_estimated_and_never_replaces_answers() {
    let home = home();
    let usual = home.json(MORNING, &["morning", "--as-usual"]);
    assert_eq!(
        usual["ratings"],
        json!({ "sleep_quality": 3, "freshness": 3, "soreness": 3, "mood": 3 })
    );
    assert_eq!(usual["estimated"], true);
    assert_eq!(usual["lights_out"], "2026-01-05T22:30:00+01:00");
    assert_eq!(usual["woke"], "2026-01-06T06:30:00+01:00");
    assert_eq!(
        usual["asleep_s"],
        Value::Null,
        "nobody said how long it took to fall asleep"
    );
    assert_eq!(home.run(MORNING, &["morning", "--as-usual"]).code, 0);
    let timed = home.json(MORNING, &USUAL);
    assert_eq!(
        (&timed["estimated"], &timed["ratings"]["mood"]),
        (&json!(false), &json!(3))
    );
    let refused = home.run(MORNING, &["morning", "--as-usual"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("--anew"), "{}", refused.err);
    let but = home.json(
        "2026-01-07T06:40",
        &["morning", "--as-usual", "--mood", "2"],
    );
    assert_eq!(
        (&but["ratings"]["mood"], &but["ratings"]["freshness"]),
        (&json!(2), &json!(3))
    );
}

#[test]
fn the_night_that_ended_last_is_meant() {
    let home = home();
    for (now, night) in [
        ("2026-01-06T06:40", "2026-01-05"),
        ("2026-01-06T04:00", "2026-01-05"),
        ("2026-01-06T13:00", "2026-01-05"),
        ("2026-01-06T23:50", "2026-01-05"),
        ("2026-01-07T00:30", "2026-01-05"),
        ("2026-01-07T05:30", "2026-01-06"),
    ] {
        let said = home.json(now, &["morning", "--mood", "3"]);
        assert_eq!(said["night"], night, "{now}");
    }
    let ahead = home.run(
        MORNING,
        &["morning", "--night", "2026-01-09", "--mood", "3"],
    );
    assert_eq!(ahead.code, 2);
    assert!(ahead.err.contains("still to come"), "{}", ahead.err);
}

#[test]
fn recording_answers_the_prompt_of_the_night() {
    let home = home();
    home.json(MORNING, &["morning", "--mood", "3"]);
    let found = events(&home);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, "morning");
    assert_eq!(found[0].1, json!({ "what": "answered", "answer": "done" }));
}

#[test]
fn records_are_readable_by_their_owner_alone_and_nothing_is_said_aside() {
    use std::os::unix::fs::PermissionsExt;
    let home = home();
    let Said { code, err, .. } = home.run(MORNING, &with(&USUAL, &["--ill", "--note", "private"]));
    assert_eq!((code, err.as_str()), (0, ""));
    let mode = std::fs::metadata(home.path().join("diary.db"))
        .expect("store")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
}
