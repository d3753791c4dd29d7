use proptest::prelude::*;

use super::*;
use crate::pure::routine::breath::PLAIN_PATTERN;
use crate::pure::routine::stretch::Side;

const CALF: &str = "\
name = \"Calf, my way\"
position = \"standing\"
sides = 2
hold = [20, 25]
regions = { calves = 3 }
set_up = \"Stand.\"
feel = \"A pull.\"
ease_off = \"Step in.\"
easier = \"Sit.\"
";

const MINE: &str = "\
name = \"Mine\"
about = \"A short one.\"
pattern = \"even_5\"
cycles = 12

[[stretch]]
id = \"my_calf\"
side = \"left\"
hold = 22

[[stretch]]
id = \"kneel_shins\"
";

fn own(kind: Kind, id: &'static str, text: &'static str) -> LibraryText<'static> {
    LibraryText {
        file: "home.toml",
        kind,
        id,
        text,
    }
}

fn load(texts: &[LibraryText<'_>]) -> (Library, Vec<String>) {
    let (library, complaints) = Library::load(embedded::TEXTS, texts);
    (
        library,
        complaints.iter().map(ToString::to_string).collect(),
    )
}

fn limits(avoid: &[&str], painful: &[Region]) -> Limits {
    Limits {
        avoid: avoid.iter().filter_map(|id| Avoid::from_id(id)).collect(),
        painful: painful.iter().copied().collect(),
        holds_ok: true,
    }
}

#[test]
fn every_shipped_figure_stands_and_nothing_else_is_read_by_the_short_way() {
    let library = Library::shipped();
    let stretches = embedded::TEXTS
        .iter()
        .filter(|text| text.kind == Kind::Stretch);
    for text in stretches {
        let whole = Stretch::parse(text.file, text.id, text.text).expect("it stands");
        assert_eq!(whole, library.stretches[text.id]);
    }
}

#[test]
fn the_shipped_files_load_without_complaint() {
    let (library, complaints) = load(&[]);
    assert_eq!(complaints, [""; 0]);
    assert_eq!(library.stretches.len(), 48);
    assert_eq!(library.patterns.len(), 8);
    assert_eq!(library.evenings.len(), 6);
}

#[test]
fn own_files_add_and_replace() {
    let (library, complaints) = load(&[
        own(Kind::Evening, "mine", MINE),
        own(Kind::Stretch, "my_calf", CALF),
        own(Kind::Stretch, "wall_calf_straight", CALF),
    ]);
    assert_eq!(complaints, [""; 0]);
    assert_eq!(library.stretches.len(), 49);
    assert_eq!(library.stretches["wall_calf_straight"].name, "Calf, my way");
    let (routine, notes) = library.routine(&library.evenings["mine"], &limits(&[], &[]));
    assert_eq!(notes, [""; 0]);
    let steps: Vec<(&str, Side, u32, u32)> = routine
        .steps
        .iter()
        .map(|step| (step.stretch.as_str(), step.side, step.hold_s, step.change_s))
        .collect();
    assert_eq!(
        steps,
        [
            ("my_calf", Side::Left, 22, 10),
            ("kneel_shins", Side::Both, 15, 10)
        ]
    );
    assert_eq!(
        (
            routine.pattern.id.as_str(),
            routine.cycles,
            routine.seconds()
        ),
        ("even_5", 12, 177)
    );
}

#[test]
fn a_bad_file_is_named_and_the_rest_loads() {
    let (library, complaints) = load(&[
        own(Kind::Stretch, "wall_calf_straight", "name = 3\n"),
        own(Kind::Stretch, "broken", "name = \n"),
        own(
            Kind::Pattern,
            "mine",
            "name = \"M\"\nabout = \"A.\"\ninhale = 4\nexhale = 6\n",
        ),
    ]);
    assert_eq!(library.stretches.len(), 48);
    assert_eq!(
        library.stretches["wall_calf_straight"].name,
        "Calf at the wall, straight knee"
    );
    assert_eq!(library.patterns.len(), 9);
    assert!(
        complaints
            .iter()
            .any(|said| said.starts_with("home.toml:1:8: name is a whole number.")),
        "{complaints:?}"
    );
    assert!(
        complaints
            .iter()
            .all(|said| said.starts_with("home.toml:1:")),
        "{complaints:?}"
    );
}

#[test]
fn ids_are_checked() {
    let (library, complaints) = load(&[
        own(Kind::Stretch, "My calf", CALF),
        own(Kind::Stretch, "twice", CALF),
        own(Kind::Stretch, "twice", CALF),
        own(Kind::Stretch, "even_5", CALF),
        own(Kind::Evening, "tonight", MINE),
    ]);
    assert_eq!(library.stretches.len(), 49);
    assert_eq!(library.evenings.len(), 6);
    for start in [
        "home.toml:1:1: \"My calf\" is no id. ",
        "home.toml:1:1: the id \"twice\" is used by home.toml already. ",
        "home.toml:1:1: the id \"even_5\" belongs to a shipped pattern. ",
        "home.toml:1:1: the id \"tonight\" is kept for the routine of the night. ",
    ] {
        assert_eq!(
            complaints
                .iter()
                .filter(|said| said.starts_with(start))
                .count(),
            1,
            "{start}: {complaints:?}"
        );
    }
}

#[test]
fn an_evening_names_only_what_there_is() {
    let text = "\
name = \"Mine\"
about = \"A short one.\"
pattern = \"even_6\"
breathe = 180
cycles = 12

[[stretch]]
id = \"wall_calf_strait\"

[[stretch]]
id = \"kneel_shins\"
side = \"left\"
hold = 60

[[stretch]]
id = \"neck_turn\"
side = \"both\"
held = 3

[[stretch]]
side = \"up\"
";
    let (library, complaints) = load(&[own(Kind::Evening, "mine", text)]);
    assert!(!library.evenings.contains_key("mine"));
    let said = complaints.join("\n");
    for start in [
        "home.toml:3:11: pattern: \"even_6\" is not known. Did you mean \"even_5\"?",
        "home.toml:5:1: breathe and cycles both say how long to breathe. ",
        "home.toml:8:6: stretch.id: \"wall_calf_strait\" is not known. Did you mean \"wall_calf_straight\"?",
        "home.toml:12:8: kneel_shins has no sides. Remove side.",
        "home.toml:13:8: hold = 60 is outside the range of kneel_shins. Write 10 to 15 seconds.",
        "home.toml:17:8: neck_turn is done one side at a time. ",
        "home.toml:18:1: stretch.held is not known. Did you mean hold?",
        "home.toml:20:1: stretch.id is missing. ",
        "home.toml:21:8: stretch.side: \"up\" is not known. ",
    ] {
        assert!(said.contains(start), "no complaint {start} in\n{said}");
    }
    assert_eq!(complaints.len(), 9, "{said}");
}

#[test]
fn a_narrower_hold_of_ones_own_moves_a_shipped_evening_into_range() {
    let (library, complaints) = load(&[own(Kind::Stretch, "strap_leg_raise", CALF)]);
    assert_eq!(complaints, [""; 0]);
    let (routine, _) = library.routine(&library.evenings["legs"], &limits(&[], &[]));
    let holds: Vec<u32> = routine
        .steps
        .iter()
        .filter(|step| step.stretch == "strap_leg_raise")
        .map(|step| step.hold_s)
        .collect();
    assert_eq!(holds, [25, 25]);
}

#[test]
fn what_a_person_leaves_out_is_left_out_of_every_evening() {
    let library = Library::shipped();
    let all: Vec<Limits> = Avoid::ids()
        .map(|id| limits(&[id], &[]))
        .chain(
            Region::ALL
                .iter()
                .map(|(_, region)| limits(&[], &[*region])),
        )
        .collect();
    let mut left_out = 0;
    for evening in library.evenings.values() {
        let (whole, _) = library.routine(evening, &limits(&[], &[]));
        for limits in &all {
            let (routine, notes) = library.routine(evening, limits);
            for step in &routine.steps {
                let stretch = &library.stretches[&step.stretch];
                assert_eq!(stretch.left_out_by(&limits.avoid), None);
                assert!(!limits.painful.iter().any(|region| stretch.touches(*region)));
            }
            if routine.steps.len() < whole.steps.len() {
                assert!(
                    notes.iter().any(|note| note.contains("is left out")),
                    "{notes:?}"
                );
                left_out += 1;
            }
        }
    }
    assert!(left_out > 20, "the limits bite: {left_out}");
}

#[test]
fn a_pattern_that_stands_in_keeps_the_time() {
    let (mut library, _) = load(&[]);
    let evening = library.evenings.get_mut("legs").expect("shipped");
    evening.pattern = "four_seven_eight".to_owned();
    evening.breathing = Breathing::Cycles(10);
    let (routine, notes) = library.routine(&library.evenings["legs"], &limits(&["pregnancy"], &[]));
    assert_eq!(routine.pattern.id, PLAIN_PATTERN);
    // 10 breaths of 19 s are 190 s: 19 breaths of 10 s.
    assert_eq!(routine.cycles, 19);
    assert!(
        notes.iter().any(|note| note.contains("Ask your clinician")),
        "{notes:?}"
    );
}

#[test]
fn a_person_without_limits_gets_the_evening_as_written() {
    let library = Library::shipped();
    for evening in library.evenings.values() {
        let (routine, notes) = library.routine(evening, &limits(&[], &[]));
        assert_eq!(notes, [""; 0], "{}", evening.id);
        assert_eq!(routine.pattern.id, evening.pattern);
        let listed: Vec<&str> = evening
            .stretches
            .iter()
            .map(|listed| listed.id.as_str())
            .collect();
        let mut done: Vec<&str> = routine
            .steps
            .iter()
            .map(|step| step.stretch.as_str())
            .collect();
        done.dedup();
        assert_eq!(done, listed, "{}", evening.id);
    }
}

proptest! {
    /// Whatever a slip of the pen does to a file: no panic, and either it is read or every complaint
    /// lies within the text.
    #[test]
    fn a_slip_of_the_pen_is_read_or_complained_of(
        which in 0..embedded::TEXTS.len(),
        at in 0usize..600,
        slip in proptest::sample::select(vec!["", "\"", "[", "= ", "\n", "9", "-", "ä", "#", "}"]),
        cut in 0usize..4,
    ) {
        let shipped = embedded::TEXTS[which];
        let at = at.min(shipped.text.len());
        let end = (at + cut).min(shipped.text.len());
        let (before, after) = (shipped.text.get(..at), shipped.text.get(end..));
        prop_assume!(before.is_some() && after.is_some());
        let text = format!("{}{slip}{}", before.unwrap_or(""), after.unwrap_or(""));
        let (library, complaints) = Library::load(embedded::TEXTS, &[LibraryText { text: &text, ..shipped }]);
        prop_assert_eq!(library.stretches.len() + library.patterns.len() + library.evenings.len(), embedded::TEXTS.len());
        for complaint in complaints {
            prop_assert_eq!(&complaint.file, shipped.file);
            prop_assert!(complaint.line <= text.split('\n').count(), "{}", complaint);
            prop_assert!(!complaint.what.is_empty() && !complaint.instead.is_empty());
        }
    }
}
