//! Load of sessions and weeks (Foster C 1998; Foster C et al. 2001), acute and chronic load (Williams S
//! et al. 2017; Lolli L et al. 2019; Windt J & Gabbett TJ 2019), computed with numpy and pandas.

use evenfall::pure::load::{
    acute_chronic, change_from_usual, ewma, ewma_weight, max_monotony, session_load, week,
};
use serde_json::Value;

use super::{Vectors, id, numbers};

/// From the population's standard deviation to the sample's, seven values.
fn to_sample(population: f64) -> f64 {
    population * (7.0_f64 / 6.0).sqrt()
}

#[test]
fn sessions_have_the_load_computed_elsewhere() {
    let vectors = Vectors::read("session_load");
    assert_eq!(
        vectors.names(),
        ["max_monotony_for_k_equal_training_days", "session", "week"]
    );
    for case in vectors.group("session") {
        let given = |name: &str| case["in"][name].as_f64().expect("number");
        let load = session_load(given("rpe"), given("minutes"));
        vectors.same(id(case), Some(load), &case["out"]["load_au"]);
    }
}

#[test]
fn weeks_are_those_computed_elsewhere() {
    let vectors = Vectors::read("session_load");
    for case in vectors.group("week") {
        let days = case["in"]["daily_load"].as_array().expect("days");
        let days: [Option<f64>; 7] = std::array::from_fn(|day| days[day].as_f64());
        let (found, out) = (week(&days), &case["out"]);
        let sample = |value: Option<f64>| value.map(|value| value / to_sample(1.0));
        for (name, computed) in [
            ("weekly_load", found.load),
            ("known_load", Some(found.known_load)),
            ("known_days", Some(found.known_days as f64)),
            ("mean_daily", found.mean),
            ("sd_population", found.spread),
            ("monotony_population", found.monotony),
            ("strain_population", found.strain),
            // The sample forms differ by a constant for seven values; the program shows the others.
            ("sd_sample", found.spread.map(to_sample)),
            ("monotony_sample", sample(found.monotony)),
            ("strain_sample", sample(found.strain)),
        ] {
            vectors.same(&format!("{} {name}", id(case)), computed, &out[name]);
        }
    }
}

#[test]
fn monotony_of_equal_training_days_has_a_ceiling() {
    let vectors = Vectors::read("session_load");
    for case in vectors.group("max_monotony_for_k_equal_training_days") {
        let days = case["in"]["training_days"].as_u64().expect("days") as usize;
        let found = max_monotony(days as u32);
        vectors.same(id(case), found, &case["out"]["max_monotony_population"]);
        vectors.same(
            id(case),
            found.map(|m| m / to_sample(1.0)),
            &case["out"]["max_monotony_sample"],
        );
        // The formula agrees with a week that reaches it.
        let reached = week(&std::array::from_fn(|day| {
            Some(if day < days { 200.0 } else { 0.0 })
        }));
        vectors.same(
            id(case),
            reached.monotony,
            &case["out"]["max_monotony_population"],
        );
    }
}

#[test]
fn acute_and_chronic_load_are_those_computed_elsewhere() {
    let vectors = Vectors::read("acute_chronic");
    assert_eq!(
        vectors.names(),
        [
            "edges",
            "ewma_short",
            "series",
            "steady_plan",
            "weekly_change"
        ]
    );
    for case in vectors.group("series").iter().chain(vectors.group("edges")) {
        let found = acute_chronic(&numbers(&case["in"]["daily_load"]));
        for (name, computed) in [
            ("acute7_mean", found.acute),
            ("chronic28_mean", found.chronic),
            ("ratio_coupled", found.ratio),
            ("chronic21_uncoupled_mean", found.uncoupled),
            ("ratio_uncoupled", found.ratio_uncoupled),
            ("ewma7", found.ewma_7),
            ("ewma28", found.ewma_28),
            ("ratio_ewma", found.ratio_ewma),
        ] {
            vectors.same(
                &format!("{} {name}", id(case)),
                computed,
                &case["out"][name],
            );
        }
    }
}

#[test]
fn weighted_means_start_with_the_first_load() {
    let vectors = Vectors::read("acute_chronic");
    for case in vectors.group("ewma_short") {
        let daily = numbers(&case["in"]["daily_load"]);
        let span = case["in"]["span"].as_u64().expect("span") as u32;
        let found = ewma(&daily, span);
        let expected = numbers(&case["out"]["ewma"]);
        if case["in"]["adjust"] == true {
            // The other common form, with weights that sum to one from the first day on: not ours.
            assert!((found[1] - expected[1]).abs() > 1.0, "{}", id(case));
            continue;
        }
        vectors.same(id(case), Some(ewma_weight(span)), &case["out"]["lambda"]);
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.iter().zip(expected) {
            vectors.same(id(case), Some(*found), &Value::from(expected));
        }
    }
}

#[test]
fn a_steady_plan_moves_the_weighted_ratio_and_nothing_else() {
    let vectors = Vectors::read("acute_chronic");
    for case in vectors.group("steady_plan") {
        let pattern = numbers(&case["in"]["weekly_pattern"]);
        let weeks = case["in"]["weeks"].as_u64().expect("weeks") as usize;
        let daily = pattern.repeat(weeks);
        let expected = numbers(&case["out"]["ratio_ewma_day1_to_day7"]);
        for (day, expected) in expected.into_iter().enumerate() {
            let found = acute_chronic(&daily[..daily.len() - 6 + day]);
            vectors.same(id(case), found.ratio_ewma, &Value::from(expected));
            vectors.same(
                id(case),
                found.ratio,
                &case["out"]["ratio_coupled_every_day"],
            );
        }
    }
}

#[test]
fn a_week_is_compared_with_those_before_it() {
    let vectors = Vectors::read("acute_chronic");
    for case in vectors.group("weekly_change") {
        let weeks: Vec<Option<f64>> = numbers(&case["in"]["weekly_loads_oldest_first"])
            .into_iter()
            .map(Some)
            .collect();
        let change = change_from_usual(&weeks).expect("enough weeks");
        vectors.same(id(case), Some(change.usual), &case["out"]["reference"]);
        vectors.same(
            id(case),
            Some(change.fraction),
            &case["out"]["change_fraction"],
        );
    }
}
