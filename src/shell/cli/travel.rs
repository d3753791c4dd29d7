//! `travel`: nights planned on the clock of another zone, shown before they are written.

use chrono::NaiveDate;

use super::moved_nights::{Writing, show_and_write, undo};
use super::{Context, Said};
use crate::pure::agenda::Plan;
use crate::pure::civil::{Night, Zone};
use crate::pure::review::shift::travel_nights;
use crate::pure::review::timing::wrap_s;
use crate::shell::failure::Failure;

const COMMAND: &str = "travel";

/// The longest journey that is planned night by night.
const MOST_NIGHTS: i64 = 366;

/// Where to, and when.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The zone there, for example America/New_York
    #[arg(long, value_name = "ZONE", required_unless_present = "undo")]
    zone: Option<String>,
    /// First night there, by the date of its evening
    #[arg(long, value_name = "DATE", value_parser = super::read_date, required_unless_present = "undo")]
    from: Option<NaiveDate>,
    /// Last night there
    #[arg(long, value_name = "DATE", value_parser = super::read_date, required_unless_present = "undo")]
    to: Option<NaiveDate>,
    #[command(flatten)]
    writing: Writing,
    /// Take back the nights written last
    #[arg(long, conflicts_with_all = ["zone", "from", "to", "write"])]
    undo: bool,
}

/// Shows or writes the nights, or takes them back.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (Some(name), Some(from), Some(to)) = (&arguments.zone, arguments.from, arguments.to) else {
        return undo(context, COMMAND);
    };
    let (now, world) = context.open()?;
    let there = world.zones.load(name).map_err(|_| {
        Failure::wrong(format!(
            "--zone {name}: there is no such time zone. Write a name such as America/New_York."
        ))
    })?;
    if to < from {
        return Err(Failure::wrong(format!(
            "--to {to} is before --from {from}. Write the last night of the journey, or leave the order as it comes."
        )));
    }
    if (to - from).num_days() >= MOST_NIGHTS {
        return Err(Failure::wrong(format!(
            "That are {} nights. Plan at most {MOST_NIGHTS}; for longer, set timezone in the settings.",
            (to - from).num_days() + 1
        )));
    }
    let nights = travel_nights(&world.settings.nights, from, to, there.name());
    let heading = format!(
        "Bedtime, wake time and prompts by the clock of {}:",
        there.name()
    );
    let after = notes(&world.plan(), &there, from, to);
    show_and_write(
        context,
        (now, &world),
        COMMAND,
        &nights,
        (&heading, &after),
        arguments.writing,
    )
}

/// By how much the clocks differ, and how long the body takes: bedtime can be moved ahead.
fn notes(plan: &Plan, there: &Zone, from: NaiveDate, to: NaiveDate) -> Vec<String> {
    let bedtime = plan.night(Night(from)).bedtime.at;
    let offset = |zone: &Zone| i64::from(zone.offset_at(bedtime).local_minus_utc());
    let ahead_min = (offset(there) - offset(&plan.zone)) / 60;
    let mut notes = Vec::new();
    if ahead_min != 0 {
        let way = if ahead_min > 0 { "ahead of" } else { "behind" };
        notes.push(format!(
            "The clock there is {} {way} yours on {from}.",
            hours(ahead_min.abs())
        ));
    }
    if ahead_min.abs() >= 60 {
        // Beyond 12 hours the shorter way round is the other one.
        let earlier = wrap_s(ahead_min as f64 * 60.0) > 0.0;
        notes.push(format!(
            "Going to bed {} in the nights before, in small steps, makes the change smaller: evenfall shift-bedtime.",
            if earlier { "earlier" } else { "later" }
        ));
    }
    notes.push(format!(
        "From the night after {to} on the clock of {} is back.",
        plan.zone.name()
    ));
    notes
}

fn hours(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}
