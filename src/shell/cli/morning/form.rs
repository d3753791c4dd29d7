//! The few questions of a morning: Enter takes what stands in brackets, a usual night takes a dozen keys.

use std::collections::BTreeMap;

use chrono::{NaiveTime, Timelike};

use super::super::Said;
use super::super::ask::{ask, show_numbered, yes};
use super::super::lines::say;
use super::flags;
use super::{Turn, refused};
use crate::pure::diary::{Answers, DiaryEntry, Item, Moment, Morning, Refusal, parse_sore_in};
use crate::pure::phrase::pieces;
use crate::pure::region::Region;
use crate::shell::failure::Failure;
use crate::shell::morning::{Usual, unrecorded, usual};

/// Answered with this, a question stays open.
const OPEN: &str = "-";

impl Turn<'_> {
    /// Asks, and records.
    pub(super) fn form(&mut self) -> Result<Said, Failure> {
        let known = self.store.morning(self.night)?;
        say(&format!(
            "Night of {}. Enter takes what stands in brackets; {OPEN} leaves a question open.",
            self.night.evening().format("%A %-d %B")
        ));
        if known.is_some() {
            say("It is recorded already; what you answer now corrects it.");
        }
        let defaults = self.defaults(known.as_ref())?;
        let mut answers = self.ask_times(defaults, known.as_ref())?;
        println!();
        for item in Item::ALL {
            let usual = known.as_ref().and_then(|known| known.ratings.get(item));
            let shown = usual.unwrap_or(3).to_string();
            let rating = ask(item.question(), &shown, or_open(flags::rating))?;
            answers.ratings.set(item, rating);
            if item == Item::Soreness {
                answers.sore_in = match rating {
                    Some(..=3) => Some(ask_where(known.as_ref())?),
                    Some(_) => Some(BTreeMap::new()),
                    None => None,
                };
            }
        }
        let was_ill = known.as_ref().is_some_and(|known| known.ill);
        answers.ill = Some(yes("Ill: fever, or unwell in the whole body", was_ill)?);
        self.ask_rest()?;
        println!();
        // The form asked for everything, so only what it could not ask for stays from an older record.
        let base = known.clone().map(|known| Morning {
            times: Default::default(),
            ratings: Default::default(),
            ..known
        });
        let answered = answers
            .on_top_of(base.as_ref(), self.night, &self.zone())
            .map_err(|refusals| refused(&refusals))?;
        self.keep(known.as_ref(), answered)
    }

    /// What stands in the brackets.
    fn defaults(&self, known: Option<&Morning>) -> Result<Usual, Failure> {
        usual(&self.plan, &self.store, self.night, known)
    }

    /// Asks for the times until they can be meant.
    fn ask_times(&self, defaults: Usual, known: Option<&Morning>) -> Result<Answers, Failure> {
        let mut long_confirmed = false;
        let mut entry = defaults.ask()?;
        loop {
            entry.long_confirmed = long_confirmed;
            let Err(refusals) = entry.resolve(self.night, &self.zone()) else {
                return Ok(Answers {
                    entry,
                    ..Answers::default()
                });
            };
            for refusal in &refusals {
                say(&format!("  {refusal}"));
            }
            let only_long = refusals
                .iter()
                .all(|refusal| matches!(refusal, Refusal::LongInBed { .. }));
            long_confirmed = only_long && yes("It is so", false)?;
            if !long_confirmed {
                entry = self.defaults(known)?.ask()?;
            }
        }
    }

    /// A training day without a record may be a missed session or a missed entry: asked once, here.
    fn ask_rest(&mut self) -> Result<(), Failure> {
        let day = self.night.evening();
        let Some(titles) = unrecorded(&self.plan, &self.store, self.night)? else {
            return Ok(());
        };
        say(&format!("\n{titles} of {day} is not recorded."));
        if yes("Was it a day without training", false)? {
            let zone = self.zone();
            self.store.add_rest(day, self.now, &zone)?;
        } else {
            println!("  To record it: evenfall train --date {day}");
        }
        Ok(())
    }
}

/// Asking on the terminal with what stands in brackets.
trait Asks {
    fn ask(&self) -> Result<DiaryEntry, Failure>;
}

