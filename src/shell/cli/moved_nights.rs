//! Nights that are planned differently once: showing them, writing them into the settings with the
//! person's comments kept, and taking them back.

use std::fs;

use chrono::{NaiveDate, NaiveTime};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::ask::{can_ask, yes};
use super::lines::say;
use super::{Context, Said};
use crate::pure::agenda::Plan;
use crate::pure::civil::Instant;
use crate::pure::document::parse_time;
use crate::pure::review::shift::ShiftedNight;
use crate::pure::settings::{NightOverride, OneOff, add_one_off, parse, remove_one_off, time_text};
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::world::World;

/// The fact in the store with what was written, newest last, for taking it back.
const WRITTEN: &str = "nights_written";

/// Whether the nights shown are to be written.
#[derive(Clone, Copy, Debug, Default, clap::Args)]
pub struct Writing {
    /// Write the nights without asking
    #[arg(long)]
    write: bool,
}

/// One writing of nights.
#[derive(Debug, Serialize, Deserialize)]
struct Written {
    command: String,
    nights: Vec<WrittenNight>,
}

#[derive(Debug, Serialize, Deserialize)]
struct WrittenNight {
    date: NaiveDate,
    wrote: Once,
    before: Option<Once>,
}

/// A [`OneOff`] as the store keeps it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Once {
    bedtime: Option<String>,
    wake: Option<String>,
    timezone: Option<String>,
}

impl From<&OneOff> for Once {
    fn from(once: &OneOff) -> Self {
        Self {
            bedtime: once.times.bedtime.map(time_text),
            wake: once.times.wake.map(time_text),
            timezone: once.timezone.clone(),
        }
    }
}

impl From<&Once> for OneOff {
    fn from(once: &Once) -> Self {
        let time = |text: &Option<String>| -> Option<NaiveTime> { parse_time(text.as_deref()?) };
        Self {
            times: NightOverride {
                bedtime: time(&once.bedtime),
                wake: time(&once.wake),
            },
            timezone: once.timezone.clone(),
        }
    }
}

/// Shows the nights and, if the person wants, writes them. `heading` says what they are, `after` what
/// else is to be known.
pub fn show_and_write(
    context: &Context,
    (now, world): (Instant, &World),
    command: &str,
    nights: &[ShiftedNight],
    (heading, after): (&str, &[String]),
    writing: Writing,
) -> Result<Said, Failure> {
    let plan = plan_with(world, nights);
    let mut text = format!("{heading}\n\n{}", table(&plan, nights));
    for line in after {
        text.push_str(&format!("\n{line}\n"));
    }
    let mut asked = false;
    let write = match (nights.is_empty(), writing.write) {
        (true, _) => false,
        (false, true) => true,
        (false, false) if can_ask() && !context.json() => {
            say(&text);
            text.clear();
            asked = true;
            yes("Write these nights into the settings?", false)?
        }
        (false, false) => false,
    };
    if write {
        write_nights(context, world, command, nights, now)?;
        text.push_str(&format!(
            "\nWritten. evenfall {command} --undo takes them back.\n"
        ));
    } else if !nights.is_empty() {
        let how = if asked { "" } else { " --write writes them." };
        text.push_str(&format!("\nNothing was written.{how}\n"));
    }
    Ok(Said {
        text,
        json: json!({ "nights": as_json(&plan, nights), "written": write, "notes": after }),
    })
}

/// The plan as it would be with the nights.
fn plan_with(world: &World, nights: &[ShiftedNight]) -> Plan {
    let mut world = world.clone();
    for night in nights {
        let date = night.night.evening();
        world.settings.nights.on.insert(date, night.once.clone());
    }
    world.plan()
}

fn table(plan: &Plan, nights: &[ShiftedNight]) -> String {
    let mut text = String::new();
    if !nights.is_empty() {
        text.push_str("night             wind-down  lights out  wake   zone\n");
    }
    for shifted in nights {
        let planned = plan.night(shifted.night);
        let zone = plan.zone_of(shifted.night);
        let clock = |at: Instant| zone.local(at).format("%H:%M").to_string();
        text.push_str(&format!(
            "{}    {:<9}  {:<10}  {}  {}\n",
            shifted.night.evening().format("%a %d %b %Y"),
            clock(planned.starts_at),
            clock(planned.bedtime.at),
            clock(planned.wake.at),
            zone.name(),
        ));
    }
    text
}

