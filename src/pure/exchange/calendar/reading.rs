//! From a VEVENT component to a checked event, with every fault of it named.

use std::sync::Arc;

use chrono::Duration;

use super::component::Component;
use super::event::{Event, Key, Start, Words, called};
use super::faults::{Faults, Place, shown};
use super::line::Line;
use super::rule::{Budget, Refused, Rule};
use super::value::{self, Length, Written, written};
use super::zone::Zones;
use crate::pure::civil::Zone;

/// What reading the events of one calendar needs.
pub(super) struct Reading<'r, 'c, 't, 'f> {
    pub(super) zones: Zones<'c, 't>,
    pub(super) home: &'r Zone,
    pub(super) budget: &'r mut Budget,
    pub(super) faults: &'r mut Faults<'f>,
}

impl Reading<'_, '_, '_, '_> {
    /// Reads an event; every fault in it is named, and with any the event is nothing.
    pub(super) fn event(&mut self, component: &Component<'_>) -> Option<Event> {
        let before = self.faults.count();
        let event = self.checked(component);
        event.filter(|_| self.faults.count() == before)
    }

    fn checked(&mut self, component: &Component<'_>) -> Option<Event> {
        let words = words(component);
        let name = called(&words.summary, &words.uid);
        self.check_lines(component, &words, &name);
        let start = match component.first("DTSTART") {
            Some(line) => self.start(line, line.value, &name),
            None => {
                let what = format!("{name} has no DTSTART");
                self.faults
                    .say(component.place, what, "Write when it starts");
                None
            }
        };
        let length = self.length(component, start.as_ref(), &name);
        let replaces = component
            .first("RECURRENCE-ID")
            .map(|line| self.replaced(line, &name));
        let rules = self.rules(component, "RRULE", &name);
        let left_out_rules = self.rules(component, "EXRULE", &name);
        let more = self.more(component, &name);
        let left_out = self.left_out(component, &name);
        let sequence = self.sequence(component, &name);
        let stamp = component
            .first("DTSTAMP")
            .and_then(|line| match written(line.value.trim()) {
                Some(Written::Utc(at) | Written::Local(at)) => Some(at),
                _ => None,
            });
        Some(Event {
            words,
            place: component.place,
            replaces: match replaces {
                Some(key) => Some(key?),
                None => None,
            },
            sequence,
            stamp,
            start: start?,
            length,
            rules,
            left_out_rules,
            more,
            left_out,
        })
    }

    /// What has to be there once is there once.
    fn check_lines(&mut self, component: &Component<'_>, words: &Words, name: &str) {
        if words.uid.is_empty() {
            let what = format!("{name} has no UID");
            self.faults
                .say(component.place, what, "Give every event its own UID line");
        }
        for once in [
            "UID",
            "DTSTART",
            "DTEND",
            "DURATION",
            "RECURRENCE-ID",
            "SEQUENCE",
        ] {
            if let Some(second) = component.all(once).nth(1) {
                let what = format!("{name} has two lines {once}");
                self.faults
                    .say(second.place, what, "Keep the one that is meant");
            }
        }
    }

