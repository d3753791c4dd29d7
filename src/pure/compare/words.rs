//! The result in words: what was recorded and how often chance alone gives as much, never "A works".

use super::exact::{PairedTest, smallest_p_of_pairs};
use super::{Arm, Comparison, Outcome};
use crate::pure::phrase::counted;

/// What such a comparison cannot tell, said with every result.
pub const CAVEATS: [&str; 4] = [
    "One evening can carry over into the next, which makes the two look more alike than they are.",
    "You knew which evening was which, and what one expects can change what one rates.",
    "With fewer than 8 pairs the interval is in general too narrow; look at the pairs first.",
    "This is about your nights in these weeks, not about other people.",
];

/// Why fewer than [`super::LEAST_PAIRS`] pairs are not started.
pub fn too_few_text(pairs: usize) -> String {
    format!(
        "With {} of nights even the clearest outcome would appear in {} if the routines did not matter. Plan at least {} pairs, {} nights.",
        counted(pairs, "pairs"),
        shuffles(smallest_p_of_pairs(pairs)),
        super::LEAST_PAIRS,
        super::LEAST_PAIRS * 2,
    )
}

/// What looking before the end costs.
///
/// Share of false alarms at a limit of 0.05 when looking 5 times instead of once: 0.14 (Armitage P,
/// McPherson CK, Rowe BC 1969, Journal of the Royal Statistical Society A 132:235-244; from memory).
pub fn peeking_text(recorded_pairs: usize, planned_pairs: usize) -> String {
    format!(
        "{recorded_pairs} of {planned_pairs} pairs are recorded. Looking now and deciding by what is seen makes chance more likely to be taken for a difference: with five looks about 14 in 100 instead of 5. The number of pairs stays {planned_pairs} whatever this shows."
    )
}

impl Comparison {
    /// The result in plain sentences, for the names of the two evenings.
    pub fn sentences(&self, name_a: &str, name_b: &str) -> Vec<String> {
        let mut said = vec![self.main_sentence(name_a, name_b)];
        if let Some(interval) = &self.interval {
            said.push(format!(
                "The mean difference is {}, with an exact interval at {} % of {} to {}.",
                number(self.test.mean_difference),
                interval.percent,
                number(interval.lower),
                number(interval.upper),
            ));
        }
        if self.dropped > 0 {
            let pairs = if self.dropped == 1 {
                "pair was"
            } else {
                "pairs were"
            };
            said.push(format!(
                "{} {pairs} left out because a night has no record.",
                self.dropped
            ));
        }
        if self.pairs.len() < super::LEAST_PAIRS {
            said.push(format!(
                "So few pairs can never appear in fewer than {}.",
                shuffles(self.smallest_p)
            ));
        }
        said
    }

    fn main_sentence(&self, name_a: &str, name_b: &str) -> String {
        let pairs = counted(self.pairs.len(), "pairs");
        let PairedTest {
            mean_difference, p, ..
        } = self.test;
        if number(mean_difference) == "0" {
            return format!(
                "In your {pairs} there was no difference on average between {name_a} and {name_b}."
            );
        }
        format!(
            "In your {pairs} {name_a} was followed by {} than {name_b}; a difference this large would appear in {} if the routines did not matter.",
            amount(self.outcome, mean_difference),
            shuffles(p),
        )
    }

    /// The value of an arm, pair by pair: the points to show first.
    pub fn points(&self, arm: Arm) -> Vec<f64> {
        let value = |pair: &(f64, f64)| match arm {
            Arm::A => pair.0,
            Arm::B => pair.1,
        };
        self.pairs.iter().map(value).collect()
    }
}

fn amount(outcome: Outcome, difference: f64) -> String {
    let by = number(difference.abs());
    let more = difference > 0.0;
    match outcome {
        Outcome::MinutesToFallAsleep => {
            let way = if more { "more" } else { "fewer" };
            format!("{by} {way} minutes to fall asleep")
        }
        Outcome::SleepQuality | Outcome::Freshness => {
            let way = if more { "higher" } else { "lower" };
            let what = match outcome {
                Outcome::SleepQuality => "sleep quality",
                _ => "freshness",
            };
            format!("{what} rated {by} {way}")
        }
    }
}

/// A number to one place, without a needless zero and without a minus before nothing.
fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0 + 0.0;
    format!("{rounded}")
}

/// A share as so many of 100 shuffles, or of 1,000 where that is too coarse.
pub fn shuffles(share: f64) -> String {
    let hundred = (share * 100.0).round();
    let thousand = (share * 1000.0).round();
    if hundred >= 100.0 {
        "every one of 100 shuffles".to_owned()
    } else if hundred >= 1.0 {
        format!("{hundred} of 100 shuffles")
    } else if thousand >= 1.0 {
        format!("{thousand} of 1,000 shuffles")
    } else {
        "fewer than 1 of 1,000 shuffles".to_owned()
    }
}
