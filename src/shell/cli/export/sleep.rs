//! Recorded nights as open data points.

use std::collections::BTreeMap;
use std::path::Path;

use chrono::NaiveDate;

use super::super::{Context, Said};
use super::{whole_span, written};
use crate::pure::civil::{Night, Zone};
use crate::pure::exchange::sleep_schema::{SleepNight, sleep_points};
use crate::shell::failure::Failure;
use crate::shell::random::export_owner;
use crate::shell::store::MorningRow;

pub(super) fn run(
    context: &Context,
    file: &Path,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let mut store = context.store()?;
    let (first, last) = whole_span();
    let rows = store.morning_rows(Night(from.unwrap_or(first)), Night(to.unwrap_or(last)))?;
    // Taken over from the plan with one key: nothing the person said about the night.
    let rows: Vec<&MorningRow> = rows.iter().filter(|row| !row.morning.estimated).collect();
    let zones: BTreeMap<&str, Zone> = rows
        .iter()
        .map(|row| {
            let name = row.morning.zone.as_str();
            let zone = world.zones.load(name);
            (name, zone.unwrap_or_else(|_| world.zone.clone()))
        })
        .collect();
    let nights: Vec<SleepNight<'_>> = rows
        .iter()
        .map(|row| SleepNight {
            night: row.morning.night,
            zone: zones.get(row.morning.zone.as_str()).unwrap_or(&world.zone),
            times: &row.morning.times,
            recorded_at: row.at,
        })
        .collect();
    let points = sleep_points(&nights, &export_owner(&mut store, now)?);
    let count = points.as_array().map_or(0, Vec::len);
    written(
        "data points",
        count,
        format!("{points:#}\n").as_bytes(),
        file,
    )
}
