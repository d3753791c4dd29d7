//! The careful questions: what cannot wait comes first.

use chrono::NaiveDate;

use super::super::ask::{NONE, ask, choose};
use super::super::lines::say;
use super::{Turn, level, place};
use crate::pure::caution::{Kind, Level, PainReport, Sign, What};
use crate::shell::failure::Failure;

impl Turn<'_> {
    /// Asks until there is something to record, or nothing is.
    pub(super) fn ask(&self) -> Result<Vec<What>, Failure> {
        let urgent: Vec<Sign> = Sign::all()
            .filter(|sign| !sign.level().suggest_training())
            .collect();
        let found = ask_signs(
            "Does any of these apply now, or since your last training?",
            &urgent,
        )?;
        if !found.is_empty() {
            // Whoever has one of these should not be kept with more questions.
            return Ok(found);
        }
        let site = ask(
            "\nWhere does it hurt? A place such as knee_left, lower_back, calves; or none",
            NONE,
            |answer| {
                if answer == NONE {
                    Ok(None)
                } else {
                    place(answer).map(Some)
                }
            },
        )?;
        let Some(site) = site else {
            let other: Vec<Sign> = Sign::all()
                .filter(|sign| sign.level() == Level::ClinicianSoon && !sign.body_area())
                .collect();
            let found = ask_signs("\nIs it one of these?", &other)?;
            if found.is_empty() {
                return Err(Failure::failed("Nothing was recorded."));
            }
            return Ok(found);
        };
        for (index, (_, _, words)) in Kind::ALL.iter().enumerate() {
            println!("  {:>2}  {words}", index + 1);
        }
        let kind = ask("What does it feel like? A number", "1", |answer| {
            answer
                .parse::<usize>()
                .ok()
                .and_then(|number| Kind::ALL.get(number.checked_sub(1)?))
                .map(|(_, kind, _)| *kind)
                .ok_or_else(|| format!("Write a number from 1 to {}.", Kind::ALL.len()))
        })?;
        let level = ask("How strong, 0 none to 10 the worst", "3", level)?;
        let today = self.today;
        let since = ask("Since when", &today.to_string(), |answer| {
            answer
                .parse::<NaiveDate>()
                .ok()
                .filter(|since| *since <= today)
                .ok_or_else(|| format!("Write a date up to today, like {today}."))
        })?;
        println!();
        Ok(vec![What::Pain(PainReport {
            site,
            level,
            kind,
            since,
        })])
    }
}

fn ask_signs(question: &str, signs: &[Sign]) -> Result<Vec<What>, Failure> {
    say(question);
    for (index, sign) in signs.iter().enumerate() {
        say(&format!("  {:>2}  {}", index + 1, sign.question()));
    }
    let applying = choose("Numbers that apply", signs.len())?;
    let sign = |place: usize| What::Sign {
        sign: signs[place],
        site: None,
    };
    Ok(applying.into_iter().map(sign).collect())
}
