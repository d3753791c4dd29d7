//! Nights as a calendar, so that a phone reminds too.
//!
//! One event a night, from the wind-down to lights out, with an alarm for each. What identifies a night
//! never changes; its SEQUENCE and DTSTAMP change only when what it says has changed (RFC 5545, section
//! 3.8.7.4), so that exporting again gives the same octets and importing again moves the event. A night that
//! does not take place any more is called off: the same event with a higher SEQUENCE and the status of section
//! 3.8.1.11, without its alarms.

mod earlier;

use std::collections::BTreeMap;

use chrono::{Duration, FixedOffset};

pub use self::earlier::{CalledOff, Earlier};
use crate::pure::civil::{Instant, Night, Zone};

/// A night to put into the calendar.
#[derive(Clone, Debug)]
pub struct NightEvent {
    /// The night.
    pub night: Night,
    /// Start of the wind-down and when to be told of it; nothing on a night without one.
    pub wind_down: Option<WindDown>,
    /// Lights out.
    pub lights_out: Instant,
    /// The zone whose clock is meant.
    pub zone: Zone,
}

/// The wind-down of a [`NightEvent`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WindDown {
    /// When the alarm sounds.
    pub prompt_at: Instant,
    /// When it starts; before lights out.
    pub starts_at: Instant,
}

/// The calendar of some nights, as text with the line ends of the standard (CR LF).
///
/// `owner` tells this person's nights from those of others, for ever: a random id made once, without the
/// name of a person or machine. `earlier` is what was exported before, `now` the moment of this export.
/// `called_off` are nights of earlier exports that do not take place any more: left out, they would stay in
/// the calendar and ring.
pub fn write_nights(
    nights: &[NightEvent],
    called_off: &[CalledOff],
    owner: &str,
    earlier: &Earlier,
    now: Instant,
) -> String {
    let mut nights: Vec<&NightEvent> = nights.iter().collect();
    nights.sort_by_key(|event| (event.starts_at(), event.night));
    let mut out = Text::default();
    for line in [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//evenfall//nights//EN",
        "CALSCALE:GREGORIAN",
        "NAME:Nights",
        "X-WR-CALNAME:Nights",
        "COLOR:goldenrod",
        "REFRESH-INTERVAL;VALUE=DURATION:P1D",
    ] {
        out.line(line);
    }
    for (zone, first, last) in zones(&nights) {
        time_zone(&mut out, zone, first, last);
    }
    for event in nights {
        let uid = earlier::uid(event.night, owner);
        let content = content(event, &uid);
        let (stamp, sequence) = earlier.version(&uid, &content, now);
        out.event(&content, &stamp, sequence);
    }
    for CalledOff { uid, content } in called_off {
        let (stamp, sequence) = earlier.version(uid, content, now);
        out.event(content, &stamp, sequence);
    }
    out.line("END:VCALENDAR");
    out.0
}

impl NightEvent {
    fn starts_at(&self) -> Instant {
        self.wind_down
            .map_or(self.lights_out, |wind_down| wind_down.starts_at)
    }

    /// The zone its times are written in, or nothing for UTC. A time in the second passing of a repeated
    /// hour cannot be said on the clock: readers take the first (RFC 5545, section 3.3.5).
    fn written_in(&self) -> Option<&Zone> {
        let sayable = |at: Instant| {
            let wall = self.zone.local(at).naive_local();
            self.zone.resolve(wall).earlier() == at
        };
        let utc = matches!(self.zone.name(), "UTC" | "Etc/UTC");
        let on_clock = !utc && sayable(self.starts_at()) && sayable(self.lights_out);
        on_clock.then_some(&self.zone)
    }
}

/// The lines of an event but those that say which version it is.
fn content(event: &NightEvent, uid: &str) -> Vec<String> {
    let clock = event.zone.local(event.lights_out).format("%H:%M");
    let summary = match event.wind_down {
        Some(_) => format!("Wind-down, lights out at {clock}"),
        None => format!("Lights out at {clock}"),
    };
    let zone = event.written_in();
    let mut lines = vec![
        format!("UID:{uid}"),
        time("DTSTART", event.starts_at(), zone),
    ];
    if event.wind_down.is_some() {
        lines.push(time("DTEND", event.lights_out, zone));
    }
    lines.push(format!("SUMMARY:{}", escaped(&summary)));
    lines.push("CLASS:PRIVATE".to_owned());
    lines.push("TRANSP:TRANSPARENT".to_owned());
    let id = |part: &str| uid.replacen("night-", &format!("{part}-"), 1);
    if let Some(wind_down) = event.wind_down {
        let ahead = (wind_down.starts_at - wind_down.prompt_at).max(Duration::zero());
        let words = match ahead.num_minutes() {
            0 => "Wind-down".to_owned(),
            1 => "Wind-down in 1 minute".to_owned(),
            minutes => format!("Wind-down in {minutes} minutes"),
        };
        let trigger = format!("TRIGGER:{}", back(ahead));
        alarm(&mut lines, &id("wind-down"), &words, &trigger);
    }
    let trigger = match event.wind_down {
        Some(_) => "TRIGGER;RELATED=END:PT0S",
        None => "TRIGGER:PT0S",
    };
    alarm(&mut lines, &id("lights-out"), "Lights out", trigger);
    lines
}

