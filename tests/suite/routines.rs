//! The library as it is shipped: every file of `routines/`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use evenfall::pure::avoid::Avoid;
use evenfall::pure::block;
use evenfall::pure::region::Region;
use evenfall::pure::routine::breath::cadence;
use evenfall::pure::routine::library::{Kind, Library, LibraryText, Limits};
use evenfall::pure::routine::{Position, Prop, Stretch, embedded, safety};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
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
                .all(|prop| matches!(prop, Prop::Wall | Prop::Chair | Prop::Cushion)),
            "{}",
            stretch.id
        );
    }
    for listed in &library.evenings["hotel_bed"].stretches {
        let stretch = &library.stretches[&listed.id];
        assert!(
            // A bed has its pillows.
            stretch.bed_friendly && stretch.props.iter().all(|prop| *prop == Prop::Cushion),
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

/// The examples of the format page with the path in their first line.
fn examples(page: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for block in page.split("```toml\n").skip(1) {
        let text = block.split("```").next().expect("a closed example");
        let path = text
            .lines()
            .next()
            .and_then(|line| line.strip_prefix("# "))
            .expect("a path in the first line");
        found.push((path.to_owned(), text.to_owned()));
    }
    found
}

#[test]
fn the_examples_of_the_format_page_are_read() {
    let examples = examples(&read("packaging/doc/routine-files.md"));
    let mut own = Vec::new();
    let mut blocks = 0;
    for (path, text) in &examples {
        if path == "block.toml" {
            let block = block::parse(path, text, None).unwrap_or_else(|said| panic!("{said:?}"));
            assert_eq!((block.phases.len(), block.sessions.len()), (2, 3));
            blocks += 1;
            continue;
        }
        let [_, folder, name] = path.split('/').collect::<Vec<_>>()[..] else {
            panic!("{path} is no path of the library");
        };
        let (_, kind) = Kind::ALL
            .into_iter()
            .find(|(known, _)| *known == folder)
            .expect("a folder");
        let id = name.strip_suffix(".toml").expect("a .toml file");
        own.push(LibraryText {
            file: path,
            kind,
            id,
            text,
        });
    }
    assert_eq!((own.len(), blocks), (3, 1), "one example of each kind");
    let (library, complaints) = Library::load(embedded::TEXTS, &own);
    let said: Vec<String> = complaints.iter().map(ToString::to_string).collect();
    assert_eq!(said, [""; 0]);
    assert_eq!(
        (
            library.stretches.len(),
            library.patterns.len(),
            library.evenings.len()
        ),
        (49, 9, 7)
    );
    let (routine, notes) = library.routine(&library.evenings["after_stairs"], &Limits::default());
    assert_eq!(notes, [""; 0]);
    assert_eq!(routine.steps.len(), 5);
    assert_eq!(routine.cycles, 18);
}

#[test]
fn the_format_page_names_every_word_of_the_files() {
    let page = read("packaging/doc/routine-files.md");
    let words = Avoid::ids()
        .chain(Region::ALL.iter().map(|(id, _)| *id))
        .chain(Position::ALL.iter().map(|(id, _)| *id))
        .chain(Prop::ALL.iter().map(|(id, _)| *id));
    for word in words {
        assert!(
            page.contains(&format!("`{word}`")),
            "{word} is not on the page"
        );
    }
    assert!(page.contains(safety::STOP_RULE));
}
