//! The two files of the person: every table refuses what it does not know, every kind of fault has its
//! words and its place, and what is shipped reads clean.

use evenfall::pure::block;
use evenfall::pure::civil::EmbeddedZoneNames;
use evenfall::pure::complaint::Complaint;
use evenfall::pure::settings::{self, KnownIds};
use proptest::prelude::*;

const SETTINGS: &str = r#"timezone = "Europe/Oslo"
born = 1991
[nights]
bedtime = "22:30"
wake = "06:30"
fri = { bedtime = "23:15", wake = "07:45" }
[nights.sat]
bedtime = "23:30"
[[nights.on]]
date = 2026-12-24
bedtime = "00:30"
[evening]
minutes = 8
start = "page"
[prompts]
morning = "wake + 10 min"
[[prompts.own]]
when = "0 30 13 * * Mon-Fri"
text = "Last coffee of the day"
[page]
on = true
"#;

const BLOCK: &str = r#"name = "Stair-climb preparation"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 3
[phase.week]
mon = "legs_and_lungs"
tue = "rest"
[session.legs_and_lungs]
title = "Legs and lungs"
rpe = 8
regions = { thigh_front = 3, glutes = 2 }
[[session.legs_and_lungs.part]]
kind = "intervals"
rounds = 8
work = 20
rest = 10
by_week = [ { work = 10, rest = 20 }, { work = 20, rest = 10 } ]
[[session.legs_and_lungs.part]]
kind = "timed_rounds"
minutes = 12
moves = ["step-up", "press"]
reps = 8
[[session.legs_and_lungs.part]]
kind = "sets"
sets = 3
reps = 5
rest = 90
moves = ["hinge"]
[[session.legs_and_lungs.part]]
kind = "steady"
minutes = 5
[[shift]]
from = 2026-01-12
days = 7
"#;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Settings,
    Block,
}

impl Kind {
    fn text(self) -> &'static str {
        match self {
            Self::Settings => SETTINGS,
            Self::Block => BLOCK,
        }
    }

    fn complaints(self, text: &str) -> Vec<Complaint> {
        let known = KnownIds {
            patterns: &["longer_out_4_6", "even_5_5"],
            evenings: &["after_legs"],
        };
        match self {
            Self::Settings => {
                settings::parse_with_ids("settings.toml", text, &EmbeddedZoneNames, &known).err()
            }
            Self::Block => block::parse("block.toml", text, None).err(),
        }
        .unwrap_or_default()
    }

    fn said(self, text: &str) -> Vec<String> {
        self.complaints(text)
            .iter()
            .map(ToString::to_string)
            .collect()
    }
}

/// The text with `surprise = 1` in one of its tables, and the line it stands in: below every header, and
/// in every pair of braces.
fn surprises(text: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = vec![(format!("surprise = 1\n{text}"), 1)];
    for (index, line) in lines.iter().enumerate() {
        let mut changed = lines.clone();
        if line.starts_with('[') {
            changed.insert(index + 1, "surprise = 1");
            found.push((changed.join("\n"), index + 2));
        }
        for (brace, _) in line.match_indices(" }") {
            let inside = format!("{}, surprise = 1{}", &line[..brace], &line[brace..]);
            let mut changed = lines.clone();
            changed[index] = &inside;
            found.push((changed.join("\n"), index + 1));
        }
    }
    found
}

/// How many tables a text has, its root included.
fn tables(value: &toml::Value) -> usize {
    match value {
        toml::Value::Table(table) => 1 + table.values().map(tables).sum::<usize>(),
        toml::Value::Array(list) => list.iter().map(tables).sum(),
        _ => 0,
    }
}

#[test]
fn every_table_refuses_an_unknown_key_with_its_line_and_name() {
    for kind in [Kind::Settings, Kind::Block] {
        assert_eq!(kind.said(kind.text()), [""; 0], "the text itself is clean");
        let cases = surprises(kind.text());
        let all: toml::Table = toml::from_str(kind.text()).unwrap();
        // The table of the sessions has no header of its own: what is in it are ids.
        let without_header = usize::from(kind == Kind::Block);
        assert_eq!(
            cases.len() + without_header,
            tables(&toml::Value::Table(all)),
            "a table is not tried"
        );
        for (text, line) in cases {
            let complaints = kind.complaints(&text);
            let column = text
                .lines()
                .nth(line - 1)
                .and_then(|line| line.find("surprise"))
                .map(|at| at + 1);
            assert_eq!(complaints.len(), 1, "{complaints:#?}\n{text}");
            let complaint = &complaints[0];
            assert_eq!(
                (complaint.line, Some(complaint.column)),
                (line, column),
                "{complaint}"
            );
            assert!(complaint.what.contains("surprise"), "{complaint}");
            assert!(!complaint.instead.is_empty(), "{complaint}");
        }
    }
}

/// One case of `tests/data/complaints.txt`.
struct Case {
    kind: Kind,
    from: String,
    to: String,
    said: Vec<String>,
}

fn cases() -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for line in include_str!("../data/complaints.txt").lines() {
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        if let Some(said) = line.strip_prefix("  ") {
            cases
                .last_mut()
                .expect("a case before its complaints")
                .said
                .push(said.to_owned());
            continue;
        }
        let mut fields = line.split(" | ").map(|field| field.replace("\\n", "\n"));
        let mut next = || {
            fields
                .next()
                .unwrap_or_else(|| panic!("three fields in: {line}"))
        };
        let kind = match next().as_str() {
            "settings" => Kind::Settings,
            "block" => Kind::Block,
            other => panic!("no kind of file: {other}"),
        };
        cases.push(Case {
            kind,
            from: next(),
            to: next(),
            said: Vec::new(),
        });
    }
    cases
}

