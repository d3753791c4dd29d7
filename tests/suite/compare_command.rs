//! Two evenings against each other through the program: set up, drawn, followed, and shown at the end.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use evenfall::pure::compare::bits_from_seed;
use serde_json::Value;

use crate::support::Home;

const SETTINGS: &str = r#"
timezone = "UTC"
[nights]
bedtime = "22:30"
wake = "06:30"
[evening]
minutes = 8
settle = 15
nights = "training"
"#;

const PLAN: &[&str] = &[
    "compare",
    "plan",
    "--a",
    "very_short",
    "--b",
    "none",
    "--outcome",
    "minutes_to_fall_asleep",
    "--pairs",
    "6",
    "--seed",
    "7",
];

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS);
    home
}

fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

/// The nights of six pairs from Monday 2026-01-05 on with their letters by the seed: Monday and Tuesday,
/// Wednesday and Thursday, Friday and Saturday.
fn drawn() -> BTreeMap<NaiveDate, char> {
    let monday = date("2026-01-05");
    let firsts = [0, 2, 4, 7, 9, 11].map(|days| monday + Days::new(days));
    let mut nights = BTreeMap::new();
    for (first, swapped) in firsts.into_iter().zip(bits_from_seed(7, 6)) {
        let (one, other) = if swapped { ('B', 'A') } else { ('A', 'B') };
        nights.insert(first, one);
        nights.insert(first + Days::new(1), other);
    }
    nights
}

fn plan(home: &Home) -> Value {
    home.json("2026-01-04T12:00", PLAN)
}

fn record(home: &Home, night: NaiveDate, minutes: u32) {
    let after = minutes.to_string();
    let at = format!("{}T07:00", night + Days::new(1));
    let night = night.to_string();
    home.json(
        &at,
        &[
            "morning",
            "--night",
            &night,
            "--lights-out",
            "22:30",
            "--asleep-after",
            &after,
            "--woke",
            "06:30",
        ],
    );
}

/// Records all nights: the values of A and of B in the order of the pairs.
fn record_all(home: &Home, a: [u32; 6], b: [u32; 6]) {
    let (mut a, mut b) = (a.into_iter(), b.into_iter());
    for (night, letter) in drawn() {
        let values = if letter == 'A' { &mut a } else { &mut b };
        record(home, night, values.next().expect("a value"));
    }
}

#[test]
fn a_comparison_that_cannot_answer_is_not_begun() {
    let home = home();
    let with = |from: &str, to: &str| -> Vec<String> {
        let swap = |word: &&str| if *word == from { to } else { *word }.to_owned();
        PLAN.iter().map(swap).collect()
    };
    for (arguments, said) in [
        (with("6", "5"), "Plan at least 6 pairs"),
        (with("6", "41"), "at most 40"),
        (with("none", "very_shor"), "Did you mean very_short?"),
        (with("none", "very_short"), "are both very_short"),
        (with("none", "square_4"), "another pattern would stand in"),
        (with("minutes_to_fall_asleep", "steps"), "freshness"),
        (
            [with("6", "6"), vec!["--from".into(), "2026-01-03".into()]].concat(),
            "has begun or is over",
        ),
    ] {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let refused = home.run("2026-01-04T12:00", &arguments);
        assert_eq!(refused.code, 2, "{arguments:?}: {}", refused.err);
        assert!(refused.err.contains(said), "{arguments:?}: {}", refused.err);
    }
    let show = home.run("2026-01-04T12:00", &["compare", "show"]);
    assert_eq!(show.code, 1);
    assert!(show.err.contains("compare plan"), "{}", show.err);
}

