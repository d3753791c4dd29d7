//! `[nights]`: planned bedtimes and wake times.

use std::collections::BTreeSet;
use std::ops::Range;

use chrono::{Datelike, Duration, NaiveTime};

use super::read::zone_name;
use super::{NightOverride, NightTimes, OneOff, day_key};
use crate::pure::civil::{Night, ZoneNames};
use crate::pure::document::{Placed, Section};
use crate::pure::weekday;

/// The longest time in bed that is taken for meant.
const LONGEST_IN_BED: Duration = Duration::hours(16);

pub(super) fn read(root: &Section<'_, '_>, zones: &dyn ZoneNames) -> NightTimes {
    let mut nights = NightTimes::default();
    let Some(section) = root.table("nights") else {
        return nights;
    };
    let general = Written::read(&section);
    nights.bedtime = general
        .bedtime
        .as_ref()
        .map_or(nights.bedtime, |time| time.value);
    nights.wake = general.wake.as_ref().map_or(nights.wake, |time| time.value);
    let general_holds = general.check(&section, nights.bedtime, nights.wake);
    for (key, day) in weekday::KEYS.iter().zip(0..) {
        let want = format!("{key} = {{ bedtime = \"23:15\", wake = \"07:45\" }}");
        let Some(table) = section.table_as(key, &want) else {
            continue;
        };
        let written = Written::read(&table);
        table.finish();
        nights.by_day.insert(day, written.times());
        if general_holds || written.is_whole() {
            let (bedtime, wake) = effective(&nights, [Some(written.times())]);
            written.check(&table, bedtime, wake);
        }
    }
    for table in section.tables("on") {
        one_off(&table, &mut nights, general_holds, zones);
        table.finish();
    }
    nights.alarm_days = alarm_days(&section);
    section.finish_with(weekday::meant_by);
    nights
}

fn one_off(
    table: &Section<'_, '_>,
    nights: &mut NightTimes,
    general_holds: bool,
    zones: &dyn ZoneNames,
) {
    let date = table.date("date");
    let written = Written::read(table);
    let timezone = table
        .text("timezone", "Europe/Oslo")
        .and_then(|name| zone_name(table, name, zones, false));
    let Some(date) = date else {
        if !table.has("date") {
            table.missing(
                "date",
                "Write the date of the evening, for example date = 2026-12-24",
            );
        }
        return;
    };
    if !["bedtime", "wake", "timezone"]
        .iter()
        .any(|key| table.has(key))
    {
        table.complain_here(
            format!("the night of {} differs in nothing", date.value),
            "Write bedtime, wake or timezone, or remove the table",
        );
    }
    if general_holds || written.is_whole() {
        let weekday = nights.by_day.get(&day_key(date.value.weekday())).copied();
        let (bedtime, wake) = effective(nights, [Some(written.times()), weekday]);
        written.check(table, bedtime, wake);
    }
    let night = OneOff {
        times: written.times(),
        timezone,
    };
    if nights.on.insert(date.value, night).is_some() {
        table.complain(
            &date.span,
            format!("the night of {} is written twice", date.value),
            "Put its times into one [[nights.on]]",
        );
    }
}

/// Bedtime and wake time from the first override that has them, else the general ones.
fn effective<const N: usize>(
    nights: &NightTimes,
    overrides: [Option<NightOverride>; N],
) -> (NaiveTime, NaiveTime) {
    let first =
        |half: fn(&NightOverride) -> Option<NaiveTime>| overrides.iter().flatten().find_map(half);
    (
        first(|times| times.bedtime).unwrap_or(nights.bedtime),
        first(|times| times.wake).unwrap_or(nights.wake),
    )
}

fn alarm_days(section: &Section<'_, '_>) -> Option<BTreeSet<u8>> {
    let mut days = BTreeSet::new();
    for written in section.texts("alarm_days")? {
        if let Some(day) = weekday::from_key(&written.value) {
            days.insert(day);
            continue;
        }
        let instead = match weekday::meant_by(&written.value) {
            Some(key) => format!("Write \"{key}\""),
            None => "Write mon, tue, wed, thu, fri, sat or sun, each in quotes".to_owned(),
        };
        section.complain(
            &written.span,
            format!("nights.alarm_days: \"{}\" is no weekday", written.value),
            instead,
        );
    }
    Some(days)
}

/// The two times as written in one table.
struct Written {
    bedtime: Option<Placed<NaiveTime>>,
    wake: Option<Placed<NaiveTime>>,
}

impl Written {
    fn read(section: &Section<'_, '_>) -> Self {
        Self {
            bedtime: section.time("bedtime"),
            wake: section.time("wake"),
        }
    }

    fn times(&self) -> NightOverride {
        NightOverride {
            bedtime: self.bedtime.as_ref().map(|time| time.value),
            wake: self.wake.as_ref().map(|time| time.value),
        }
    }

    fn is_whole(&self) -> bool {
        self.bedtime.is_some() && self.wake.is_some()
    }

    /// Where a complaint about the pair belongs.
    fn place(&self) -> Option<Range<usize>> {
        self.wake
            .as_ref()
            .or(self.bedtime.as_ref())
            .map(|time| time.span.clone())
    }

    /// Checks the pair that holds with these times in force; complains and says `false` if it cannot be.
    fn check(&self, section: &Section<'_, '_>, bedtime: NaiveTime, wake: NaiveTime) -> bool {
        let Some(place) = self.place() else {
            return true;
        };
        let night = Night(chrono::NaiveDate::default());
        let in_bed = night.wall(wake) - night.wall(bedtime);
        let (bedtime, wake) = (bedtime.format("%H:%M"), wake.format("%H:%M"));
        if in_bed <= Duration::zero() {
            section.complain(
                &place,
                format!("the wake time {wake} is not after the bedtime {bedtime}"),
                "A night runs from noon to noon: write a bedtime and a later wake time within it",
            );
            return false;
        }
        if in_bed > LONGEST_IN_BED {
            section.complain(
                &place,
                format!(
                    "from the bedtime {bedtime} to the wake time {wake} it is {} h {:02} min",
                    in_bed.num_hours(),
                    in_bed.num_minutes() % 60
                ),
                format!("Write times at most {} h apart", LONGEST_IN_BED.num_hours()),
            );
            return false;
        }
        true
    }
}
