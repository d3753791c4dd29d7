//! The library as it is shipped: every file of `routines/` and the published figures behind it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use evenfall::pure::avoid::Avoid;
use evenfall::pure::region::Region;
use evenfall::pure::routine::breath::{cadence, from_rate, hold_blocked_by, pattern_for, phase_at};
use evenfall::pure::routine::library::{Kind, Library, LibraryText, Limits};
use evenfall::pure::routine::{Pattern, Position, Prop, Stretch, dose, embedded, safety};
use serde_json::Value;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// A group of a vector file and the tolerance that the file sets.
fn vectors(topic: &str, group: &str) -> (Vec<Value>, f64) {
    let file: Value =
        serde_json::from_str(&read(&format!("tests/data/vectors/{topic}.json"))).expect("vectors");
    let entries = file["vectors"][group].as_array().expect("a group").clone();
    assert!(!entries.is_empty(), "{topic} {group} is empty");
    (
        entries,
        file["absolute_tolerance"].as_f64().expect("a tolerance"),
    )
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

fn milliseconds(seconds: &Value) -> u32 {
    (number(seconds) * 1000.0).round() as u32
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
    let phases: Vec<u32> = list
        .as_array()
        .expect("four phases")
        .iter()
        .map(milliseconds)
        .collect();
    pattern(phases.try_into().expect("four phases"))
}

#[test]
fn every_file_on_disk_is_embedded_and_nothing_else() {
    let mut on_disk = BTreeMap::new();
    for (folder, kind) in Kind::ALL {
        for entry in fs::read_dir(root().join("routines").join(folder)).expect("folder") {
            let path = entry.expect("entry").path();
            let name = path
                .file_name()
                .and_then(|name| name.to_str())
                .expect("name")
                .to_owned();
            let id = name
                .strip_suffix(".toml")
                .unwrap_or_else(|| panic!("{name} is no .toml file"));
            on_disk.insert(
                (kind, id.to_owned()),
                fs::read_to_string(&path).expect("text"),
            );
        }
    }
    let embedded: BTreeMap<(Kind, String), String> = embedded::TEXTS
        .iter()
        .map(|text| ((text.kind, text.id.to_owned()), text.text.to_owned()))
        .collect();
    let keys = |map: &BTreeMap<(Kind, String), String>| map.keys().cloned().collect::<Vec<_>>();
    assert_eq!(keys(&embedded), keys(&on_disk));
    assert_eq!(embedded, on_disk);
    for text in embedded::TEXTS {
        assert_eq!(
            text.file,
            format!("routines/{}/{}.toml", text.kind.folder(), text.id)
        );
    }
}

#[test]
fn every_key_nobody_knows_is_refused() {
    for text in embedded::TEXTS {
        let with = format!("surprise = 1\n{}", text.text);
        let odd = LibraryText {
            text: &with,
            ..*text
        };
        let (_, complaints) = Library::load(embedded::TEXTS, &[odd]);
        let said: Vec<String> = complaints.iter().map(ToString::to_string).collect();
        assert_eq!(said.len(), 1, "{}: {said:?}", text.file);
        assert!(
            said[0].starts_with(&format!("{}:1:1: surprise is not known.", text.file)),
            "{said:?}"
        );
    }
}

/// Catalogue: generic stretches in common use (common practice, no source). Hold ranges: Garber CE et
/// al. 2011, Med Sci Sports Exerc 43:1334-1359 (10 to 30 s; to 60 s in older people).
#[test]
fn the_catalogue_is_shipped_with_its_sides_and_holds() {
    let library = Library::shipped();
    let (entries, _) = vectors("stretching", "catalogue");
    let ids: BTreeSet<&str> = entries
        .iter()
        .map(|entry| entry["id"].as_str().expect("id"))
        .collect();
    let ours: BTreeSet<&str> = library.stretches.keys().map(String::as_str).collect();
    assert_eq!(ours, ids);
    for entry in entries {
        let stretch = &library.stretches[entry["id"].as_str().expect("id")];
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

/// Late pregnancy: no long time flat on the back or on the front (common practice, no source).
#[test]
fn late_pregnancy_leaves_side_lying_only() {
    let library = Library::shipped();
    for stretch in library
        .stretches
        .values()
        .filter(|stretch| stretch.position == Position::Lying)
    {
        let left_out = stretch
            .leave_out
            .iter()
            .any(|avoid| avoid.id() == "late_pregnancy");
        assert_eq!(
            left_out,
            !stretch.id.starts_with("side_lying"),
            "{}",
            stretch.id
        );
    }
}

/// Lying, or sitting on its edge, with nothing but a bed and the wall beside it.
#[test]
fn what_is_bed_friendly_needs_no_floor() {
    let library = Library::shipped();
    let friendly: Vec<&Stretch> = library
        .stretches
        .values()
        .filter(|stretch| stretch.bed_friendly)
        .collect();
    assert!(friendly.len() >= 10);
    for stretch in friendly {
        assert!(
            matches!(stretch.position, Position::Lying | Position::Seated),
            "{}",
            stretch.id
        );
        assert!(
            stretch
                .props
                .iter()
                .all(|prop| matches!(prop, Prop::Wall | Prop::Chair)),
            "{}",
            stretch.id
        );
    }
    for listed in &library.evenings["hotel_bed"].stretches {
        let stretch = &library.stretches[&listed.id];
        assert!(
            stretch.bed_friendly && stretch.props.is_empty(),
            "{}",
            stretch.id
        );
    }
}

#[test]
fn every_region_is_the_point_of_some_stretch() {
    let library = Library::shipped();
    for (id, region) in Region::ALL {
        let fitting: Vec<&Stretch> = library
            .stretches
            .values()
            .filter(|stretch| stretch.regions.contains_key(&region))
            .collect();
        assert!(fitting.len() >= 2, "{id}: {}", fitting.len());
        assert!(
            fitting.iter().any(|stretch| stretch.regions[&region] >= 2),
            "{id} is never the point"
        );
    }
}

#[test]
fn every_condition_leaves_out_something_and_never_everything() {
    let library = Library::shipped();
    for id in Avoid::ids() {
        let avoid = BTreeSet::from([Avoid::from_id(id).expect("known")]);
        let left = library
            .stretches
            .values()
            .filter(|stretch| stretch.left_out_by(&avoid).is_none())
            .count();
        assert!(left >= 20, "{id} leaves {left}");
        let only_breathing = Avoid::from_id(id).is_some_and(Avoid::rules_out_holds);
        assert!(
            left < library.stretches.len() || only_breathing,
            "{id} leaves out nothing"
        );
    }
}

#[test]
fn positions_of_a_coachs_evening_go_down_to_the_bed() {
    let library = Library::shipped();
    for evening in library.evenings.values() {
        let positions: Vec<Position> = evening
            .stretches
            .iter()
            .map(|listed| library.stretches[&listed.id].position)
            .collect();
        // Sitting before kneeling is fine where both are on the way down; nobody gets up again to stand.
        let last_standing = positions
            .iter()
            .rposition(|position| *position == Position::Standing);
        let first_other = positions
            .iter()
            .position(|position| *position != Position::Standing);
        if let (Some(standing), Some(other)) = (last_standing, first_other) {
            assert!(standing < other, "{}: {positions:?}", evening.id);
        }
        let first_lying = positions
            .iter()
            .position(|position| *position == Position::Lying);
        assert!(first_lying.is_some(), "{} ends lying", evening.id);
        assert!(
            positions[first_lying.unwrap_or(0)..]
                .iter()
                .all(|position| *position == Position::Lying),
            "{}: {positions:?}",
            evening.id
        );
    }
}

#[test]
fn shipped_evenings_last_three_to_ten_minutes() {
    let library = Library::shipped();
    for evening in library.evenings.values() {
        let limits = Limits {
            holds_ok: true,
            ..Limits::default()
        };
        let (routine, _) = library.routine(evening, &limits);
        assert!(
            (180..=600).contains(&routine.seconds()),
            "{}: {} s",
            evening.id,
            routine.seconds()
        );
        assert!(routine.breathing_ms() >= 120_000, "{}", evening.id);
        assert!(
            !routine.pattern.has_holds(),
            "{}: holds are opt-in",
            evening.id
        );
    }
}

#[test]
fn the_words_are_plain() {
    let library = Library::shipped();
    let mut texts: Vec<(String, String)> = Vec::new();
    let mut add = |id: &str, words: &[&str]| {
        texts.extend(words.iter().map(|text| (id.to_owned(), (*text).to_owned())))
    };
    for stretch in library.stretches.values() {
        add(
            &stretch.id,
            &[
                &stretch.set_up,
                &stretch.feel,
                &stretch.ease_off,
                &stretch.easier,
            ],
        );
        assert!(stretch.name.len() <= 40, "{}", stretch.name);
    }
    for pattern in library.patterns.values() {
        add(&pattern.id, &[&pattern.about]);
    }
    for evening in library.evenings.values() {
        add(&evening.id, &[&evening.about]);
    }
    add(
        "safety",
        &[
            safety::STOP_RULE,
            safety::BREATHING,
            safety::STRETCHING,
            safety::SORENESS,
            safety::SETTLE,
            safety::LIMITS,
        ],
    );
    let mut seen = BTreeSet::new();
    for (id, text) in &texts {
        assert!(text.ends_with('.') && !text.contains('!'), "{id}: {text}");
        assert!(text.len() <= 160, "{id} is long: {text}");
        assert!(
            text.starts_with(|first: char| first.is_uppercase()),
            "{id}: {text}"
        );
        let words: Vec<String> = text
            .split(|one: char| !one.is_alphanumeric())
            .map(str::to_lowercase)
            .collect();
        let plain = format!(" {} ", words.join(" "));
        for word in ["safe to", "you have", "should", "treat", "cure", "ignore"] {
            assert!(
                !plain.contains(&format!(" {word} ")),
                "{id} says \"{word}\": {text}"
            );
        }
        seen.insert(text.as_str());
    }
    assert!(
        seen.len() > 180,
        "the sentences are the stretches' own: {}",
        seen.len()
    );
}

/// The eight patterns of common practice, in seconds (common practice, no source).
#[test]
fn the_patterns_are_the_eight_of_common_practice() {
    let library = Library::shipped();
    let expected: [(&str, [u32; 5], f64); 8] = [
        ("even_5", [5_000, 0, 0, 5_000, 0], 6.0),
        ("even_5_5", [5_500, 0, 0, 5_500, 0], 5.4545),
        ("longer_out_4_6", [4_000, 0, 0, 6_000, 0], 6.0),
        ("longer_out_4_8", [4_000, 0, 0, 8_000, 0], 5.0),
        ("double_inhale_6", [3_000, 1_000, 0, 6_000, 0], 6.6667),
        ("square_4", [4_000, 0, 4_000, 4_000, 4_000], 3.75),
        ("four_seven_eight", [4_000, 0, 7_000, 8_000, 0], 3.1579),
        ("four_four_eight", [4_000, 0, 4_000, 8_000, 0], 3.75),
    ];
    assert_eq!(library.patterns.len(), expected.len());
    for (id, phases, rate) in expected {
        let found = &library.patterns[id];
        let ours = [
            found.inhale_ms,
            found.second_inhale_ms,
            found.hold_ms,
            found.exhale_ms,
            found.hold_out_ms,
        ];
        assert_eq!(ours, phases, "{id}");
        assert!(
            (cadence(found, 300_000).breaths_per_min - rate).abs() < 5e-5,
            "{id}"
        );
    }
}

#[test]
fn cadence_agrees_with_independent_results() {
    let (entries, tolerance) = vectors("breathing_winddown", "cadence");
    for entry in entries {
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
            assert!(
                (value - number(&out[key])).abs() <= tolerance,
                "{} {key}: {value}",
                entry["id"]
            );
        }
        assert_eq!(
            found.full_cycles,
            whole(&out["full_cycles"]),
            "{}",
            entry["id"]
        );
        assert_eq!(
            found.nearest_cycles,
            whole(&out["nearest_cycles"]),
            "{}",
            entry["id"]
        );
    }
}

#[test]
fn rates_become_seconds_as_in_independent_results() {
    let (entries, tolerance) = vectors("breathing_winddown", "from_rate");
    for entry in entries {
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
            assert!(
                (value - number(&entry["out"][key])).abs() <= tolerance,
                "{} {key}: {value}",
                entry["id"]
            );
        }
    }
}

#[test]
fn phases_agree_with_independent_results() {
    let (entries, tolerance) = vectors("breathing_winddown", "phase_at");
    for entry in entries {
        let pattern = pattern_of(&entry["in"]["pattern"]);
        let at_ms = u64::from(milliseconds(&entry["in"]["t_s"]));
        let phase = phase_at(&pattern, at_ms).expect("a phase");
        let out = &entry["out"];
        assert_eq!(
            phase.breath,
            u64::from(whole(&out["cycle_index"])),
            "{}",
            entry["id"]
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
            entry["id"]
        );
        for (key, ms) in [
            ("into_phase_s", phase.into_ms),
            ("left_in_phase_s", phase.left_ms),
        ] {
            let seconds = f64::from(ms) / 1000.0;
            assert!(
                (seconds - number(&out[key])).abs() <= tolerance,
                "{} {key}: {seconds}",
                entry["id"]
            );
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
    let (entries, _) = vectors("breathing_winddown", "hold_screening");
    for entry in entries {
        if entry["id"] == "all_blocking_flags" {
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
            entry["id"]
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
            entry["id"]
        );
        assert_eq!(note.is_none(), allowed, "{}", entry["id"]);
    }
}

#[test]
fn doses_agree_with_independent_results() {
    let (entries, _) = vectors("stretching", "dose");
    for entry in entries {
        let [holds, hold_s, sides, change_s] =
            ["holds_per_side", "hold_s", "sides", "change_s"].map(|key| whole(&entry["in"][key]));
        assert_eq!(
            dose::total_s(holds, hold_s, sides, change_s),
            whole(&entry["out"]["total_s"]),
            "{}",
            entry["id"]
        );
        assert_eq!(
            holds * hold_s,
            whole(&entry["out"]["stretch_s_per_side"]),
            "{}",
            entry["id"]
        );
    }
    let (entries, _) = vectors("stretching", "holds_for_60s");
    for entry in entries {
        let found = dose::holds_for(
            whole(&entry["in"]["hold_s"]),
            whole(&entry["in"]["target_s"]),
        );
        assert_eq!(
            found,
            whole(&entry["out"]["holds_per_side"]),
            "{}",
            entry["id"]
        );
    }
    let (entries, _) = vectors("stretching", "weekly");
    for entry in entries {
        let evenings = whole(&entry["in"]["evenings_per_week"]);
        let seconds = whole(&entry["in"]["seconds_per_side_each_evening"]);
        assert_eq!(
            evenings * seconds,
            whole(&entry["out"]["seconds_per_week"]),
            "{}",
            entry["id"]
        );
        let meets = entry["out"]["meets_60s_on_2_days"]
            .as_bool()
            .expect("a flag");
        assert_eq!(
            dose::reaches_weekly_dose(evenings, seconds),
            meets,
            "{}",
            entry["id"]
        );
    }
}

#[test]
fn what_fits_a_time_agrees_with_independent_results() {
    let (entries, _) = vectors("stretching", "fit_in_budget_greedy_skip");
    for entry in entries {
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
        assert_eq!(ids, expected, "{}", entry["id"]);
        assert_eq!(used_s, whole(&entry["out"]["used_s"]), "{}", entry["id"]);
        assert_eq!(
            budget_s - used_s,
            whole(&entry["out"]["left_s"]),
            "{}",
            entry["id"]
        );
    }
}
