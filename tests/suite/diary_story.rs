//! Two weeks of one trainee through the binary alone, told day by day.

use serde_json::{Value, json};

use crate::support::Home;

/// Her days: every call of the program is something she does or looks at.
struct Diary {
    home: Home,
}

impl Diary {
    fn at(&self, when: &str, words: &[&str]) -> Value {
        self.home.json(&format!("2026-01-{when}"), words)
    }

    /// What a person reads on the terminal.
    fn reads(&self, when: &str, words: &[&str]) -> String {
        let said = self.home.run(&format!("2026-01-{when}"), words);
        assert_eq!(said.code, 0, "{words:?}: {}", said.err);
        said.out
    }

    /// The four ratings of a morning: sleep, freshness, soreness, mood.
    fn wakes(&self, when: &str, ratings: [&str; 4], more: &[&str]) -> Value {
        let [sleep, fresh, sore, mood] = ratings;
        let flags = [
            "morning", "--sleep", sleep, "--fresh", fresh, "--sore", sore, "--mood", mood,
        ];
        self.at(when, &[&flags, more].concat())
    }

    fn band(&self, when: &str) -> Value {
        self.at(when, &["today"])["readiness"]["band"].clone()
    }

    /// Follows the evening's routine, played six hundred times as fast.
    fn winds_down(&self, when: &str) {
        let said = self.reads(when, &["follow", "--plain", "--pace", "600", "--record"]);
        assert!(!said.is_empty());
    }
}

#[test]
fn two_weeks_of_a_trainee() {
    let diary = Diary { home: Home::new() };
    before_it_begins(&diary);
    the_first_days(&diary);
    a_tired_thursday_and_a_refusal(&diary);
    a_knee(&diary);
    a_cold(&diary);
    well_again(&diary);
    looking_back(&diary);
}

/// Sunday: she sets the program up. The block starts tomorrow; tonight is the first evening.
fn before_it_begins(diary: &Diary) {
    let starts = [
        "setup",
        "--defaults",
        "--block",
        "nine_week_home",
        "--starts",
        "2026-01-05",
    ];
    diary.at("04T20:00", &starts);
    let tonight = diary.at("04T20:05", &["tonight"]);
    assert_eq!(
        (&tonight["night"], &tonight["day"]["kind"]),
        (&json!("2026-01-04"), &json!("outside"))
    );
    diary.winds_down("04T22:07");
}

/// Monday to Wednesday: everything is new, and nothing remarkable happens.
fn the_first_days(diary: &Diary) {
    let times = [
        "--into-bed",
        "22:20",
        "--lights-out",
        "22:30",
        "--asleep-after",
        "30",
        "--wakings",
        "1",
        "--awake-for",
        "10",
        "--woke",
        "06:20",
        "--up",
        "06:30",
    ];
    let night = diary.wakes("05T06:40", ["3", "3", "5", "4"], &times);
    assert_eq!(night["asleep_s"], (470 - 40) * 60);
    let read = diary.reads("05T06:45", &["today"]);
    assert!(
        read.starts_with("Before your first session: ask a clinician"),
        "{read}"
    );
    assert!(
        read.contains("Train as planned") && read.contains("Step intervals, as planned"),
        "{read}"
    );
    assert!(
        !diary
            .reads("05T12:00", &["today"])
            .contains("Before your first session")
    );
    let done = diary.at(
        "05T19:00",
        &[
            "train",
            "--rpe",
            "6",
            "--minutes",
            "21",
            "--reps",
            "steps=9,9,8,9,8,8,8,7",
        ],
    );
    assert_eq!(
        (&done["session"], &done["load"]),
        (&json!("ground_intervals"), &json!(126.0))
    );
    diary.winds_down("05T22:07");

    // Tuesday she answers with one key, trains, and would rather read in the evening.
    assert_eq!(
        diary.at("06T06:40", &["morning", "--as-usual"])["estimated"],
        true
    );
    assert_eq!(diary.band("06T06:41"), "as_planned");
    diary.at("06T19:00", &["train", "--rpe", "5"]);
    diary.at("06T21:00", &["not-tonight"]);

    // Wednesday is a rest day. Her calves feel Monday's steps.
    diary.wakes(
        "07T06:50",
        ["4", "3", "3", "4"],
        &["--sore-in", "calves=2,thigh_front=1"],
    );
    let rest = diary.at("07T07:00", &["today"]);
    assert_eq!(
        (&rest["session"], &rest["cautions"]),
        (&Value::Null, &json!([]))
    );
    diary.winds_down("07T22:07");
}

