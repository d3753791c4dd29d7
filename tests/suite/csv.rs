//! Mornings and sessions as csv files, in and out.

use std::fmt::Write;

use serde_json::{Value, json};

use crate::support::{Home, Said};

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"Europe/Oslo\"\n");
    home
}

const NOW: &str = "2026-02-01T12:00";

fn import(home: &Home, name: &str, text: &str, flags: &[&str]) -> Said {
    home.write(name, text);
    let file = home.path().join(name);
    let mut arguments = vec!["--json", "import", file.to_str().expect("path")];
    arguments.extend(flags);
    home.run(NOW, &arguments)
}

fn outcome(said: &Said) -> (Value, Value, Value) {
    assert_eq!(said.code, 0, "{}", said.err);
    let json: Value = serde_json::from_str(&said.out).expect("json");
    (
        json["added"].clone(),
        json["corrected"].clone(),
        json["unchanged"].clone(),
    )
}

fn export(home: &Home, kind: &str) -> String {
    let file = home.path().join(format!("out-{kind}.csv"));
    home.json(NOW, &["export", kind, file.to_str().expect("path")]);
    std::fs::read_to_string(file).expect("export")
}

const MORNINGS: &str = "night,into_bed,lights_out,asleep_after_min,wakings,awake_for_min,woke,up,sleep_min,sleep_quality,freshness,soreness,mood,note\n\
    2026-01-05,2026-01-05T22:40,2026-01-05T22:50,15,2,20,2026-01-06T06:20,2026-01-06T06:30,,3,3,4,3,\"wind, rain\"\n\
    2026-01-06,,,,,,,,430,4,4,4,4,\n\
    2026-01-07,,,,,,,,,,2,,,'=tired\n";

#[test]
fn mornings_come_in_once_whatever_is_done_twice() {
    let home = home();
    let first = import(&home, "m.csv", MORNINGS, &["--dry-run"]);
    assert_eq!(outcome(&first), (json!(3), json!(0), json!(0)));
    assert_eq!(home.run(NOW, &["morning", "--show", "2026-01-05"]).code, 1);
    for expected in [(3, 0, 0), (0, 0, 3)] {
        let (added, corrected, unchanged) = expected;
        let said = import(&home, "m.csv", MORNINGS, &[]);
        assert_eq!(
            outcome(&said),
            (json!(added), json!(corrected), json!(unchanged))
        );
    }
    let shown = home.json(NOW, &["morning", "--show", "2026-01-05"]);
    assert_eq!(
        (&shown["asleep_s"], &shown["note"]),
        (&json!(415 * 60), &json!("wind, rain"))
    );
    let history = home.json(NOW, &["morning", "--night", "2026-01-05", "--history"]);
    assert_eq!(history["records"].as_array().map(Vec::len), Some(1));
    let corrected = MORNINGS.replace(",4,4,4,4,", ",4,5,4,4,");
    assert_eq!(
        outcome(&import(&home, "m.csv", &corrected, &[])),
        (json!(0), json!(1), json!(2))
    );
    let history = home.json(NOW, &["morning", "--night", "2026-01-06", "--history"]);
    assert_eq!(history["records"].as_array().map(Vec::len), Some(2));
}

#[test]
fn what_a_file_cannot_carry_stays_when_it_comes_back() {
    let home = home();
    home.json(
        "2026-01-06T07:00",
        &[
            "morning",
            "--fresh",
            "2",
            "--sore-in",
            "calves=2",
            "--ill",
            "--lights-out",
            "23:00",
            "--woke",
            "06:00",
            "--tried-for",
            "5",
        ],
    );
    let file = export(&home, "mornings");
    assert_eq!(
        outcome(&import(&home, "back.csv", &file, &[])),
        (json!(0), json!(0), json!(1))
    );
    let file = file.replace(",2,", ",3,");
    assert_eq!(
        outcome(&import(&home, "back.csv", &file, &[])),
        (json!(0), json!(1), json!(0))
    );
    let shown = home.json(NOW, &["morning", "--show", "2026-01-05"]);
    assert_eq!(
        (
            &shown["ratings"]["freshness"],
            &shown["sore_in"],
            &shown["ill"],
            &shown["tried_after_min"]
        ),
        (&json!(3), &json!({ "calves": 2 }), &json!(true), &json!(5))
    );
}

#[test]
fn what_goes_out_of_one_home_comes_out_of_another_the_same() {
    let sessions = "date,session,minutes,rpe,note\n2026-01-05,legs,28,8,\"cold, \"\"hard\"\"\"\n2026-01-05,,12.5,3.5,\n\
        2026-01-07,legs,,,\"'-1\"\n";
    let (one, other) = (home(), home());
    assert_eq!(outcome(&import(&one, "m.csv", MORNINGS, &[])).0, 3);
    assert_eq!(outcome(&import(&one, "s.csv", sessions, &[])).0, 3);
    for kind in ["mornings", "sessions"] {
        let file = export(&one, kind);
        assert_eq!(
            outcome(&import(&other, &format!("{kind}.csv"), &file, &[])).0,
            3
        );
        assert_eq!(export(&other, kind), file);
        assert_eq!(outcome(&import(&one, "again.csv", &file, &[])).0, 0);
    }
    let out = one.run(NOW, &["export", "sessions", "-"]);
    assert_eq!(out.out, export(&one, "sessions"));
    assert_eq!(one.run(NOW, &["--json", "export", "sessions", "-"]).code, 2);
}

#[test]
fn exported_files_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let home = home();
    import(&home, "m.csv", MORNINGS, &[]);
    export(&home, "mornings");
    let file = home.path().join("out-mornings.csv");
    let mode = std::fs::metadata(file).expect("file").permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
    home.done(NOW, &["export", "mornings", "/dev/null"]);
    assert!(!std::fs::metadata("/dev/null").expect("device").is_file());
}

