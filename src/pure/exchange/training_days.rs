//! From what a calendar has to sessions of the block: by their titles.

use crate::pure::block::{Block, DatedSession};
use crate::pure::civil::Zone;

use super::calendar::{Occurrence, When};

/// The occurrences of a calendar against the sessions of a block.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Matched {
    /// Those that are a session on a day of the block, with the title the calendar gave.
    pub sessions: Vec<(DatedSession, String)>,
    /// How many are a session, but on a day outside the block.
    pub outside: usize,
    /// Titles of the others, each once, in order of time.
    pub others: Vec<String>,
}

/// Matches occurrences to sessions. A title stands for a session if it is the session's title or id, or
/// holds its title as whole words; of several sessions the one with the longest title. Case, blanks and
/// punctuation do not count.
pub fn match_sessions(occurrences: &[Occurrence], block: &Block, zone: &Zone) -> Matched {
    let sessions: Vec<(&str, String, String)> = block
        .sessions
        .values()
        .map(|session| {
            (
                session.id.as_str(),
                plain(&session.title),
                plain(&session.id),
            )
        })
        .collect();
    let mut matched = Matched::default();
    for occurrence in occurrences {
        let title = plain(&occurrence.summary);
        let found = sessions
            .iter()
            .filter(|(_, name, id)| title == *id || holds(&title, name))
            .max_by_key(|(_, name, _)| name.len());
        let Some((id, _, _)) = found else {
            let title = occurrence.summary.to_string();
            if !matched.others.contains(&title) {
                matched.others.push(title);
            }
            continue;
        };
        let date = occurrence.date(zone);
        if block.day(date).block_week.is_none() {
            matched.outside += 1;
            continue;
        }
        let at = match occurrence.start {
            When::Date(_) => None,
            When::At(at) => Some(zone.local(at).time()),
        };
        let dated = DatedSession {
            date,
            session: (*id).to_owned(),
            at,
            cancelled: occurrence.cancelled(),
        };
        matched
            .sessions
            .push((dated, occurrence.summary.to_string()));
    }
    matched
}

/// Words in small letters, one blank between them.
fn plain(text: &str) -> String {
    let letters: String = text
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() {
                letter
            } else {
                ' '
            }
        })
        .collect();
    let words: Vec<String> = letters.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

/// Whether a title holds a name as whole words.
fn holds(title: &str, name: &str) -> bool {
    !name.is_empty() && format!(" {title} ").contains(&format!(" {name} "))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::pure::block::parse;

    const BLOCK: &str = r#"
name = "Stairs"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 1
[phase.week]
mon = "legs"
tue = "legs_and_lungs"
[session.legs]
title = "Legs"
rpe = 8
minutes = 30
regions = { calves = 2 }
[session.legs_and_lungs]
title = "Legs & lungs"
rpe = 8
minutes = 30
regions = { calves = 2 }
"#;

    fn occurrence(title: &str, start: &str) -> Occurrence {
        let start = When::At(start.parse().expect("instant"));
        Occurrence {
            uid: Arc::from("1"),
            summary: Arc::from(title),
            description: None,
            location: None,
            start,
            end: start,
            status: None,
            transparent: false,
            class: None,
            line: 1,
        }
    }

    #[test]
    fn titles_are_matched_by_whole_words_and_the_longest_wins() {
        let block = parse("block.toml", BLOCK, None).expect("block");
        let zone = Zone::embedded("Europe/Oslo").expect("zone");
        let matched = match_sessions(
            &[
                occurrence("LEGS", "2026-01-05T17:00:00Z"),
                occurrence("Training: legs, LUNGS", "2026-01-06T17:00:00Z"),
                occurrence("legs_and_lungs", "2026-01-07T17:00:00Z"),
                occurrence("Legs  &  Lungs (hall 2)", "2026-01-08T23:30:00Z"),
                occurrence("Eggs, legs of lamb", "2026-01-08T10:00:00Z"),
                occurrence("Leg warmers", "2026-01-08T10:00:00Z"),
                occurrence("Leg warmers", "2026-01-09T10:00:00Z"),
                occurrence("Legs", "2026-02-01T17:00:00Z"),
            ],
            &block,
            &zone,
        );
        let found: Vec<(&str, String)> = matched
            .sessions
            .iter()
            .map(|(dated, _)| (dated.session.as_str(), dated.date.to_string()))
            .collect();
        let expected = [
            ("legs", "2026-01-05"),
            ("legs_and_lungs", "2026-01-06"),
            ("legs_and_lungs", "2026-01-07"),
            ("legs_and_lungs", "2026-01-09"),
            // A word for word match that is none: it is shown before it counts.
            ("legs", "2026-01-08"),
        ];
        let expected = expected.map(|(id, date)| (id, date.to_owned()));
        assert_eq!(found, expected);
        assert_eq!(matched.sessions[0].0.at, "18:00:00".parse().ok());
        assert_eq!(
            (matched.outside, matched.others),
            (1, vec!["Leg warmers".to_owned()])
        );
    }
}