/// Thursday the session is trimmed and she goes along; Friday it is eased and she does not.
fn a_tired_thursday_and_a_refusal(diary: &Diary) {
    diary.wakes("08T06:40", ["2", "2", "3", "3"], &["--sore-in", "calves=1"]);
    let today = diary.at("08T06:45", &["today"]);
    assert_eq!(today["readiness"]["band"], "ease");
    assert_eq!(
        today["reasons"][0],
        "You rated freshness 2, lower than your usual 3.0."
    );
    let minutes = |dose: &Value| dose["minutes"].as_f64().expect("minutes");
    let session = &today["session"];
    assert!(minutes(&session["suggested"]) < minutes(&session["planned"]));
    let suggested = minutes(&session["suggested"]).to_string();
    diary.at(
        "08T18:00",
        &["train", "--rpe", "3", "--minutes", &suggested],
    );
    diary.winds_down("08T22:07");

    diary.wakes(
        "09T06:40",
        ["3", "2", "2", "3"],
        &["--sore-in", "thigh_front=2"],
    );
    let read = diary.reads("09T06:45", &["today"]);
    assert!(
        read.contains("As planned anyway: evenfall today --keep"),
        "{read}"
    );
    let kept = diary.at("09T06:46", &["today", "--keep"]);
    assert_eq!(
        kept["session"]["suggested"]["load"],
        kept["session"]["planned"]["load"]
    );
    let later = diary.reads("09T17:00", &["today"]);
    assert!(
        later.contains("You chose to train as planned.") && !later.contains("lower than"),
        "{later}"
    );
    diary.at("09T18:30", &["train", "--rpe", "7"]);
    diary.at("09T22:00", &["not-tonight"]);
}

/// Saturday a knee hurts. The session rests, and so does everything around the knee in the evening.
fn a_knee(diary: &Diary) {
    diary.wakes("10T08:00", ["3", "3", "3", "3"], &[]);
    let said = diary.reads(
        "10T08:05",
        &[
            "pain",
            "--in",
            "knee_left",
            "--level",
            "4",
            "--kind",
            "sharp",
            "--since",
            "2026-01-09",
        ],
    );
    assert!(
        said.contains("book an appointment with a clinician"),
        "{said}"
    );
    assert!(
        said.contains("This tool cannot judge injuries or illness."),
        "{said}"
    );
    let today = diary.at("10T08:10", &["today"]);
    assert_eq!(today["readiness"]["guards"], json!(["pain"]));
    assert_eq!(
        today["session"]["suggested"]["title"],
        "Walk or gentle mobility"
    );
    diary.at("10T19:00", &["train", "--rest"]);
    let tonight = diary.at("10T20:00", &["tonight"]);
    let stretched = tonight["routine"]["stretches"].to_string();
    assert!(
        !stretched.contains("thigh_") && !stretched.contains("calves"),
        "{stretched}"
    );
    diary.winds_down("10T22:52");

    diary.wakes("11T08:00", ["4", "3", "4", "4"], &[]);
    assert_eq!(
        diary.at("11T08:05", &["today"])["cautions"][0]["level"],
        "clinician_soon"
    );
    // Monday it is gone; she says so, and trains.
    diary.wakes("12T06:40", ["4", "4", "4", "4"], &[]);
    diary.at("12T06:45", &["pain", "--over", "knee_left"]);
    let today = diary.at("12T06:50", &["today"]);
    assert_eq!(
        (&today["cautions"], &today["session"]["as_planned"]),
        (&json!([]), &json!(true))
    );
    diary.at(
        "12T19:00",
        &[
            "train",
            "--rpe",
            "6",
            "--minutes",
            "21",
            "--reps",
            "steps=10,10,9,9,9,9,8,8",
        ],
    );
    diary.winds_down("12T22:07");
}

