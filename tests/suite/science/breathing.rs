//! Breathing patterns against plain Python. Sources of the rules: holds raise the blood pressure, and
//! straining may cause fainting (reviews of breath holding); the list of conditions is our own design
//! choice.

use std::collections::BTreeSet;

use evenfall::pure::avoid::Avoid;
use evenfall::pure::routine::breath::{cadence, from_rate, hold_blocked_by, pattern_for, phase_at};
use evenfall::pure::routine::{Library, Pattern};
use serde_json::Value;

use super::{Vectors, id, numbers};

fn vectors() -> Vectors {
    Vectors::read("breathing_winddown")
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn whole(value: &Value) -> u32 {
    let number = value
        .as_u64()
        .unwrap_or_else(|| panic!("{value} is no whole number"));
    u32::try_from(number).expect("fits")
}

fn in_ms(seconds: f64) -> u32 {
    (seconds * 1000.0).round() as u32
}

fn milliseconds(seconds: &Value) -> u32 {
    in_ms(number(seconds))
}

fn pattern(phases: [u32; 4]) -> Pattern {
    let [inhale_ms, hold_ms, exhale_ms, hold_out_ms] = phases;
    Pattern {
        id: "tried".to_owned(),
        name: "Tried".to_owned(),
        inhale_ms,
        second_inhale_ms: 0,
        hold_ms,
        exhale_ms,
        hold_out_ms,
        about: "For the test.".to_owned(),
    }
}

fn pattern_of(list: &Value) -> Pattern {
    let phases: Vec<u32> = numbers(list).into_iter().map(in_ms).collect();
    pattern(phases.try_into().expect("four phases"))
}

#[test]
fn cadence_agrees_with_independent_results() {
    let vectors = vectors();
    for entry in vectors.group("cadence") {
        let given = &entry["in"];
        let phases = ["inhale_s", "hold_in_s", "exhale_s", "hold_out_s"]
            .map(|key| milliseconds(&given[key]));
        let found = cadence(
            &pattern(phases),
            u64::from(milliseconds(&given["session_s"])),
        );
        let out = &entry["out"];
        for (key, value) in [
            ("cycle_s", found.cycle_s),
            ("breaths_per_min", found.breaths_per_min),
            ("frequency_hz", found.frequency_hz),
            ("inhale_to_exhale", found.inhale_to_exhale),
            ("exhale_fraction", found.exhale_fraction),
            ("hold_fraction", found.hold_fraction),
            ("full_cycles_duration_s", found.full_cycles_s),
            ("nearest_cycles_duration_s", found.nearest_cycles_s),
        ] {
            vectors.same(&format!("{} {key}", id(entry)), Some(value), &out[key]);
        }
        assert_eq!(
            found.full_cycles,
            whole(&out["full_cycles"]),
            "{}",
            id(entry)
        );
        assert_eq!(
            found.nearest_cycles,
            whole(&out["nearest_cycles"]),
            "{}",
            id(entry)
        );
    }
}

#[test]
fn rates_become_seconds_as_in_independent_results() {
    let vectors = vectors();
    for entry in vectors.group("from_rate") {
        let (rate, ratio) = (
            number(&entry["in"]["breaths_per_min"]),
            number(&entry["in"]["exhale_over_inhale"]),
        );
        let (inhale_s, exhale_s) = from_rate(rate, ratio);
        for (key, value) in [
            ("inhale_s", inhale_s),
            ("exhale_s", exhale_s),
            ("cycle_s", inhale_s + exhale_s),
        ] {
            vectors.same(
                &format!("{} {key}", id(entry)),
                Some(value),
                &entry["out"][key],
            );
        }
    }
}

#[test]
fn phases_agree_with_independent_results() {
    let vectors = vectors();
    for entry in vectors.group("phase_at") {
        let pattern = pattern_of(&entry["in"]["pattern"]);
        let at_ms = u64::from(milliseconds(&entry["in"]["t_s"]));
        let phase = phase_at(&pattern, at_ms).expect("a phase");
        let out = &entry["out"];
        assert_eq!(
            phase.breath,
            u64::from(whole(&out["cycle_index"])),
            "{}",
            id(entry)
        );
        let kind = phase
            .kind
            .id()
            .replace("hold", "hold_in")
            .replace("hold_in_out", "hold_out");
        assert_eq!(
            kind,
            out["phase"].as_str().expect("a word"),
            "{}",
            id(entry)
        );
        for (key, ms) in [
            ("into_phase_s", phase.into_ms),
            ("left_in_phase_s", phase.left_ms),
        ] {
            let seconds = f64::from(ms) / 1000.0;
            vectors.same(&format!("{} {key}", id(entry)), Some(seconds), &out[key]);
        }
    }
}

/// The word of the results for "I prefer not" is the id `holds` here.
fn flag(word: &str) -> Avoid {
    let id = if word == "prefer_no_holds" {
        "holds"
    } else {
        word
    };
    Avoid::from_id(id).unwrap_or_else(|| panic!("{word} is on no list"))
}

fn words_of(list: &Value) -> Vec<&str> {
    list.as_array()
        .expect("a list")
        .iter()
        .map(|word| word.as_str().expect("a word"))
        .collect()
}

#[test]
fn holds_are_screened_as_in_independent_results() {
    let mut library = Library::shipped();
    for entry in vectors().group("hold_screening") {
        if id(entry) == "all_blocking_flags" {
            let expected: BTreeSet<Avoid> = words_of(&entry["out"]["blocking_flags"])
                .into_iter()
                .map(flag)
                .collect();
            let mut ours: BTreeSet<Avoid> = Avoid::ids()
                .filter_map(Avoid::from_id)
                .filter(|avoid| avoid.rules_out_holds())
                .collect();
            // A person who lists late pregnancy need not list pregnancy too.
            assert!(ours.remove(&flag("late_pregnancy")));
            assert_eq!(ours, expected);
            continue;
        }
        let avoid: BTreeSet<Avoid> = words_of(&entry["in"]["flags"])
            .into_iter()
            .map(flag)
            .collect();
        let tried = pattern_of(&entry["in"]["pattern"]);
        let allowed = entry["out"]["allowed"].as_bool().expect("a flag");
        assert_eq!(
            hold_blocked_by(&tried, &avoid).is_none(),
            allowed,
            "{}",
            id(entry)
        );
        library.patterns.insert(tried.id.clone(), tried.clone());
        let (given, note) = pattern_for(&avoid, true, &tried.id, &library);
        let expected = if allowed {
            tried
        } else {
            pattern_of(&entry["out"]["fallback"])
        };
        assert_eq!(
            [
                given.inhale_ms,
                given.hold_ms,
                given.exhale_ms,
                given.hold_out_ms
            ],
            [
                expected.inhale_ms,
                expected.hold_ms,
                expected.exhale_ms,
                expected.hold_out_ms
            ],
            "{}",
            id(entry)
        );
        assert_eq!(note.is_none(), allowed, "{}", id(entry));
    }
}

#[test]
fn every_group_is_compared_somewhere() {
    // The start of the wind-down is a matter of the night.
    let expected = [
        "cadence",
        "from_rate",
        "hold_screening",
        "phase_at",
        "winddown_start",
    ];
    let vectors = vectors();
    let mut names = vectors.names();
    names.sort_unstable();
    assert_eq!(names, expected);
}
