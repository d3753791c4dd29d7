//! Marks of good sleep, and the pattern that deserves a talk with someone who knows.

/// How a number of a night compares with what a panel agreed on for adults.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Indicator {
    /// Agreed to be a mark of good sleep.
    Good,
    /// No verdict.
    Between,
    /// Agreed not to be one.
    Poor,
}

impl Indicator {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Between => "between",
            Self::Poor => "poor",
        }
    }

    fn of(good: bool, poor: bool) -> Self {
        match (good, poor) {
            (true, _) => Self::Good,
            (false, true) => Self::Poor,
            (false, false) => Self::Between,
        }
    }
}

// The good limits are those of Ohayon M et al. 2017, Sleep Health 3(1):6-19; the poor limits are from
// memory. Between the two the panel gave no verdict, and neither do we.

/// Minutes to fall asleep: up to 30 good (up to 60 over 64 years of age), above 60 poor.
pub fn onset_indicator(minutes: u32, over_64: bool) -> Indicator {
    Indicator::of(minutes <= if over_64 { 60 } else { 30 }, minutes > 60)
}

/// Wakings of more than five minutes: at most one good (two over 64 years of age), four or more poor.
pub fn awakenings_indicator(count: u32, over_64: bool) -> Indicator {
    Indicator::of(count <= if over_64 { 2 } else { 1 }, count >= 4)
}

/// Minutes awake after falling asleep: up to 20 good, 41 and more poor.
pub fn waso_indicator(minutes: u32) -> Indicator {
    Indicator::of(minutes <= 20, minutes >= 41)
}

/// Share asleep in percent: 85 and more good, 74 and less poor.
pub fn efficiency_indicator(percent: f64) -> Indicator {
    Indicator::of(percent >= 85.0, percent <= 74.0)
}

/// A night counts as one with a long time awake from this many minutes on, falling asleep or in between
/// (Lichstein KL et al. 2003, Behav Res Ther 41:427-445).
pub const LONG_WAKE_MIN: u32 = 31;

/// How many nights of a week had a long time awake; each entry is the larger of the minutes to fall
/// asleep and the minutes awake in between, unknown nights do not count.
pub fn long_wake_nights(week: &[Option<u32>]) -> usize {
    week.iter()
        .filter(|night| night.is_some_and(|minutes| minutes >= LONG_WAKE_MIN))
        .count()
}

/// How many weeks had at least three such nights.
pub fn insomnia_weeks(nights_per_week: &[usize]) -> usize {
    nights_per_week
        .iter()
        .filter(|nights| **nights >= 3)
        .count()
}

/// Whether to mention professional help: three of the last four weeks had at least three such nights,
/// and the person says that the days suffer (our own design choice, well short of a diagnosis).
pub fn mention_sleep_help(last_four_weeks: [usize; 4], days_suffer: bool) -> bool {
    days_suffer && insomnia_weeks(&last_four_weeks) >= 3
}

#[cfg(test)]
mod tests {
    use super::*;

    // Ohayon M et al. 2017: over 64 years of age up to 60 minutes and up to two wakings are good too.
    #[test]
    fn over_64_more_counts_as_good() {
        assert_eq!(onset_indicator(60, true), Indicator::Good);
        assert_eq!(onset_indicator(60, false), Indicator::Between);
        assert_eq!(onset_indicator(61, true), Indicator::Poor);
        assert_eq!(awakenings_indicator(2, true), Indicator::Good);
        assert_eq!(awakenings_indicator(2, false), Indicator::Between);
    }

    #[test]
    fn help_is_mentioned_only_when_days_suffer() {
        assert!(mention_sleep_help([3, 4, 0, 3], true));
        assert!(!mention_sleep_help([3, 4, 0, 3], false));
        assert!(!mention_sleep_help([3, 2, 0, 7], true));
    }
}