#[test]
fn each_kind_of_fault_is_said_with_its_place_and_what_to_write_instead() {
    let cases = cases();
    assert!(cases.len() > 90, "{} cases", cases.len());
    for Case {
        kind,
        from,
        to,
        said,
    } in cases
    {
        assert!(kind.text().contains(&from), "{from} is not in the text");
        assert_eq!(
            kind.said(&kind.text().replacen(&from, &to, 1)),
            said,
            "{from} -> {to}"
        );
    }
}

#[test]
fn every_fault_of_a_file_is_said_at_once_in_the_order_of_the_text() {
    let text = "timezone = \"Europe/Olso\"\nborn = 91\n[nights]\nbedtime = 25:00\nmonday = {}\n[evening]\nminutes = 2\nremind = 10\n[prompts]\nweek_review = \"0 18 * * Sun\"\n";
    let places: Vec<(usize, usize)> = Kind::Settings
        .complaints(text)
        .iter()
        .map(|complaint| (complaint.line, complaint.column))
        .collect();
    assert_eq!(
        places,
        [(1, 12), (2, 8), (4, 11), (5, 1), (7, 11), (8, 10), (10, 16)]
    );
    let text = "starts = \"soon\"\n[[phase]]\nweeks = 0\nweek.mon = \"legs\"\nweek.tues = \"rest\"\n[session.leg]\nrpe = 12\n[[session.leg.part]]\nkind = \"steady\"\n";
    let complaints = Kind::Block.complaints(text);
    let places: Vec<(usize, usize)> = complaints
        .iter()
        .map(|complaint| (complaint.line, complaint.column))
        .collect();
    assert_eq!(
        places,
        [(1, 1), (1, 10), (3, 9), (4, 12), (5, 6), (7, 7), (8, 1)],
        "{complaints:#?}"
    );
}

#[test]
fn a_complaint_counts_characters_and_not_bytes() {
    let said = Kind::Block.said(&BLOCK.replacen("name = \"Groundwork\"", "\"nåme\" = 1", 1));
    assert_eq!(
        said,
        [
            "block.toml:4:1: phase.nåme is not known. Did you mean name? Known here: name, week or weeks."
        ]
    );
    let said =
        Kind::Block.said(&BLOCK.replacen("tue = \"rest\"", "tue = [\"brätt\", \"legs\"]", 1));
    assert!(said[1].starts_with("block.toml:8:17: "), "{said:?}");
}

#[test]
fn without_a_library_any_pattern_passes() {
    let text = SETTINGS.replacen("minutes = 8", "pattern = \"of_my_own\"", 1);
    assert!(settings::parse("settings.toml", &text, &EmbeddedZoneNames).is_ok());
}

#[test]
fn the_page_on_settings_shows_a_clean_file_and_names_every_key() {
    let page = include_str!("../../packaging/doc/settings-file.md");
    let example = page
        .split("```toml\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .expect("an example");
    assert_eq!(Kind::Settings.said(example), [""; 0]);
    for (text, _) in surprises(SETTINGS) {
        let complaint = &Kind::Settings.complaints(&text)[0];
        let (_, known) = complaint
            .instead
            .split_once("Known here: ")
            .expect("the known keys");
        for key in known
            .split([',', ' '])
            .filter(|word| !word.is_empty() && *word != "or")
        {
            let day = ["tue", "wed", "thu", "fri", "sat"].contains(&key);
            let table = [
                format!("`[{key}]`"),
                format!("`[[nights.{key}]]`"),
                format!("`[[prompts.{key}]]`"),
            ];
            let named = page.contains(&format!("`{key}`"))
                || table.iter().any(|table| page.contains(table));
            assert!(day || named, "{key} is not on the page");
        }
    }
}

#[test]
fn what_is_shipped_reads_clean() {
    let day = "2026-01-01".parse().unwrap();
    for (id, _) in block::SHIPPED {
        if let Err(complaints) = block::shipped(id, day).unwrap() {
            panic!("{complaints:#?}");
        }
    }
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/routines/blocks");
    let mut in_folder: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            entry
                .unwrap()
                .path()
                .file_stem()
                .unwrap()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    in_folder.sort();
    let mut embedded = block::SHIPPED.map(|(id, _)| id.to_owned());
    embedded.sort();
    assert_eq!(in_folder, embedded, "a file of the folder is not embedded");
}

proptest! {
    /// Whatever happens to a file - a cut, a doubled piece, a strange letter - it is read or complained
    /// of with places inside it.
    #[test]
    fn a_mangled_file_is_read_or_complained_of(
        block in any::<bool>(),
        at in 0_usize..900,
        cut in 0_usize..40,
        put in prop_oneof!["[a-z\"'\\[\\]{}=,.0-9#\\\\ \n-]{0,6}", Just("\"\"\"".to_owned()), Just("[[nights.on]]\n".to_owned()), Just("\u{feff}é".to_owned())],
    ) {
        let kind = if block { Kind::Block } else { Kind::Settings };
        let mut text = kind.text().to_owned();
        let at = at.min(text.len());
        text.replace_range(at..(at + cut).min(text.len()), &put);
        for complaint in kind.complaints(&text) {
            prop_assert!(complaint.line >= 1 && complaint.line <= text.lines().count() + 1, "{complaint}");
            prop_assert!(!complaint.what.is_empty() && !complaint.instead.is_empty(), "{complaint}");
        }
    }
}
