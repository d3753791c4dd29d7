//! Zones named in a calendar: by their IANA name, else by the VTIMEZONE the file brings along.

use std::collections::HashMap;

use chrono::{Duration, NaiveDateTime};

use super::component::Component;
use super::faults::{Faults, Place, shown};
use super::rule::{Budget, Refused, Rule};
use super::tzif::{Onset, tzif};
use super::value::{Written, offset, written};
use super::{Limits, ZoneLookup};
use crate::pure::civil::Zone;

/// The zones of one calendar, each looked up once.
pub(super) struct Zones<'c, 't> {
    lookup: &'c ZoneLookup<'c>,
    defined: Vec<&'c Component<'t>>,
    found: HashMap<String, Option<Zone>>,
    /// Transitions are worked out up to here.
    end: NaiveDateTime,
    limits: &'c Limits,
}

impl<'c, 't> Zones<'c, 't> {
    pub(super) fn new(
        calendar: &'c Component<'t>,
        lookup: &'c ZoneLookup<'c>,
        end: NaiveDateTime,
        limits: &'c Limits,
    ) -> Self {
        Self {
            lookup,
            defined: calendar.inner("VTIMEZONE").collect(),
            found: HashMap::new(),
            end,
            limits,
        }
    }

    /// The zone of a name. Where there is none a fault names the place it was asked for, once a name for
    /// each place; a definition that cannot be read is named once.
    pub(super) fn get(
        &mut self,
        name: &str,
        place: Place,
        event: &str,
        budget: &mut Budget,
        faults: &mut Faults<'_>,
    ) -> Option<Zone> {
        if let Some(found) = self.found.get(name) {
            if found.is_none() {
                faults.say(place, unknown(name, event), INSTEAD);
            }
            return found.clone();
        }
        let zone = (self.lookup)(name).or_else(|| {
            let defined = self.definition(name);
            let Some(defined) = defined else {
                faults.say(place, unknown(name, event), INSTEAD);
                return None;
            };
            self.build(name, defined, budget, faults)
        });
        self.found.insert(name.to_owned(), zone.clone());
        zone
    }

    fn definition(&self, name: &str) -> Option<&'c Component<'t>> {
        self.defined
            .iter()
            .find(|zone| zone.first("TZID").is_some_and(|id| id.value.trim() == name))
            .copied()
    }

    /// A zone from the observances of its definition.
    fn build(
        &self,
        name: &str,
        defined: &Component<'_>,
        budget: &mut Budget,
        faults: &mut Faults<'_>,
    ) -> Option<Zone> {
        let mut onsets = Vec::new();
        for observance in &defined.inside {
            if matches!(observance.name.as_str(), "STANDARD" | "DAYLIGHT") {
                match self.onsets(observance, budget) {
                    Ok(more) => onsets.extend(more),
                    Err((place, reason)) => {
                        let what =
                            format!("the time zone {} cannot be used: {reason}", shown(name));
                        faults.say(place, what, "Use an IANA name such as Europe/Oslo as TZID");
                        return None;
                    }
                }
            }
        }
        let made = tzif(onsets).and_then(|octets| Zone::from_tzif(name, &octets).ok());
        if made.is_none() {
            let what = format!("the time zone {} says no offset", shown(name));
            faults.say(
                defined.place,
                what,
                "Use an IANA name such as Europe/Oslo as TZID",
            );
        }
        made
    }

    /// The moments at which an observance begins.
    fn onsets(
        &self,
        observance: &Component<'_>,
        budget: &mut Budget,
    ) -> Result<Vec<Onset>, (Place, String)> {
        let shift = |property| {
            let line = observance
                .first(property)
                .ok_or((observance.place, format!("it has no {property}")))?;
            offset(line.value.trim())
                .ok_or((line.place, format!("`{}` is no offset", shown(line.value))))
        };
        let (from, to) = (shift("TZOFFSETFROM")?, shift("TZOFFSETTO")?);
        let start = observance
            .first("DTSTART")
            .ok_or((observance.place, "an observance has no DTSTART".to_owned()))?;
        let Some(Written::Local(first)) = written(start.value.trim()) else {
            return Err((
                start.place,
                format!("`{}` is no local time", shown(start.value)),
            ));
        };
        let walls = self.walls(observance, first, from, budget)?;
        let daylight = observance.name == "DAYLIGHT";
        let onset = |wall: NaiveDateTime| Onset {
            at: wall.and_utc().timestamp() - i64::from(from),
            from,
            to,
            daylight,
        };
        Ok(walls.into_iter().map(onset).collect())
    }

    /// The same as wall times, which are those in force before the change: `before`, seconds east of UTC.
    fn walls(
        &self,
        observance: &Component<'_>,
        first: NaiveDateTime,
        before: i32,
        budget: &mut Budget,
    ) -> Result<Vec<NaiveDateTime>, (Place, String)> {
        let mut walls = vec![first];
        for line in observance.all("RRULE") {
            let said = |refused| match refused {
                Refused::Wrong(reason) => (line.place, format!("in its RRULE, {reason}")),
                Refused::Limit(reason) => (line.place, reason),
            };
            let rule = Rule::parse(line.value).map_err(said)?;
            let more = rule
                .walls(first, first, self.end, self.limits, budget)
                .map_err(said)?;
            walls.extend(more.into_iter().filter(|wall| match rule.until {
                None => true,
                Some(Written::Utc(end)) => *wall - Duration::seconds(before.into()) <= end,
                Some(Written::Local(end)) => *wall <= end,
                Some(Written::Date(end)) => wall.date() <= end,
            }));
        }
        for line in observance.all("RDATE") {
            for value in line.value.split(',') {
                match written(value.trim()) {
                    Some(Written::Local(wall)) => walls.push(wall),
                    _ => return Err((line.place, format!("`{}` is no local time", shown(value)))),
                }
            }
        }
        Ok(walls)
    }
}

const INSTEAD: &str =
    "Use an IANA name such as Europe/Oslo, or put a VTIMEZONE of this name into the file";

fn unknown(name: &str, event: &str) -> String {
    format!(
        "{event} is in the time zone {}, which is not known and not defined in the file",
        shown(name)
    )
}
