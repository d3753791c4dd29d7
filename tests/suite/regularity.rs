//! Regularity, timing, shortfall and the moving of bedtime, against published examples and independent
//! computations.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;

use chrono::{DateTime, NaiveTime, Timelike};
use evenfall::pure::civil::{Instant, Night, Zone};
use evenfall::pure::review::regularity::{
    Day, EPOCHS, NightSleep, expected_of_random_sleep, lay_out, regularity,
};
use evenfall::pure::review::shift::{Steps, bedtimes, shift_min};
use evenfall::pure::review::shortfall::shortfall;
use evenfall::pure::review::timing::{
    corrected_midpoint_s, midpoint_s, social_jetlag_s, spread, weekly_mean,
};
use evenfall::shell::zones::ZoneFiles;
use serde_json::Value;

fn json(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    serde_json::from_str(&text).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn list(value: &Value) -> &Vec<Value> {
    value
        .as_array()
        .unwrap_or_else(|| panic!("{value} is no list"))
}

fn near(found: f64, expected: &Value, tolerance: f64, said: &Value) {
    let expected = number(expected);
    assert!(
        (found - expected).abs() <= tolerance,
        "{said}: {found}, expected {expected}"
    );
}

/// `HH:MM` or `HH:MM:SS`.
fn time(value: &Value) -> NaiveTime {
    let text = value.as_str().expect("time");
    text.parse()
        .or_else(|_| NaiveTime::parse_from_str(text, "%H:%M"))
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn second_of_day(value: &Value) -> f64 {
    f64::from(time(value).num_seconds_from_midnight())
}

/// Whole seconds, cut off; a millionth is given for rounding.
fn shown(seconds: f64) -> Value {
    let whole = (seconds + 1e-6).floor() as u32;
    let time = NaiveTime::from_num_seconds_from_midnight_opt(whole, 0).expect("time of day");
    Value::from(time.format("%H:%M:%S").to_string())
}

/// Every entry of a group, with the file's tolerance.
fn each(group: &str, check: impl Fn(&Value, &Value, f64)) {
    let file = json("vectors/sleep_regularity.json");
    let tolerance = number(&file["absolute_tolerance"]);
    let entries = list(&file["vectors"][group]);
    assert!(!entries.is_empty());
    for entry in entries {
        check(&entry["in"], entry, tolerance);
    }
}

/// A day with sleep in spans of minutes after noon.
fn day(spans: &Value) -> Day {
    let mut epochs = vec![Some(false); EPOCHS];
    for span in list(spans) {
        let at = |which: usize| span[which].as_u64().expect("minute") as usize;
        epochs[at(0)..at(1)].fill(Some(true));
    }
    Day(epochs)
}

// Phillips AJK et al. 2017, Scientific Reports 7:3216.
#[test]
fn the_regularity_index() {
    each("sri", |given, entry, tolerance| {
        let days: Vec<Day> = match given["sleep_episodes_minutes_after_noon"].as_array() {
            Some(days) => days.iter().map(day).collect(),
            None => {
                let mut days = vec![day(&given["sleep_episode"]); number(&given["days"]) as usize];
                days[number(&given["unknown_day_index"]) as usize] = Day::unknown();
                days
            }
        };
        let found = regularity(&days).expect("pairs");
        near(found.index, &entry["out"]["SRI"], tolerance, entry);
        if let Some(pairs) = entry["out"]["known_pairs"].as_u64() {
            assert_eq!(found.known_pairs as u64, pairs, "{entry}");
        }
    });
    each("sri_random_expectation", |given, entry, tolerance| {
        let found = expected_of_random_sleep(number(&given["probability_asleep"]));
        near(found, &entry["out"]["expected_SRI"], tolerance, entry);
    });
}

#[test]
fn the_spread_of_midpoints() {
    each("midpoint_spread", |given, entry, tolerance| {
        let out = &entry["out"];
        let seconds: Vec<f64> = list(&given["midpoints"])
            .iter()
            .map(second_of_day)
            .collect();
        let found = spread(&seconds).expect("direction");
        near(
            found.mean_s / 60.0,
            &out["circular_mean_min_after_midnight"],
            tolerance,
            entry,
        );
        near(
            found.sd_s.expect("several") / 60.0,
            &out["sd_sample_about_circular_mean_min"],
            tolerance,
            entry,
        );
        near(
            found.circular_sd_s / 60.0,
            &out["circular_sd_min"],
            tolerance,
            entry,
        );
        near(
            found.resultant_length,
            &out["resultant_length"],
            tolerance,
            entry,
        );
        // What the plain deviation of the clock readings would be: around midnight it is absurd.
        let count = seconds.len() as f64;
        let mean = seconds.iter().sum::<f64>() / count;
        let squares: f64 = seconds.iter().map(|second| (second - mean).powi(2)).sum();
        near(
            (squares / (count - 1.0)).sqrt() / 60.0,
            &out["naive_linear_sd_min"],
            tolerance,
            entry,
        );
    });
}

// Roenneberg T et al. 2019, Biology 8:54; the first five entries are the examples published with a
// reference package.
#[test]
fn midpoints_on_free_days() {
    each("mid_sleep", |given, entry, tolerance| {
        let out = &entry["out"];
        let hours = |key: &str| number(&given[key]) * 3600.0;
        let (alarm_s, free_s) = (hours("sd_work_h"), hours("sd_free_h"));
        let (midpoint_free, weekly) = if given["msf"].is_null() {
            let days = given["work_days"].as_u64().expect("days") as u32;
            let midpoint_alarm = midpoint_s(second_of_day(&given["onset_work"]), alarm_s);
            let midpoint_free = midpoint_s(second_of_day(&given["onset_free"]), free_s);
            let weekly = weekly_mean(alarm_s, free_s, days);
            near(weekly / 3600.0, &out["sd_week_h"], tolerance, entry);
            assert_eq!(shown(midpoint_alarm), out["msw"], "{entry}");
            assert_eq!(shown(midpoint_free), out["msf"], "{entry}");
            let jetlag = social_jetlag_s(midpoint_alarm, midpoint_free) / 60.0;
            near(jetlag, &out["social_jetlag_signed_min"], tolerance, entry);
            near(jetlag.abs(), &out["social_jetlag_min"], tolerance, entry);
            (midpoint_free, weekly)
        } else {
            (second_of_day(&given["msf"]), hours("sd_week_h"))
        };
        let alarm_on_free_days = given["alarm_on_free_days"].as_bool().expect("yes or no");
        let found =
            corrected_midpoint_s(midpoint_free, alarm_s, free_s, weekly, alarm_on_free_days);
        assert_eq!(found.map_or(Value::Null, shown), out["msf_sc"], "{entry}");
    });
    each("social_jetlag", |given, entry, tolerance| {
        let found = social_jetlag_s(second_of_day(&given["msw"]), second_of_day(&given["msf"]));
        near(
            found / 60.0,
            &entry["out"]["social_jetlag_signed_min"],
            tolerance,
            entry,
        );
    });
}

#[test]
fn the_shortfall() {
    each("shortfall", |given, entry, tolerance| {
        let out = &entry["out"];
        let slept: Vec<Option<i64>> = list(&given["tst_min"])
            .iter()
            .map(|minutes| minutes.as_i64().map(|minutes| minutes * 60))
            .collect();
        let need = given["need_min"].as_i64().expect("minutes") * 60;
        let found = shortfall(&slept, need).expect("known nights");
        assert_eq!(Some(found.nights as u64), out["nights"].as_u64(), "{entry}");
        near(
            found.mean_s / 60.0,
            &out["mean_shortfall_min"],
            tolerance,
            entry,
        );
        near(
            found.short_sum_s as f64 / 60.0,
            &out["sum_of_short_nights_min"],
            tolerance,
            entry,
        );
        near(
            found.signed_sum_s as f64 / 60.0,
            &out["signed_sum_min"],
            tolerance,
            entry,
        );
        // `running_floor_zero_min` of the file has no counterpart: no running total is kept on purpose.
        let short = slept
            .iter()
            .flatten()
            .filter(|slept| **slept < need)
            .count();
        assert_eq!(found.short_nights, short, "{entry}");
    });
}

#[test]
fn moving_bedtime() {
    each("shift_plan", |given, entry, tolerance| {
        let out = &entry["out"];
        let step = |key: &str| given[key].as_u64().expect("minutes") as u32;
        let steps = Steps {
            earlier_min: step("earlier_step_min"),
            later_min: step("later_step_min"),
        };
        let (current, target) = (time(&given["current"]), time(&given["target"]));
        near(
            shift_min(current, target) as f64,
            &out["total_shift_min"],
            tolerance,
            entry,
        );
        let found: Vec<Value> = bedtimes(current, target, steps)
            .into_iter()
            .map(|bedtime| Value::from(bedtime.format("%H:%M").to_string()))
            .collect();
        assert_eq!(Some(found.len() as u64), out["nights"].as_u64(), "{entry}");
        assert_eq!(Value::from(found), out["bedtimes"], "{entry}");
    });
}

// scipy.stats.circmean and circstd; tests/data/regularity/generate.py.
#[test]
fn the_spread_agrees_with_scipy() {
    for entry in list(&json("regularity/reference.json")["spread"]) {
        let seconds: Vec<f64> = list(&entry["seconds"]).iter().map(number).collect();
        let found = spread(&seconds).expect("direction");
        near(found.mean_s, &entry["mean_s"], 1e-6, entry);
        near(found.sd_s.expect("several"), &entry["sd_s"], 1e-6, entry);
        near(found.circular_sd_s, &entry["circular_sd_s"], 1e-5, entry);
    }
}

// The formula of Phillips AJK et al. 2017 on one array of minutes in numpy, local clock by Python's
// zoneinfo; records with missing nights, naps and clock changes; tests/data/regularity/generate.py.
#[test]
fn the_regularity_index_agrees_with_numpy() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/nights");
    let files = ZoneFiles::at(&folder.join("zoneinfo"), &folder, None);
    let instant = |value: &Value| -> Instant {
        DateTime::from_timestamp(value.as_i64().expect("seconds"), 0).expect("instant")
    };
    let table = json("regularity/reference.json");
    for entry in list(&table["regularity"]) {
        let zone = files
            .load(entry["zone"].as_str().expect("name"))
            .expect("zone");
        let nights: BTreeMap<String, Vec<Range<Instant>>> = entry["nights"]
            .as_object()
            .expect("nights")
            .iter()
            .map(|(night, spans)| {
                let spans = list(spans)
                    .iter()
                    .map(|span| instant(&span[0])..instant(&span[1]));
                (night.clone(), spans.collect())
            })
            .collect();
        let records: Vec<NightSleep> = nights
            .into_iter()
            .map(|(night, asleep)| NightSleep {
                night: Night(night.parse().expect("date")),
                zone: &zone,
                asleep,
            })
            .collect();
        match regularity(&lay_out(&records)) {
            Some(found) => {
                assert_eq!(
                    Some(found.known_pairs as u64),
                    entry["known_pairs"].as_u64(),
                    "{entry}"
                );
                near(found.index, &entry["index"], 1e-9, entry);
            }
            None => assert!(entry["index"].is_null(), "{entry}"),
        }
    }
}

// pyActigraphy's function for the index, on whole records; tests/data/regularity/library.py.
#[test]
fn the_regularity_index_agrees_with_an_independent_library() {
    let table = json("regularity/library.json");
    let zone = Zone::utc();
    let first: chrono::NaiveDate = table["first"]
        .as_str()
        .expect("date")
        .parse()
        .expect("date");
    let noon = first.and_hms_opt(12, 0, 0).expect("noon").and_utc();
    let mut seen = Vec::new();
    for entry in list(&table["records"]) {
        let instant =
            |minute: &Value| noon + chrono::Duration::minutes(minute.as_i64().expect("minute"));
        let records: Vec<NightSleep> = list(&entry["asleep"])
            .iter()
            .zip(first.iter_days())
            .map(|(spans, evening)| NightSleep {
                night: Night(evening),
                zone: &zone,
                asleep: list(spans)
                    .iter()
                    .map(|span| instant(&span[0])..instant(&span[1]))
                    .collect(),
            })
            .collect();
        let found = regularity(&lay_out(&records)).expect("pairs");
        assert_eq!(found.known_pairs, EPOCHS * (records.len() - 1));
        near(found.index, &entry["index"], 1e-9, &entry["index"]);
        seen.push(found.index);
    }
    let (least, most) = seen.iter().fold((100.0, -100.0), |(a, b): (f64, f64), x| {
        (a.min(*x), b.max(*x))
    });
    assert!(
        least < 75.0 && most > 90.0,
        "records of every kind: {seen:?}"
    );
}