#[test]
fn every_fault_is_said_with_its_place_and_nothing_is_taken_in() {
    let home = home();
    let text = "night,woke,up,freshness,mood\n\
        2026-01-05,2026-01-06T06:20,2026-01-06T06:30,3,3\n\
        2026-01-06,2026-01-07T06:20,2026-01-07T06:00,3,6\n\
        05.01.2026,,,3,3\n\
        2026-01-08,,,3\n\
        2026-01-09,,,\"3,3\n";
    let said = import(&home, "m.csv", text, &[]);
    assert_eq!(said.code, 2);
    for place in ["m.csv:3:48:", "m.csv:4:1:", "m.csv:5:1:", "m.csv:6:14:"] {
        assert!(said.err.contains(place), "{place}: {}", said.err);
    }
    assert!(said.err.contains("nothing was taken in"), "{}", said.err);
    assert_eq!(home.run(NOW, &["morning", "--show", "2026-01-05"]).code, 1);
    let said = import(&home, "m.csv", text, &["--skip-bad"]);
    assert_eq!(outcome(&said).0, 1);
    assert!(said.err.contains("m.csv:4:1:"), "{}", said.err);
}

#[test]
fn unknown_columns_are_refused_by_name_and_passed_over_on_request() {
    let home = home();
    let text = "night,freshness,steps,mod\n2026-01-05,3,9000,4\n";
    let said = import(&home, "m.csv", text, &[]);
    assert_eq!(said.code, 2);
    assert!(
        said.err
            .contains("m.csv:1:17: the column `steps` is not known"),
        "{}",
        said.err
    );
    assert!(
        said.err
            .contains("m.csv:1:23: the column `mod` is not known. Did you mean mood."),
        "{}",
        said.err
    );
    assert_eq!(import(&home, "m.csv", text, &["--skip-bad"]).code, 2);
    assert_eq!(
        outcome(&import(&home, "m.csv", text, &["--ignore-unknown"])).0,
        1
    );
    let shown = home.json(NOW, &["morning", "--show", "2026-01-05"]);
    assert_eq!(shown["ratings"]["mood"], Value::Null);
}

#[test]
fn files_that_nobody_can_tell_are_refused_with_what_to_do() {
    let home = home();
    for (name, text, word) in [
        ("x.csv", "when,what\n", "x.csv:1:1: the header"),
        ("x.csv", "", "x.csv:1:1: the header"),
        ("x.doc", "night\n", "csv"),
        ("x", "night\n", "csv"),
    ] {
        let said = import(&home, name, text, &[]);
        assert_eq!(said.code, 2, "{name}");
        assert!(said.err.contains(word), "{}", said.err);
    }
    std::fs::write(home.path().join("x.csv"), b"night,note\n2026-01-05,\xff\n").expect("file");
    let file = home.path().join("x.csv");
    let said = home.run(NOW, &["import", file.to_str().expect("path")]);
    assert_eq!(said.code, 2);
    assert!(
        said.err.contains("x.csv:2:12: the file is not UTF-8"),
        "{}",
        said.err
    );
    assert_eq!(home.run(NOW, &["import", "/nonexistent/x.csv"]).code, 1);
    assert_eq!(home.run(NOW, &["export", "morning", "-"]).code, 2);
}

#[test]
fn the_order_of_files_and_rows_does_not_matter() {
    let mut rows: Vec<String> = (1..=28)
        .map(|day| format!("2026-01-{day:02},{},{},3,4", 1 + day % 5, 1 + day * 3 % 5))
        .collect();
    let header = "night,sleep_quality,freshness,soreness,mood\n";
    let (one, other) = (home(), home());
    import(
        &one,
        "m.csv",
        &format!("{header}{}\n", rows.join("\n")),
        &[],
    );
    rows.reverse();
    let (late, early) = rows.split_at(11);
    import(
        &other,
        "b.csv",
        &format!("{header}{}\n", late.join("\n")),
        &[],
    );
    import(
        &other,
        "a.csv",
        &format!("{header}{}\n", early.join("\n")),
        &[],
    );
    let span = ["today", "--from", "2026-01-02", "--days", "30"];
    assert_eq!(one.json(NOW, &span), other.json(NOW, &span));
}

#[test]
fn a_repeated_hour_in_a_file_is_said_with_its_line() {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"Europe/Berlin\"\n");
    let text = "night,lights_out,woke\n2026-10-24,22:00,02:30\n";
    let said = import(&home, "m.csv", text, &[]);
    assert!(
        said.out.contains("line 2: 02:30 happened twice"),
        "{}",
        said.out
    );
}

/// Twenty thousand rows are read, written and found again. The time is measured in a release build; here
/// only that it does not grow out of all proportion.
#[test]
fn twenty_thousand_rows_are_taken_in() {
    let home = home();
    let mut csv = "date,session,minutes,rpe,note\n".to_owned();
    for row in 0..20_000_u32 {
        let (year, day) = (1970 + row / 360, row % 360);
        writeln!(
            csv,
            "{year}-{:02}-{:02},legs,{},{},",
            day / 30 + 1,
            day % 28 + 1,
            row % 90 + 1,
            row % 10 + 1
        )
        .expect("text");
    }
    let begun = std::time::Instant::now();
    assert_eq!(outcome(&import(&home, "s.csv", &csv, &[])).0, 20_000);
    assert_eq!(
        outcome(&import(&home, "s.csv", &csv, &[])),
        (json!(0), json!(0), json!(20_000))
    );
    assert!(
        begun.elapsed() < std::time::Duration::from_secs(60),
        "{:?}",
        begun.elapsed()
    );
}
