//! The session as suggested for every kind of part, and the record of what was done.

use serde_json::{Value, json};

use super::{home, known, rate};

/// Ratings that lead to a band after three usual mornings: 0.5 a step of freshness over a spread of 0.5.
fn suggested(day: &str, fresh: &str, sore: &str) -> (Value, Value) {
    let home = home();
    known(&home, "2026-01-01");
    let now = format!("{day}T06:40");
    home.json(
        &now,
        &[
            "morning", "--sleep", "3", "--fresh", fresh, "--sore", sore, "--mood", "3",
        ],
    );
    let today = home.json(&now, &["today"]);
    (
        today["readiness"]["band"].clone(),
        today["session"]["suggested"].clone(),
    )
}

// Factors, caps and the ladder are our own design choice, between Bosquet L et al. 2007, Med Sci Sports
// Exerc 39:1358-1365 and Bell L et al. 2022; the ladder starts at the clock pattern of Tabata I et al. 1996.
#[test]
fn intervals_lose_rounds_then_step_down() {
    let (band, trim) = suggested("2026-01-05", "2", "3");
    assert_eq!(band, "trim");
    let part = &trim["parts"][1];
    assert_eq!(
        (&part["rounds"], &part["work"], &part["rest"]),
        (&json!(6), &json!(20), &json!(10))
    );
    // 16 minutes beyond the parts stay, the warm-up shrinks to 6, the intervals to 3.
    assert_eq!(
        (&trim["rpe"], &trim["minutes"], &trim["load"]),
        (&json!(8.0), &json!(25), &json!(200.0))
    );
    let (band, ease) = suggested("2026-01-05", "2", "2");
    assert_eq!(band, "ease");
    let part = &ease["parts"][1];
    assert_eq!(
        (&part["rounds"], &part["work"], &part["rest"]),
        (&json!(4), &json!(15), &json!(15))
    );
    assert_eq!(ease["rpe"], 6.0);
    let (band, recover) = suggested("2026-01-05", "2", "1");
    assert_eq!(band, "recover_only");
    assert_eq!(recover["parts"][0]["kind"], "steady");
    assert_eq!(
        (&recover["rpe"], &recover["minutes"]),
        (&json!(2.0), &json!(28))
    );
}

#[test]
fn rounds_sets_and_steady_parts_are_cut_each_in_their_own_measure() {
    let (_, rounds) = suggested("2026-01-07", "2", "3");
    assert_eq!(rounds["parts"][0]["minutes"], 9);
    let (_, sets) = suggested("2026-01-09", "2", "3");
    let part = &sets["parts"][0];
    assert_eq!(
        (&part["sets"], &part["reps"], &part["rpe_cap"]),
        (&json!(3), &json!(6), &json!(8.0))
    );
    // RPE 8 leaves two (Zourdos MC et al. 2016; Helms ER et al. 2016; from memory).
    assert_eq!(part["reps_in_reserve"], 2.0);
    let (_, steady) = suggested("2026-01-10", "2", "2");
    assert_eq!(
        (&steady["minutes"], &steady["rpe"], &steady["load"]),
        (&json!(20), &json!(4.0), &json!(80.0))
    );
}

#[test]
fn no_morning_suggests_more_than_the_plan() {
    let home = home();
    known(&home, "2026-01-01");
    rate(&home, "2026-01-05T06:40", "5");
    let today = home.json("2026-01-05T07:00", &["today"]);
    assert!(today["readiness"]["score"].as_f64().expect("score") > 1.0);
    assert_eq!(
        today["session"]["suggested"]["load"],
        today["session"]["planned"]["load"]
    );
    let said = today["reasons"].to_string();
    assert!(said.contains("a good morning adds nothing"), "{said}");
}

#[test]
fn a_session_done_is_kept_with_its_counts_and_its_load() {
    let home = home();
    let now = "2026-01-05T20:00";
    let said = home.json(
        now,
        &[
            "train",
            "--session",
            "legs_and_lungs",
            "--minutes",
            "28",
            "--rpe",
            "8",
            "--reps",
            "intervals=12,12,11",
            "--note",
            "cold",
        ],
    );
    assert_eq!(
        said["records"],
        json!([{ "session": "legs_and_lungs", "minutes": 28.0, "rpe": 8.0, "load": 224.0, "reps": { "Step-ups": [12, 12, 11] }, "note": "cold" }])
    );
    // The planned session of the day and its minutes are what is meant where nothing is said.
    let friday = home.json("2026-01-09T20:00", &["train", "--rpe", "7.5"]);
    assert_eq!(
        (&friday["session"], &friday["minutes"]),
        (&json!("strength"), &json!(10.0))
    );
    let earlier = home.json(
        "2026-01-12T20:00",
        &[
            "train",
            "--date",
            "2026-01-07",
            "--rpe",
            "6",
            "--minutes",
            "10.5",
        ],
    );
    assert_eq!(
        (&earlier["session"], &earlier["load"]),
        (&json!("rounds"), &json!(63.0))
    );
    home.json(
        "2026-01-12T20:00",
        &[
            "train",
            "--date",
            "2026-01-12",
            "--rpe",
            "8",
            "--reps",
            "step-ups=14,9",
        ],
    );
    let later = home.run("2026-01-19T07:00", &["today"]).out;
    assert!(
        later.contains("your best 35 in all, 12 in one round (5 Jan)"),
        "{later}"
    );
    let day = home.json("2026-01-05T21:00", &["today"]);
    assert_eq!(
        day["done"],
        json!([{ "session": "legs_and_lungs", "minutes": 28.0, "rpe": 8.0, "load": 224.0 }])
    );
}

