//! `status`: what is next, whether the service runs, standing complaints, versions.

use chrono::{DateTime, NaiveDate};
use serde_json::{Value, json};

use super::{Context, Said};
use crate::pure::civil::ZoneSource;
use crate::pure::prompt::Kind;
use crate::shell::control::Request;
use crate::shell::daemon::{due_json, kind_words};
use crate::shell::failure::Failure;
use crate::shell::world::{Checked, World};

/// Reports; broken files are part of the report, not a failure.
pub fn run(context: &Context) -> Result<Said, Failure> {
    let now = context.rough_now()?;
    let Checked {
        world,
        mut complaints,
        routine_complaints,
    } = World::check(context.home(), now)?;
    complaints.extend(routine_complaints);
    let service = context.ask(&Request::Status)?;
    let status = service.and_then(|reply| reply.status);
    let plan = world.plan();
    let next = plan.next_after(now);
    let complaints: Vec<String> = complaints.iter().map(ToString::to_string).collect();
    let data = world.zones.versions();
    let source = match world.zone.source() {
        ZoneSource::System => "system",
        ZoneSource::Embedded => "embedded",
    };
    let json = json!({
        "running": status.is_some(),
        "service": status,
        "next": next.as_ref().map(|due| due_json(due, plan.zone_of(due.key.night))),
        "complaints": complaints,
        "timezone": { "name": world.zone.name(), "source": source },
        "versions": {
            "evenfall": env!("CARGO_PKG_VERSION"),
            "zone_data": data.system,
            "zone_data_embedded": data.embedded,
            "sqlite": rusqlite::version(),
        },
    });
    let mut text = String::new();
    match &status {
        Some(status) => text.push_str(&format!("The service runs (process {}).\n", status["pid"])),
        None => text.push_str(&format!(
            "The service does not run; no prompt will show. Start it with: {}\n",
            crate::shell::daemon::start_command(context.home())
        )),
    }
    let nothing_shows = status.as_ref().map(|status| &status["nothing_shows"]);
    if let Some(why) = nothing_shows.and_then(Value::as_str) {
        text.push_str(&format!("{why}\n"));
    }
    if let Some(page) = status.as_ref().and_then(|status| status["page"].as_str()) {
        text.push_str(&format!(
            "The page: {page} (evenfall page --open signs a browser in)\n"
        ));
    }
    if let Some(due) = &next {
        let local = plan.zone_of(due.key.night).local(due.due_at);
        text.push_str(&format!(
            "Next: {}, {}\n",
            due.text,
            local.format("%A %-d %B %H:%M")
        ));
    }
    for prompt in status
        .as_ref()
        .and_then(|status| status["standing"].as_array())
        .into_iter()
        .flatten()
    {
        text.push_str(&standing_words(prompt));
        text.push('\n');
    }
    for complaint in &complaints {
        text.push_str(&format!("{complaint}\n"));
    }
    text.push_str(&format!(
        "Zone: {} ({source} data {})\nVersions: evenfall {}, SQLite {}\n",
        world.zone.name(),
        json["versions"]["zone_data"].as_str().unwrap_or("unknown"),
        env!("CARGO_PKG_VERSION"),
        rusqlite::version()
    ));
    Ok(Said { text, json })
}

/// A prompt that waits, in words. What the service said is another process's: where it cannot be read, it
/// stands as it is.
fn standing_words(prompt: &Value) -> String {
    let [kind, night, until] =
        ["kind", "night", "later_until"].map(|key| prompt[key].as_str().unwrap_or("?"));
    let kind = Kind::from_id(kind).map_or(kind, |kind| kind_words(kind));
    let night = match night.parse::<NaiveDate>() {
        Ok(night) => night.format("%A %-d %B").to_string(),
        Err(_) => night.to_owned(),
    };
    let prompt_words = format!("the {kind} prompt of {night}");
    match DateTime::parse_from_rfc3339(until) {
        Ok(until) => format!(
            "Put off, comes again at {}: {prompt_words}",
            until.format("%H:%M")
        ),
        Err(_) => format!("Waiting for your answer: {prompt_words}"),
    }
}
