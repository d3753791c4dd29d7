//! Days shared with a coach, one row a day. A column that is not shared is not there at all.

use std::collections::BTreeSet;

use super::cells::guarded;
use super::write::Writer;
use crate::pure::diary::Item as Rating;
use crate::pure::review::share::{Item, SharedDay};

/// Every column with the item it belongs to; the first three are always there.
pub const SHARED_COLUMNS: [(&str, Option<Item>); 16] = [
    ("person", None),
    ("date", None),
    ("answered", None),
    ("evening", Some(Item::Evenings)),
    ("asleep_min", Some(Item::Sleep)),
    ("load", Some(Item::Load)),
    ("planned_load", Some(Item::Load)),
    ("readiness", Some(Item::Readiness)),
    ("band", Some(Item::Readiness)),
    ("sleep_quality", Some(Item::Ratings)),
    ("freshness", Some(Item::Ratings)),
    ("soreness", Some(Item::Ratings)),
    ("mood", Some(Item::Ratings)),
    ("caution", Some(Item::Pain)),
    ("pain", Some(Item::Pain)),
    ("note", Some(Item::Notes)),
];

/// The csv of a person's days with what is shared of them.
pub fn write_shared(person: &str, days: &[SharedDay], shared: &BTreeSet<Item>) -> String {
    let columns: Vec<&str> = SHARED_COLUMNS
        .iter()
        .filter(|(_, item)| item.is_none_or(|item| shared.contains(&item)))
        .map(|(name, _)| *name)
        .collect();
    let mut writer = Writer::new(&columns);
    for day in days {
        for column in &columns {
            writer.cell(cell(column, person, day));
        }
        writer.end_row();
    }
    writer.finish()
}

fn cell(column: &str, person: &str, day: &SharedDay) -> Option<String> {
    let rating = |item| day.ratings.get(item).map(|value| value.to_string());
    let words = |text: &str| (!text.is_empty()).then(|| guarded(text));
    match column {
        "person" => words(person),
        "date" => Some(day.date.to_string()),
        "answered" => Some(u8::from(day.answered).to_string()),
        "evening" => day.evening.map(|outcome| outcome.id().to_owned()),
        "asleep_min" => day.asleep_min.map(|minutes| minutes.to_string()),
        "load" => day.load.map(|load| load.to_string()),
        "planned_load" => Some(day.planned_load.to_string()),
        // Four places: more would say more than ratings from 1 to 5 can.
        "readiness" => day.readiness.map(|score| format!("{score:.4}")),
        "band" => day.band.map(|band| band.id().to_owned()),
        "sleep_quality" => rating(Rating::SleepQuality),
        "freshness" => rating(Rating::Freshness),
        "soreness" => rating(Rating::Soreness),
        "mood" => rating(Rating::Mood),
        "caution" => day.caution.map(|level| level.id().to_owned()),
        "pain" => words(&day.pain),
        "note" => words(&day.note),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::diary::Ratings;

    fn day() -> SharedDay {
        SharedDay {
            date: "2026-01-05".parse().expect("date"),
            answered: true,
            evening: None,
            asleep_min: Some(420),
            load: Some(240.0),
            planned_load: 224.5,
            readiness: Some(-0.871_149),
            band: None,
            ratings: Ratings::AS_USUAL,
            caution: None,
            pain: String::new(),
            note: "=1+1, \"private\"".to_owned(),
        }
    }

    #[test]
    fn what_is_not_shared_has_no_column() {
        let usual = write_shared("ada", &[day()], &Item::usual());
        assert_eq!(
            usual,
            "person,date,answered,evening,asleep_min,load,planned_load,readiness,band\r\n\
             ada,2026-01-05,1,,420,240,224.5,-0.8711,\r\n"
        );
        let nothing = write_shared("ada", &[day()], &BTreeSet::new());
        assert_eq!(nothing, "person,date,answered\r\nada,2026-01-05,1\r\n");
        let notes = write_shared("ada", &[day()], &BTreeSet::from([Item::Notes]));
        assert_eq!(
            notes,
            "person,date,answered,note\r\nada,2026-01-05,1,\"'=1+1, \"\"private\"\"\"\r\n"
        );
    }
}
