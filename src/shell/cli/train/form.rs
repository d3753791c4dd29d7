//! The few questions about a session.

use super::super::ask::ask;
use super::{Turn, Words};
use crate::pure::block::Work;
use crate::pure::load::{PartDone, check_minutes, check_rpe, effort_words};
use crate::pure::phrase::pieces;
use crate::shell::failure::Failure;

impl Turn<'_> {
    /// Asks for what was not said.
    pub(super) fn ask(&self, id: Option<&str>, mut words: Words) -> Result<Words, Failure> {
        let session = self.session(id);
        let title = session.map_or("Training", |session| session.title.as_str());
        println!(
            "{title}, {}. Enter takes what stands in brackets.",
            self.date.format("%A %-d %B")
        );
        let minutes = self
            .planned_minutes(id)
            .map_or("30".to_owned(), |minutes| minutes.to_string());
        words.minutes = Some(ask("Minutes, rests included", &minutes, |answer| {
            number(answer, check_minutes)
        })?);
        println!("How hard was it as a whole?");
        for rpe in [0, 1, 2, 3, 4, 5, 7, 9, 10] {
            println!("  {rpe:>2}  {}", effort_words(rpe));
        }
        let planned = session.map_or("5".to_owned(), |session| session.rpe.to_string());
        let minutes = words.minutes;
        words.rpe = Some(ask("0 to 10, halves too", &planned, |answer| {
            number(answer, |rpe| check_rpe(rpe, minutes))
        })?);
        let week = self.plan.block.day(self.date).week.unwrap_or(1);
        let mut parts = Vec::new();
        for part in session
            .map(|session| session.parts_in_week(week))
            .unwrap_or_default()
        {
            let question = match part.work {
                Work::Intervals { .. } => "repetitions of each round (12,12,11)",
                Work::TimedRounds { .. } => "rounds done",
                Work::Sets { .. } => "repetitions of each set (8,8,6)",
                Work::Steady { .. } => continue,
            };
            let counts = ask(
                &format!("{}: {question}", part.title),
                "not counted",
                counts,
            )?;
            if !counts.is_empty() {
                parts.push(PartDone {
                    part: part.title.to_owned(),
                    counts,
                });
            }
        }
        words.parts = (!parts.is_empty()).then_some(parts);
        println!();
        Ok(words)
    }
}

fn number(
    answer: &str,
    check: impl Fn(f64) -> Result<(), (String, String)>,
) -> Result<f64, String> {
    let number: f64 = answer
        .replace(',', ".")
        .parse()
        .map_err(|_| "Write a number, with a point for parts: 7.5.".to_owned())?;
    check(number).map_err(|(what, instead)| format!("{what}. {instead}."))?;
    Ok(number)
}

fn counts(answer: &str) -> Result<Vec<u32>, String> {
    if answer == "not counted" {
        return Ok(Vec::new());
    }
    pieces(answer)
        .map(|piece| {
            piece
                .parse()
                .map_err(|_| format!("`{piece}` is no count. Write 12,12,11."))
        })
        .collect()
}