fn as_json(plan: &Plan, nights: &[ShiftedNight]) -> Vec<Value> {
    let one = |shifted: &ShiftedNight| {
        let planned = plan.night(shifted.night);
        let zone = plan.zone_of(shifted.night);
        json!({
            "night": shifted.night.to_string(),
            "timezone": zone.name(),
            "starts_at": zone.local(planned.starts_at).to_rfc3339(),
            "lights_out": planned.bedtime.local.to_rfc3339(),
            "wake": planned.wake.local.to_rfc3339(),
            "in_bed_s": planned.in_bed_s,
        })
    };
    nights.iter().map(one).collect()
}

fn write_nights(
    context: &Context,
    world: &World,
    command: &str,
    nights: &[ShiftedNight],
    now: Instant,
) -> Result<(), Failure> {
    let mut text = settings_text(context)?;
    for night in nights {
        text = add_one_off(&text, night.night.evening(), &night.once)
            .map_err(|error| Failure::wrong(error.to_string()))?;
    }
    checked(context, world, &text)?;
    // Remembered first: if writing the file fails, taking back finds nothing of it and changes nothing.
    let mut stack = stack(context)?;
    stack.push(Written {
        command: command.to_owned(),
        nights: nights
            .iter()
            .map(|night| WrittenNight {
                date: night.night.evening(),
                wrote: Once::from(&night.once),
                before: night.before.as_ref().map(Once::from),
            })
            .collect(),
    });
    keep(context, &stack, now)?;
    write_settings(context, &text)
}

/// Takes the newest writing of a command back: nights that still are as it wrote them become what they
/// were before; those the person changed since stay.
pub fn undo(context: &Context, command: &str) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let mut stack = stack(context)?;
    let Some(place) = stack.iter().rposition(|written| written.command == command) else {
        return Err(Failure::failed(format!(
            "evenfall {command} has written no nights that could be taken back."
        )));
    };
    let written = stack.remove(place);
    let mut text = settings_text(context)?;
    let (mut back, mut stay) = (Vec::new(), Vec::new());
    for night in &written.nights {
        let standing = world.settings.nights.on.get(&night.date).map(Once::from);
        if standing.as_ref() != Some(&night.wrote) {
            stay.push(night.date);
            continue;
        }
        text = match &night.before {
            Some(before) => add_one_off(&text, night.date, &OneOff::from(before)),
            None => remove_one_off(&text, night.date),
        }
        .map_err(|error| Failure::wrong(error.to_string()))?;
        back.push(night.date);
    }
    checked(context, &world, &text)?;
    write_settings(context, &text)?;
    keep(context, &stack, now)?;
    Ok(said_of_undo(&back, &stay))
}

fn said_of_undo(back: &[NaiveDate], stay: &[NaiveDate]) -> Said {
    let dates = |dates: &[NaiveDate]| {
        let dates: Vec<String> = dates.iter().map(ToString::to_string).collect();
        dates.join(", ")
    };
    let mut text = match back {
        [] => "No night was changed.\n".to_owned(),
        [only] => format!("The night of {only} is as it was before.\n"),
        [first, .., last] => format!(
            "The {} nights from {first} to {last} are as they were before.\n",
            back.len()
        ),
    };
    if !stay.is_empty() {
        text.push_str(&format!(
            "Changed by you since, and left as they are: {}.\n",
            dates(stay)
        ));
    }
    Said {
        text,
        json: json!({
            "restored": back.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "left": stay.iter().map(ToString::to_string).collect::<Vec<_>>(),
        }),
    }
}

fn settings_text(context: &Context) -> Result<String, Failure> {
    let path = context.home().settings();
    fs::read_to_string(&path).map_err(|_| {
        Failure::failed(format!(
            "There is no settings file at {} to write nights into. evenfall setup writes one.",
            path.display()
        ))
    })
}

fn checked(context: &Context, world: &World, text: &str) -> Result<(), Failure> {
    let path = context.home().settings();
    parse(&path.display().to_string(), text, &world.zones)?;
    Ok(())
}

fn write_settings(context: &Context, text: &str) -> Result<(), Failure> {
    let path = context.home().settings();
    write_private(&path, text.as_bytes())
        .map_err(|error| Failure::file("Cannot write", &path, &error))?;
    context.tell_service();
    Ok(())
}

fn stack(context: &Context) -> Result<Vec<Written>, Failure> {
    let kept = context.store()?.fact(WRITTEN)?;
    // A form of a later version reads as nothing to take back.
    Ok(kept
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default())
}

fn keep(context: &Context, stack: &[Written], now: Instant) -> Result<(), Failure> {
    let text = serde_json::to_string(stack)
        .map_err(|error| Failure::failed(format!("Cannot remember what was written: {error}.")))?;
    context.store()?.set_fact(WRITTEN, &text, now)
}
