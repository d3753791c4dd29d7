//! Nights to come as a calendar, so that a phone reminds too.

use std::path::Path;

use chrono::{Days, NaiveDate};

use super::super::{Context, Said};
use super::written;
use crate::pure::agenda::Plan;
use crate::pure::civil::Night;
use crate::pure::exchange::calendar::{CalledOff, Earlier, NightEvent, WindDown, write_nights};
use crate::pure::phrase::counted;
use crate::shell::failure::Failure;
use crate::shell::random::export_owner;
use crate::shell::world::World;

/// The fact in the store with what was exported of each night: an event's SEQUENCE only rises, and only
/// when it says something new.
const EXPORTED: &str = "nights_exported";

/// Days that an exported night is remembered after it is over.
const REMEMBERED_DAYS: u64 = 400;

pub(super) fn run(
    context: &Context,
    file: &Path,
    from: Option<NaiveDate>,
    days: u32,
) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let first = from.unwrap_or_else(|| plan.tonight(now).evening());
    let nights: Vec<NightEvent> = (0..u64::from(days))
        .filter_map(|number| event(&plan, Night(first.checked_add_days(Days::new(number))?)))
        .collect();
    let mut store = context.store()?;
    let owner = export_owner(&mut store, now)?;
    let mut earlier = match store.fact(EXPORTED)? {
        Some(text) => Earlier::read(text.as_bytes()),
        None => Earlier::default(),
    };
    let tonight = plan.tonight(now);
    let called_off = called_off(&world, &plan, &earlier, &owner, tonight);
    let text = write_nights(&nights, &called_off, &owner, &earlier, now);
    let mut said = written("nights", nights.len(), text.as_bytes(), file)?;
    say_called_off(&mut said, called_off.len());
    earlier.then(&text);
    if let Some(first) = tonight
        .evening()
        .checked_sub_days(Days::new(REMEMBERED_DAYS))
    {
        earlier.forget_before(Night(first));
    }
    store.set_fact(EXPORTED, &earlier.text(), now)?;
    Ok(said)
}

/// Nights of earlier exports that are to come and do not take place any more, whatever span is asked for.
fn called_off(
    world: &World,
    plan: &Plan,
    earlier: &Earlier,
    owner: &str,
    tonight: Night,
) -> Vec<CalledOff> {
    let zones = |name: &str| world.zones.load(name).ok();
    let known = earlier.nights_from(tonight, owner).into_iter();
    known
        .filter(|night| event(plan, *night).is_none())
        .filter_map(|night| earlier.called_off(night, owner, &zones))
        .collect()
}

/// Adds it to what is said, unless the calendar itself went to standard output.
fn say_called_off(said: &mut Said, count: usize) {
    if said.json.is_object() {
        said.json["called_off"] = count.into();
    }
    if count > 0 && !said.text.is_empty() {
        said.text.push_str(&format!(
            "No longer taking place, and called off in it: {}.\n",
            counted(count, "nights")
        ));
    }
}

fn event(plan: &Plan, night: Night) -> Option<NightEvent> {
    let planned = plan.night(night);
    if !planned.takes_place {
        return None;
    }
    Some(NightEvent {
        night,
        wind_down: plan.has_evening(night).then_some(WindDown {
            prompt_at: planned.prompt_at,
            starts_at: planned.starts_at,
        }),
        lights_out: planned.bedtime.at,
        zone: plan.zone_of(night).clone(),
    })
}
