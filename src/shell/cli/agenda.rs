//! `agenda`: every prompt of a span of days.

use chrono::{Days, NaiveDate};
use serde_json::json;

use super::{Context, Said};
use crate::pure::civil::Night;
use crate::shell::daemon::due_json;
use crate::shell::failure::Failure;

/// Which span.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// First date [default: today]
    #[arg(long, value_name = "DATE", value_parser = super::read_date)]
    from: Option<NaiveDate>,
    /// How many days
    #[arg(long, value_name = "N", default_value_t = 7, value_parser = clap::value_parser!(u64).range(1..=4000))]
    days: u64,
}

/// Lists the prompts, from midnight of the first date to midnight after the last.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let first = arguments
        .from
        .unwrap_or_else(|| plan.zone.local(now).date_naive());
    let last = first
        .checked_add_days(Days::new(arguments.days))
        .ok_or_else(|| {
            Failure::wrong("That span ends after the calendar does. Choose an earlier date.")
        })?;
    let midnight = |date: NaiveDate| {
        plan.zone
            .resolve(date.and_time(chrono::NaiveTime::MIN))
            .earlier()
    };
    let prompts = plan.prompts(midnight(first), midnight(last));
    let mut text = String::new();
    for due in &prompts {
        let local = plan
            .zone_of(Night(due.key.night.evening()))
            .local(due.due_at);
        text.push_str(&format!(
            "{}  {:<11} {}\n",
            local.format("%a %Y-%m-%d %H:%M"),
            due.key.kind.id(),
            due.text
        ));
    }
    if prompts.is_empty() {
        text.push_str("No prompts in this span.\n");
    }
    let listed: Vec<_> = prompts
        .iter()
        .map(|due| due_json(due, plan.zone_of(due.key.night)))
        .collect();
    Ok(Said {
        text,
        json: json!({ "prompts": listed }),
    })
}
