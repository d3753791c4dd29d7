//! When to suggest moving the rest of the block back a week.

use chrono::{Days, NaiveDate};

use crate::pure::readiness::Band;

/// Why the block should wait.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Recovery only, or worse, yesterday and today.
    TwoRecoveryDays,
    /// Eased, or less, on so many of the last seven days.
    EasedDays(usize),
}

/// The suggestion to move the rest of the block back a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoveBack {
    /// Why.
    pub why: Why,
    /// The person recorded being ill.
    pub unwell: bool,
}

impl MoveBack {
    /// The suggestion in words.
    pub fn sentence(&self) -> String {
        let why = match self.why {
            Why::TwoRecoveryDays => "Two recovery days in a row".to_owned(),
            Why::EasedDays(days) => format!("Eased or less on {days} of the last 7 days"),
        };
        let clinician = if self.unwell {
            " As you feel unwell, consider asking a clinician."
        } else {
            ""
        };
        format!(
            "{why}: consider moving the rest of the block back a week (`evenfall block shift 7`; what is done stays where it is).{clinician}"
        )
    }
}

/// Whether to suggest it: two recovery days in a row, or eased or less on four of the last seven days
/// (our own design choice). `bands` holds the band of every day that had one, in any order; leave out
/// days before the block was last moved, so that one bad week is not held against two.
pub fn move_back(bands: &[(NaiveDate, Band)], today: NaiveDate, unwell: bool) -> Option<MoveBack> {
    let on = |date: NaiveDate| {
        bands
            .iter()
            .filter(|(known, _)| *known == date)
            .map(|(_, band)| *band)
            .max()
    };
    let day_before = today - Days::new(1);
    let recovering = |date| on(date).is_some_and(|band| band >= Band::RecoverOnly);
    let why = if recovering(today) && recovering(day_before) {
        Why::TwoRecoveryDays
    } else {
        let eased = (0..7)
            .filter_map(|ago| on(today - Days::new(ago)))
            .filter(|band| *band >= Band::Ease)
            .count();
        if eased < 4 {
            return None;
        }
        Why::EasedDays(eased)
    };
    Some(MoveBack { why, unwell })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bands(of: &[Band]) -> Vec<(NaiveDate, Band)> {
        let first = NaiveDate::from_ymd_opt(2026, 1, 5).expect("date");
        first.iter_days().zip(of.iter().copied()).collect()
    }

    fn on_last(of: &[Band]) -> Option<Why> {
        let bands = bands(of);
        let today = bands.last().expect("a day").0;
        move_back(&bands, today, false).map(|found| found.why)
    }

    #[test]
    fn two_recovery_days_or_four_eased_of_seven() {
        use Band::{AsPlanned as P, Ease as E, RecoverOnly as R, StopAndSeekHelp as S, Trim as T};
        assert_eq!(on_last(&[P, R, R]), Some(Why::TwoRecoveryDays));
        assert_eq!(on_last(&[R, S]), Some(Why::TwoRecoveryDays));
        assert_eq!(on_last(&[R, P, R]), None);
        assert_eq!(on_last(&[R, R, P]), None);
        assert_eq!(on_last(&[E, P, E, P, R, P, E]), Some(Why::EasedDays(4)));
        assert_eq!(on_last(&[E, E, E, E, T, T, T]), Some(Why::EasedDays(4)));
        assert_eq!(on_last(&[E, E, E, E, T, T, T, T]), None);
        assert_eq!(on_last(&[T; 7]), None);
    }

    #[test]
    fn an_unknown_day_breaks_the_row() {
        let mut known = bands(&[Band::RecoverOnly; 3]);
        known.remove(1);
        let today = known[1].0;
        assert_eq!(move_back(&known, today, false), None);
    }

    #[test]
    fn a_clinician_is_named_only_when_unwell() {
        let known = bands(&[Band::RecoverOnly; 2]);
        let sentence = |unwell| {
            move_back(&known, known[1].0, unwell)
                .expect("suggested")
                .sentence()
        };
        assert!(sentence(true).contains("clinician"));
        assert!(!sentence(false).contains("clinician"));
    }
}