#[test]
fn each_evening_is_as_drawn() {
    let home = home();
    let planned = plan(&home);
    assert_eq!(planned["last_night"], "2026-01-17");
    let agenda = home.json(
        "2026-01-05T08:00",
        &["agenda", "--from", "2026-01-05", "--days", "13"],
    );
    let wind_downs: Vec<&str> = agenda["prompts"]
        .as_array()
        .expect("prompts")
        .iter()
        .filter(|prompt| prompt["kind"] == "wind_down")
        .filter_map(|prompt| prompt["night"].as_str())
        .collect();
    let mut letters = Vec::new();
    for (night, letter) in drawn() {
        let evening = home.json(&format!("{night}T18:00"), &["tonight"]);
        let routine = &evening["routine"];
        assert_eq!(
            wind_downs.contains(&night.to_string().as_str()),
            letter == 'A',
            "{night} is {letter}"
        );
        if letter == 'A' {
            assert_eq!(routine["id"], "very_short");
            let seconds = routine["seconds"].as_i64().expect("seconds");
            let minutes = seconds.div_euclid(60) + i64::from(seconds % 60 > 0);
            let start = 22 * 60 + 30 - 15 - minutes;
            let expected = format!("{night}T{:02}:{:02}:00+00:00", start / 60, start % 60);
            assert_eq!(evening["starts_at"], expected.as_str());
        } else {
            assert_eq!(
                (&routine["id"], &routine["seconds"]),
                (&Value::from("none"), &Value::from(0))
            );
            let follow = home.run(&format!("{night}T22:00"), &["follow", "--plain"]);
            assert_eq!(follow.code, 1);
            assert!(follow.err.contains("drawn by lot"), "{}", follow.err);
        }
        let notes = evening["notes"].to_string();
        assert!(notes.contains("drawn by lot"), "{notes}");
        letters.push(letter);
    }
    assert!(letters.contains(&'A') && letters.contains(&'B'));
    let sunday = home.json("2026-01-11T18:00", &["tonight"]);
    assert!(!sunday["notes"].to_string().contains("by lot"));
}

#[test]
fn coming_nights_are_not_told() {
    let home = home();
    plan(&home);
    let shown = home.json("2026-01-07T18:00", &["compare", "show"]);
    let arms: Vec<Option<&str>> = shown["nights"]
        .as_array()
        .expect("nights")
        .iter()
        .map(|night| night["arm"].as_str())
        .collect();
    let expected: Vec<String> = drawn().values().map(char::to_string).collect();
    for (index, arm) in arms.iter().enumerate() {
        let told = (index < 3).then(|| expected[index].as_str());
        assert_eq!(*arm, told, "night {index}");
    }
    let again = home.run("2026-01-07T18:00", PLAN);
    assert_eq!(again.code, 1);
    assert!(again.err.contains("compare stop"), "{}", again.err);
}

// The differences -8 -1 -12 -1 -14 -5 have a mean of -6.8333, and 2 of 64 arrangements are as far from
// nothing (also by scipy's exact permutation_test); all 6^6 resamples give an interval of 95 % from
// -10.8333 to -2.8333 (enumerated in Python).
const A: [u32; 6] = [12, 15, 10, 18, 11, 14];
const B: [u32; 6] = [20, 16, 22, 19, 25, 19];

#[test]
fn the_result_shows_pairs_exact_share_and_interval() {
    let home = home();
    plan(&home);
    record_all(&home, A, B);
    let result = home.json("2026-01-18T12:00", &["compare", "result"]);
    let near = |value: &Value, expected: f64| {
        let value = value.as_f64().expect("number");
        assert!((value - expected).abs() < 1e-4, "{value} {expected}");
    };
    assert_eq!(result["finished"], true);
    near(&result["mean_difference"], -6.8333);
    near(&result["p"], 0.03125);
    assert_eq!(result["arrangements"], "64");
    assert_eq!(result["at_least_as_extreme"], "2");
    near(&result["interval"]["lower"], -10.8333);
    near(&result["interval"]["upper"], -2.8333);
    assert_eq!(result["pairs"][0]["difference"], -8.0);
    let said = home.run("2026-01-18T12:00", &["compare", "result"]);
    let unwrapped = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        unwrapped.contains("was followed by 6.8 fewer minutes to fall asleep than no wind-down; a difference this large would appear in 3 of 100 shuffles if the routines did not matter."),
        "{}",
        said.out
    );
    assert!(!said.out.contains("works"));
    // Nothing was followed, so the nights of A did not go as drawn, and that is said.
    assert!(said.out.contains("On 6 of the 12 nights"), "{}", said.out);
}

