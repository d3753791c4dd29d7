//! Readiness over a span, and what was done with what it suggested.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Records, Span};
use crate::pure::readiness::Band;
use crate::pure::today::Today;

/// A session counts as trained as suggested up to this share above the suggested load: minutes and
/// effort are rounded when they are recorded (our own design choice).
const TOLERANCE: f64 = 1.1;

/// What a recorded morning meant for its day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JudgedDay {
    /// The day.
    pub date: NaiveDate,
    /// The score as it was known that morning.
    pub score: Option<f64>,
    /// The band after the guards.
    pub band: Band,
    /// Load of the day's sessions as planned, AU; `None` = none planned.
    pub planned: Option<f64>,
    /// Load as suggested, AU.
    pub suggested: Option<f64>,
    /// The person chose to train as planned anyway.
    pub kept: bool,
}

impl JudgedDay {
    /// What a day meant; nothing where no morning was recorded and nothing else spoke against training.
    pub fn of(today: &Today) -> Option<Self> {
        if !today.recorded && today.readiness.guards.is_empty() {
            return None;
        }
        let planned = today.sessions.iter().map(|session| session.planned.load());
        let suggested = today.sessions.iter().map(|session| {
            let suggested = &session.suggestion.session;
            suggested.as_ref().map_or(0.0, |dose| dose.load())
        });
        let any = !today.sessions.is_empty();
        Some(Self {
            date: today.date,
            score: today.readiness.score.score,
            band: today.readiness.band,
            planned: any.then(|| planned.sum()),
            suggested: any.then(|| suggested.sum()),
            kept: today.kept,
        })
    }

    /// Whether less than planned was suggested for its sessions.
    fn is_lowered(&self) -> bool {
        let less = self
            .planned
            .zip(self.suggested)
            .is_some_and(|(planned, suggested)| suggested < planned);
        less || (self.kept && self.planned.is_some() && self.band > Band::AsPlanned)
    }
}

/// What was done on a day with less suggested than planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhatWasDone {
    /// The person said "as planned anyway".
    KeptPlan,
    /// No more was recorded than suggested.
    Followed,
    /// More was recorded than suggested.
    DidMore,
    /// Nothing was recorded.
    Unknown,
}

/// Readiness over a span.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestions {
    /// Mornings with a score.
    pub scored: usize,
    /// Their mean score, in usual spreads.
    pub mean_score: Option<f64>,
    /// Mornings by band.
    pub bands: BTreeMap<Band, u32>,
    /// Days with a session on which less than planned was suggested, by what was done then.
    pub lowered: BTreeMap<WhatWasDone, u32>,
}

impl Suggestions {
    /// Days with a morning, or with something else that speaks against training.
    pub fn judged(&self) -> u32 {
        self.bands.values().sum()
    }

    /// Those of them with less than training as planned suggested, with a session that day or not.
    pub fn judged_lower(&self) -> u32 {
        let lower = |(band, _): &(&Band, &u32)| **band > Band::AsPlanned;
        self.bands
            .iter()
            .filter(lower)
            .map(|(_, count)| count)
            .sum()
    }

    /// Days with a session on which less than planned was suggested.
    pub fn lowered_days(&self) -> u32 {
        self.lowered.values().sum()
    }

    /// How many of them came out a given way.
    pub fn lowered_with(&self, what: WhatWasDone) -> u32 {
        self.lowered.get(&what).copied().unwrap_or(0)
    }
}

pub(super) fn count(records: &Records<'_>, span: Span) -> Suggestions {
    let days: Vec<&JudgedDay> = records
        .days
        .iter()
        .filter(|day| span.has(day.date))
        .collect();
    let scores: Vec<f64> = days.iter().filter_map(|day| day.score).collect();
    let mut bands = BTreeMap::new();
    let mut lowered = BTreeMap::new();
    for day in days {
        *bands.entry(day.band).or_insert(0) += 1;
        if day.is_lowered() {
            *lowered.entry(what_was_done(records, day)).or_insert(0) += 1;
        }
    }
    Suggestions {
        scored: scores.len(),
        mean_score: (!scores.is_empty()).then(|| scores.iter().sum::<f64>() / scores.len() as f64),
        bands,
        lowered,
    }
}

fn what_was_done(records: &Records<'_>, day: &JudgedDay) -> WhatWasDone {
    if day.kept {
        return WhatWasDone::KeptPlan;
    }
    if records.recorded.rest.contains(&day.date) {
        return WhatWasDone::Followed;
    }
    let done = records.recorded.sessions_on(day.date);
    let load: Option<f64> = done.iter().map(|session| session.load()).sum();
    match load.filter(|_| !done.is_empty()) {
        None => WhatWasDone::Unknown,
        Some(load) if load <= day.suggested.unwrap_or(0.0) * TOLERANCE => WhatWasDone::Followed,
        Some(_) => WhatWasDone::DidMore,
    }
}
