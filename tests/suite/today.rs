//! A day through the binary: readiness, the session as suggested, load, pain, refusals.

mod loads;
mod pain;
mod prompts;
mod readiness;
mod sessions;

use serde_json::{Value, json};

use crate::support::Home;

/// A block with a session of every kind, from Monday 5 January 2026.
pub const BLOCK: &str = r#"
name = "Stair-climb preparation"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 12
[phase.week]
mon = "legs_and_lungs"
tue = "rest"
wed = "rounds"
thu = "rest"
fri = "strength"
sat = "steady"
sun = "rest"
[session.legs_and_lungs]
title = "Legs and lungs"
rpe = 8
minutes = 28
at = "18:30"
regions = { thigh_front = 3, glutes = 2, calves = 2 }
[[session.legs_and_lungs.part]]
kind = "steady"
title = "Warm-up"
minutes = 8
regions = ["core"]
[[session.legs_and_lungs.part]]
kind = "intervals"
title = "Step-ups"
rounds = 8
work = 20
rest = 10
[session.rounds]
title = "Rounds"
rpe = 7
regions = { shoulders = 2, core = 2 }
[[session.rounds.part]]
kind = "timed_rounds"
minutes = 12
moves = ["step-up", "press", "row"]
reps = 8
[session.strength]
title = "Strength"
rpe = 9
regions = { upper_back = 3, chest = 2 }
[[session.strength.part]]
kind = "sets"
title = "Row and press"
sets = 4
reps = 6
rest = 90
moves = ["row", "floor press"]
[session.steady]
title = "Steady"
rpe = 4
regions = { thigh_back = 1 }
[[session.steady.part]]
kind = "steady"
minutes = 40
"#;

pub fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"Europe/Oslo\"\n")
        .write("block.toml", BLOCK);
    home
}

/// Mornings on three earlier nights, so that the caution of the first ones is over.
pub fn known(home: &Home, first_night: &str) {
    let first: chrono::NaiveDate = first_night.parse().expect("date");
    for ahead in 0..3 {
        let night = (first + chrono::Days::new(ahead)).to_string();
        home.json(
            "",
            &[
                "morning", "--night", &night, "--sleep", "3", "--fresh", "3", "--sore", "3",
                "--mood", "3",
            ],
        );
    }
}

fn rate(home: &Home, now: &str, rating: &str) {
    home.json(
        now,
        &[
            "morning", "--sleep", rating, "--fresh", rating, "--sore", rating, "--mood", rating,
        ],
    );
}

#[test]
fn a_day_says_everything_in_the_fields_that_were_agreed() {
    let home = home();
    known(&home, "2026-01-01");
    home.json(
        "2026-01-05T06:40",
        &[
            "morning", "--sleep", "3", "--fresh", "2", "--sore", "4", "--mood", "3",
        ],
    );
    let today = home.json("2026-01-05T07:00", &["today"]);
    assert_eq!(today["date"], "2026-01-05");
    let readiness = &today["readiness"];
    // Three earlier 3s leave the usual level at 3; -0.5 + 0.2 over a spread of 0.5.
    assert_eq!(readiness["score"], -0.6);
    assert_eq!(readiness["deviation"], -0.3);
    assert_eq!(readiness["spread"], 0.5);
    assert_eq!(readiness["score_band"], "as_planned");
    assert_eq!(
        (&readiness["capped"], &readiness["guards"]),
        (&json!(false), &json!([]))
    );
    assert_eq!(readiness["band"], "as_planned");
    assert_eq!(
        readiness["items"][1],
        json!({ "name": "freshness", "value": 2, "usual": 3.0, "weight": 0.5, "part": -0.5 })
    );
    let planned = &today["session"]["planned"];
    assert_eq!(planned["id"], "legs_and_lungs");
    assert_eq!(
        (&planned["rpe"], &planned["minutes"], &planned["load"]),
        (&json!(8.0), &json!(28), &json!(224.0))
    );
    assert_eq!(planned["parts"][1]["kind"], "intervals");
    assert_eq!(planned["parts"][1]["rounds"], 8);
    assert_eq!(today["session"]["suggested"]["load"], 224.0);
    assert_eq!(today["cautions"], json!([]));
    assert_eq!(
        today["reasons"],
        json!(["You rated freshness 2, lower than your usual 3.0."])
    );
    for field in [
        "day",
        "mean_7",
        "mean_28",
        "monotony",
        "strain",
        "change_from_usual",
    ] {
        assert_eq!(today["load"][field], Value::Null, "{field}");
    }
}

#[test]
fn a_rest_day_has_no_session_and_an_empty_home_has_no_score() {
    let home = home();
    let rest = home.json("2026-01-06T07:00", &["today"]);
    assert_eq!(rest["session"], Value::Null);
    assert_eq!(rest["readiness"]["score"], Value::Null);
    assert_eq!(rest["readiness"]["band"], "as_planned");
    let text = home.run("2026-01-06T07:00", &["today"]).out;
    assert!(
        text.contains("Nothing is planned today (a rest day)"),
        "{text}"
    );
    let outside = home.run("2025-12-31T07:00", &["today"]).out;
    assert!(outside.contains("outside the block"), "{outside}");
}

