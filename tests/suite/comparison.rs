//! Comparing two evenings, against published data and independent computations.

use std::path::Path;

use evenfall::pure::compare::exact::{
    bootstrap_interval, lag1_autocorrelation, paired_test, rough_band, smallest_p_of_pairs,
    smallest_p_of_split, split_test,
};
use evenfall::pure::compare::{Arm, schedule};
use serde_json::Value;

fn data(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn json(name: &str) -> Value {
    serde_json::from_str(&data(name)).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("list").iter().map(number).collect()
}

fn pairs(entry: &Value) -> Vec<(f64, f64)> {
    numbers(&entry["a"])
        .into_iter()
        .zip(numbers(&entry["b"]))
        .collect()
}

fn near(found: f64, expected: &Value, tolerance: f64, said: &Value) {
    let expected = number(expected);
    assert!(
        (found - expected).abs() <= tolerance,
        "{said}: {found}, expected {expected}"
    );
}

/// Every entry of a group, with the file's tolerance.
fn each(group: &str, check: impl Fn(&Value, &Value, f64)) {
    let file = json("vectors/n_of_1.json");
    let tolerance = number(&file["absolute_tolerance"]);
    let entries = file["vectors"][group].as_array().expect("group");
    assert!(!entries.is_empty());
    for entry in entries {
        check(&entry["in"], entry, tolerance);
    }
}

#[test]
fn paired_nights() {
    each("paired", |given, entry, tolerance| {
        let out = &entry["out"];
        let found = paired_test(&pairs(given)).expect("exact");
        near(
            found.mean_difference,
            &out["mean_difference"],
            tolerance,
            entry,
        );
        assert_eq!(
            found.arrangements,
            u128::from(out["arrangements"].as_u64().expect("count"))
        );
        assert_eq!(
            found.at_least_as_extreme,
            u128::from(out["at_least_as_extreme"].as_u64().expect("count"))
        );
        near(found.p, &out["p_exact_abs"], tolerance, entry);
        // Signs are symmetric, so that doubling the smaller tail gives the same.
        near(found.p, &out["p_scipy_two_sided"], tolerance, entry);
    });
}

#[test]
fn split_nights() {
    each("independent", |given, entry, tolerance| {
        let out = &entry["out"];
        let found = split_test(&numbers(&given["a"]), &numbers(&given["b"])).expect("exact");
        near(found.difference, &out["difference"], tolerance, entry);
        assert_eq!(
            found.arrangements,
            u128::from(out["arrangements"].as_u64().expect("count"))
        );
        assert_eq!(
            found.at_least_as_extreme,
            u128::from(out["at_least_as_extreme"].as_u64().expect("count"))
        );
        near(found.p, &out["p_exact_abs"], tolerance, entry);
        near(found.p, &out["p_scipy_two_sided"], tolerance, entry);
    });
}

#[test]
fn the_smallest_share_so_many_nights_can_give() {
    each("smallest_possible_p", |given, entry, tolerance| {
        let count = |key: &str| {
            given[key]
                .as_u64()
                .map(|count| usize::try_from(count).expect("fits"))
        };
        let found = match (count("pairs"), count("per_arm")) {
            (Some(pairs), None) => smallest_p_of_pairs(pairs),
            (None, Some(per_arm)) => {
                let values: Vec<f64> = (0..2 * per_arm).map(|at| at as f64).collect();
                let test = split_test(&values[..per_arm], &values[per_arm..]).expect("exact");
                assert_eq!(
                    Some(test.arrangements),
                    entry["out"]["arrangements"].as_u64().map(u128::from)
                );
                assert!((test.p - smallest_p_of_split(per_arm)).abs() < 1e-12);
                smallest_p_of_split(per_arm)
            }
            _ => panic!("{entry}"),
        };
        near(
            found,
            &entry["out"]["smallest_p_two_sided"],
            tolerance,
            entry,
        );
    });
}

#[test]
fn exact_intervals() {
    each("exact_bootstrap", |given, entry, tolerance| {
        let (values, out) = (numbers(&given["differences"]), &entry["out"]);
        assert_eq!(number(&out["level"]), 0.95);
        let found = bootstrap_interval(&values, 95).expect("exact");
        near(found.mean, &out["mean"], tolerance, entry);
        near(found.lower, &out["lower"], tolerance, entry);
        near(found.upper, &out["upper"], tolerance, entry);
        let count = u32::try_from(values.len()).expect("few");
        assert_eq!(
            Some((values.len() as u64).pow(count)),
            out["resamples"].as_u64()
        );
    });
}

#[test]
fn autocorrelation() {
    each("lag1_autocorrelation", |given, entry, tolerance| {
        let (values, out) = (numbers(&given["x"]), &entry["out"]);
        match lag1_autocorrelation(&values) {
            Some(found) => near(found, &out["r1"], tolerance, entry),
            None => assert!(out["r1"].is_null(), "{entry}"),
        }
        near(
            rough_band(values.len()),
            &out["rough_95_band"],
            tolerance,
            entry,
        );
    });
}

#[test]
fn the_order_drawn() {
    each("pair_schedule", |given, entry, _| {
        let bits: Vec<bool> = numbers(&given["one_bit_per_pair"])
            .iter()
            .map(|bit| *bit == 1.0)
            .collect();
        let nights: String = schedule(&bits).into_iter().map(Arm::letter).collect();
        assert_eq!(Value::from(nights), entry["out"]["nights"]);
    });
}

// "Student" 1908, Biometrika 6:1-25: hours of sleep gained with two drugs. One of the ten differences is
// nothing, so that two patterns of signs tie on each side: 4 of 1,024.
#[test]
fn the_ten_sleepers_of_1908() {
    let table = data("student_sleep/extra_sleep.csv");
    let pairs: Vec<(f64, f64)> = table
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line
                .split(',')
                .map(|cell| cell.parse().expect("number"))
                .collect();
            (cells[2], cells[1])
        })
        .collect();
    let found = paired_test(&pairs).expect("exact");
    assert_eq!(pairs.len(), 10);
    assert!((found.mean_difference - 1.58).abs() < 1e-9);
    assert_eq!((found.at_least_as_extreme, found.arrangements), (4, 1024));
    assert_eq!(found.p, 4.0 / 1024.0);
}

