//! A comparison as it was set up: what is compared, by what, and the order drawn for its nights.

use chrono::NaiveDate;

use super::{Arm, DrawnPair, Outcome, arm_on, last_night};
use crate::pure::civil::Night;
use crate::pure::diary::Morning;

/// What one of the two evenings has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Has {
    /// No wind-down at all.
    Nothing,
    /// A written evening by id.
    Evening(String),
    /// A pattern by id; the stretches are as on any other evening.
    Pattern(String),
}

impl Has {
    /// The word in flags: `none`, or the id.
    pub fn id(&self) -> &str {
        match self {
            Self::Nothing => "none",
            Self::Evening(id) | Self::Pattern(id) => id,
        }
    }

    /// The form in which it is kept: `none`, `evening after_legs`, `pattern square`.
    pub fn text(&self) -> String {
        match self {
            Self::Nothing => "none".to_owned(),
            Self::Evening(id) => format!("evening {id}"),
            Self::Pattern(id) => format!("pattern {id}"),
        }
    }

    /// Reads that form.
    pub fn from_text(text: &str) -> Option<Self> {
        match text.split_once(' ') {
            None if text == "none" => Some(Self::Nothing),
            Some(("evening", id)) => Some(Self::Evening(id.to_owned())),
            Some(("pattern", id)) => Some(Self::Pattern(id.to_owned())),
            _ => None,
        }
    }
}

/// What a comparison drew for a night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnEvening {
    /// What the night has.
    pub has: Has,
    /// Seconds its routine takes, where that is not what the settings say.
    pub seconds: Option<u32>,
}

/// A comparison, fixed before its first night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// What A has.
    pub a: Has,
    /// What B has.
    pub b: Has,
    /// What is compared.
    pub outcome: Outcome,
    /// The pairs with the order drawn for each.
    pub pairs: Vec<DrawnPair>,
    /// The night from which on it was stopped.
    pub stopped: Option<Night>,
}

impl Planned {
    /// What an arm has.
    pub fn has(&self, arm: Arm) -> &Has {
        match arm {
            Arm::A => &self.a,
            Arm::B => &self.b,
        }
    }

    /// What was drawn for a night; nothing on other nights and once it was stopped.
    pub fn on(&self, night: Night) -> Option<Arm> {
        arm_on(&self.pairs, night).filter(|_| self.stopped.is_none_or(|from| night < from))
    }

    /// Its nights in order, with what was drawn.
    pub fn nights(&self) -> impl Iterator<Item = (Night, Arm)> {
        self.pairs.iter().flat_map(|pair| {
            let second = pair.first_night.next();
            [(pair.first_night, pair.first), (second, pair.first.other())]
        })
    }

    /// Whether its last night is over when `tonight` is the coming night.
    pub fn is_over(&self, tonight: Night) -> bool {
        last_night(&self.pairs).is_none_or(|last| last < tonight)
    }

    /// Whether it still draws nights.
    pub fn is_running(&self, tonight: Night) -> bool {
        self.stopped.is_none() && !self.is_over(tonight)
    }
}

/// The order of the pairs as it is kept: `2026-01-05 AB, 2026-01-07 BA`.
pub fn pairs_text(pairs: &[DrawnPair]) -> String {
    let pairs: Vec<String> = pairs
        .iter()
        .map(|pair| {
            let (first, second) = (pair.first.letter(), pair.first.other().letter());
            format!("{} {first}{second}", pair.first_night)
        })
        .collect();
    pairs.join(", ")
}

/// Reads that form.
pub fn pairs_from_text(text: &str) -> Option<Vec<DrawnPair>> {
    let pair = |text: &str| {
        let (date, order) = text.split_once(' ')?;
        Some(DrawnPair {
            first_night: Night(date.parse::<NaiveDate>().ok()?),
            first: match order {
                "AB" => Arm::A,
                "BA" => Arm::B,
                _ => return None,
            },
        })
    };
    text.split(", ").map(pair).collect()
}

impl Outcome {
    /// The value a morning gives; nothing where it was not said. A morning taken over with one key says
    /// nothing about the minutes it took to fall asleep.
    pub fn of(self, morning: &Morning) -> Option<f64> {
        match self {
            Self::MinutesToFallAsleep => morning.times.asleep_after_min.map(f64::from),
            Self::SleepQuality => morning.ratings.sleep_quality.map(f64::from),
            Self::Freshness => morning.ratings.freshness.map(f64::from),
        }
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        match self {
            Self::MinutesToFallAsleep => "minutes to fall asleep",
            Self::SleepQuality => "sleep quality",
            Self::Freshness => "freshness",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::draw;
    use super::*;

    fn planned() -> Planned {
        let from: NaiveDate = "2026-01-05".parse().expect("date");
        Planned {
            a: Has::Evening("after_legs".to_owned()),
            b: Has::Nothing,
            outcome: Outcome::Freshness,
            pairs: draw(from, &[false, true, true]),
            stopped: None,
        }
    }

    #[test]
    fn what_is_kept_as_text_comes_back() {
        let planned = planned();
        let text = pairs_text(&planned.pairs);
        assert_eq!(text, "2026-01-05 AB, 2026-01-07 BA, 2026-01-09 BA");
        assert_eq!(pairs_from_text(&text), Some(planned.pairs));
        assert_eq!(pairs_from_text("2026-01-05 AA"), None);
        for has in [
            Has::Nothing,
            Has::Evening("after_legs".to_owned()),
            Has::Pattern("square".to_owned()),
        ] {
            assert_eq!(Has::from_text(&has.text()), Some(has));
        }
        assert_eq!(Has::from_text("morning x"), None);
    }

    #[test]
    fn a_stopped_comparison_draws_no_more_nights() {
        let mut planned = planned();
        let night = |text: &str| Night(text.parse().expect("date"));
        assert_eq!(planned.on(night("2026-01-07")), Some(Arm::B));
        assert_eq!(planned.on(night("2026-01-11")), None, "Sundays are free");
        assert!(planned.is_running(night("2026-01-10")));
        assert!(planned.is_over(night("2026-01-11")));
        planned.stopped = Some(night("2026-01-08"));
        assert_eq!(planned.on(night("2026-01-07")), Some(Arm::B));
        assert_eq!(planned.on(night("2026-01-08")), None);
        assert!(!planned.is_running(night("2026-01-08")));
        let order: String = planned.nights().map(|(_, arm)| arm.letter()).collect();
        assert_eq!(order, "ABBABA");
    }
}
