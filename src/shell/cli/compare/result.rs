//! `compare result`: the pairs themselves, the exact test, and what it cannot tell.

use serde_json::{Value, json};

use super::{Context, Said, newest};
use crate::pure::compare::{Arm, CAVEATS, Comparison, last_night, peeking_text};
use crate::pure::routine::library::Library;
use crate::shell::compared::{Compared, name};
use crate::shell::failure::Failure;

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
    let compared = Compared::read(&store, &planned, world.plan().tonight(now))?;
    let complete = compared.gathered.pairs.len();
    let peeking = (!compared.finished).then(|| peeking_text(complete, planned.pairs.len()));
    if let (Some(peeking), false) = (&peeking, arguments.early) {
        return Err(Failure::failed(format!(
            "{peeking} Wait for the last night, {}, or look all the same with --early.",
            last_night(&planned.pairs).map_or_else(String::new, |last| last.to_string())
        )));
    }
    let Some(comparison) = compared.result() else {
        return Err(Failure::failed(format!(
            "No pair of nights is complete: {} of {} past pairs have a night without {}. evenfall morning --night DATE records one.",
            compared.gathered.dropped,
            compared.due.len(),
            planned.outcome.words()
        )));
    };
    let shown = Shown {
        compared: &compared,
        library: &world.library,
        comparison: &comparison,
        peeking: peeking.as_deref(),
    };
    Ok(Said {
        text: shown.words(),
        json: shown.json(),
    })
}

struct Shown<'r> {
    compared: &'r Compared<'r>,
    library: &'r Library,
    comparison: &'r Comparison,
    peeking: Option<&'r str>,
}

impl Shown<'_> {
    fn sentences(&self) -> Vec<String> {
        self.compared.sentences(self.comparison, self.library)
    }

    fn words(&self) -> String {
        let name = |arm| name(self.library, self.compared.planned.has(arm));
        let mut text = String::new();
        if let Some(peeking) = self.peeking {
            text.push_str(&format!("{peeking}\n\n"));
        }
        text.push_str(&format!(
            "A: {}\nB: {}\n{}, pair by pair:\n\n  nights from     A     B  A less B\n",
            name(Arm::A),
            name(Arm::B),
            self.compared.planned.outcome.words(),
        ));
        for (pair, (a, b)) in self.compared.complete().zip(&self.comparison.pairs) {
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
        let planned = self.compared.planned;
        let pairs: Vec<Value> = self
            .compared
            .due
            .iter()
            .map(|pair| {
                let (night_a, night_b) = pair.nights();
                let value = |night| self.compared.value(night);
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
