//! What one evening does: held sides in order, then whole breaths.

use super::pattern::Pattern;
use super::stretch::{Position, Side};

/// Seconds to change to the next hold within a position.
pub const CHANGE_S: u32 = 5;

/// Seconds to change to the next hold where the position changes, and to get into the first one.
pub const CHANGE_POSITION_S: u32 = 10;

/// Seconds to get into a hold, given the position before it. Both lengths are our own design choice.
pub fn change_s(before: Option<Position>, next: Position) -> u32 {
    if before == Some(next) {
        CHANGE_S
    } else {
        CHANGE_POSITION_S
    }
}

/// One held side of a stretch within a routine.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The stretch's id.
    pub stretch: String,
    /// Which side.
    pub side: Side,
    /// Seconds held.
    pub hold_s: u32,
    /// Seconds to get into it before the hold.
    pub change_s: u32,
}

/// What one evening does: stretches, then a pattern for a whole number of breaths.
#[derive(Clone, Debug, PartialEq)]
pub struct Routine {
    /// `composed`, or the id of a coach's evening.
    pub id: String,
    /// Held sides in order.
    pub steps: Vec<Step>,
    /// The pattern.
    pub pattern: Pattern,
    /// How many whole breaths.
    pub cycles: u32,
}

impl Routine {
    /// Length of the stretching with its changes, milliseconds.
    pub fn stretching_ms(&self) -> u64 {
        let seconds = self
            .steps
            .iter()
            .map(|step| u64::from(step.hold_s) + u64::from(step.change_s));
        seconds.sum::<u64>() * 1000
    }

    /// Length of the breathing, milliseconds.
    pub fn breathing_ms(&self) -> u64 {
        u64::from(self.cycles) * u64::from(self.pattern.cycle_ms())
    }

    /// The ids of the stretches in order; the sides of one count once.
    pub fn stretch_ids(&self) -> Vec<String> {
        let mut ids: Vec<String> = self.steps.iter().map(|step| step.stretch.clone()).collect();
        ids.dedup();
        ids
    }

    /// Length of the whole, milliseconds.
    pub fn total_ms(&self) -> u64 {
        self.stretching_ms() + self.breathing_ms()
    }

    /// Length of the whole in seconds, rounded up: what has to fit before lights out.
    pub fn seconds(&self) -> u64 {
        self.total_ms().div_ceil(1000)
    }
}