#[test]
fn looking_early_needs_a_word_and_says_what_it_costs() {
    let home = home();
    plan(&home);
    for (night, letter) in drawn() {
        if night < date("2026-01-12") {
            record(&home, night, if letter == 'A' { 10 } else { 20 });
        }
    }
    let refused = home.run("2026-01-12T12:00", &["compare", "result"]);
    assert_eq!(refused.code, 1);
    assert!(
        refused.err.contains("3 of 6 pairs are recorded"),
        "{}",
        refused.err
    );
    assert!(
        refused.err.contains("14 in 100 instead of 5"),
        "{}",
        refused.err
    );
    assert!(refused.out.is_empty());
    let early = home.json("2026-01-12T12:00", &["compare", "result", "--early"]);
    assert_eq!(early["finished"], false);
    assert!(
        early["peeking"]
            .as_str()
            .is_some_and(|text| text.contains("14 in 100"))
    );
    assert_eq!(
        early["pairs"].as_array().map(Vec::len),
        Some(3),
        "the order to come stays secret"
    );
    assert_eq!(early["pairs_dropped"], 0);
    // 2 of 8 arrangements: the least three pairs can give.
    assert_eq!(early["p"], 0.25);
    assert_eq!(early["smallest_p"], 0.25);
}

#[test]
fn a_missing_night_drops_its_pair_and_is_counted() {
    let home = home();
    plan(&home);
    for (night, letter) in drawn() {
        if night != date("2026-01-08") {
            record(&home, night, if letter == 'A' { 10 } else { 20 });
        }
    }
    let result = home.json("2026-01-18T12:00", &["compare", "result"]);
    assert_eq!(
        (&result["pairs_complete"], &result["pairs_dropped"]),
        (&Value::from(5), &Value::from(1))
    );
    assert_eq!(result["p"], 0.0625);
    let said = result["sentences"].to_string();
    assert!(said.contains("1 pair was left out"), "{said}");
}

#[test]
fn a_stopped_comparison_leaves_the_evenings_alone() {
    let home = home();
    plan(&home);
    home.json("2026-01-06T12:00", &["compare", "stop"]);
    for night in ["2026-01-06", "2026-01-07"] {
        let evening = home.json(&format!("{night}T18:00"), &["tonight"]);
        assert!(
            !evening["notes"].to_string().contains("by lot"),
            "{evening}"
        );
        assert_ne!(evening["routine"]["seconds"], 0);
    }
    let again = home.run("2026-01-06T12:00", &["compare", "stop"]);
    assert_eq!(again.code, 1);
    let next = home.json("2026-01-06T12:00", PLAN);
    assert_eq!(next["running"], true);
}

#[test]
fn without_a_seed_the_machine_draws() {
    let unseeded: Vec<&str> = PLAN[..PLAN.len() - 2].to_vec();
    let mut orders = std::collections::BTreeSet::new();
    for _ in 0..6 {
        let home = home();
        home.json("2026-01-04T12:00", &unseeded);
        let shown = home.json("2026-02-04T12:00", &["compare", "show"]);
        orders.insert(shown["nights"].to_string());
    }
    // Six equal draws of six fair bits would come once in 2^30.
    assert!(orders.len() > 1);
}

#[test]
fn a_look_back_tells_what_came_out_once_it_is_over_and_never_before() {
    let home = home();
    plan(&home);
    for (night, letter) in drawn() {
        if night < date("2026-01-12") {
            record(&home, night, if letter == 'A' { 10 } else { 20 });
        }
    }
    let running = home.run("2026-01-12T12:00", &["review", "--weeks", "2"]);
    let unwrapped = running.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        unwrapped.contains("until the night of 2026-01-17; what came out is told after it."),
        "{}",
        running.out
    );
    assert!(!unwrapped.contains("shuffles"), "{}", running.out);
    record_all(&home, A, B);
    let result = home.json("2026-01-18T12:00", &["compare", "result"]);
    let review = home.json("2026-01-18T12:00", &["review", "--weeks", "2"]);
    assert!(
        result["sentences"]
            .as_array()
            .is_some_and(|all| !all.is_empty())
    );
    assert_eq!(review["comparison"], result["sentences"]);
    // Weeks without one of its nights say nothing of it.
    let later = home.json("2026-03-01T12:00", &["review", "--weeks", "2"]);
    assert_eq!(later["comparison"], Value::Array(Vec::new()));
}
