//! The table of composed evenings in `packaging/doc`: made here, and held against the file.
//!
//! After a change that is meant: `cargo test --test suite write_the_table_of_evenings -- --ignored`.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;

use evenfall::pure::avoid::Avoid;
use evenfall::pure::region::Region;
use evenfall::pure::routine::compose::{Composition, Request, compose, compose_with_runner_up};
use evenfall::pure::routine::{Library, Pattern};

fn file() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("packaging/doc/evenings-table.md")
}

fn pattern(library: &Library) -> &Pattern {
    library
        .patterns
        .get("longer_out_4_6")
        .expect("the plain pattern")
}

fn trained(minutes: u32, regions: &[(Region, u8)]) -> Request {
    Request {
        seconds: 60 * minutes,
        trained: regions.iter().copied().collect(),
        ..Request::default()
    }
}

const LEGS: [(Region, u8); 3] = [
    (Region::ThighFront, 3),
    (Region::Glutes, 2),
    (Region::Calves, 2),
];
const UPPER: [(Region, u8); 4] = [
    (Region::Shoulders, 3),
    (Region::Chest, 3),
    (Region::UpperBack, 2),
    (Region::UpperArms, 2),
];
const BACK: [(Region, u8); 3] = [
    (Region::LowerBack, 3),
    (Region::ThighBack, 3),
    (Region::Glutes, 2),
];

/// Each situation with what is asked.
fn situations(library: &Library) -> Vec<(&'static str, Request)> {
    let avoid = |id: &str| Avoid::from_id(id).expect("an id of the list");
    let legs = trained(8, &LEGS);
    let used = compose(&legs, &all(library), pattern(library));
    let recent: BTreeMap<String, u8> = used
        .routine
        .steps
        .iter()
        .map(|step| (step.stretch.clone(), 1))
        .collect();
    vec![
        ("Three minutes", trained(3, &LEGS)),
        ("Legs, 5 minutes", trained(5, &LEGS)),
        ("Legs", legs.clone()),
        (
            "Legs, the same as yesterday",
            Request {
                recent,
                ..legs.clone()
            },
        ),
        ("Legs, 10 minutes", trained(10, &LEGS)),
        (
            "Legs, calves sore (3)",
            Request {
                soreness: [(Region::Calves, 3)].into(),
                ..legs.clone()
            },
        ),
        (
            "Legs, pain in the calves",
            Request {
                painful: [Region::Calves].into(),
                ..legs.clone()
            },
        ),
        (
            "Legs, no kneeling or standing",
            Request {
                avoid: [avoid("kneeling"), avoid("standing")].into(),
                ..legs.clone()
            },
        ),
        (
            "Legs, knee pain",
            Request {
                avoid: [avoid("knee_pain")].into(),
                ..legs.clone()
            },
        ),
        (
            "Legs, late pregnancy",
            Request {
                avoid: [avoid("late_pregnancy")].into(),
                ..legs.clone()
            },
        ),
        (
            "Legs, hard and late",
            Request {
                gentle: true,
                ..legs.clone()
            },
        ),
        (
            "Legs, in bed",
            Request {
                bed_only: true,
                ..legs.clone()
            },
        ),
        (
            "Legs, no props",
            Request {
                props: Some([].into()),
                ..legs
            },
        ),
        ("Upper body", trained(8, &UPPER)),
        ("Back and hamstrings", trained(8, &BACK)),
        ("Rest day, 5 minutes", trained(5, &[])),
        ("Rest day, 10 minutes", trained(10, &[])),
    ]
}

fn all(library: &Library) -> Vec<evenfall::pure::routine::Stretch> {
    library.stretches.values().cloned().collect()
}

