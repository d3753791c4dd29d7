//! Two evening routines against each other, on one person: pairs of nights, the order within each pair
//! drawn by lot, and an exact test of what was recorded.
//!
//! Edgington ES & Onghena P, Randomization Tests (4th edition 2007); Bulté I & Onghena P 2008, Behavior
//! Research Methods 40:467-478. The drawing by lot is what justifies the test, so the pairs, the outcome
//! and the analysis are fixed before the first night.

pub mod exact;
mod planned;
mod words;

pub use planned::{DrawnEvening, Has, Planned, pairs_from_text, pairs_text};
pub use words::{CAVEATS, peeking_text, shuffles, too_few_text};

use chrono::{Datelike, Duration, NaiveDate, Weekday};

use super::civil::Night;
use exact::{Interval, PairedTest};

/// Pairs needed at least: with fewer, no outcome whatever reaches a share of 0.05.
pub const LEAST_PAIRS: usize = 6;

/// One of the two evenings compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Arm {
    /// The first named.
    A,
    /// The second named.
    B,
}

impl Arm {
    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }

    /// Its letter.
    pub fn letter(self) -> char {
        match self {
            Self::A => 'A',
            Self::B => 'B',
        }
    }
}

/// What is compared; fixed before the first night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Minutes it took to fall asleep; fewer is wanted.
    MinutesToFallAsleep,
    /// The rating of the sleep; more is wanted.
    SleepQuality,
    /// The rating of freshness in the morning; more is wanted.
    Freshness,
}

impl Outcome {
    /// All of them.
    pub const ALL: [Self; 3] = [
        Self::MinutesToFallAsleep,
        Self::SleepQuality,
        Self::Freshness,
    ];

    /// The word in files, flags and machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::MinutesToFallAsleep => "minutes_to_fall_asleep",
            Self::SleepQuality => "sleep_quality",
            Self::Freshness => "freshness",
        }
    }

    /// The outcome of an id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|outcome| outcome.id() == id)
    }
}

/// The order of nights from one fair bit a pair: 0 gives AB, 1 gives BA.
pub fn schedule(bits: &[bool]) -> Vec<Arm> {
    bits.iter()
        .flat_map(|swapped| {
            let first = if *swapped { Arm::B } else { Arm::A };
            [first, first.other()]
        })
        .collect()
}

/// One bit a pair from a number, the same for the same number: the highest bits of the sequence that
/// SplitMix64 gives (Steele GL, Lea D, Flood CH 2014, OOPSLA, 453-472).
pub fn bits_from_seed(seed: u64, pairs: usize) -> Vec<bool> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    };
    (0..pairs).map(|_| next() >> 63 == 1).collect()
}

/// Two nights one after the other and the order drawn for them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawnPair {
    /// The first night; the second follows it.
    pub first_night: Night,
    /// What the first night has.
    pub first: Arm,
}

impl DrawnPair {
    /// The two nights, that of A first.
    pub fn nights(&self) -> (Night, Night) {
        match self.first {
            Arm::A => (self.first_night, self.first_night.next()),
            Arm::B => (self.first_night.next(), self.first_night),
        }
    }
}

/// Lays pairs on the calendar from a date on, one bit a pair: Monday and Tuesday, Wednesday and
/// Thursday, Friday and Saturday evening. No pair lies over a weekend's end, so that the two nights of a
/// pair are alike in what the week does to them; Sunday evenings stay free.
pub fn draw(from: NaiveDate, bits: &[bool]) -> Vec<DrawnPair> {
    const STARTS: [Weekday; 3] = [Weekday::Mon, Weekday::Wed, Weekday::Fri];
    from.iter_days()
        .filter(|date| STARTS.contains(&date.weekday()))
        .zip(bits)
        .map(|(date, swapped)| DrawnPair {
            first_night: Night(date),
            first: if *swapped { Arm::B } else { Arm::A },
        })
        .collect()
}

/// What a night of a comparison has, or nothing if it is none of its nights.
pub fn arm_on(pairs: &[DrawnPair], night: Night) -> Option<Arm> {
    pairs.iter().find_map(|pair| {
        let (a, b) = pair.nights();
        match night {
            _ if night == a => Some(Arm::A),
            _ if night == b => Some(Arm::B),
            _ => None,
        }
    })
}

/// What was recorded, pair by pair.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gathered {
    /// Values of A and B of the pairs with both nights recorded, in order.
    pub pairs: Vec<(f64, f64)>,
    /// Pairs left out because a night has no value.
    pub dropped: usize,
    /// All recorded values in the order of the nights, those of dropped pairs too.
    pub in_order: Vec<f64>,
}

/// Gathers the values of the drawn nights; a pair with a night missing is dropped and counted.
pub fn gather(pairs: &[DrawnPair], value: impl Fn(Night) -> Option<f64>) -> Gathered {
    let mut gathered = Gathered::default();
    for pair in pairs {
        let (a, b) = pair.nights();
        match (value(a), value(b)) {
            (Some(a), Some(b)) => gathered.pairs.push((a, b)),
            _ => gathered.dropped += 1,
        }
        let nights = [pair.first_night, pair.first_night.next()];
        gathered
            .in_order
            .extend(nights.into_iter().filter_map(&value));
    }
    gathered
}

/// The result of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// What was compared.
    pub outcome: Outcome,
    /// Values of A and B, pair by pair.
    pub pairs: Vec<(f64, f64)>,
    /// Pairs left out because a night has no value.
    pub dropped: usize,
    /// The exact randomisation test.
    pub test: PairedTest,
    /// Exact bootstrap interval of the mean difference, 95 %; too narrow in general below 8 pairs, so
    /// the points come first.
    pub interval: Option<Interval>,
    /// The least share this number of pairs can give at all.
    pub smallest_p: f64,
    /// How like a night is to the one before, -1 to 1, in the order of the nights.
    pub lag1: Option<f64>,
}

/// Works out the result. `None` without a complete pair, or with values no exact test can be done on
/// (not finite, or far too many different ones).
pub fn result(outcome: Outcome, gathered: &Gathered) -> Option<Comparison> {
    let test = exact::paired_test(&gathered.pairs)?;
    let differences: Vec<f64> = gathered.pairs.iter().map(|(a, b)| a - b).collect();
    Some(Comparison {
        outcome,
        interval: exact::bootstrap_interval(&differences, 95),
        smallest_p: exact::smallest_p_of_pairs(gathered.pairs.len()),
        lag1: exact::lag1_autocorrelation(&gathered.in_order),
        pairs: gathered.pairs.clone(),
        dropped: gathered.dropped,
        test,
    })
}

/// The last night of drawn pairs: before it is recorded, a result is a peek.
pub fn last_night(pairs: &[DrawnPair]) -> Option<Night> {
    pairs.iter().map(|pair| pair.first_night.next()).max()
}

/// Nights the pairs take, from the first to the last, free Sundays included.
pub fn length_days(pairs: &[DrawnPair]) -> i64 {
    let first = pairs.iter().map(|pair| pair.first_night).min();
    match (first, last_night(pairs)) {
        (Some(first), Some(last)) => {
            (last.evening() - first.evening() + Duration::days(1)).num_days()
        }
        _ => 0,
    }
}

#[cfg(test)]
mod tests;
