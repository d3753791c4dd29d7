//! Which part of a session a count belongs to.

use super::done::PartDone;
use crate::pure::block::Session;
use crate::pure::complaint::{nearest, one_of};

/// Counts with the parts they belong to, by their titles, so that they meet again from week to week; and
/// what the person should know about how a word was read.
///
/// A part is named by its title or by the word for its kind. Where several parts are of the kind, the
/// first one that is not named otherwise is meant.
///
/// # Errors
///
/// What is wrong and what to write instead, both without their full stop.
pub fn assign_parts(
    counted: Vec<PartDone>,
    session: &Session,
) -> Result<(Vec<PartDone>, Vec<String>), (String, String)> {
    let titles: Vec<&str> = session
        .parts
        .iter()
        .map(|part| part.title.as_str())
        .collect();
    let by_title = |name: &str| {
        titles
            .iter()
            .find(|title| title.to_lowercase() == name.to_lowercase())
            .copied()
    };
    let mut taken: Vec<&str> = counted
        .iter()
        .filter_map(|part| by_title(&part.part))
        .collect();
    let mut assigned = Vec::new();
    let mut notes = Vec::new();
    for part in counted {
        let of_kind: Vec<&str> = session
            .parts
            .iter()
            .filter(|planned| planned.work.kind() == part.part.replace([' ', '-'], "_"))
            .map(|planned| planned.title.as_str())
            .collect();
        let free = of_kind.iter().find(|title| !taken.contains(title));
        let title = match (by_title(&part.part), free) {
            (Some(title), _) => title,
            (None, Some(title)) => {
                taken.push(title);
                if of_kind.len() > 1 {
                    notes.push(format!(
                        "{} is counted for {title}; the session has {} such parts: {}.",
                        part.part,
                        of_kind.len(),
                        of_kind.join(", ")
                    ));
                }
                title
            }
            (None, None) => return Err(unknown(&part.part, session, &titles)),
        };
        assigned.push(PartDone {
            part: title.to_owned(),
            counts: part.counts,
        });
    }
    Ok((assigned, notes))
}

fn unknown(name: &str, session: &Session, titles: &[&str]) -> (String, String) {
    let kinds = session.parts.iter().map(|part| part.work.kind());
    let words: Vec<&str> = titles.iter().copied().chain(kinds).collect();
    let instead = match nearest(name, words.iter().copied()) {
        Some(near) => format!("Did you mean {near}"),
        None if titles.is_empty() => "Leave --reps out".to_owned(),
        None => format!("Write {}", one_of(titles.iter().copied())),
    };
    (format!("{} has no part `{name}`", session.title), instead)
}

#[cfg(test)]
mod tests {
    use super::super::parse_reps;
    use super::*;

    fn session() -> Session {
        let text = r#"
            name = "x"
            starts = 2026-01-05
            [[phase]]
            name = "p"
            weeks = 1
            [phase.week]
            mon = "legs"
            [session.legs]
            title = "Legs"
            rpe = 8
            regions = { calves = 1 }
            [[session.legs.part]]
            kind = "intervals"
            title = "Steps"
            rounds = 8
            work = 20
            rest = 10
            [[session.legs.part]]
            kind = "intervals"
            title = "Floor"
            rounds = 6
            work = 20
            rest = 10
            [[session.legs.part]]
            kind = "timed_rounds"
            title = "Rounds"
            minutes = 8
            reps = 6
            moves = ["squat"]
        "#;
        let block = crate::pure::block::parse("block.toml", text, None).expect("block");
        block.sessions["legs"].clone()
    }

    fn assigned(text: &str) -> Result<Vec<String>, (String, String)> {
        let counted = parse_reps(text).expect("counts");
        let (parts, _) = assign_parts(counted, &session())?;
        Ok(parts.into_iter().map(|part| part.part).collect())
    }

    #[test]
    fn a_part_is_named_by_title_or_kind() {
        assert_eq!(
            assigned("timed_rounds=5; steps=12,12"),
            Ok(vec!["Rounds".to_owned(), "Steps".to_owned()])
        );
        assert_eq!(
            assigned("intervals=12,12;Steps=9"),
            Ok(vec!["Floor".to_owned(), "Steps".to_owned()])
        );
        let counted = parse_reps("intervals=12").expect("counts");
        let (_, notes) = assign_parts(counted, &session()).expect("assigned");
        assert!(notes[0].contains("Steps, Floor"), "{notes:?}");
    }

    #[test]
    fn an_unknown_part_is_named_with_what_there_is() {
        let (what, instead) = assigned("sets=3").expect_err("no sets");
        assert_eq!(what, "Legs has no part `sets`");
        assert_eq!(instead, "Write Steps, Floor or Rounds");
        assert_eq!(
            assigned("flor=3").expect_err("slip").1,
            "Did you mean Floor"
        );
    }
}
