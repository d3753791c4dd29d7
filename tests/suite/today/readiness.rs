//! Readiness (our own design) against plain Python, with the mornings taken in as csv.

use std::fmt::Write;

use chrono::{Days, NaiveDate};
use evenfall::pure::diary::Item;
use serde_json::Value;

use crate::science::{Vectors, id};
use crate::support::Home;

/// Everything here loads the calves, so that pain there is pain in a loaded region.
const BLOCK: &str = "name = \"x\"\nstarts = 2024-01-01\n[[phase]]\nname = \"p\"\nweeks = 100\n[phase.week]\n\
     mon = \"s\"\ntue = \"s\"\nwed = \"s\"\nthu = \"s\"\nfri = \"s\"\nsat = \"s\"\nsun = \"s\"\n\
     [session.s]\ntitle = \"S\"\nrpe = 5\nminutes = 30\nregions = { calves = 2 }\n";

fn date(day: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2024, 1, 1).expect("date") + Days::new(day)
}

fn row(csv: &mut String, day: u64, sleep: &Value, ratings: &Value) {
    let night = date(day).pred_opt().expect("night");
    write!(
        csv,
        "{night},{}",
        sleep.as_u64().map_or(String::new(), |m| m.to_string())
    )
    .expect("text");
    for item in Item::ALL {
        let rating = ratings[item.id()].as_u64();
        write!(csv, ",{}", rating.map_or(String::new(), |r| r.to_string())).expect("text");
    }
    csv.push('\n');
}

fn csv_of(given: &Value) -> String {
    let mut csv = "night,sleep_min,sleep_quality,freshness,soreness,mood\n".to_owned();
    let today = given["day"].as_u64().expect("day");
    let guards = &given["guards"];
    let last = &guards["last3_sleep_minutes"];
    for past in given["past"].as_array().expect("past") {
        let day = past["day"].as_u64().expect("day");
        let sleep = match today - day {
            ago @ 1..=2 => &last[2 - usize::try_from(ago).expect("small")],
            _ => &Value::Null,
        };
        row(&mut csv, day, sleep, past);
    }
    row(&mut csv, today, &guards["sleep_minutes"], &given["today"]);
    csv
}

fn home_of(given: &Value) -> (Home, String) {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n")
        .write("block.toml", BLOCK)
        .write("mornings.csv", &csv_of(given));
    let file = home.path().join("mornings.csv");
    let now = format!("{}T07:00", date(given["day"].as_u64().expect("day")));
    home.json(&now, &["import", file.to_str().expect("path")]);
    let guards = &given["guards"];
    if guards["illness"] == true {
        home.json(&now, &["morning", "--ill"]);
    }
    if guards["pain_in_loaded_region"] == true {
        home.json(
            &now,
            &[
                "pain",
                "--in",
                "calf_left",
                "--level",
                "3",
                "--kind",
                "sharp",
            ],
        );
    }
    if guards["red_flag"] == true {
        home.json(
            &now,
            &["pain", "--sign", "palpitations_with_lightheadedness"],
        );
    }
    (home, now)
}

#[test]
fn scores_bands_and_guards_are_those_computed_elsewhere() {
    let vectors = Vectors::read("readiness");
    for case in vectors.group("score") {
        let (given, out) = (&case["in"], &case["out"]);
        let (home, now) = home_of(given);
        let readiness = home.json(&now, &["today"])["readiness"].clone();
        for field in ["score", "deviation", "spread"] {
            let of = format!("{} {field}", id(case));
            vectors.same(&of, readiness[field].as_f64(), &out[field]);
        }
        for (field, name) in [
            ("score_band", "score_band"),
            ("capped", "capped_for_short_history"),
            ("guards", "guards"),
            ("band", "band"),
        ] {
            assert_eq!(readiness[field], out[name], "{} {field}", id(case));
        }
    }
}
