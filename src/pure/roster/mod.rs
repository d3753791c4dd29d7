//! Many people's shared days, for a coach: who stopped answering, whose readiness was low for a week,
//! whose load jumped, who reported pain to be seen.
//!
//! Files are read as a stream ([`Reader`]), and of a person only the last weeks stay in memory
//! ([`Roster`]), so the number of days does not matter and ten thousand people take some megabytes.
//! Nothing here ranks people, and nothing says more than what was recorded.

mod people;
mod reading;

pub use people::{Findings, Roster, StoppedAnswering};
pub use reading::{Reader, Row};

/// What counts as worth a coach's look. All four are our own design choices.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// No answer for so many days, the day of looking not counted.
    pub stopped_days: u32,
    /// The mean score of the last seven days is at or below this, in usual spreads; it is the border of
    /// the first band below "as planned".
    pub low_readiness: f64,
    /// It rests on so many scores at least.
    pub least_scores: u32,
    /// The last seven days' load is so much above the mean of the weeks before; 0.5 = by half.
    pub load_above: f64,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            stopped_days: 4,
            low_readiness: -0.75,
            least_scores: 4,
            load_above: 0.5,
        }
    }
}