#[test]
fn a_span_shows_each_day_as_it_was_known_that_morning() {
    let home = home();
    known(&home, "2026-01-01");
    rate(&home, "2026-01-05T06:40", "2");
    let before = home.json("2026-01-05T07:00", &["today"])["readiness"].clone();
    for (day, rating) in ["5", "1", "4", "2"].into_iter().enumerate() {
        rate(&home, &format!("2026-01-{:02}T06:40", day + 6), rating);
    }
    let span = home.json(
        "2026-01-20T07:00",
        &["today", "--from", "2026-01-04", "--days", "8"],
    );
    let days = span["days"].as_array().expect("days");
    assert_eq!(days.len(), 8);
    assert_eq!(days[1]["readiness"], before, "later answers change nothing");
    assert_eq!(days[3]["date"], "2026-01-07");
    assert_eq!(days[3]["readiness"]["items"][0]["value"], 1);
    assert_eq!(days[7]["recorded"], false);
    // A correction of the same morning counts, for it and for the days after.
    home.json(
        "2026-01-20T08:00",
        &["morning", "--night", "2026-01-04", "--fresh", "5"],
    );
    let again = home.json(
        "2026-01-20T08:00",
        &["today", "--from", "2026-01-04", "--days", "8"],
    );
    assert_eq!(again["days"][1]["readiness"]["items"][1]["value"], 5);
    let usual = |span: &Value| span["days"][2]["readiness"]["items"][1]["usual"].as_f64();
    assert!(usual(&again) > usual(&span));
    assert_eq!(again["days"][0], span["days"][0]);
    let text = home
        .run(
            "2026-01-20T08:00",
            &["today", "--from", "2026-01-04", "--days", "3"],
        )
        .out;
    assert_eq!(text.lines().count(), 3, "{text}");
}

#[test]
fn the_words_before_the_first_session_show_once() {
    let home = home();
    let now = "2026-01-05T07:00";
    assert!(
        !home
            .run("2026-01-04T07:00", &["today"])
            .out
            .contains("Before your first session")
    );
    home.json(now, &["today"]);
    let first = home.run(now, &["today"]).out;
    assert!(first.contains("Before your first session"), "{first}");
    assert!(first.contains("This tool cannot judge injuries or illness."));
    assert!(
        !home
            .run(now, &["today"])
            .out
            .contains("Before your first session")
    );
}

#[test]
fn a_refusal_is_one_word_remembered_and_can_be_taken_back() {
    let home = home();
    known(&home, "2026-01-01");
    rate(&home, "2026-01-05T06:40", "1");
    let now = "2026-01-05T07:00";
    let today = home.json(now, &["today"]);
    assert_eq!(today["readiness"]["band"], "recover_only");
    assert_eq!(today["session"]["suggested"]["rpe"], 2.0);
    let kept = home.json(now, &["today", "--keep"]);
    assert_eq!(kept["kept"], true);
    assert_eq!(kept["session"]["suggested"]["load"], 224.0);
    assert_eq!(kept["reasons"], json!(["You chose to train as planned."]));
    let text = home.run("2026-01-05T12:00", &["today"]).out;
    assert!(text.contains("As planned, by your choice"), "{text}");
    assert!(!text.contains("Recovery only"), "{text}");
    // The choice is for one day.
    rate(&home, "2026-01-07T06:40", "1");
    assert_eq!(home.json("2026-01-07T07:00", &["today"])["kept"], false);
    let back = home.json(now, &["today", "--no-keep"]);
    assert_eq!(
        (&back["kept"], &back["session"]["suggested"]["rpe"]),
        (&json!(false), &json!(2.0))
    );
    assert_eq!(home.run(now, &["today", "--keep", "--days", "3"]).code, 2);
}

#[test]
fn two_recovery_days_suggest_to_move_the_block_and_moving_it_ends_that() {
    let home = home();
    known(&home, "2026-01-05");
    home.json(
        "2026-01-09T06:40",
        &[
            "morning", "--sleep", "2", "--fresh", "1", "--sore", "1", "--mood", "2",
        ],
    );
    assert_eq!(
        home.json("2026-01-09T07:00", &["today"])["move_back_days"],
        Value::Null
    );
    home.json(
        "2026-01-10T06:40",
        &["morning", "--sore", "1", "--fresh", "1", "--ill"],
    );
    let today = home.json("2026-01-10T07:00", &["today"]);
    assert_eq!(today["move_back_days"], 7);
    let said = today["reasons"]
        .as_array()
        .expect("reasons")
        .last()
        .expect("one")
        .to_string();
    assert!(
        said.contains("block shift 7") && said.contains("clinician"),
        "{said}"
    );
    assert_eq!(
        home.run("2026-01-10T07:05", &["block", "shift", "7"]).code,
        0
    );
    let moved = home.json("2026-01-10T07:10", &["today"]);
    assert_eq!(
        (&moved["move_back_days"], &moved["session"]),
        (&Value::Null, &Value::Null)
    );
    assert_eq!(
        home.json(
            "2026-01-20T07:00",
            &["today", "--from", "2026-01-17", "--days", "1"]
        )["days"][0]["session"]["planned"]["id"],
        "steady"
    );
}