/// Tuesday and Wednesday she is ill, after some days that were eased. Moving the block is suggested; she
/// waits.
fn a_cold(diary: &Diary) {
    diary.wakes(
        "13T06:40",
        ["2", "1", "3", "2"],
        &["--ill", "--note", "fever in the night"],
    );
    let today = diary.at("13T06:45", &["today"]);
    assert_eq!(today["readiness"]["band"], "recover_only");
    assert_eq!(today["reasons"][0], "You recorded being ill.");
    let why = today["reasons"].to_string();
    assert!(
        why.contains("Eased or less on 4 of the last 7 days"),
        "{why}"
    );
    diary.at("13T20:00", &["train", "--rest"]);

    diary.wakes("14T07:30", ["2", "2", "4", "2"], &["--ill"]);
    let read = diary.reads("14T08:00", &["today"]);
    assert!(read.contains("Two recovery days in a row"), "{read}");
    assert!(
        read.contains("consider moving the rest of the block back a week"),
        "{read}"
    );
    assert!(read.contains("consider asking a clinician"), "{read}");
}

/// Thursday to Saturday: back to the plan. One morning is forgotten, added late and put right.
fn well_again(diary: &Diary) {
    diary.wakes("15T06:40", ["3", "3", "5", "4"], &[]);
    assert_eq!(diary.band("15T06:45"), "as_planned");
    diary.at("15T19:00", &["train", "--rpe", "3"]);
    diary.winds_down("15T22:07");

    let forgotten = diary.reads("16T12:00", &["today"]);
    assert!(
        forgotten.contains("To record it: evenfall morning"),
        "{forgotten}"
    );
    diary.wakes("16T21:00", ["3", "4", "4", "4"], &[]);
    diary.at("16T21:05", &["train", "--rpe", "6"]);
    let impossible = diary.home.run(
        "2026-01-17T07:00",
        &[
            "morning",
            "--night",
            "2026-01-15",
            "--woke",
            "06:30",
            "--up",
            "06:10",
        ],
    );
    assert_eq!(impossible.code, 2);
    assert!(
        impossible
            .err
            .contains("up 2026-01-16 06:10 comes before woke 2026-01-16 06:30"),
        "{}",
        impossible.err
    );
    diary.at(
        "17T07:00",
        &["morning", "--night", "2026-01-15", "--fresh", "3"],
    );

    diary.wakes("17T07:45", ["4", "4", "4", "5"], &[]);
    let best = diary.reads("19T06:45", &["today"]);
    assert!(
        best.contains("your best 72 in all, 10 in one round (12 Jan)"),
        "{best}"
    );
    diary.at("17T18:00", &["train", "--rpe", "6"]);
}

/// Sunday: what is known of the two weeks.
fn looking_back(diary: &Diary) {
    diary.wakes("18T08:00", ["4", "4", "3", "4"], &[]);
    let span = diary.at(
        "18T10:00",
        &["today", "--from", "2026-01-05", "--days", "14"],
    );
    let days = span["days"].as_array().expect("days");
    let bands: Vec<&str> = days
        .iter()
        .map(|day| day["readiness"]["band"].as_str().expect("band"))
        .collect();
    assert_eq!(
        bands,
        [
            "as_planned",
            "as_planned",
            "as_planned",
            "ease",
            "ease",
            "recover_only",
            "as_planned",
            "as_planned",
            "recover_only",
            "recover_only",
            "as_planned",
            "as_planned",
            "as_planned",
            "as_planned",
        ]
    );
    // Every day of both weeks is known: done, confirmed, or a rest day with its morning after.
    let sunday = &days[13]["load"];
    assert_eq!(sunday["known_days"], 7);
    assert!(sunday["mean_7"].as_f64().expect("mean") > 0.0);
    assert_eq!(days[5]["load"]["day"], 0.0);
    assert_eq!(days[4]["kept"], true);
    // The corrected morning counts as corrected, and both answers are there.
    assert_eq!(days[11]["readiness"]["items"][1]["value"], 3);
    let history = diary.at(
        "18T10:00",
        &["morning", "--night", "2026-01-15", "--history"],
    );
    assert_eq!(history["records"].as_array().map(Vec::len), Some(2));
    let pain = diary.at("18T10:00", &["pain", "--list", "--all"]);
    assert_eq!(pain["reports"][0]["until"], "2026-01-12");
    let out = diary.reads("18T10:05", &["export", "mornings", "-"]);
    assert_eq!(out.lines().count(), 1 + 14);
    let out = diary.reads("18T10:05", &["export", "sessions", "-"]);
    assert_eq!(out.lines().count(), 1 + 8);
}
