//! Nights with a clock change, computed with Python's zoneinfo, through the binary.

use serde_json::Value;

use crate::science::{Vectors, id};
use crate::support::Home;

fn home(zone: &str) -> Home {
    let home = Home::new();
    home.write("settings.toml", &format!("timezone = \"{zone}\"\n"));
    home
}

/// The flags that say what a vector says. The later pass of a repeated hour is what the program takes by
/// itself; the earlier one is said with its offset.
fn flags(given: &Value) -> Vec<String> {
    let first_pass = given["final_wake"] == "2026-10-25T02:30" && given["folds"].is_null();
    let mut flags = vec!["morning".to_owned()];
    for (flag, name) in [
        ("--into-bed", "into_bed"),
        ("--lights-out", "attempt"),
        ("--asleep-after", "sol"),
        ("--wakings", "awakenings"),
        ("--awake-for", "waso"),
        ("--woke", "final_wake"),
        ("--up", "out_of_bed"),
        ("--tried-for", "tried_after_final"),
    ] {
        let mut value = given[name]
            .as_str()
            .map_or(given[name].to_string(), str::to_owned);
        if first_pass && matches!(flag, "--woke" | "--up") {
            value.push_str("+02:00");
        }
        flags.extend([flag.to_owned(), value]);
    }
    flags
}

// Consensus Sleep Diary arithmetic (Carney CE et al. 2012, Sleep 35(2):287-302; Reed DL & Sacco WP 2016,
// J Clin Sleep Med 12(2):263-266), elapsed time computed with Python's zoneinfo.
#[test]
fn nights_have_their_elapsed_lengths() {
    let vectors = Vectors::read("sleep_diary");
    for case in vectors.group("night") {
        let (given, out) = (&case["in"], &case["out"]);
        let home = home(given["tz"].as_str().expect("zone"));
        let attempt: chrono::NaiveDateTime =
            format!("{}:00", given["attempt"].as_str().expect("time"))
                .parse()
                .expect("time");
        let night = evenfall::pure::civil::Night::of(attempt).to_string();
        let mut arguments = flags(given);
        arguments.extend(["--night".to_owned(), night.clone()]);
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let said = home.json("2026-11-30T12:00", &arguments);
        assert_eq!(said["night"], night);
        let minutes = |name: &str| said[name].as_f64().map(|seconds| seconds / 60.0);
        for (name, computed) in [
            ("TIB_min", minutes("in_bed_s")),
            ("SPT_min", minutes("sleep_period_s")),
            ("TST_min", minutes("asleep_s")),
            ("DSE_min", minutes("attempt_s")),
            ("SE_TIB_percent", said["efficiency_bed"].as_f64()),
            ("SE_DSE_percent", said["efficiency_attempt"].as_f64()),
        ] {
            vectors.same(&format!("{} {name}", id(case)), computed, &out[name]);
        }
        assert_eq!(said["midpoint"], out["midpoint_local"], "{}", id(case));
    }
}

#[test]
fn clock_times_alone_give_the_430_minutes_of_the_short_night() {
    let home = home("Europe/Berlin");
    let said = home.json(
        "2026-03-29T07:30",
        &[
            "morning",
            "--into-bed",
            "23:00",
            "--lights-out",
            "23:00",
            "--asleep-after",
            "15",
            "--awake-for",
            "10",
            "--woke",
            "07:00",
            "--up",
            "07:10",
        ],
    );
    assert_eq!(said["night"], "2026-03-28");
    assert_eq!(said["in_bed_s"], 430 * 60);
    assert_eq!(said["midpoint"], "2026-03-29T03:37:30+02:00");
}

#[test]
fn a_skipped_hour_is_refused_and_a_repeated_one_is_taken_late_and_said() {
    let home = home("Europe/Berlin");
    let skipped = home.run("2026-03-29T07:30", &["morning", "--woke", "02:30"]);
    assert_eq!(skipped.code, 2);
    assert!(
        skipped.err.contains("02:30 does not exist"),
        "{}",
        skipped.err
    );
    assert!(skipped.err.contains("03:30"), "{}", skipped.err);
    assert!(skipped.err.contains('?'), "{}", skipped.err);
    let repeated = home.json(
        "2026-10-25T08:00",
        &[
            "morning",
            "--into-bed",
            "22:00",
            "--woke",
            "02:30",
            "--up",
            "02:30",
        ],
    );
    assert_eq!(repeated["in_bed_s"], 330 * 60);
    let note = repeated["notes"][0].as_str().expect("a note");
    assert!(
        note.contains("happened twice") && note.contains("02:30+01:00"),
        "{note}"
    );
    let first = home.json(
        "2026-10-25T08:00",
        &[
            "morning",
            "--woke",
            "2026-10-25T02:30+02:00",
            "--up",
            "2026-10-25T02:30+02:00",
        ],
    );
    assert_eq!(first["in_bed_s"], 270 * 60);
}

#[test]
fn a_correction_of_another_answer_leaves_the_reading_of_a_repeated_hour() {
    let home = home("Europe/Berlin");
    let first = "2026-10-25T02:30+02:00";
    home.json(
        "2026-10-25T08:00",
        &[
            "morning",
            "--into-bed",
            "22:00",
            "--woke",
            first,
            "--up",
            first,
        ],
    );
    let rated = home.json("2026-10-25T08:05", &["morning", "--wakings", "1"]);
    assert_eq!(rated["in_bed_s"], 270 * 60);
}

#[test]
fn a_night_spent_elsewhere_is_read_by_the_clock_there() {
    let home = Home::new();
    home.write(
        "settings.toml",
        "timezone = \"Europe/Oslo\"\n[nights]\nbedtime = \"22:30\"\nwake = \"06:30\"\n[[nights.on]]\ndate = 2026-01-05\n\
         timezone = \"America/New_York\"\n",
    );
    let said = home.json(
        "2026-01-06T13:00",
        &["morning", "--lights-out", "23:00", "--woke", "07:00"],
    );
    assert_eq!(said["timezone"], "America/New_York");
    assert_eq!(said["woke"], "2026-01-06T07:00:00-05:00");
    // Settings change later; the record does not move.
    home.write("settings.toml", "timezone = \"Asia/Tokyo\"\n");
    let shown = home.json("2026-02-01T12:00", &["morning", "--show", "2026-01-05"]);
    assert_eq!(shown["woke"], "2026-01-06T07:00:00-05:00");
}
