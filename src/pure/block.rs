//! The plan of training weeks: the checked form of `block.toml`, and what is planned on a date.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveTime};

use super::region::Region;

mod calendar;
mod dated;
mod part;
mod read;
mod shipped;
#[cfg(test)]
mod tests;
mod write;

pub use calendar::PlannedPart;
pub use dated::{Dated, DatedSession};
pub use read::parse;
pub use shipped::{SHIPPED, next_monday, shipped};
pub use write::{add_shift, set_start};

/// A plan of several weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Its name.
    pub name: String,
    /// First day; weeks run from its weekday.
    pub starts: NaiveDate,
    /// Phases in order.
    pub phases: Vec<Phase>,
    /// Sessions by id.
    pub sessions: BTreeMap<String, Session>,
    /// Moves of the later part of the block, in the order they were made.
    pub shifts: Vec<Shift>,
    /// What the person's calendar says about its dates; nothing of it is in the file.
    pub dated: Dated,
}

/// Some weeks with the same week plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// How many weeks, at least 1.
    pub weeks: u32,
    /// Session ids by days from Monday; empty = rest.
    pub week: [Vec<String>; 7],
}

/// A move: everything planned on or after `from` moves later by `days`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shift {
    /// First calendar day that moves.
    pub from: NaiveDate,
    /// By how many days, at least 1.
    pub days: u32,
}

/// One planned training.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    /// Its id in the block.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Planned RPE of the whole session, 0 to 10 in half points.
    pub rpe: f64,
    /// Regions loaded, with emphasis 1 to 3.
    pub regions: BTreeMap<Region, u8>,
    /// Usual time of day.
    pub at: Option<NaiveTime>,
    /// Minutes including rests, if the coach gave them; else they follow from the parts.
    pub minutes: Option<u32>,
    /// Parts in order.
    pub parts: Vec<Part>,
}

/// A part of a session, before the week of the phase is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its title; the kind's own words where the coach gave none.
    pub title: String,
    /// What is done.
    pub work: Work,
    /// Regions this part loads, if it differs from the session's.
    pub regions: Option<Vec<Region>>,
    /// The work in week 1, 2, 3 ... of the phase; weeks beyond the list use its last entry. Empty =
    /// the same every week.
    pub by_week: Vec<Work>,
}

/// What is done in a part.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// Work and rest by the clock.
    Intervals {
        /// Rounds.
        rounds: u32,
        /// Seconds of work a round.
        work_s: u32,
        /// Seconds of rest a round.
        rest_s: u32,
        /// Moves, in turn.
        moves: Vec<String>,
    },
    /// As many rounds of the moves as fit the minutes.
    TimedRounds {
        /// Minutes.
        minutes: u32,
        /// Moves of a round.
        moves: Vec<String>,
        /// Repetitions of each move.
        reps: u32,
    },
    /// Sets of repetitions; several moves make a complex, done without putting the weight down.
    Sets {
        /// Sets.
        sets: u32,
        /// Repetitions of each move.
        reps: u32,
        /// Moves of a set.
        moves: Vec<String>,
        /// Seconds of rest between sets.
        rest_s: u32,
    },
    /// A steady effort.
    Steady {
        /// Minutes.
        minutes: u32,
    },
}

impl Work {
    /// The word for the kind in files and machine output.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Intervals { .. } => "intervals",
            Self::TimedRounds { .. } => "timed_rounds",
            Self::Sets { .. } => "sets",
            Self::Steady { .. } => "steady",
        }
    }

    /// Seconds the part takes. Sets are counted with 4 s a repetition and their rest (common practice,
    /// no source); everything else is exact.
    pub fn seconds(&self) -> u32 {
        match self {
            Self::Intervals {
                rounds,
                work_s,
                rest_s,
                ..
            } => rounds * (work_s + rest_s),
            Self::TimedRounds { minutes, .. } | Self::Steady { minutes } => minutes * 60,
            Self::Sets {
                sets,
                reps,
                moves,
                rest_s,
            } => {
                let moves = u32::try_from(moves.len().max(1)).unwrap_or(1);
                sets * (reps * moves * 4 + rest_s)
            }
        }
    }
}

/// Where a date falls in the block.
#[derive(Clone, Debug, PartialEq)]
pub struct DayPlan<'b> {
    /// Training, rest or outside.
    pub kind: DayKind,
    /// Sessions planned, in the order written; empty unless training.
    pub sessions: Vec<&'b Session>,
    /// The phase, unless outside.
    pub phase: Option<&'b Phase>,
    /// Week within the phase, from 1.
    pub week: Option<u32>,
    /// Week over the block, from 1.
    pub block_week: Option<u32>,
}

/// What kind of day it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayKind {
    /// Something is planned.
    Training,
    /// In the block, nothing planned.
    Rest,
    /// Before the block, after it, or in a pause made by moving it.
    Outside,
}

impl DayKind {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Training => "training",
            Self::Rest => "rest",
            Self::Outside => "outside",
        }
    }
}
