//! From the score to what it means for today's session, and what raises the severity whatever it says.

use chrono::{Days, NaiveDate};

use super::score::Score;
use crate::pure::diary::{Item, Morning};

/// How much of the plan to do, from all of it to none. Later ones are more severe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// Train as planned.
    AsPlanned,
    /// A little less.
    Trim,
    /// About half, and easier.
    Ease,
    /// No training; a walk or gentle mobility.
    RecoverOnly,
    /// No training, and help first.
    StopAndSeekHelp,
}

impl Band {
    /// Every band, mildest first.
    pub const ALL: [Self; 5] = [
        Self::AsPlanned,
        Self::Trim,
        Self::Ease,
        Self::RecoverOnly,
        Self::StopAndSeekHelp,
    ];

    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::AsPlanned => "as_planned",
            Self::Trim => "trim",
            Self::Ease => "ease",
            Self::RecoverOnly => "recover_only",
            Self::StopAndSeekHelp => "stop_and_seek_help",
        }
    }

    /// The band with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|band| band.id() == id)
    }

    /// The words for people.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsPlanned => "Train as planned",
            Self::Trim => "Trim it a little",
            Self::Ease => "Take it easier",
            Self::RecoverOnly => "Recovery only today",
            Self::StopAndSeekHelp => "No training: get help first",
        }
    }
}

/// The band of a score. It is compared after rounding to 1e-9, so that -0.75 reached by way of a sum is
/// still -0.75.
pub fn band_of(score: f64) -> Band {
    let score = (score * 1e9).round() / 1e9;
    if score > -0.75 {
        Band::AsPlanned
    } else if score > -1.25 {
        Band::Trim
    } else if score > -2.0 {
        Band::Ease
    } else {
        Band::RecoverOnly
    }
}

/// Something that raises the severity whatever the score says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Guard {
    /// A warning sign of the emergency or same-day level is open.
    RedFlag,
    /// Fever, or unwell in the whole body.
    Illness,
    /// Pain that is not usual soreness in a region that today's session loads.
    Pain,
    /// Soreness rated 1.
    SorenessWorst,
    /// Freshness rated 1.
    FreshnessWorst,
    /// Less than three hours asleep.
    SleepUnder3h,
    /// Less than four hours asleep.
    SleepUnder4h,
    /// The last three nights all known and below five hours on average.
    ThreeNightsUnder5h,
}

impl Guard {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::RedFlag => "red_flag",
            Self::Illness => "illness",
            Self::Pain => "pain",
            Self::SorenessWorst => "soreness_worst",
            Self::FreshnessWorst => "freshness_worst",
            Self::SleepUnder3h => "sleep_under_3h",
            Self::SleepUnder4h => "sleep_under_4h",
            Self::ThreeNightsUnder5h => "three_nights_under_5h",
        }
    }

    /// The least severe band it leaves.
    pub fn at_least(self) -> Band {
        match self {
            Self::RedFlag => Band::StopAndSeekHelp,
            Self::Illness | Self::Pain | Self::SorenessWorst | Self::SleepUnder3h => {
                Band::RecoverOnly
            }
            Self::FreshnessWorst | Self::SleepUnder4h | Self::ThreeNightsUnder5h => Band::Ease,
        }
    }
}

/// What is known on a morning beside its ratings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Conditions {
    /// A caution of the emergency or same-day level is open.
    pub red_flag: bool,
    /// Fever, or unwell in the whole body.
    pub illness: bool,
    /// Pain that is not usual soreness in a region that today's session loads.
    pub pain_in_loaded_region: bool,
    /// Seconds asleep last night; where only an upper bound is known the bound may stand here, because
    /// a night that cannot have had four hours had less than four hours.
    pub asleep_s: Option<i64>,
    /// Seconds asleep of the last three nights, oldest first; the last one is last night.
    pub last_three_nights_s: [Option<i64>; 3],
}

impl Conditions {
    /// What the mornings themselves say about a date: illness, last night and the last three nights.
    /// Cautions and pain are for the caller to add.
    pub fn of_mornings(mornings: &[Morning], date: NaiveDate) -> Self {
        let on = |ago: u64| {
            let wanted = date - Days::new(ago);
            mornings
                .iter()
                .rev()
                .find(|morning| morning.date() == wanted)
        };
        let asleep = |ago| on(ago).and_then(|morning| morning.times.measures().asleep_s);
        let today = on(0);
        Self {
            illness: today.is_some_and(|morning| morning.ill),
            asleep_s: today.and_then(|morning| morning.times.measures().asleep_at_most_s),
            last_three_nights_s: [asleep(2), asleep(1), asleep(0)],
            ..Self::default()
        }
    }
}

/// The score with its guards: what a morning means for today's session.
#[derive(Clone, Debug, PartialEq)]
pub struct Readiness {
    /// The score.
    pub score: Score,
    /// The guards that hold, most severe kinds first.
    pub guards: Vec<Guard>,
    /// The band after cap and guards.
    pub band: Band,
}

/// Adds the guards to a score.
pub fn assess(score: Score, conditions: &Conditions) -> Readiness {
    let rated_worst = |item: Item| {
        score
            .items
            .iter()
            .any(|part| part.item == item && part.value == Some(1))
    };
    let slept_under = |hours: i64| {
        conditions
            .asleep_s
            .is_some_and(|asleep| asleep < hours * 3600)
    };
    let [a, b, c] = conditions.last_three_nights_s;
    let three_short = a
        .zip(b)
        .zip(c)
        .is_some_and(|((a, b), c)| a + b + c < 3 * 5 * 3600);
    let guards: Vec<Guard> = [
        (Guard::RedFlag, conditions.red_flag),
        (Guard::Illness, conditions.illness),
        (Guard::Pain, conditions.pain_in_loaded_region),
        (Guard::SorenessWorst, rated_worst(Item::Soreness)),
        (Guard::FreshnessWorst, rated_worst(Item::Freshness)),
        (Guard::SleepUnder3h, slept_under(3)),
        (Guard::SleepUnder4h, slept_under(4) && !slept_under(3)),
        (Guard::ThreeNightsUnder5h, three_short),
    ]
    .into_iter()
    .filter_map(|(guard, holds)| holds.then_some(guard))
    .collect();
    let band = guards
        .iter()
        .map(|guard| guard.at_least())
        .fold(score.capped_band(), Band::max);
    Readiness {
        score,
        guards,
        band,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::civil::Night;

    #[test]
    fn the_mornings_say_how_the_last_nights_were() {
        let date = NaiveDate::from_ymd_opt(2026, 1, 8).expect("date");
        let mut mornings: Vec<Morning> = (0..3)
            .map(|ago| Morning::empty(Night(date - Days::new(ago)).previous(), "UTC"))
            .collect();
        for (morning, minutes) in mornings.iter_mut().zip([200, 300, 310]) {
            morning.times.sleep_min = Some(minutes);
        }
        mornings[0].ill = true;
        let found = Conditions::of_mornings(&mornings, date);
        assert!(found.illness);
        assert_eq!(found.asleep_s, Some(200 * 60));
        assert_eq!(
            found.last_three_nights_s,
            [Some(310 * 60), Some(300 * 60), Some(200 * 60)]
        );
        // The day after, nothing is known about the last night.
        let next = Conditions::of_mornings(&mornings, date + Days::new(1));
        assert_eq!((next.illness, next.asleep_s), (false, None));
        assert_eq!(next.last_three_nights_s[2], None);
    }
}