impl Asks for Usual {
    fn ask(&self) -> Result<DiaryEntry, Failure> {
        let shown = |time: NaiveTime| time.format("%H:%M").to_string();
        let time = |question: &str, default: NaiveTime| {
            ask(question, &shown(default), or_open(flags::time))
        };
        let number = |question: &str, default: u32| {
            ask(question, &default.to_string(), or_open(flags::minutes))
        };
        let into_bed = time("Into bed", self.into_bed)?;
        // Who went to bed later than usual began trying to sleep later too.
        let lights_out = time("Lights out", later(into_bed, self.lights_out))?;
        let asleep_after_min = number("Minutes to fall asleep", self.asleep_after)?;
        let wakings = ask(
            "How often awake in between",
            &self.wakings.to_string(),
            or_open(flags::count),
        )?;
        let awake_for_min = match wakings {
            Some(0) => Some(0),
            _ => number("Minutes awake then, all together", self.awake_for)?,
        };
        let woke = time("Woke for good", self.woke)?;
        let up = time("Out of bed", later(woke, self.up))?;
        Ok(DiaryEntry {
            into_bed,
            lights_out,
            asleep_after_min,
            wakings,
            awake_for_min,
            woke,
            up,
            ..DiaryEntry::default()
        })
    }
}

/// The later of an answer and a default, as seen from noon: 00:30 is later than 23:00.
fn later(answer: Option<Moment>, default: NaiveTime) -> NaiveTime {
    let since_noon = |time: NaiveTime| (time.num_seconds_from_midnight() + 43_200) % 86_400;
    match answer {
        Some(Moment::Clock(answer)) if since_noon(answer) > since_noon(default) => answer,
        _ => default,
    }
}

/// Reads an answer that may be left open.
fn or_open<T>(read: fn(&str) -> Result<T, String>) -> impl Fn(&str) -> Result<Option<T>, String> {
    move |answer| {
        if answer == OPEN {
            Ok(None)
        } else {
            read(answer).map(Some)
        }
    }
}

fn ask_where(known: Option<&Morning>) -> Result<BTreeMap<Region, u8>, Failure> {
    show_numbered(&Region::ALL.map(|(_, region)| region.words()));
    let before: Vec<String> = known
        .iter()
        .flat_map(|known| &known.sore_in)
        .map(|(region, degree)| format!("{region}={degree}"))
        .collect();
    let shown = if before.is_empty() {
        "none".to_owned()
    } else {
        before.join(",")
    };
    ask(
        "Where: numbers, each with 1 a little to 3 strongly if you like (14=3 10)",
        &shown,
        read_where,
    )
}

/// Reads `14=3 10`, also with names.
fn read_where(answer: &str) -> Result<BTreeMap<Region, u8>, String> {
    if answer == "none" || answer == OPEN {
        return Ok(BTreeMap::new());
    }
    let named: Vec<String> = pieces(answer)
        .map(|piece| {
            let (name, degree) = piece.split_once('=').unwrap_or((piece, "2"));
            let region = name
                .parse::<usize>()
                .ok()
                .and_then(|number| Region::ALL.get(number.checked_sub(1)?));
            format!("{}={degree}", region.map_or(name, |(id, _)| *id))
        })
        .collect();
    parse_sore_in(&named.join(",")).map_err(|(what, instead)| format!("{what}. {instead}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_are_told_by_number_or_name() {
        let both = BTreeMap::from([(Region::Calves, 3), (Region::Glutes, 2)]);
        assert_eq!(read_where("14=3 10"), Ok(both.clone()));
        assert_eq!(read_where("calves=3, glutes"), Ok(both));
        assert_eq!(read_where("none"), Ok(BTreeMap::new()));
        assert!(read_where("17").is_err());
        assert!(read_where("0").is_err());
    }

    #[test]
    fn an_open_answer_is_none_and_nonsense_is_an_error() {
        assert_eq!(or_open(flags::rating)("-"), Ok(None));
        assert_eq!(or_open(flags::rating)("4"), Ok(Some(4)));
        assert!(or_open(flags::rating)("6").is_err());
    }

    #[test]
    fn a_late_night_is_later_than_an_early_one() {
        let time = |text: &str| NaiveTime::parse_from_str(text, "%H:%M").expect("time");
        let said = |text: &str| text.parse().ok();
        assert_eq!(later(said("00:30"), time("22:30")), time("00:30"));
        assert_eq!(later(said("22:00"), time("22:30")), time("22:30"));
        assert_eq!(later(None, time("22:30")), time("22:30"));
    }
}