// scipy.stats.permutation_test, exact; tests/data/comparison/generate.py.
#[test]
fn tests_agree_with_scipy() {
    let table = json("comparison/reference.json");
    for entry in table["paired"].as_array().expect("list") {
        let found = paired_test(&pairs(entry)).expect("exact");
        assert_eq!(
            Some(found.arrangements),
            entry["arrangements"].as_u64().map(u128::from)
        );
        near(found.p, &entry["p"], 1e-12, entry);
    }
    for entry in table["split"].as_array().expect("list") {
        let found = split_test(&numbers(&entry["a"]), &numbers(&entry["b"])).expect("exact");
        assert_eq!(
            Some(found.arrangements),
            entry["arrangements"].as_u64().map(u128::from)
        );
        near(found.p, &entry["p"], 1e-12, entry);
    }
}

// Every multiset of draws with the orders it stands for, in exact fractions (Python), and statsmodels' acf;
// tests/data/comparison/generate.py.
#[test]
fn intervals_and_autocorrelations_agree_with_other_programs() {
    let table = json("comparison/reference.json");
    for entry in table["interval"].as_array().expect("list") {
        let found = bootstrap_interval(&numbers(&entry["values"]), 95).expect("exact");
        near(found.lower, &entry["lower"], 1e-9, entry);
        near(found.upper, &entry["upper"], 1e-9, entry);
    }
    for entry in table["lag1"].as_array().expect("list") {
        let found = lag1_autocorrelation(&numbers(&entry["values"])).expect("values differ");
        near(found, &entry["r1"], 1e-9, entry);
    }
}
