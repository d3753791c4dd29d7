//! Moving bedtime and planning a journey: shown first, written with the comments kept, taken back.

use serde_json::Value;

use crate::support::Home;

const SETTINGS: &str = r#"# my settings
timezone = "Europe/Oslo"
[nights]           # usual times
bedtime = "23:00"
wake = "07:00"
fri = { bedtime = "00:00", wake = "08:00" }   # late films

# grandmother's birthday
[[nights.on]]
date = 2026-02-08
wake = "06:00"     # early train
"#;

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS);
    home
}

fn settings(home: &Home) -> String {
    std::fs::read_to_string(home.path().join("settings.toml")).expect("settings")
}

fn lights_out(said: &Value) -> Vec<String> {
    said["nights"]
        .as_array()
        .expect("nights")
        .iter()
        .map(|night| night["lights_out"].as_str().expect("instant").to_owned())
        .collect()
}

const MOVE: &[&str] = &["shift-bedtime", "--to", "22:15", "--by", "2026-02-10"];
const JOURNEY: &[&str] = &[
    "travel",
    "--zone",
    "America/New_York",
    "--from",
    "2026-03-06",
    "--to",
    "2026-03-08",
];

fn with<'a>(command: &[&'a str], flag: &'a str) -> Vec<&'a str> {
    [command, &[flag]].concat()
}

// Steps of 15 minutes earlier or 30 minutes later a night are our own design choice.
#[test]
fn bedtime_moves_in_small_steps_and_nothing_is_written_unasked() {
    let home = home();
    let shown = home.json("2026-02-01T12:00", MOVE);
    assert_eq!(
        lights_out(&shown),
        [
            "2026-02-08T22:45:00+01:00",
            "2026-02-09T22:30:00+01:00",
            "2026-02-10T22:15:00+01:00"
        ]
    );
    assert_eq!(shown["written"], false);
    let said = home.done("2026-02-01T12:00", MOVE);
    assert!(said.out.contains("--write"), "{}", said.out);
    assert_eq!(settings(&home), SETTINGS);
}

#[test]
fn written_nights_are_in_force_and_undo_takes_them_back_to_the_letter() {
    let home = home();
    let written = home.json("2026-02-01T12:00", &with(MOVE, "--write"));
    assert_eq!(written["written"], true);
    let text = settings(&home);
    for kept in [
        "# my settings",
        "# usual times",
        "# late films",
        "# grandmother's birthday",
    ] {
        assert!(text.contains(kept), "{kept} is gone:\n{text}");
    }
    let tonight = home.json("2026-02-09T18:00", &["tonight"]);
    assert_eq!(tonight["lights_out"], "2026-02-09T22:30:00+01:00");
    assert_eq!(tonight["in_bed_s"], 8 * 3600, "the wake time moves along");
    let after = home.json("2026-02-11T18:00", &["tonight"]);
    assert_eq!(after["lights_out"], "2026-02-11T23:00:00+01:00");
    let undone = home.json("2026-02-02T12:00", &["shift-bedtime", "--undo"]);
    assert_eq!(undone["restored"].as_array().map(Vec::len), Some(3));
    assert_eq!(settings(&home), SETTINGS);
    let again = home.run("2026-02-02T12:00", &["shift-bedtime", "--undo"]);
    assert_eq!(again.code, 1);
}

#[test]
fn undo_leaves_what_the_person_changed_since() {
    let home = home();
    home.json("2026-02-01T12:00", &with(MOVE, "--write"));
    let edited = settings(&home).replace("bedtime = \"22:30\"", "bedtime = \"22:40\"");
    assert_ne!(edited, settings(&home));
    home.write("settings.toml", &edited);
    let undone = home.json("2026-02-02T12:00", &["shift-bedtime", "--undo"]);
    assert_eq!(undone["left"], serde_json::json!(["2026-02-09"]));
    let night = home.json("2026-02-09T18:00", &["tonight"]);
    assert_eq!(night["lights_out"], "2026-02-09T22:40:00+01:00");
    let night = home.json("2026-02-10T18:00", &["tonight"]);
    assert_eq!(night["lights_out"], "2026-02-10T23:00:00+01:00");
}

#[test]
fn too_late_for_small_steps_is_said() {
    let home = home();
    let said = home.done(
        "2026-02-01T12:00",
        &["shift-bedtime", "--to", "21:00", "--by", "2026-02-04"],
    );
    assert!(
        said.out
            .contains("21:00 is reached on 2026-02-08, 4 nights later"),
        "{}",
        said.out
    );
    let over = home.run(
        "2026-02-01T12:00",
        &["shift-bedtime", "--to", "21:00", "--by", "2026-01-30"],
    );
    assert_eq!(over.code, 2);
    assert!(over.err.contains("that night is over"), "{}", over.err);
}

// New York put its clocks forward on 8 March 2026 at 02:00 (tz database): the night of 7 March has its
// bedtime at -05:00 and its wake time at -04:00, an hour shorter.
#[test]
fn a_journey_is_planned_by_the_clock_there_over_its_clock_change() {
    let home = home();
    let written = home.json("2026-03-01T12:00", &with(JOURNEY, "--write"));
    assert_eq!(
        lights_out(&written),
        [
            "2026-03-07T00:00:00-05:00",
            "2026-03-07T23:00:00-05:00",
            "2026-03-08T23:00:00-04:00"
        ]
    );
    assert_eq!(written["nights"][1]["in_bed_s"], 7 * 3600);
    let tonight = home.json("2026-03-07T22:00", &["tonight"]);
    assert_eq!(tonight["timezone"], "America/New_York");
    let agenda = home.json(
        "2026-03-07T12:00",
        &["agenda", "--from", "2026-03-07", "--days", "2"],
    );
    let wind_down = agenda["prompts"]
        .as_array()
        .expect("prompts")
        .iter()
        .find(|prompt| prompt["kind"] == "wind_down" && prompt["night"] == "2026-03-07")
        .expect("a wind-down");
    // Lights out at 23:00 less 15 minutes to settle, 8 of routine and 5 ahead.
    assert_eq!(wind_down["due_at"], "2026-03-07T22:32:00-05:00");
    home.json("2026-03-02T12:00", &["travel", "--undo"]);
    assert_eq!(settings(&home), SETTINGS);
}

#[test]
fn what_cannot_be_meant_is_refused_and_changes_nothing() {
    let home = home();
    for (arguments, said) in [
        (
            &[
                "travel",
                "--zone",
                "Atlantis/Port",
                "--from",
                "2026-03-06",
                "--to",
                "2026-03-08",
            ][..],
            "no such time zone",
        ),
        (
            &[
                "travel",
                "--zone",
                "Asia/Tokyo",
                "--from",
                "2026-03-06",
                "--to",
                "2026-03-01",
            ][..],
            "is before --from",
        ),
        (
            &["shift-bedtime", "--to", "25:00", "--by", "2026-03-01"][..],
            "22:00",
        ),
        (&["shift-bedtime", "--to", "22:00"][..], "--by"),
    ] {
        let refused = home.run("2026-02-01T12:00", arguments);
        assert_eq!(refused.code, 2, "{arguments:?}: {}", refused.err);
        assert!(refused.err.contains(said), "{arguments:?}: {}", refused.err);
    }
    assert_eq!(settings(&home), SETTINGS);
    let without = Home::new();
    let said = without.run("2026-02-01T12:00", &with(MOVE, "--write"));
    assert_eq!(said.code, 1);
    assert!(said.err.contains("evenfall setup"), "{}", said.err);
}
