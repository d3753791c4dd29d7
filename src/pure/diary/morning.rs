//! The record of one night and the ratings after it.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::measures::Times;
use crate::pure::civil::{Instant, Night};
use crate::pure::complaint::{nearest, one_of};
use crate::pure::region::Region;

/// One of the four morning ratings.
///
/// All run from 1 to 5, **higher is better** and 3 is as usual, so nobody has to remember which way a
/// scale runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// How the sleep was.
    SleepQuality,
    /// The opposite of tiredness.
    Freshness,
    /// 5 = no soreness, 1 = it hinders everyday movement.
    Soreness,
    /// Mood.
    Mood,
}

impl Item {
    /// Every item in the order in which they are asked.
    pub const ALL: [Self; 4] = [
        Self::SleepQuality,
        Self::Freshness,
        Self::Soreness,
        Self::Mood,
    ];

    /// The name in files, columns and machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::SleepQuality => "sleep_quality",
            Self::Freshness => "freshness",
            Self::Soreness => "soreness",
            Self::Mood => "mood",
        }
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        match self {
            Self::SleepQuality => "sleep",
            Self::Freshness => "freshness",
            Self::Soreness => "soreness",
            Self::Mood => "mood",
        }
    }

    /// The question alone.
    pub fn asks(self) -> &'static str {
        match self {
            Self::SleepQuality => "How was your sleep?",
            Self::Freshness => "How fresh are you?",
            Self::Soreness => "Are your muscles sore?",
            Self::Mood => "How is your mood?",
        }
    }

    /// What 1 and 5 stand for.
    pub fn ends(self) -> (&'static str, &'static str) {
        match self {
            Self::SleepQuality => ("far worse than usual", "far better"),
            Self::Freshness => ("worn out", "full of energy"),
            Self::Soreness => ("it hinders everyday movement", "not at all"),
            Self::Mood => ("very low", "very good"),
        }
    }

    /// The question, with what 1 and 5 stand for.
    pub fn question(self) -> &'static str {
        match self {
            Self::SleepQuality => "How was your sleep? 1 far worse than usual, 5 far better",
            Self::Freshness => "How fresh are you? 1 worn out, 5 full of energy",
            Self::Soreness => "Are your muscles sore? 1 it hinders everyday movement, 5 not at all",
            Self::Mood => "How is your mood? 1 very low, 5 very good",
        }
    }
}

/// The four ratings; what was not answered is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Ratings {
    /// How the sleep was.
    pub sleep_quality: Option<u8>,
    /// The opposite of tiredness.
    pub freshness: Option<u8>,
    /// 5 = none.
    pub soreness: Option<u8>,
    /// Mood.
    pub mood: Option<u8>,
}

impl Ratings {
    /// Every item 3.
    pub const AS_USUAL: Self = Self {
        sleep_quality: Some(3),
        freshness: Some(3),
        soreness: Some(3),
        mood: Some(3),
    };

    /// The answer to an item.
    pub fn get(&self, item: Item) -> Option<u8> {
        match item {
            Item::SleepQuality => self.sleep_quality,
            Item::Freshness => self.freshness,
            Item::Soreness => self.soreness,
            Item::Mood => self.mood,
        }
    }

    /// Answers an item. Values outside 1 to 5 are the caller's to refuse, see [`Ratings::in_range`].
    pub fn set(&mut self, item: Item, value: Option<u8>) {
        match item {
            Item::SleepQuality => self.sleep_quality = value,
            Item::Freshness => self.freshness = value,
            Item::Soreness => self.soreness = value,
            Item::Mood => self.mood = value,
        }
    }

    /// Whether a number is a possible answer.
    pub fn in_range(value: u8) -> bool {
        (1..=5).contains(&value)
    }

    /// Whether at least one item was answered.
    pub fn any(&self) -> bool {
        Item::ALL.iter().any(|item| self.get(*item).is_some())
    }
}

/// The record of one night and the ratings after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Morning {
    /// Which night, named by the date of its evening.
    pub night: Night,
    /// The zone whose clock the person looked at (IANA name); records do not move when the person does.
    pub zone: String,
    /// Times of the night, as far as said.
    pub times: Times,
    /// The ratings, as far as answered.
    pub ratings: Ratings,
    /// Sore regions: 1 a little, 2 clearly, 3 strongly.
    pub sore_in: BTreeMap<Region, u8>,
    /// Fever, or unwell in the whole body.
    pub ill: bool,
    /// A remark; empty = none.
    pub note: String,
    /// Taken over from the plan with one key, not answered one by one.
    pub estimated: bool,
}

