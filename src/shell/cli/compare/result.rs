//! `compare result`: the pairs themselves, the exact test, and what it cannot tell.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::{Context, Said, name, newest};
use crate::pure::civil::Night;
use crate::pure::compare::{
    Arm, CAVEATS, Comparison, DrawnPair, Has, Planned, gather, last_night, peeking_text, result,
};
use crate::pure::diary::Morning;
use crate::pure::routine::library::Library;
use crate::shell::failure::Failure;
use crate::shell::store::{EveningRow, Store};

/// When to look.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Look before the last night is recorded; what that costs is said with it
    #[arg(long)]
    early: bool,
}

/// Shows what came out.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let planned = newest(context)?.planned;
    let store = context.store()?;
    let recorded = Recorded::read(&store, &planned)?;
    let plan = world.plan();
    let tonight = plan.tonight(now);
    let finished = recorded.finished(&planned, tonight);
    // Pairs to come are no missing ones, and their order is not told.
    let due: Vec<DrawnPair> = planned
        .pairs
        .iter()
        .filter(|pair| {
            let second = pair.first_night.next();
            second < tonight && planned.on(second).is_some()
        })
        .copied()
        .collect();
    let gathered = gather(&due, |night| recorded.value(&planned, night));
    let peeking = (!finished).then(|| peeking_text(gathered.pairs.len(), planned.pairs.len()));
    if let (Some(peeking), false) = (&peeking, arguments.early) {
        return Err(Failure::failed(format!(
            "{peeking} Wait for the last night, {}, or look all the same with --early.",
            last_night(&planned.pairs).map_or_else(String::new, |last| last.to_string())
        )));
    }
    let Some(comparison) = result(planned.outcome, &gathered) else {
        return Err(Failure::failed(format!(
            "No pair of nights is complete: {} of {} past pairs have a night without {}. evenfall morning --night DATE records one.",
            gathered.dropped,
            due.len(),
            planned.outcome.words()
        )));
    };
    let shown = Shown {
        planned: &planned,
        due: &due,
        recorded: &recorded,
        library: &world.library,
        comparison: &comparison,
        peeking: peeking.as_deref(),
    };
    Ok(Said {
        text: shown.words(),
        json: shown.json(),
    })
}

/// What the store holds of the drawn nights.
struct Recorded {
    mornings: BTreeMap<Night, Morning>,
    evenings: Vec<EveningRow>,
}

impl Recorded {
    fn read(store: &Store, planned: &Planned) -> Result<Self, Failure> {
        let first = planned.nights().map(|(night, _)| night).min();
        let (Some(first), Some(last)) = (first, last_night(&planned.pairs)) else {
            return Err(Failure::failed(
                "The comparison has no nights. evenfall compare stop ends it.",
            ));
        };
        let mornings = store.mornings(first, last)?;
        Ok(Self {
            mornings: mornings
                .into_iter()
                .map(|morning| (morning.night, morning))
                .collect(),
            evenings: store.evenings_since(first)?,
        })
    }

    /// The value of a night; nothing for nights after a stop, which had nothing drawn.
    fn value(&self, planned: &Planned, night: Night) -> Option<f64> {
        planned.on(night)?;
        planned.outcome.of(self.mornings.get(&night)?)
    }

    /// Over, and its last night recorded or its morning past.
    fn finished(&self, planned: &Planned, tonight: Night) -> bool {
        let Some(last) = last_night(&planned.pairs) else {
            return true;
        };
        let given = self.value(planned, last).is_some();
        planned.stopped.is_none() && planned.is_over(tonight) && (given || last.next() < tonight)
    }

    /// Whether a night went as drawn.
    fn as_drawn(&self, planned: &Planned, night: Night) -> bool {
        let Some(arm) = planned.on(night) else {
            return false;
        };
        let mut begun = self
            .evenings
            .iter()
            .filter(|evening| evening.night == night && evening.done_s > 0);
        match planned.has(arm) {
            Has::Nothing => begun.next().is_none(),
            Has::Evening(id) => begun.any(|evening| evening.routine == *id && evening.is_done()),
            Has::Pattern(id) => begun.any(|evening| evening.pattern == *id && evening.is_done()),
        }
    }
}