#[test]
fn two_sessions_of_a_day_add_up_and_a_missing_rating_is_filled_in() {
    let home = home();
    let now = "2026-01-05T20:00";
    let first = home.json(now, &["train", "--minutes", "28"]);
    assert_eq!(
        (&first["load"], &first["day_load"]),
        (&Value::Null, &Value::Null)
    );
    let rated = home.json(now, &["train", "--rpe", "8"]);
    assert_eq!(
        (&rated["load"], &rated["records"].as_array().map(Vec::len)),
        (&json!(224.0), &Some(1))
    );
    let second = home.json(now, &["train", "--rpe", "5", "--minutes", "10"]);
    assert_eq!(second["day_load"], 274.0);
    assert!(
        second["notes"].to_string().contains("train --correct"),
        "{second}"
    );
    let corrected = home.json(now, &["train", "--correct", "--rpe", "4"]);
    assert_eq!(corrected["day_load"], 264.0);
    let removed = home.json(now, &["train", "--remove"]);
    assert_eq!(removed["day_load"], 224.0);
    assert_eq!(home.json(now, &["train", "--show"])["day_load"], 224.0);
}

#[test]
fn after_midnight_the_day_before_is_meant_and_a_coming_day_is_refused() {
    let home = home();
    let late = home.json("2026-01-06T00:20", &["train", "--rpe", "8"]);
    assert_eq!(
        (&late["date"], &late["session"]),
        (&json!("2026-01-05"), &json!("legs_and_lungs"))
    );
    let early = home.json("2026-01-07T05:30", &["train", "--rpe", "7"]);
    assert_eq!(early["date"], "2026-01-07");
    let ahead = home.run(
        "2026-01-07T08:00",
        &["train", "--rpe", "7", "--date", "2026-01-12"],
    );
    assert_eq!(ahead.code, 2);
    assert!(ahead.err.contains("still to come"), "{}", ahead.err);
}

#[test]
fn a_day_is_trained_or_rest_not_both() {
    let home = home();
    let now = "2026-01-06T20:00";
    assert_eq!(home.json(now, &["train", "--rest"])["rest"], true);
    assert_eq!(home.json(now, &["train", "--rest"])["rest"], true);
    // Something was done after all.
    let done = home.json(now, &["train", "--other", "--minutes", "30", "--rpe", "2"]);
    assert_eq!(
        (&done["rest"], &done["day_load"]),
        (&json!(false), &json!(60.0))
    );
    let refused = home.run(now, &["train", "--rest"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("train --remove"), "{}", refused.err);
}

#[test]
fn slips_are_named_and_nothing_is_kept() {
    let home = home();
    let now = "2026-01-05T20:00";
    for (flags, word) in [
        (&["--rpe", "8.3"][..], "in steps of 0.5"),
        (&["--rpe", "11"], "Write 0 to 10"),
        (&["--rpe", "0", "--minutes", "20"], "effort 0 means"),
        (&["--minutes", "601", "--rpe", "5"], "Write 0 to 600"),
        (
            &["--session", "leg_and_lungs", "--rpe", "5"],
            "Did you mean legs_and_lungs?",
        ),
        (&["--session", "swim", "--rpe", "5"], "--other"),
        (&["--rpe", "5", "--reps", "12,11"], "intervals=12,12,11"),
        (&["--rpe", "5", "--reps", "sets=3"], "Step-ups"),
        (&["--rest", "--rpe", "5"], "cannot be used with"),
        (&["--correct", "--rpe", "5"], "Leave --correct out"),
        (&["--remove"], "Nothing of the kind"),
        (&[], "evenfall train --rest"),
    ] {
        let said = home.run(now, &[&["train"], flags].concat());
        assert_eq!(said.code, 2, "{flags:?}");
        assert!(said.err.contains(word), "{flags:?}: {}", said.err);
    }
    assert_eq!(home.json(now, &["train", "--show"])["records"], json!([]));
}

#[test]
fn a_hard_session_late_in_the_evening_makes_the_wind_down_gentle() {
    let home = home();
    home.json(
        "2026-01-05T22:05",
        &["train", "--rpe", "8", "--ended", "22:00"],
    );
    let tonight = home.json("2026-01-05T22:06", &["tonight"]);
    let notes = tonight["notes"].to_string();
    assert!(
        notes.contains("22:00") || notes.contains("hard session"),
        "{notes}"
    );
    let planned = home.json("2026-01-12T20:00", &["tonight"]);
    assert!(
        !planned["notes"].to_string().contains("hard session"),
        "{planned}"
    );
}