impl Morning {
    /// A record with nothing in it yet.
    pub fn empty(night: Night, zone: &str) -> Self {
        Self {
            night,
            zone: zone.to_owned(),
            times: Times::default(),
            ratings: Ratings::default(),
            sore_in: BTreeMap::new(),
            ill: false,
            note: String::new(),
            estimated: false,
        }
    }

    /// The answer "as usual": every rating 3 and the planned times, marked as estimated. How long it
    /// took to fall asleep was not said and stays unknown.
    pub fn as_usual(night: Night, zone: &str, lights_out: Instant, wake: Instant) -> Self {
        Self {
            times: Times {
                into_bed: Some(lights_out),
                lights_out: Some(lights_out),
                woke: Some(wake),
                up: Some(wake),
                ..Times::default()
            },
            ratings: Ratings::AS_USUAL,
            estimated: true,
            ..Self::empty(night, zone)
        }
    }

    /// The date of the morning, which is the day its ratings speak for.
    pub fn date(&self) -> NaiveDate {
        self.night.morning()
    }

    /// Whether nothing was said: such a record is not worth keeping.
    pub fn is_empty(&self) -> bool {
        self.times.is_empty()
            && !self.ratings.any()
            && self.sore_in.is_empty()
            && !self.ill
            && self.note.is_empty()
    }
}

/// Reads sore regions as a person writes them: `calves=2,glutes=3`, each 1 (a little) to 3 (strongly).
///
/// # Errors
///
/// What is wrong and what to write instead, both without their full stop.
pub fn parse_sore_in(text: &str) -> Result<BTreeMap<Region, u8>, (String, String)> {
    let mut sore = BTreeMap::new();
    for piece in text
        .split(',')
        .map(str::trim)
        .filter(|piece| !piece.is_empty())
    {
        let (name, level) = piece.split_once('=').unwrap_or((piece, "2"));
        let ids = Region::ALL.map(|(id, _)| id);
        let Some(region) = Region::from_id(name.trim()) else {
            let instead = match nearest(name.trim(), ids) {
                Some(near) => format!("Did you mean {near}"),
                None => format!("Write one of {}", one_of(ids)),
            };
            return Err((format!("`{}` is not a region", name.trim()), instead));
        };
        match level.trim().parse::<u8>() {
            Ok(level @ 1..=3) => sore.insert(region, level),
            _ => {
                return Err((
                    format!("`{}` is not a degree of soreness", level.trim()),
                    format!(
                        "Write {region}=1 (a little), {region}=2 (clearly) or {region}=3 (strongly)"
                    ),
                ));
            }
        };
    }
    Ok(sore)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sore_regions_are_read_and_slips_are_named() {
        let sore = parse_sore_in("calves=2, glutes=3").expect("regions");
        assert_eq!(
            sore,
            BTreeMap::from([(Region::Calves, 2), (Region::Glutes, 3)])
        );
        assert_eq!(
            parse_sore_in("calfs=2"),
            Err((
                "`calfs` is not a region".to_owned(),
                "Did you mean calves".to_owned()
            ))
        );
        assert!(parse_sore_in("calves=4").is_err());
        assert!(parse_sore_in("calves=0").is_err());
        assert_eq!(parse_sore_in(""), Ok(BTreeMap::new()));
    }

    #[test]
    fn a_question_is_what_it_asks_and_its_ends() {
        for item in Item::ALL {
            let (low, high) = item.ends();
            let whole = format!("{} 1 {low}, 5 {high}", item.asks());
            assert_eq!(item.question(), whole);
        }
    }

    #[test]
    fn as_usual_does_not_invent_minutes_of_sleep() {
        let night = Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("date"));
        let at = |text: &str| text.parse::<Instant>().expect("instant");
        let morning = Morning::as_usual(
            night,
            "UTC",
            at("2026-01-05T22:30:00Z"),
            at("2026-01-06T06:30:00Z"),
        );
        let measures = morning.times.measures();
        assert_eq!(measures.in_bed_s, Some(8 * 3600));
        assert_eq!(measures.asleep_s, None);
        assert_eq!(measures.asleep_at_most_s, Some(8 * 3600));
        assert!(morning.estimated);
    }
}
