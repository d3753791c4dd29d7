//! The catalogue of stretches and the arithmetic of holds against plain Python.

use std::collections::BTreeSet;

use evenfall::pure::region::Region;
use evenfall::pure::routine::{Library, Position, Stretch, dose};
use serde_json::Value;

use super::{Vectors, id};

fn vectors() -> Vectors {
    Vectors::read("stretching")
}

fn whole(value: &Value) -> u32 {
    let number = value
        .as_u64()
        .unwrap_or_else(|| panic!("{value} is no whole number"));
    u32::try_from(number).expect("fits")
}

/// Catalogue: generic stretches in common use (common practice, no source). Hold ranges: Garber CE et
/// al. 2011, Med Sci Sports Exerc 43:1334-1359 (10 to 30 s; to 60 s in older people).
#[test]
fn the_catalogue_is_shipped_with_its_sides_and_holds() {
    let library = Library::shipped();
    let vectors = vectors();
    let entries = vectors.group("catalogue");
    let ids: BTreeSet<&str> = entries.iter().map(id).collect();
    let ours: BTreeSet<&str> = library.stretches.keys().map(String::as_str).collect();
    assert_eq!(ours, ids);
    for entry in entries {
        let stretch = &library.stretches[id(entry)];
        let (low, high) = (whole(&entry["hold_s_low"]), whole(&entry["hold_s_high"]));
        assert_eq!(
            stretch.sides().len(),
            whole(&entry["sides"]) as usize,
            "{}",
            stretch.id
        );
        assert!(
            stretch.hold_s.0 <= low && stretch.hold_s.1 >= high,
            "{}: {:?}",
            stretch.id,
            stretch.hold_s
        );
        // Where a range is wider than the usual one, it stays within what the guideline names.
        if stretch.hold_s != (low, high) {
            assert!(
                stretch.hold_s.0 >= 10 && stretch.hold_s.1 <= 60,
                "{}: {:?}",
                stretch.id,
                stretch.hold_s
            );
        }
        assert!(
            (low..=high).contains(&stretch.usual_hold_s()),
            "{}",
            stretch.id
        );
        // Each can be held for something between 15 and 60 s.
        assert!(
            stretch.hold_s.1 >= 15 && stretch.hold_s.0 <= 60,
            "{}",
            stretch.id
        );
        for caution in cautions(entry["leave_out_or_ease_if"].as_str().expect("text")) {
            assert!(
                stretch.leave_out.iter().any(|avoid| avoid.id() == caution),
                "{} is not left out for {caution}",
                stretch.id
            );
        }
        let position = entry["position"].as_str().expect("text");
        if let Some(expected) = position_of(position) {
            assert_eq!(stretch.position, expected, "{}: {position}", stretch.id);
        }
        assert!(
            region_fits(stretch, entry["region"].as_str().expect("text")),
            "{}: {}",
            stretch.id,
            entry["region"]
        );
    }
}

/// The conditions a caution of the catalogue names. "Widen knees" is an easier version, not a caution.
fn cautions(text: &str) -> Vec<&'static str> {
    let words = [
        ("neck injury", "neck_injury"),
        ("arm tingling", "arm_tingling"),
        ("dizziness", "dizziness"),
        ("shoulder instability", "shoulder_instability"),
        ("pinching pain", "shoulder_pain"),
        ("shoulder pain", "shoulder_pain"),
        ("shoulder or", "shoulder_pain"),
        ("or shoulder", "shoulder_pain"),
        ("shoulder dislocation", "shoulder_dislocation"),
        ("elbow pain", "elbow_pain"),
        ("wrist", "wrist_injury"),
        ("hand numbness", "hand_numbness"),
        ("osteoporosis", "osteoporosis"),
        ("acute back pain", "back_pain"),
        ("shooting back", "back_pain"),
        ("back pain, late", "back_pain"),
        ("disc-type leg pain", "leg_pain_from_back"),
        ("leg pain", "leg_pain_from_back"),
        ("hip replacement", "hip_replacement"),
        ("groin", "groin_strain"),
        ("knee pain", "knee_pain"),
        ("knee or", "knee_pain"),
        ("kneeling pain", "knee_pain"),
        ("arching", "arching_pain"),
        ("ankle", "ankle_pain"),
        ("Achilles", "achilles_injury"),
        ("foot injury", "foot_injury"),
        ("poor balance", "poor_balance"),
        ("glaucoma", "glaucoma_or_retinal_problem"),
        ("blood pressure", "high_blood_pressure"),
        ("reflux", "reflux"),
        ("late pregnancy", "late_pregnancy"),
    ];
    let mut found: Vec<&str> = words
        .iter()
        .filter(|(word, _)| text.contains(word))
        .map(|(_, id)| *id)
        .collect();
    let without_late = text
        .replace("late pregnancy", "")
        .replace("widen knees in pregnancy", "");
    if without_late.contains("pregnancy") {
        found.extend(["pregnancy", "late_pregnancy"]);
    }
    assert!(!found.is_empty(), "no condition found in \"{text}\"");
    found
}

