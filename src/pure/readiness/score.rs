//! The score: deviations from the usual level in units of the usual spread.

use chrono::NaiveDate;

use super::band::{Band, band_of};
use super::memory::Memory;
use crate::pure::diary::{Item, Morning, Ratings};

/// With fewer earlier mornings than this the score suggests a trim at most.
const FIRST_MORNINGS: usize = 3;

/// How much an item counts; the four add up to 1.
pub fn weight(item: Item) -> f64 {
    match item {
        Item::SleepQuality => 0.10,
        Item::Freshness => 0.50,
        Item::Soreness | Item::Mood => 0.20,
    }
}

/// The ratings of one morning, by the date of the morning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RatedMorning {
    /// Date of the morning.
    pub date: NaiveDate,
    /// Its ratings.
    pub ratings: Ratings,
}

impl From<&Morning> for RatedMorning {
    fn from(morning: &Morning) -> Self {
        Self {
            date: morning.date(),
            ratings: morning.ratings,
        }
    }
}

/// What one item adds to the deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ItemPart {
    /// Which item.
    pub item: Item,
    /// The answer.
    pub value: Option<u8>,
    /// The person's usual level.
    pub usual: f64,
    /// How much the item counts.
    pub weight: f64,
    /// `weight x (value - usual)`; nothing if not answered.
    pub part: Option<f64>,
}

/// The score of one morning, as it was known that morning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// Date of the morning.
    pub date: NaiveDate,
    /// Deviation in units of the spread; `None` with too few answers.
    pub score: Option<f64>,
    /// Weighted sum of the items' deviations from their usual level, in rating steps.
    pub deviation: Option<f64>,
    /// The person's usual day-to-day spread of the deviation, in rating steps.
    pub spread: Option<f64>,
    /// The band by the score alone.
    pub score_band: Band,
    /// The score's band was lowered to a trim because hardly any mornings are known.
    pub capped: bool,
    /// The items.
    pub items: [ItemPart; 4],
    /// Mornings with at least one answer in the 365 days before.
    pub earlier_mornings: usize,
}

impl Score {
    /// The band after the cap for the first mornings, before any guard.
    pub fn capped_band(&self) -> Band {
        if self.capped {
            Band::Trim
        } else {
            self.score_band
        }
    }
}

fn scored(memory: &Memory, morning: &RatedMorning) -> Score {
    let items = memory.items(&morning.ratings);
    let deviation = deviation(&items);
    let spread = deviation.map(|_| memory.spread());
    let score = deviation
        .zip(spread)
        .map(|(deviation, spread)| deviation / spread);
    let score_band = score.map_or(Band::AsPlanned, band_of);
    let earlier = memory.answered_mornings();
    Score {
        date: morning.date,
        score,
        deviation,
        spread,
        score_band,
        capped: earlier < FIRST_MORNINGS && score_band > Band::Trim,
        items,
        earlier_mornings: earlier,
    }
}

/// The weighted sum over the answered items, if they are enough: freshness, or all three others. An
/// item that was not answered counts as usual.
fn deviation(items: &[ItemPart; 4]) -> Option<f64> {
    let answered = |wanted: Item| {
        items
            .iter()
            .any(|part| part.item == wanted && part.part.is_some())
    };
    let enough = answered(Item::Freshness)
        || [Item::SleepQuality, Item::Soreness, Item::Mood]
            .into_iter()
            .all(answered);
    enough.then(|| items.iter().filter_map(|part| part.part).sum())
}

/// In the order of their dates; of several for one date the last one given counts.
fn in_order(mornings: &[RatedMorning]) -> Vec<RatedMorning> {
    let mut sorted = mornings.to_vec();
    sorted.sort_by_key(|morning| morning.date);
    sorted.reverse();
    sorted.dedup_by_key(|morning| morning.date);
    sorted.reverse();
    sorted
}

/// The score of every morning, each from the mornings before it only, in the order of their dates.
///
/// The order in which the mornings are given does not matter; of several for one date the last counts.
pub fn history(mornings: &[RatedMorning]) -> Vec<Score> {
    let mut memory = Memory::default();
    in_order(mornings)
        .iter()
        .map(|morning| {
            memory.forget_before(morning.date);
            let score = scored(&memory, morning);
            memory.remember(morning, score.deviation);
            score
        })
        .collect()
}

/// The score of one morning. Of `mornings` only those before it count, so they may hold the morning
/// itself and later ones. A morning without a record is asked for with empty ratings.
///
/// Worked example: after 14 mornings all answered 3, a freshness of 2 lies 0.5 rating steps below the
/// usual level, which is one spread of a typical person.
///
/// ```
/// use evenfall::pure::diary::Ratings;
/// use evenfall::pure::readiness::{Band, RatedMorning, for_day};
///
/// let first = chrono::NaiveDate::from_ymd_opt(2026, 1, 5).unwrap();
/// let past: Vec<RatedMorning> = first
///     .iter_days()
///     .take(14)
///     .map(|date| RatedMorning { date, ratings: Ratings::AS_USUAL })
///     .collect();
/// let today = RatedMorning {
///     date: first + chrono::Days::new(14),
///     ratings: Ratings { freshness: Some(2), ..Ratings::AS_USUAL },
/// };
/// let score = for_day(&past, &today);
/// assert_eq!(score.score, Some(-1.0));
/// assert_eq!(score.score_band, Band::Trim);
/// ```
pub fn for_day(mornings: &[RatedMorning], today: &RatedMorning) -> Score {
    let mut memory = Memory::default();
    for morning in in_order(mornings)
        .iter()
        .take_while(|morning| morning.date < today.date)
    {
        memory.forget_before(morning.date);
        let deviation = deviation(&memory.items(&morning.ratings));
        memory.remember(morning, deviation);
    }
    memory.forget_before(today.date);
    scored(&memory, today)
}

#[cfg(test)]
mod tests {
    use chrono::Days;

    use super::*;

    fn day(number: u64) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, 1).expect("date") + Days::new(number)
    }

    #[test]
    fn one_day_and_the_whole_history_agree() {
        let mornings: Vec<RatedMorning> = (0..800_u64)
            .filter(|number| number % 11 != 5)
            .map(|number| RatedMorning {
                date: day(number),
                ratings: Ratings {
                    sleep_quality: u8::try_from(number % 5 + 1).ok(),
                    freshness: (number % 7 != 3)
                        .then_some(u8::try_from(number * 3 % 4 + 1).unwrap_or(3)),
                    soreness: u8::try_from(number / 3 % 5 + 1).ok(),
                    mood: (number % 3 == 0).then_some(4),
                },
            })
            .collect();
        let scores = history(&mornings);
        assert_eq!(scores.len(), mornings.len());
        assert!(scores.iter().any(|score| score.score.is_none()));
        for (score, morning) in scores.iter().zip(&mornings) {
            assert_eq!(*score, for_day(&mornings, morning));
        }
    }

    #[test]
    fn of_two_records_for_a_date_the_last_counts() {
        let rated = |freshness| RatedMorning {
            date: day(0),
            ratings: Ratings {
                freshness: Some(freshness),
                ..Ratings::default()
            },
        };
        let scores = history(&[rated(1), rated(4)]);
        assert_eq!(scores.len(), 1);
        assert_eq!(scores[0].items[1].value, Some(4));
    }

    #[test]
    fn the_weights_add_up_to_one() {
        let sum: f64 = Item::ALL.into_iter().map(weight).sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }
}