struct Shown<'r> {
    planned: &'r Planned,
    due: &'r [DrawnPair],
    recorded: &'r Recorded,
    library: &'r Library,
    comparison: &'r Comparison,
    peeking: Option<&'r str>,
}

impl Shown<'_> {
    fn sentences(&self) -> Vec<String> {
        let name = |arm| name(self.library, self.planned.has(arm));
        let mut said = self.comparison.sentences(&name(Arm::A), &name(Arm::B));
        let nights: Vec<Night> = self
            .complete()
            .flat_map(|pair| [pair.first_night, pair.first_night.next()])
            .collect();
        let otherwise = nights
            .iter()
            .filter(|night| !self.recorded.as_drawn(self.planned, **night))
            .count();
        if otherwise > 0 {
            said.push(format!(
                "On {otherwise} of the {} nights the evening did not go as drawn; they count as drawn, because taking them out would undo the lot.",
                nights.len()
            ));
        }
        said
    }

    /// Pairs with both nights recorded.
    fn complete(&self) -> impl Iterator<Item = &DrawnPair> {
        let value = |night| self.recorded.value(self.planned, night);
        self.due.iter().filter(move |pair| {
            let (a, b) = pair.nights();
            value(a).is_some() && value(b).is_some()
        })
    }

    fn words(&self) -> String {
        let name = |arm| name(self.library, self.planned.has(arm));
        let mut text = String::new();
        if let Some(peeking) = self.peeking {
            text.push_str(&format!("{peeking}\n\n"));
        }
        text.push_str(&format!(
            "A: {}\nB: {}\n{}, pair by pair:\n\n  nights from     A     B  A less B\n",
            name(Arm::A),
            name(Arm::B),
            self.planned.outcome.words(),
        ));
        for (pair, (a, b)) in self.complete().zip(&self.comparison.pairs) {
            text.push_str(&format!(
                "  {}  {a:>6} {b:>5}  {:>+8}\n",
                pair.first_night,
                a - b
            ));
        }
        text.push('\n');
        for sentence in self.sentences() {
            text.push_str(&format!("{sentence}\n"));
        }
        text.push('\n');
        for caveat in CAVEATS {
            text.push_str(&format!("{caveat}\n"));
        }
        text
    }

    fn json(&self) -> Value {
        let planned = self.planned;
        let pairs: Vec<Value> = self
            .due
            .iter()
            .map(|pair| {
                let (night_a, night_b) = pair.nights();
                let value = |night| self.recorded.value(planned, night);
                let (a, b) = (value(night_a), value(night_b));
                json!({
                    "night_a": night_a.to_string(), "night_b": night_b.to_string(), "a": a, "b": b,
                    "difference": a.zip(b).map(|(a, b)| a - b),
                })
            })
            .collect();
        let Comparison {
            dropped,
            test,
            interval,
            smallest_p,
            lag1,
            ..
        } = self.comparison;
        json!({
            "a": planned.a.id(),
            "b": planned.b.id(),
            "outcome": planned.outcome.id(),
            "finished": self.peeking.is_none(),
            "pairs_planned": planned.pairs.len(),
            "pairs_complete": self.comparison.pairs.len(),
            "pairs_dropped": dropped,
            "pairs": pairs,
            "mean_difference": test.mean_difference,
            "p": test.p,
            "arrangements": test.arrangements.to_string(),
            "at_least_as_extreme": test.at_least_as_extreme.to_string(),
            "smallest_p": smallest_p,
            "interval": interval.map(|interval| json!({
                "percent": interval.percent, "lower": interval.lower, "upper": interval.upper,
            })),
            "lag1_autocorrelation": lag1,
            "sentences": self.sentences(),
            "caveats": CAVEATS,
            "peeking": self.peeking,
        })
    }
}
