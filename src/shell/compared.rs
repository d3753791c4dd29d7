//! A comparison of two evenings and what was recorded on its nights.

use std::collections::BTreeMap;

use super::failure::Failure;
use super::store::{EveningRow, Store};
use crate::pure::civil::Night;
use crate::pure::compare::{
    Arm, Comparison, DrawnPair, Gathered, Has, Planned, gather, last_night, result,
};
use crate::pure::diary::Morning;
use crate::pure::review::summary::Span;
use crate::pure::routine::library::Library;

/// A comparison with its records.
#[derive(Debug)]
pub struct Compared<'p> {
    /// How it was set up and drawn.
    pub planned: &'p Planned,
    /// The pairs whose nights are over. Pairs to come are no missing ones, and their order is not told.
    pub due: Vec<DrawnPair>,
    /// Their values.
    pub gathered: Gathered,
    /// Over, with its last night recorded or the day after it begun.
    pub finished: bool,
    mornings: BTreeMap<Night, Morning>,
    evenings: Vec<EveningRow>,
}

impl<'p> Compared<'p> {
    /// Reads what was recorded on its nights up to `tonight`, the night that is not over.
    pub fn read(store: &Store, planned: &'p Planned, tonight: Night) -> Result<Self, Failure> {
        let first = planned.nights().map(|(night, _)| night).min();
        let (Some(first), Some(last)) = (first, last_night(&planned.pairs)) else {
            return Err(Failure::failed(
                "The comparison has no nights. evenfall compare stop ends it.",
            ));
        };
        let mornings = store.mornings(first, last)?;
        let mut found = Self {
            planned,
            due: planned
                .pairs
                .iter()
                .filter(|pair| {
                    let second = pair.first_night.next();
                    second < tonight && planned.on(second).is_some()
                })
                .copied()
                .collect(),
            gathered: Gathered::default(),
            finished: false,
            mornings: mornings
                .into_iter()
                .map(|morning| (morning.night, morning))
                .collect(),
            evenings: store.evenings_since(first)?,
        };
        found.gathered = gather(&found.due, |night| found.value(night));
        let given = found.value(last).is_some() || last.next() < tonight;
        found.finished = planned.stopped.is_none() && planned.is_over(tonight) && given;
        Ok(found)
    }

    /// The value of a night; nothing for nights after a stop, which had nothing drawn.
    pub fn value(&self, night: Night) -> Option<f64> {
        self.planned.on(night)?;
        self.planned.outcome.of(self.mornings.get(&night)?)
    }

    /// What came out so far; nothing without a complete pair.
    pub fn result(&self) -> Option<Comparison> {
        result(self.planned.outcome, &self.gathered)
    }

    /// Pairs with both nights recorded.
    pub fn complete(&self) -> impl Iterator<Item = &DrawnPair> {
        self.due.iter().filter(move |pair| {
            let (a, b) = pair.nights();
            self.value(a).is_some() && self.value(b).is_some()
        })
    }

    /// Whether a night went as drawn.
    fn as_drawn(&self, night: Night) -> bool {
        let Some(arm) = self.planned.on(night) else {
            return false;
        };
        let mut begun = self
            .evenings
            .iter()
            .filter(|evening| evening.night == night && evening.done_s > 0);
        match self.planned.has(arm) {
            Has::Nothing => begun.next().is_none(),
            Has::Evening(id) => begun.any(|evening| evening.routine == *id && evening.is_done()),
            Has::Pattern(id) => begun.any(|evening| evening.pattern == *id && evening.is_done()),
        }
    }

    /// A result in plain sentences, with how many evenings went otherwise than drawn.
    pub fn sentences(&self, comparison: &Comparison, library: &Library) -> Vec<String> {
        let name = |arm| name(library, self.planned.has(arm));
        let mut said = comparison.sentences(&name(Arm::A), &name(Arm::B));
        let nights: Vec<Night> = self
            .complete()
            .flat_map(|pair| [pair.first_night, pair.first_night.next()])
            .collect();
        let otherwise = nights
            .iter()
            .filter(|night| !self.as_drawn(**night))
            .count();
        if otherwise > 0 {
            said.push(format!(
                "On {otherwise} of the {} nights the evening did not go as drawn; they count as drawn, because taking them out would undo the lot.",
                nights.len()
            ));
        }
        said
    }
}

/// What an arm has, to stand in a sentence.
pub fn name(library: &Library, has: &Has) -> String {
    let named = match has {
        Has::Nothing => return "no wind-down".to_owned(),
        Has::Evening(id) => library.evenings.get(id).map(|evening| &evening.name),
        Has::Pattern(id) => library.patterns.get(id).map(|pattern| &pattern.name),
    };
    format!("\"{}\"", named.map_or(has.id(), String::as_str))
}

/// What a look back over a span says of the comparison, if there is one with nights in it: its result once it is over,
/// and before that only until when it runs, because looking early costs.
pub fn in_look_back(
    store: &Store,
    planned: Option<&Planned>,
    library: &Library,
    span: Span,
    tonight: Night,
) -> Result<Vec<String>, Failure> {
    let Some(planned) = planned else {
        return Ok(Vec::new());
    };
    let (first, last) = (planned.pairs.first(), last_night(&planned.pairs));
    let (Some(first), Some(last)) = (first, last) else {
        return Ok(Vec::new());
    };
    // A night counts for the day after it.
    if first.first_night.evening() > span.to || last.next().evening() < span.from {
        return Ok(Vec::new());
    }
    if planned.is_running(tonight) {
        return Ok(vec![format!(
            "Two evenings are being compared by {} until the night of {last}; what came out is told after it.",
            planned.outcome.words()
        )]);
    }
    let compared = Compared::read(store, planned, tonight)?;
    let result = compared.result().filter(|_| compared.finished);
    Ok(result.map_or_else(Vec::new, |result| compared.sentences(&result, library)))
}
