//! `today`: readiness, the session as planned and as suggested, cautions, and why.

mod report;
mod words;

use chrono::NaiveDate;
use serde_json::json;

use super::{Context, Said};
use crate::pure::caution::SCREENING;
use crate::pure::civil::Instant;
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::store::Store;
use crate::shell::world::World;

pub(crate) use report::as_json;
pub(crate) use words::done_words;

/// Which days, and what about them.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// First date of a span [default: today]
    #[arg(long, value_name = "DATE", value_parser = super::read_date)]
    from: Option<NaiveDate>,
    /// How many days of it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=4000))]
    days: Option<u64>,
    /// Train as planned anyway; cautions show all the same
    #[arg(long, conflicts_with_all = ["from", "days", "no_keep"])]
    keep: bool,
    /// Take that back: as suggested after all
    #[arg(long, conflicts_with_all = ["from", "days"])]
    no_keep: bool,
}

/// Says what is to be said about today, or about a span of days.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let mut store = context.store()?;
    let today = day::today(&world, now);
    let from = arguments.from.unwrap_or(today);
    if arguments.keep || arguments.no_keep {
        store.keep(today, arguments.keep, now, &world.zone)?;
        context.tell_service();
    }
    let number = world.settings.emergency_number.as_deref();
    let days = day::look(
        &store,
        &world.block,
        number,
        from,
        arguments.days.unwrap_or(1),
        today,
    )?;
    if arguments.from.is_some() || arguments.days.is_some() {
        return Ok(Said {
            text: days.iter().map(words::line).collect(),
            json: json!({ "days": days.iter().map(as_json).collect::<Vec<_>>() }),
        });
    }
    let Some(day) = days.first() else {
        return Err(Failure::wrong(
            "That day is beyond the calendar. Choose an earlier one.",
        ));
    };
    let screening = screening(context, &mut store, now, !day.sessions.is_empty())?;
    let mut text = words::cautions(day);
    text.push_str(&screening);
    text.push_str(&words::day(day, &bests(&store, &world, today)?));
    Ok(Said {
        text,
        json: as_json(day),
    })
}

/// What to ask a clinician about before the first session of all; shown once, to a person.
fn screening(
    context: &Context,
    store: &mut Store,
    now: Instant,
    training: bool,
) -> Result<String, Failure> {
    if context.json() || !training || store.screening_shown()? || store.has_sessions()? {
        return Ok(String::new());
    }
    store.set_screening_shown(now)?;
    Ok(format!("{SCREENING}\n\n"))
}

/// The best counts of every part of the block so far.
fn bests(
    store: &Store,
    world: &World,
    today: NaiveDate,
) -> Result<Vec<crate::pure::load::WeekBest>, Failure> {
    let before = today.pred_opt().unwrap_or(today);
    let first = world.block.starts;
    let rows = store.training(first, before)?;
    let done = crate::shell::store::sessions_of(&rows);
    Ok(crate::pure::load::bests_by_week(&done, first))
}
