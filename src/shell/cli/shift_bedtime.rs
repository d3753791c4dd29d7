//! `shift-bedtime`: nights that move bedtime in small steps, shown before they are written.

use chrono::{NaiveDate, NaiveTime};

use super::moved_nights::{Writing, show_and_write, undo};
use super::{Context, Said};
use crate::pure::civil::Night;
use crate::pure::diary::time_as_typed;
use crate::pure::phrase::counted;
use crate::pure::review::shift::{ShiftPlan, Steps, shift_plan};
use crate::pure::settings::time_text;
use crate::shell::failure::Failure;

const COMMAND: &str = "shift-bedtime";

/// Where to, and by when.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The new bedtime
    #[arg(long, value_name = "TIME", value_parser = read_time, required_unless_present = "undo")]
    to: Option<NaiveTime>,
    /// The night on which it is to be reached
    #[arg(long, value_name = "DATE", value_parser = super::read_date, required_unless_present = "undo")]
    by: Option<NaiveDate>,
    #[command(flatten)]
    writing: Writing,
    /// Take back the nights written last
    #[arg(long, conflicts_with_all = ["to", "by", "write"])]
    undo: bool,
}

/// Reads a time of day.
pub fn read_time(text: &str) -> Result<NaiveTime, String> {
    time_as_typed(text).ok_or_else(|| "Write hours and minutes, for example 22:00".to_owned())
}

/// Shows or writes the nights, or takes them back.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (Some(to), Some(by), false) = (arguments.to, arguments.by, arguments.undo) else {
        return undo(context, COMMAND);
    };
    let (now, world) = context.open()?;
    let from = world.plan().tonight(now);
    if Night(by) < from {
        return Err(Failure::wrong(format!(
            "--by {by}: that night is over. Write the date of tonight, {from}, or a later one."
        )));
    }
    let nights = &world.settings.nights;
    let plan = shift_plan(nights, from, to, Night(by), Steps::default());
    let (heading, after) = words(&plan, from, to);
    show_and_write(
        context,
        (now, &world),
        COMMAND,
        &plan.nights,
        (&heading, &after),
        arguments.writing,
    )
}

fn words(plan: &ShiftPlan, from: Night, to: NaiveTime) -> (String, Vec<String>) {
    let at = time_text(to);
    if plan.nights.is_empty() {
        let heading = format!("Bedtime is {at} on the night of {from} already.");
        return (heading, Vec::new());
    }
    let (way, step) = if plan.shift_min < 0 {
        ("earlier", Steps::default().earlier_min)
    } else {
        ("later", Steps::default().later_min)
    };
    let heading = format!(
        "From the bedtime of {from} to {at} it is {} {way}, at most {step} minutes a night:",
        counted(plan.shift_min.abs(), "minutes")
    );
    let mut after = Vec::new();
    if plan.late_by > 0 {
        after.push(format!(
            "With steps of {step} minutes {at} is reached on {}, {} later than asked for.",
            plan.reached,
            if plan.late_by == 1 {
                "a night".to_owned()
            } else {
                format!("{} nights", plan.late_by)
            },
        ));
    }
    after.push(format!(
        "From the night after {} on your usual times are back; to stay with {at}, change bedtime in the settings.",
        plan.reached
    ));
    (heading, after)
}
