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
/// Squares of deviations are added up in units of 2^-64: whole numbers can be taken off again without a
/// trace, so that long forgotten days leave no rounding behind and a morning costs the same after any
/// number of others.
const SQUARE_UNIT: f64 = 1.0 / 18_446_744_073_709_551_616.0;

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
    /// Mornings with any answer.
    answered: usize,
    /// Squares of the deviations, in [`SQUARE_UNIT`], and how many.
    squares: i128,
    scored: u32,
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
                self.take_off(&old);
            }
        }
    }

    fn take_off(&mut self, old: &Remembered) {
        for (index, item) in Item::ALL.into_iter().enumerate() {
            if let Some(value) = old.ratings.get(item) {
                self.sums[index] -= u32::from(value);
                self.counts[index] -= 1;
            }
        }
        self.answered -= usize::from(old.ratings.any());
        if let Some(deviation) = old.deviation {
            self.squares -= square(deviation);
            self.scored -= 1;
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
        self.answered += usize::from(morning.ratings.any());
        if let Some(deviation) = deviation {
            self.squares += square(deviation);
            self.scored += 1;
        }
        self.mornings.push_back(Remembered {
            date: morning.date,
            ratings: morning.ratings,
            deviation,
        });
    }

    /// How many mornings answered at least one item.
    pub fn answered_mornings(&self) -> usize {
        self.answered
    }

    /// The person's usual day-to-day spread.
    pub fn spread(&self) -> f64 {
        let sum = self.squares as f64 * SQUARE_UNIT;
        let count = f64::from(self.scored);
        let typical = TYPICAL_MORNINGS * TYPICAL_SPREAD * TYPICAL_SPREAD;
        ((typical + sum) / (TYPICAL_MORNINGS + count))
            .sqrt()
            .max(TYPICAL_SPREAD)
    }
}

/// The square of a deviation, which is a few rating steps at most, in [`SQUARE_UNIT`].
fn square(deviation: f64) -> i128 {
    (deviation * deviation / SQUARE_UNIT) as i128
}