    /// Reads one value of a line that says when.
    fn start(&mut self, line: &Line<'_>, value: &str, name: &str) -> Option<Start> {
        let wrong = |faults: &mut Faults<'_>| {
            let what = format!(
                "{name}: `{}` in {} is no date that exists",
                shown(value),
                line.name
            );
            faults.say(
                line.place,
                what,
                "Write a date such as 20261005 or 20261005T180000",
            );
        };
        let at = |wall, zone| Some(Start::At { wall, zone });
        match written(value.trim()) {
            Some(Written::Date(date)) if !line.is_value("DATE-TIME") => Some(Start::Date(date)),
            Some(Written::Utc(wall)) if !line.is_value("DATE") => at(wall, Zone::utc()),
            Some(Written::Local(wall)) if !line.is_value("DATE") => match line.parameter("TZID") {
                None => at(wall, self.home.clone()),
                Some(id) => {
                    let zone = self
                        .zones
                        .get(id, line.place, name, self.budget, self.faults)?;
                    at(wall, zone)
                }
            },
            _ => {
                wrong(self.faults);
                None
            }
        }
    }

    /// How long it lasts; a whole day or no time at all where nothing is said.
    fn length(&mut self, component: &Component<'_>, start: Option<&Start>, name: &str) -> Length {
        let unsaid = Length {
            days: i64::from(matches!(start, Some(Start::Date(_)))),
            exact: Duration::zero(),
        };
        match (component.first("DTEND"), component.first("DURATION")) {
            (None, None) => unsaid,
            (Some(line), Some(_)) => {
                let what = format!("{name} has both DTEND and DURATION");
                self.faults.say(line.place, what, "Keep one of the two");
                unsaid
            }
            (None, Some(line)) => self.duration(line, start, name).unwrap_or(unsaid),
            (Some(line), None) => {
                let end = self.start(line, line.value, name);
                start
                    .zip(end)
                    .and_then(|(start, end)| self.until(line, start, &end, name))
                    .unwrap_or(unsaid)
            }
        }
    }

    fn duration(&mut self, line: &Line<'_>, start: Option<&Start>, name: &str) -> Option<Length> {
        let length = value::length(line.value.trim());
        let whole_days = matches!(start, Some(Start::Date(_)));
        let fits = length.filter(|length| {
            let forward = length.days >= 0 && length.exact >= Duration::zero();
            forward && (!whole_days || length.exact.is_zero())
        });
        if fits.is_none() {
            let what = format!("{name}: `{}` is no DURATION it can have", shown(line.value));
            self.faults.say(
                line.place,
                what,
                "Write a length such as PT1H30M, or P1D for whole days",
            );
        }
        fits.map(|length| Length {
            days: length.days.max(i64::from(whole_days)),
            ..length
        })
    }

    /// The length from a start to an end. It is exact time, and so the same for every occurrence
    /// (RFC 5545, section 3.8.5.3); an end at the start of a whole day means that day.
    fn until(&mut self, line: &Line<'_>, start: &Start, end: &Start, name: &str) -> Option<Length> {
        let (backwards, length) = match (start.key(), end.key()) {
            (Key::Date(first), Key::Date(after)) => (
                after < first,
                Length {
                    days: (after - first).num_days().max(1),
                    exact: Duration::zero(),
                },
            ),
            (Key::At(from), Key::At(to)) => (
                to < from,
                Length {
                    days: 0,
                    exact: to - from,
                },
            ),
            _ => {
                let what = format!("{name}: DTEND and DTSTART are not both dates or both times");
                self.faults
                    .say(line.place, what, "Write both in the same form");
                return None;
            }
        };
        if backwards {
            let what = format!(
                "{name}: its DTEND `{}` is before its DTSTART",
                shown(line.value)
            );
            self.faults
                .say(line.place, what, "Write an end after the start");
            return None;
        }
        Some(length)
    }

    fn replaced(&mut self, line: &Line<'_>, name: &str) -> Option<Key> {
        if line.parameter("RANGE").is_some() {
            let what = format!("{name} changes a RANGE of occurrences, which is not supported");
            let instead = "End the old series with UNTIL and begin a new one with its own UID";
            self.faults.say(line.place, what, instead);
            return None;
        }
        self.start(line, line.value, name).map(|start| start.key())
    }

    fn rules(
        &mut self,
        component: &Component<'_>,
        property: &str,
        name: &str,
    ) -> Vec<(Rule, Place)> {
        let mut rules = Vec::new();
        for line in component.all(property) {
            match Rule::parse(line.value) {
                Ok(rule) => rules.push((rule, line.place)),
                Err(refused) => self.refused(refused, property, line.place, name),
            }
        }
        rules
    }

    /// Names a rule that gives no list.
    pub(super) fn refused(&mut self, refused: Refused, property: &str, place: Place, name: &str) {
        let (what, instead) = match refused {
            Refused::Wrong(reason) => (
                format!("{name}: in its {property}, {reason}"),
                "Write a rule such as FREQ=WEEKLY;BYDAY=MO,WE",
            ),
            Refused::Limit(reason) => (
                format!("{name}: its {property} is refused: {reason}"),
                "Ask for a shorter span, or give the rule fewer occurrences",
            ),
        };
        self.faults.say(place, what, instead);
    }

    fn more(&mut self, component: &Component<'_>, name: &str) -> Vec<(Start, Option<Length>)> {
        let mut more = Vec::new();
        for line in component.all("RDATE") {
            for value in line.value.split(',') {
                if line.is_value("PERIOD") {
                    more.extend(self.period(line, value, name));
                } else {
                    more.extend(self.start(line, value, name).map(|start| (start, None)));
                }
            }
        }
        more
    }

    /// A start with its end or its length, `START/END` or `START/LENGTH`.
    fn period(
        &mut self,
        line: &Line<'_>,
        value: &str,
        name: &str,
    ) -> Option<(Start, Option<Length>)> {
        let Some((from, to)) = value.split_once('/') else {
            let what = format!("{name}: `{}` in RDATE is no period", shown(value));
            self.faults
                .say(line.place, what, "Write START/END or START/LENGTH");
            return None;
        };
        let start = self.start(line, from, name)?;
        let length = if to.trim_start().starts_with(['P', 'p', '+', '-']) {
            let length = value::length(to.trim());
            length.filter(|length| length.days >= 0 && length.exact >= Duration::zero())
        } else {
            let end = self.start(line, to, name)?;
            return Some((start.clone(), self.until(line, &start, &end, name)));
        };
        if length.is_none() {
            let what = format!("{name}: `{}` in RDATE is no length", shown(to));
            self.faults
                .say(line.place, what, "Write a length such as PT1H30M");
        }
        length.map(|length| (start, Some(length)))
    }

    fn left_out(&mut self, component: &Component<'_>, name: &str) -> Vec<Start> {
        let mut left_out = Vec::new();
        for line in component.all("EXDATE") {
            for value in line.value.split(',') {
                left_out.extend(self.start(line, value, name));
            }
        }
        left_out
    }

    fn sequence(&mut self, component: &Component<'_>, name: &str) -> i64 {
        let Some(line) = component.first("SEQUENCE") else {
            return 0;
        };
        line.value.trim().parse().unwrap_or_else(|_| {
            let what = format!("{name}: `{}` is no SEQUENCE", shown(line.value));
            self.faults
                .say(line.place, what, "Write a whole number from 0 on");
            0
        })
    }
}

fn words(component: &Component<'_>) -> Words {
    let text = |name| {
        let line = component.first(name)?;
        Some(Arc::from(value::text(line.value)))
    };
    let word = |name| {
        let line = component.first(name)?;
        Some(Arc::from(line.value.trim().to_ascii_uppercase()))
    };
    Words {
        uid: component.first("UID").map_or_else(
            || Arc::from(""),
            |line| value::text(line.value.trim()).into(),
        ),
        summary: text("SUMMARY").unwrap_or_else(|| Arc::from("")),
        description: text("DESCRIPTION"),
        location: text("LOCATION"),
        status: word("STATUS"),
        transparent: word("TRANSP").is_some_and(|transp: Arc<str>| &*transp == "TRANSPARENT"),
        class: word("CLASS"),
    }
}