/// Stretches in order with the hold of one side: `wall_calf_bent 30`.
fn stretches(found: &Composition) -> String {
    let mut words: Vec<String> = found
        .routine
        .steps
        .iter()
        .map(|step| format!("{} {}", step.stretch, step.hold_s))
        .collect();
    words.dedup();
    if words.is_empty() {
        "breathing only".to_owned()
    } else {
        words.join(", ")
    }
}

/// What the runner-up has instead: `- one + another`.
fn difference(found: &Composition) -> String {
    let Some(other) = &found.runner_up else {
        return "none".to_owned();
    };
    let mut ids: Vec<&str> = found
        .routine
        .steps
        .iter()
        .map(|step| step.stretch.as_str())
        .collect();
    ids.dedup();
    let gone = ids
        .iter()
        .filter(|id| !other.stretches.iter().any(|one| one == *id));
    let come = other
        .stretches
        .iter()
        .filter(|id| !ids.contains(&id.as_str()));
    let words = gone
        .map(|id| format!("without {id}"))
        .chain(come.map(|id| format!("with {id}")));
    format!("{}: {}", other.value, words.collect::<Vec<_>>().join(", "))
}

fn table() -> String {
    let library = Library::shipped();
    let all = all(&library);
    let mut text = String::from(
        "# Composed evenings\n\n\
        What is composed from the shipped stretches in some situations, 8 minutes where nothing else is said, \
        with the plain pattern of 4 s in and 6 s out. Holds in seconds for one side. The value is what the \
        evening comes to by the objective that the documentation of `pure::routine::compose` states; each is \
        proven to be the greatest. The runner-up is the best evening with another set of stretches (its holds \
        may differ too).\n\n\
        This file is made by a test: \
        `cargo test --test suite write_the_table_of_evenings -- --ignored`.\n\n\
        | situation | stretches and holds | breaths | value | runner-up |\n|---|---|---|---|---|\n",
    );
    let mut reasons = String::from("\n## What is said\n\n");
    for (name, request) in situations(&library) {
        let found = compose_with_runner_up(&request, &all, pattern(&library));
        assert!(found.proven, "{name} is not proven");
        assert!(
            found
                .runner_up
                .as_ref()
                .is_none_or(|other| other.proven && other.value <= found.value)
        );
        let (held, cycles, value) = (stretches(&found), found.routine.cycles, found.value);
        writeln!(
            text,
            "| {name} | {held} | {cycles} | {value} | {} |",
            difference(&found)
        )
        .expect("text");
        writeln!(reasons, "- {name}: \"{}\"", found.why).expect("text");
    }
    text + &reasons
}

#[test]
fn the_table_of_evenings_is_what_is_composed() {
    let written = std::fs::read_to_string(file()).expect("packaging/doc/evenings-table.md");
    assert_eq!(
        written,
        table(),
        "write it anew as the file says, and look at what has changed"
    );
}

#[test]
#[ignore = "writes packaging/doc/evenings-table.md"]
fn write_the_table_of_evenings() {
    std::fs::write(file(), table()).expect("packaging/doc/evenings-table.md");
}

/// A promise of speed in a unit that does not depend on the machine: in a release build a thousand
/// partial evenings took about a quarter of a millisecond.
#[test]
fn ten_minutes_with_the_shipped_library_are_proven_with_few_nodes() {
    let library = Library::shipped();
    let all = all(&library);
    let mut nodes = Vec::new();
    for first in Region::ALL {
        let others = [
            Region::ALL[(first.1 as usize + 3) % 16].1,
            Region::ALL[(first.1 as usize + 7) % 16].1,
        ];
        let request = trained(10, &[(first.1, 3), (others[0], 2), (others[1], 1)]);
        let found = compose(&request, &all, pattern(&library));
        assert!(found.proven, "{} is not proven", first.0);
        nodes.push(found.nodes);
    }
    nodes.sort_unstable();
    assert!(nodes[nodes.len() / 2] < 15_000, "{nodes:?}");
    assert!(nodes[nodes.len() - 1] < 80_000, "{nodes:?}");
}
