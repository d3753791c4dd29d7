//! Nights to come as a calendar, so that a phone reminds too.

use std::path::Path;

use chrono::{Days, NaiveDate};

use super::super::{Context, Said};
use super::written;
use crate::pure::agenda::Plan;
use crate::pure::civil::Night;
use crate::pure::exchange::calendar::{Earlier, NightEvent, WindDown, write_nights};
use crate::shell::failure::Failure;
use crate::shell::random::export_owner;

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
    let text = write_nights(&nights, &owner, &earlier, now);
    let said = written("nights", nights.len(), text.as_bytes(), file)?;
    earlier.then(&text);
    let today = plan.tonight(now).evening();
    if let Some(first) = today.checked_sub_days(Days::new(REMEMBERED_DAYS)) {
        earlier.forget_before(Night(first));
    }
    store.set_fact(EXPORTED, &earlier.text(), now)?;
    Ok(said)
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