/// The position a description of the catalogue names; `None` where it leaves it open.
fn position_of(text: &str) -> Option<Position> {
    let words = [
        ("standing or seated", None),
        ("standing", Some(Position::Standing)),
        ("hands on wall", Some(Position::Standing)),
        ("seated", Some(Position::Seated)),
        ("on chair", Some(Position::Seated)),
        ("kneeling", Some(Position::Kneeling)),
        ("one knee down", Some(Position::Kneeling)),
        ("all fours", Some(Position::Kneeling)),
        ("on back", Some(Position::Lying)),
        ("on front", Some(Position::Lying)),
        ("side-lying", Some(Position::Lying)),
    ];
    words
        .iter()
        .find(|(word, _)| text.contains(word))
        .and_then(|(_, position)| *position)
}

/// Whether the main region of our file is among those that the catalogue's word can mean.
fn region_fits(stretch: &Stretch, word: &str) -> bool {
    use Region as R;
    let meant: &[Region] = match word {
        "neck" => &[R::Neck],
        "shoulder" => &[R::Shoulders],
        "arm" => &[R::UpperArms],
        "chest" => &[R::Chest],
        "forearm" => &[R::Forearms],
        "upper back" => &[R::UpperBack],
        "back" | "spine" => &[R::UpperBack, R::LowerBack],
        "low back" => &[R::LowerBack],
        "trunk" | "abdomen" => &[R::Core],
        "hip" => &[R::Glutes],
        "hip front" | "outer hip" => &[R::Hips],
        "thigh front" => &[R::ThighFront],
        "thigh back" => &[R::ThighBack],
        "inner thigh" => &[R::ThighInner],
        "legs" => &[R::ThighBack, R::Calves],
        "calf" => &[R::Calves],
        "shin" => &[R::Shins],
        "foot" | "ankle" => &[R::Feet],
        other => panic!("a word of the catalogue nobody mapped: {other}"),
    };
    let most = stretch.regions.values().max().copied().unwrap_or(0);
    stretch
        .regions
        .iter()
        .any(|(region, emphasis)| *emphasis == most && meant.contains(region))
}

#[test]
fn doses_agree_with_independent_results() {
    for entry in vectors().group("dose") {
        let [holds, hold_s, sides, change_s] =
            ["holds_per_side", "hold_s", "sides", "change_s"].map(|key| whole(&entry["in"][key]));
        assert_eq!(
            dose::total_s(holds, hold_s, sides, change_s),
            whole(&entry["out"]["total_s"]),
            "{}",
            id(entry)
        );
        assert_eq!(
            holds * hold_s,
            whole(&entry["out"]["stretch_s_per_side"]),
            "{}",
            id(entry)
        );
    }
    for entry in vectors().group("holds_for_60s") {
        let found = dose::holds_for(
            whole(&entry["in"]["hold_s"]),
            whole(&entry["in"]["target_s"]),
        );
        assert_eq!(
            found,
            whole(&entry["out"]["holds_per_side"]),
            "{}",
            id(entry)
        );
    }
    for entry in vectors().group("weekly") {
        let evenings = whole(&entry["in"]["evenings_per_week"]);
        let seconds = whole(&entry["in"]["seconds_per_side_each_evening"]);
        assert_eq!(
            evenings * seconds,
            whole(&entry["out"]["seconds_per_week"]),
            "{}",
            id(entry)
        );
        let meets = entry["out"]["meets_60s_on_2_days"]
            .as_bool()
            .expect("a flag");
        assert_eq!(
            dose::reaches_weekly_dose(evenings, seconds),
            meets,
            "{}",
            id(entry)
        );
    }
}

#[test]
fn what_fits_a_time_agrees_with_independent_results() {
    for entry in vectors().group("fit_in_budget_greedy_skip") {
        let listed = entry["in"]["in_order_id_hold_sides"]
            .as_array()
            .expect("a list");
        let holds: Vec<(u32, u32)> = listed
            .iter()
            .map(|one| (whole(&one[1]), whole(&one[2])))
            .collect();
        let (budget_s, change_s) = (
            whole(&entry["in"]["budget_s"]),
            whole(&entry["in"]["change_s"]),
        );
        let (chosen, used_s) = dose::fit_in_order(&holds, change_s, budget_s);
        let ids: Vec<&Value> = chosen.iter().map(|index| &listed[*index][0]).collect();
        let expected: Vec<&Value> = entry["out"]["chosen"]
            .as_array()
            .expect("a list")
            .iter()
            .collect();
        assert_eq!(ids, expected, "{}", id(entry));
        assert_eq!(used_s, whole(&entry["out"]["used_s"]), "{}", id(entry));
        assert_eq!(
            budget_s - used_s,
            whole(&entry["out"]["left_s"]),
            "{}",
            id(entry)
        );
    }
}

#[test]
fn every_group_is_compared_here() {
    let expected = [
        "catalogue",
        "dose",
        "fit_in_budget_greedy_skip",
        "holds_for_60s",
        "weekly",
    ];
    let vectors = vectors();
    let mut names = vectors.names();
    names.sort_unstable();
    assert_eq!(names, expected);
}
