//! `tonight`: the night's plan and the routine, with why.

use serde_json::{Value, json};

use super::{Context, Said};
use crate::pure::agenda::Plan;
pub use crate::pure::phrase::length;
use crate::pure::region::Region;
use crate::pure::routine::library::Library;
use crate::pure::routine::{Pattern, Routine, Side};
use crate::pure::tonight::{Tonight, tonight};
use crate::shell::failure::Failure;
use crate::shell::known;

/// Shows tonight.
pub fn run(context: &Context) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let night = plan.tonight(now);
    let known = known::for_night(&context.store()?, night)?;
    let tonight = tonight(&plan, &world.library, night, now, &known);
    Ok(Said {
        text: words(&plan, &world.library, &tonight),
        json: as_json(&plan, &world.library, &tonight),
    })
}

/// The machine form.
pub fn as_json(plan: &Plan, library: &Library, tonight: &Tonight<'_>) -> Value {
    let zone = plan.zone_of(tonight.night.night);
    let day = &tonight.day;
    json!({
        "night": tonight.night.night.to_string(),
        "timezone": zone.name(),
        "day": {
            "kind": day.kind.id(),
            "session": day.sessions.first().map(|session| &session.id),
            "phase": day.phase.map(|phase| &phase.name),
            "week": day.week,
            "block_week": day.block_week,
        },
        "prompt_at": zone.local(tonight.night.prompt_at).to_rfc3339(),
        "starts_at": zone.local(tonight.night.starts_at).to_rfc3339(),
        "lights_out": tonight.night.bedtime.local.to_rfc3339(),
        "wake": tonight.night.wake.local.to_rfc3339(),
        "in_bed_s": tonight.night.in_bed_s,
        "need_s": tonight.night.need_s(),
        "routine": routine_json(&tonight.routine, library),
        "why": tonight.why,
        "notes": tonight.notes,
    })
}

/// A routine in machine form.
pub fn routine_json(routine: &Routine, library: &Library) -> Value {
    let steps: Vec<Value> = routine
        .steps
        .iter()
        .map(|step| {
            let regions: Vec<&str> = library
                .stretches
                .get(&step.stretch)
                .map(|stretch| stretch.regions.keys().map(|region| region.id()).collect())
                .unwrap_or_default();
            json!({ "id": step.stretch, "side": step.side.id(), "hold_s": step.hold_s, "regions": regions })
        })
        .collect();
    json!({
        "id": routine.id,
        "seconds": routine.seconds(),
        "stretches": steps,
        "pattern": pattern_json(&routine.pattern, routine.cycles),
    })
}

fn pattern_json(pattern: &Pattern, cycles: u32) -> Value {
    let seconds = |ms: u32| {
        let exact = f64::from(ms) / 1000.0;
        if ms.is_multiple_of(1000) {
            json!(ms / 1000)
        } else {
            json!(exact)
        }
    };
    json!({
        "id": pattern.id,
        "inhale_s": seconds(pattern.inhale_ms),
        "hold_s": seconds(pattern.hold_ms),
        "exhale_s": seconds(pattern.exhale_ms),
        "hold_out_s": seconds(pattern.hold_out_ms),
        "cycles": cycles,
        "seconds": u64::from(pattern.cycle_ms()) * u64::from(cycles) / 1000,
    })
}

/// The words of a plan.
pub fn words(plan: &Plan, library: &Library, tonight: &Tonight<'_>) -> String {
    let zone = plan.zone_of(tonight.night.night);
    let clock = |at| zone.local(at).format("%H:%M");
    let night = &tonight.night;
    let mut text = format!(
        "Night of {}\n\n  {}  start\n  {}  lights out\n  {}  wake, {} in bed\n\n",
        night.night.evening().format("%A %-d %B"),
        clock(night.starts_at),
        clock(night.bedtime.at),
        clock(night.wake.at),
        length(night.in_bed_s),
    );
    let day = &tonight.day;
    let titles: Vec<&str> = day
        .sessions
        .iter()
        .map(|session| session.title.as_str())
        .collect();
    match (titles.is_empty(), day.phase) {
        (false, Some(phase)) => text.push_str(&format!(
            "Today: {} ({}, week {})\n",
            titles.join(", "),
            phase.name,
            day.week.unwrap_or(1)
        )),
        (true, Some(phase)) => {
            text.push_str(&format!(
                "Today: rest ({}, week {})\n",
                phase.name,
                day.week.unwrap_or(1)
            ));
        }
        (_, None) => text.push_str("Today is outside the block.\n"),
    }
    text.push_str(&format!("\n{}", routine_words(&tonight.routine, library)));
    if !tonight.why.is_empty() {
        text.push_str(&format!("\n{}\n", tonight.why));
    }
    for note in &tonight.notes {
        text.push_str(&format!("\n{note}\n"));
    }
    text
}

/// A routine as a list, one stretch a line, both sides on one.
pub fn routine_words(routine: &Routine, library: &Library) -> String {
    let mut text = format!(
        "{} of wind-down\n",
        length(i64::try_from(routine.seconds()).unwrap_or(0))
    );
    let mut last: Option<&str> = None;
    for step in &routine.steps {
        if last == Some(step.stretch.as_str()) {
            continue;
        }
        last = Some(&step.stretch);
        let stretch = library.stretches.get(&step.stretch);
        let name = stretch.map_or(step.stretch.as_str(), |stretch| stretch.name.as_str());
        let sides = if step.side == Side::Both {
            ""
        } else {
            " each side"
        };
        let regions: Vec<&str> = stretch
            .iter()
            .flat_map(|stretch| stretch.regions.keys())
            .copied()
            .map(Region::words)
            .collect();
        text.push_str(&format!(
            "  {name}, {} s{sides}  ({})\n",
            step.hold_s,
            regions.join(", ")
        ));
    }
    let breathing = u64::from(routine.pattern.cycle_ms()) * u64::from(routine.cycles) / 1000;
    text.push_str(&format!(
        "  Breathing: {}, {} breaths, {}\n",
        crate::pure::routine::breath::in_words(&routine.pattern),
        routine.cycles,
        length(i64::try_from(breathing).unwrap_or(0))
    ));
    text
}
