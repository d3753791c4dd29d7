//! Reading the morning's form.

use super::{LONGEST_NOTE, sore_field};
use crate::pure::diary::{Answers, DiaryEntry, Item, Moment, Ratings};
use crate::pure::region::Region;
use crate::shell::page::views::values::Values;

/// Reads the fields; every slip is a sentence.
pub(super) fn read(values: &Values) -> Result<Answers, Vec<String>> {
    let mut wrong = Vec::new();
    let entry = entry(values, &mut wrong);
    let mut ratings = Ratings::default();
    for item in Item::ALL {
        let value = values.get(item.id());
        match value.parse::<u8>() {
            Ok(rating) if Ratings::in_range(rating) => ratings.set(item, Some(rating)),
            _ if value.is_empty() => {}
            _ => wrong.push(format!("{}: choose 1 to 5.", item.asks())),
        }
    }
    let sore_in = Region::ALL
        .iter()
        .filter_map(|(_, region)| {
            let degree: u8 = values.get(&sore_field(*region)).parse().ok()?;
            (1..=3).contains(&degree).then_some((*region, degree))
        })
        .collect();
    let note = values.get("note").to_owned();
    if note.chars().count() > LONGEST_NOTE {
        wrong.push(format!(
            "The remark has more than {LONGEST_NOTE} characters. Shorten it."
        ));
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    Ok(Answers {
        entry,
        ratings,
        sore_in: Some(sore_in),
        ill: Some(values.get("ill") == "1"),
        note: Some(note),
    })
}

fn entry(values: &Values, wrong: &mut Vec<String>) -> DiaryEntry {
    let mut time = |field: &str, words: &str| -> Option<Moment> {
        let text = values.get(field);
        if text.is_empty() {
            return None;
        }
        match text.parse::<Moment>() {
            Ok(moment) => Some(moment),
            Err(bad) => {
                wrong.push(format!("{words}: {bad}"));
                None
            }
        }
    };
    let into_bed = time("into_bed", "Into bed");
    let lights_out = time("lights_out", "Lights out");
    let woke = time("woke", "Woke");
    let up = time("up", "Out of bed");
    let mut number = |field: &str, words: &str, most: u32| -> Option<u32> {
        let text = values.get(field);
        if text.is_empty() {
            return None;
        }
        let number = text.parse().ok().filter(|number| *number <= most);
        if number.is_none() {
            wrong.push(format!("{words}: write a whole number from 0 to {most}."));
        }
        number
    };
    let asleep_after_min = number("asleep_after", "Minutes to fall asleep", 1440);
    let wakings = number("wakings", "Times awake", 100);
    let awake_for_min = number("awake_for", "Minutes awake", 1440);
    DiaryEntry {
        into_bed,
        lights_out,
        asleep_after_min,
        wakings,
        // Nobody who was not awake was awake for long.
        awake_for_min: if wakings == Some(0) {
            Some(0)
        } else {
            awake_for_min
        },
        woke,
        up,
        long_confirmed: values.get("long_night") == "1",
        ..DiaryEntry::default()
    }
}
