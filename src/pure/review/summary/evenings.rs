//! What became of the wind-downs.

use std::collections::BTreeMap;

use super::{Records, Span};
use crate::pure::civil::Night;
use crate::pure::prompt::{Answer, Record, Standing};

/// An evening that was begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EveningDone {
    /// The night it belongs to.
    pub night: Night,
    /// Its length, seconds.
    pub planned_s: u32,
    /// How much of it was done, seconds.
    pub done_s: u32,
}

impl EveningDone {
    fn is_done(&self) -> bool {
        self.done_s >= self.planned_s
    }
}

/// How many evenings came out how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Evenings {
    /// Evenings with a wind-down: shown, missed, or followed without waiting for the prompt.
    pub prompted: u32,
    /// Followed to the end.
    pub done: u32,
    /// Begun and not followed to the end.
    pub partly: u32,
    /// Answered with "not tonight".
    pub declined: u32,
    /// Its time passed without an answer.
    pub missed: u32,
    /// Not over yet.
    pub open: u32,
}

impl Evenings {
    fn add(&mut self, outcome: Outcome) {
        self.prompted += 1;
        match outcome {
            Outcome::Done => self.done += 1,
            Outcome::Partly => self.partly += 1,
            Outcome::Declined => self.declined += 1,
            Outcome::Missed => self.missed += 1,
            Outcome::Open => self.open += 1,
        }
    }
}

/// What became of one evening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Followed to the end.
    Done,
    /// Begun and not followed to the end.
    Partly,
    /// Answered with "not tonight".
    Declined,
    /// Its time passed without an answer.
    Missed,
    /// Not over yet.
    Open,
}

impl Outcome {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Partly => "partly",
            Self::Declined => "declined",
            Self::Missed => "missed",
            Self::Open => "open",
        }
    }
}

/// What became of the evenings of a span that had a wind-down. `tonight` is the night that may still be
/// open.
pub fn outcomes(records: &Records<'_>, span: Span, tonight: Night) -> BTreeMap<Night, Outcome> {
    // Whether an evening that was begun was followed to the end, once at least.
    let mut begun: BTreeMap<Night, bool> = BTreeMap::new();
    for evening in records.evenings {
        *begun.entry(evening.night).or_default() |= evening.is_done();
    }
    let outcome = |night: Night| {
        let outcome = match begun.get(&night) {
            Some(true) => Outcome::Done,
            Some(false) => Outcome::Partly,
            None => by_prompt(records.prompts.get(&night)?, night < tonight)?,
        };
        Some((night, outcome))
    };
    span.days().map(Night).filter_map(outcome).collect()
}

/// Counts the evenings of a span.
pub(super) fn count(records: &Records<'_>, span: Span, tonight: Night) -> Evenings {
    let mut evenings = Evenings::default();
    for outcome in outcomes(records, span, tonight).into_values() {
        evenings.add(outcome);
    }
    evenings
}

fn by_prompt(record: &Record, over: bool) -> Option<Outcome> {
    match record.standing {
        Standing::Answered { answer } => Some(match answer {
            Answer::Done => Outcome::Done,
            Answer::NotTonight => Outcome::Declined,
            Answer::Started if over => Outcome::Partly,
            Answer::Started => Outcome::Open,
        }),
        Standing::Missed { .. } => Some(Outcome::Missed),
        Standing::Open { .. } | Standing::Postponed { .. } if over => Some(Outcome::Missed),
        Standing::Open { .. } | Standing::Postponed { .. } => Some(Outcome::Open),
        // Never on the screen: there is nothing the person could have answered.
        Standing::Waiting => None,
    }
}
