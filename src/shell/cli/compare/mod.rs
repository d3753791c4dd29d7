//! `compare`: two evenings against each other, the order of the nights drawn by lot.

mod plan;
mod result;

use serde_json::{Value, json};

use super::{Context, Said};
use crate::pure::civil::Night;
use crate::pure::compare::{Arm, Planned, last_night};
use crate::pure::routine::library::Library;
use crate::shell::compared::name;
use crate::shell::failure::Failure;
use crate::shell::store::ComparisonRow;

/// What to do.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Set one up: two evenings, what is compared, and pairs of nights drawn by lot
    Plan(plan::Arguments),
    /// What came out, once the last night is recorded
    Result(result::Arguments),
    /// How it is set up and what was drawn so far; coming nights are not told
    Show,
    /// End it: from tonight on nothing is drawn any more
    Stop,
}

/// Carries it out.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    match &arguments.what {
        What::Plan(arguments) => plan::run(context, arguments),
        What::Result(arguments) => result::run(context, arguments),
        What::Show => show(context),
        What::Stop => stop(context),
    }
}

fn newest(context: &Context) -> Result<ComparisonRow, Failure> {
    context.store()?.comparison()?.ok_or_else(|| {
        Failure::failed("No comparison is set up. evenfall compare plan sets one up.")
    })
}

fn show(context: &Context) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let row = newest(context)?;
    let tonight = world.plan().tonight(now);
    Ok(Said {
        text: words(&row.planned, &world.library, tonight),
        json: as_json(&row, tonight),
    })
}

fn stop(context: &Context) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let row = newest(context)?;
    let tonight = world.plan().tonight(now);
    if !row.planned.is_running(tonight) {
        return Err(Failure::failed(
            "The comparison is over, so there is nothing to stop. evenfall compare result shows it.",
        ));
    }
    let mut store = context.store()?;
    store.stop_comparison(row.id, tonight, now, &world.zone)?;
    context.tell_service();
    Ok(Said {
        text: format!(
            "The comparison is stopped: from the night of {tonight} on nothing is drawn. What was recorded stays.\n"
        ),
        json: json!({ "stopped_from": tonight.to_string() }),
    })
}

fn words(planned: &Planned, library: &Library, tonight: Night) -> String {
    let mut text = format!(
        "A: {}\nB: {}\nCompared by {}, in {} pairs of nights.\n\n",
        name(library, &planned.a),
        name(library, &planned.b),
        planned.outcome.words(),
        planned.pairs.len(),
    );
    let mut to_come = 0;
    for (night, arm) in planned.nights() {
        if night <= tonight && planned.on(night).is_some() {
            let which = if night == tonight { "  tonight" } else { "" };
            text.push_str(&format!(
                "{}  {}{which}\n",
                night.evening().format("%a %d %b %Y"),
                arm.letter()
            ));
        } else if planned.on(night).is_some() {
            to_come += 1;
        }
    }
    match (planned.stopped, last_night(&planned.pairs)) {
        (Some(from), _) => text.push_str(&format!("Stopped from the night of {from} on.\n")),
        (None, Some(last)) if to_come == 1 => text.push_str(&format!(
            "1 night to come, {last}; it is drawn, and is said on its evening.\n"
        )),
        (None, Some(last)) if to_come > 0 => text.push_str(&format!(
            "{to_come} nights to come, the last on {last}; they are drawn, and each is said on its evening.\n"
        )),
        _ => text.push_str("All nights are over: evenfall compare result shows what came out.\n"),
    }
    text
}

fn as_json(row: &ComparisonRow, tonight: Night) -> Value {
    let planned = &row.planned;
    let nights: Vec<Value> = planned
        .nights()
        .map(|(night, arm)| {
            let drawn = (night <= tonight).then(|| arm.letter().to_string());
            json!({ "night": night.to_string(), "arm": drawn })
        })
        .collect();
    json!({
        "a": planned.has(Arm::A).id(),
        "b": planned.has(Arm::B).id(),
        "outcome": planned.outcome.id(),
        "pairs": planned.pairs.len(),
        "nights": nights,
        "last_night": last_night(&planned.pairs).map(|last| last.to_string()),
        "running": planned.is_running(tonight),
        "stopped_from": planned.stopped.map(|from| from.to_string()),
        "seed": row.seed,
    })
}
