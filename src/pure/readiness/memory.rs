//! What is remembered on one morning, and the usual level and spread that follow from it.

use std::collections::VecDeque;

use chrono::{Days, NaiveDate};

use super::score::{ItemPart, RatedMorning, weight};
use crate::pure::diary::{Item, Ratings};

/// How far back answers count, in calendar days before the morning.
const MEMORY_DAYS: u64 = 365;
/// The spread of a typical person, and the least that is ever used.
const TYPICAL_SPREAD: f64 = 0.50;
/// How many mornings the typical spread weighs.
const TYPICAL_MORNINGS: f64 = 14.0;
/// The usual level of a typical person.
const TYPICAL_LEVEL: f64 = 3.0;
/// The usual level from `count` answers with the sum `sum`: the answers' mean with some typical days
/// mixed in, seven on day one, fewer with every answer, none from the fourteenth on.
pub fn usual_level(sum: u32, count: u32) -> f64 {
    let typical = (7.0 - f64::from(count) / 2.0).max(0.0);
    (typical * TYPICAL_LEVEL + f64::from(sum)) / (typical + f64::from(count))
}

/// What is remembered on one morning: the answers of the 365 days before it.
#[derive(Default)]
pub(super) struct Memory {
    mornings: VecDeque<Remembered>,
    sums: [u32; 4],
    counts: [u32; 4],
}

struct Remembered {
    date: NaiveDate,
    ratings: Ratings,
    deviation: Option<f64>,
}

impl Memory {
    /// Drops what lies more than 365 days before `today`.
    pub fn forget_before(&mut self, today: NaiveDate) {
        let oldest = today
            .checked_sub_days(Days::new(MEMORY_DAYS))
            .unwrap_or(NaiveDate::MIN);
        while self
            .mornings
            .front()
            .is_some_and(|morning| morning.date < oldest)
        {
            if let Some(old) = self.mornings.pop_front() {
                for (index, item) in Item::ALL.into_iter().enumerate() {
                    if let Some(value) = old.ratings.get(item) {
                        self.sums[index] -= u32::from(value);
                        self.counts[index] -= 1;
                    }
                }
            }
        }
    }

    pub fn items(&self, ratings: &Ratings) -> [ItemPart; 4] {
        std::array::from_fn(|index| {
            let item = Item::ALL[index];
            let usual = usual_level(self.sums[index], self.counts[index]);
            let value = ratings.get(item);
            ItemPart {
                item,
                value,
                usual,
                weight: weight(item),
                part: value.map(|value| weight(item) * (f64::from(value) - usual)),
            }
        })
    }

    pub fn remember(&mut self, morning: &RatedMorning, deviation: Option<f64>) {
        for (index, item) in Item::ALL.into_iter().enumerate() {
            if let Some(value) = morning.ratings.get(item) {
                self.sums[index] += u32::from(value);
                self.counts[index] += 1;
            }
        }
        self.mornings.push_back(Remembered {
            date: morning.date,
            ratings: morning.ratings,
            deviation,
        });
    }

    /// How many mornings answered at least one item.
    pub fn answered_mornings(&self) -> usize {
        self.mornings
            .iter()
            .filter(|morning| morning.ratings.any())
            .count()
    }

    /// The squares are added up afresh each time, oldest first: a running sum would let the rounding of
    /// long forgotten days leak into the score.
    pub fn spread(&self) -> f64 {
        let (sum, count) = self
            .mornings
            .iter()
            .filter_map(|morning| morning.deviation)
            .fold((0.0, 0.0), |(sum, count), deviation| {
                (sum + deviation * deviation, count + 1.0)
            });
        let typical = TYPICAL_MORNINGS * TYPICAL_SPREAD * TYPICAL_SPREAD;
        ((typical + sum) / (TYPICAL_MORNINGS + count))
            .sqrt()
            .max(TYPICAL_SPREAD)
    }
}
