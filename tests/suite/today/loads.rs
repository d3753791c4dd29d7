//! Load (Foster C 1998, Med Sci Sports Exerc 30(7):1164-1168; 2001, J Strength Cond Res 15(1):109-115)
//! against numbers computed with numpy, with the sessions taken in as csv.

use std::fmt::Write;

use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

use super::home;
use crate::science::{Vectors, id, numbers};
use crate::support::Home;

fn imported(csv: &str) -> Home {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n")
        .write("s.csv", csv);
    let file = home.path().join("s.csv");
    home.json(
        "2026-03-01T12:00",
        &["import", file.to_str().expect("path")],
    );
    home
}

fn load_on(home: &Home, date: &str) -> Value {
    home.json(
        "2026-06-01T12:00",
        &["today", "--from", date, "--days", "1"],
    )["days"][0]["load"]
        .clone()
}

#[test]
fn weeks_are_those_computed_elsewhere() {
    let vectors = Vectors::read("session_load");
    let first = NaiveDate::from_ymd_opt(2026, 2, 2).expect("date");
    for case in vectors.group("week") {
        let mut csv = "date,session,minutes,rpe\n".to_owned();
        for (ago, load) in case["in"]["daily_load"]
            .as_array()
            .expect("week")
            .iter()
            .enumerate()
        {
            let date = first + Days::new(ago as u64);
            match load.as_f64() {
                // Nothing done, and said so: known to be 0.
                Some(0.0) => writeln!(csv, "{date},,0,0").expect("text"),
                Some(load) => writeln!(csv, "{date},,{},5", load / 5.0).expect("text"),
                None => {}
            }
        }
        let load = load_on(&imported(&csv), "2026-02-08");
        let out = &case["out"];
        vectors.same(id(case), load["week"].as_f64(), &out["known_load"]);
        vectors.same(id(case), load["known_days"].as_f64(), &out["known_days"]);
        vectors.same(id(case), load["mean_7"].as_f64(), &out["mean_daily"]);
        vectors.same(
            id(case),
            load["monotony"].as_f64(),
            &out["monotony_population"],
        );
        vectors.same(id(case), load["strain"].as_f64(), &out["strain_population"]);
    }
}

#[test]
fn a_week_is_compared_with_the_four_before_it() {
    let vectors = Vectors::read("acute_chronic");
    let first = NaiveDate::from_ymd_opt(2026, 2, 2).expect("date");
    for case in vectors.group("weekly_change") {
        let mut csv = "date,minutes,rpe\n".to_owned();
        let weeks = numbers(&case["in"]["weekly_loads_oldest_first"]);
        // Each week as one session and six days confirmed as nothing.
        for (week, load) in weeks.iter().enumerate() {
            for day in 0..7_u64 {
                let date = first + Days::new(week as u64 * 7 + day);
                let (minutes, rpe) = if day == 0 { (load / 5.0, 5) } else { (0.0, 0) };
                writeln!(csv, "{date},{minutes},{rpe}").expect("text");
            }
        }
        let last = first + Days::new(weeks.len() as u64 * 7 - 1);
        let load = load_on(&imported(&csv), &last.to_string());
        let change = load["change_from_usual"].as_f64();
        vectors.same(id(case), change, &case["out"]["change_fraction"]);
    }
}

#[test]
fn missing_is_not_zero_and_confirming_rest_is_cheap() {
    let home = home();
    home.json("2026-01-05T20:00", &["train", "--rpe", "8"]);
    home.json("2026-01-07T20:00", &["train", "--rpe", "7"]);
    let days = |home: &Home| -> Vec<Value> {
        let span = home.json(
            "2026-01-12T12:00",
            &["today", "--from", "2026-01-05", "--days", "7"],
        );
        let days = span["days"].as_array().expect("days").clone();
        days.into_iter().map(|day| day["load"].clone()).collect()
    };
    let known = |loads: &[Value]| -> Vec<Option<f64>> {
        loads.iter().map(|load| load["day"].as_f64()).collect()
    };
    assert_eq!(
        known(&days(&home)),
        [Some(224.0), None, Some(84.0), None, None, None, None]
    );
    // A planned rest day counts once the morning after it is recorded; so much is cheap.
    home.json("2026-01-07T07:00", &["morning", "--fresh", "3"]);
    home.json("2026-01-09T07:00", &["morning", "--fresh", "3"]);
    home.json("2026-01-10T07:00", &["morning", "--fresh", "3"]);
    let loads = days(&home);
    // Friday and Saturday were planned: nobody can tell a missed session from a missed entry.
    assert_eq!(
        known(&loads),
        [
            Some(224.0),
            Some(0.0),
            Some(84.0),
            Some(0.0),
            None,
            None,
            None
        ]
    );
    assert_eq!(
        (&loads[4]["mean_7"], &loads[4]["week"]),
        (&Value::Null, &json!(308.0))
    );
    for date in ["2026-01-09", "2026-01-10", "2026-01-11"] {
        home.json("2026-01-12T12:00", &["train", "--rest", "--date", date]);
    }
    let sunday = days(&home)[6].clone();
    assert_eq!(
        (&sunday["mean_7"], &sunday["known_days"]),
        (&json!(44.0), &json!(7))
    );
    // Days before the first record count as nothing in the mean, not in the pattern.
    assert_eq!(days(&home)[3]["mean_7"], json!(44.0));
    assert_eq!(days(&home)[3]["monotony"], Value::Null);
}

#[test]
fn of_the_day_that_is_not_over_the_sum_so_far_counts() {
    let home = home();
    home.json("2026-01-05T20:00", &["train", "--rpe", "8"]);
    assert_eq!(
        home.json("2026-01-06T09:00", &["today"])["load"]["day"],
        0.0
    );
    home.json(
        "2026-01-06T10:00",
        &["train", "--other", "--minutes", "30", "--rpe", "3"],
    );
    home.json(
        "2026-01-06T12:00",
        &["train", "--other", "--minutes", "20", "--rpe", "2.5"],
    );
    let load = home.json("2026-01-06T13:00", &["today"])["load"].clone();
    assert_eq!(
        (&load["day"], &load["week"]),
        (&json!(140.0), &json!(364.0))
    );
}