fn alarm(lines: &mut Vec<String>, uid: &str, words: &str, trigger: &str) {
    lines.extend([
        "BEGIN:VALARM".to_owned(),
        format!("UID:{uid}"),
        "ACTION:DISPLAY".to_owned(),
        format!("DESCRIPTION:{}", escaped(words)),
        trigger.to_owned(),
        "END:VALARM".to_owned(),
    ]);
}

/// A length before something, `-PT5M`.
fn back(length: Duration) -> String {
    let seconds = length.num_seconds();
    match (seconds / 60, seconds % 60) {
        (0, 0) => "PT0S".to_owned(),
        (0, seconds) => format!("-PT{seconds}S"),
        (minutes, 0) => format!("-PT{minutes}M"),
        (minutes, seconds) => format!("-PT{minutes}M{seconds}S"),
    }
}

fn utc(at: Instant) -> String {
    at.format("%Y%m%dT%H%M%SZ").to_string()
}

/// A property with a time: on the clock of a zone, `DTSTART;TZID=Europe/Oslo:20261125T222200`, or in UTC.
fn time(property: &str, at: Instant, zone: Option<&Zone>) -> String {
    let Some(zone) = zone else {
        return format!("{property}:{}", utc(at));
    };
    let wall = zone.local(at).format("%Y%m%dT%H%M%S");
    let name = zone.name();
    let quoted = name.contains([':', ';', ',']);
    let quote = if quoted { "\"" } else { "" };
    format!("{property};TZID={quote}{name}{quote}:{wall}")
}

/// The zones of the nights, each with the first and last instant it is needed for.
fn zones<'n>(nights: &[&'n NightEvent]) -> Vec<(&'n Zone, Instant, Instant)> {
    let mut zones: BTreeMap<&str, (&Zone, Instant, Instant)> = BTreeMap::new();
    for event in nights {
        let Some(zone) = event.written_in() else {
            continue;
        };
        let (from, to) = (event.starts_at(), event.lights_out);
        let entry = zones.entry(zone.name()).or_insert((zone, from, to));
        entry.1 = entry.1.min(from);
        entry.2 = entry.2.max(to);
    }
    zones.into_values().collect()
}

/// A zone's offsets over a span: one observance for each change within it and one before it, without
/// rules, because readers disagree about rules and none about dates.
fn time_zone(out: &mut Text, zone: &Zone, first: Instant, last: Instant) {
    out.line("BEGIN:VTIMEZONE");
    out.line(&format!("TZID:{}", zone.name()));
    let end = last + Duration::days(1);
    let mut at = first - Duration::days(800);
    let mut changes = Vec::new();
    while let Some(change) = zone.next_change(at, end) {
        changes.push(change);
        at = change;
    }
    let within = changes.iter().position(|change| *change > first);
    let from = within.unwrap_or(changes.len()).saturating_sub(1);
    if changes.first().is_none_or(|change| *change > first) {
        let offset = zone.offset_at(first);
        observance(out, "19700101T000000", offset, offset);
    }
    for change in &changes[from..] {
        let before = zone.offset_at(*change - Duration::seconds(1));
        let wall = change.with_timezone(&before).format("%Y%m%dT%H%M%S");
        observance(out, &wall.to_string(), before, zone.offset_at(*change));
    }
    out.line("END:VTIMEZONE");
}

fn observance(out: &mut Text, start: &str, from: FixedOffset, to: FixedOffset) {
    let summer = to.local_minus_utc() > from.local_minus_utc();
    let kind = if summer { "DAYLIGHT" } else { "STANDARD" };
    out.line(&format!("BEGIN:{kind}"));
    out.line(&format!("DTSTART:{start}"));
    out.line(&format!("TZOFFSETFROM:{}", offset(from)));
    out.line(&format!("TZOFFSETTO:{}", offset(to)));
    out.line(&format!("TZNAME:UTC{}", offset(to)));
    out.line(&format!("END:{kind}"));
}

fn offset(offset: FixedOffset) -> String {
    let east = offset.local_minus_utc();
    let sign = if east < 0 { '-' } else { '+' };
    let (hours, minutes, seconds) = (east.abs() / 3600, east.abs() / 60 % 60, east.abs() % 60);
    match seconds {
        0 => format!("{sign}{hours:02}{minutes:02}"),
        seconds => format!("{sign}{hours:02}{minutes:02}{seconds:02}"),
    }
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\")
        .replace(';', "\\;")
        .replace(',', "\\,")
        .replace('\n', "\\n")
}

/// Content lines, folded at 75 octets between characters.
#[derive(Default)]
struct Text(String);

impl Text {
    fn line(&mut self, line: &str) {
        let mut length = 0;
        for character in line.chars() {
            if length + character.len_utf8() > 75 {
                self.0.push_str("\r\n ");
                length = 1;
            }
            self.0.push(character);
            length += character.len_utf8();
        }
        self.0.push_str("\r\n");
    }

    /// An event of its content, whose first line is its UID, and of what says which version it is: right
    /// after the UID, so that readers find what they compare first.
    fn event(&mut self, content: &[String], stamp: &str, sequence: u32) {
        self.line("BEGIN:VEVENT");
        for (place, line) in content.iter().enumerate() {
            self.line(line);
            if place == 0 {
                self.line(&format!("DTSTAMP:{stamp}"));
                self.line(&format!("SEQUENCE:{sequence}"));
            }
        }
        self.line("END:VEVENT");
    }
}

#[cfg(test)]
mod tests;
