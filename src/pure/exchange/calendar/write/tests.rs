//! What a written night looks like.

use super::*;
use chrono::{DateTime, NaiveDate};

fn at(text: &str) -> Instant {
    DateTime::parse_from_rfc3339(text)
        .expect("instant")
        .to_utc()
}

fn one(zone: &str, lights_out: &str) -> NightEvent {
    let lights_out = at(lights_out);
    NightEvent {
        night: Night(NaiveDate::from_ymd_opt(2026, 10, 24).expect("date")),
        wind_down: Some(WindDown {
            prompt_at: lights_out - Duration::minutes(28),
            starts_at: lights_out - Duration::minutes(23),
        }),
        lights_out,
        zone: Zone::embedded(zone).expect("zone"),
    }
}

#[test]
fn a_night_is_written_in_full() {
    let night = one("Europe/Oslo", "2026-10-25T00:30:00Z");
    let text = write_nights(
        &[night],
        &[],
        "k3v9",
        &Earlier::default(),
        at("2026-10-01T10:00:00Z"),
    );
    let expected = "BEGIN:VCALENDAR VERSION:2.0 PRODID:-//evenfall//nights//EN CALSCALE:GREGORIAN \
        NAME:Nights X-WR-CALNAME:Nights COLOR:goldenrod REFRESH-INTERVAL;VALUE=DURATION:P1D \
        BEGIN:VTIMEZONE TZID:Europe/Oslo \
        BEGIN:DAYLIGHT DTSTART:20260329T020000 TZOFFSETFROM:+0100 TZOFFSETTO:+0200 TZNAME:UTC+0200 \
        END:DAYLIGHT \
        BEGIN:STANDARD DTSTART:20261025T030000 TZOFFSETFROM:+0200 TZOFFSETTO:+0100 TZNAME:UTC+0100 \
        END:STANDARD END:VTIMEZONE \
        BEGIN:VEVENT UID:night-2026-10-24@k3v9 DTSTAMP:20261001T100000Z SEQUENCE:0 \
        DTSTART;TZID=Europe/Oslo:20261025T020700 DTEND;TZID=Europe/Oslo:20261025T023000 \
        SUMMARY:Wind-down\\,_lights_out_at_02:30 CLASS:PRIVATE TRANSP:TRANSPARENT \
        BEGIN:VALARM UID:wind-down-2026-10-24@k3v9 ACTION:DISPLAY DESCRIPTION:Wind-down_in_5_minutes \
        TRIGGER:-PT5M END:VALARM \
        BEGIN:VALARM UID:lights-out-2026-10-24@k3v9 ACTION:DISPLAY DESCRIPTION:Lights_out \
        TRIGGER;RELATED=END:PT0S END:VALARM END:VEVENT END:VCALENDAR";
    let expected: Vec<String> = expected
        .split_whitespace()
        .map(|w| w.replace('_', " "))
        .collect();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(lines[..lines.len() - 1], expected[..]);
    assert!(text.ends_with("END:VCALENDAR\r\n"));
}

#[test]
fn the_version_changes_only_with_what_is_said() {
    let export = |night: &NightEvent, earlier: &str, now: &str| {
        let earlier = Earlier::read(earlier.as_bytes());
        write_nights(std::slice::from_ref(night), &[], "k", &earlier, at(now))
    };
    let night = one("Europe/Oslo", "2026-10-24T20:30:00Z");
    let first = export(&night, "", "2026-10-01T10:00:00Z");
    let again = export(&night, &first, "2026-10-02T10:00:00Z");
    assert_eq!(first, again);
    let later = one("Europe/Oslo", "2026-10-24T21:00:00Z");
    let moved = export(&later, &again, "2026-10-03T10:00:00Z");
    assert!(
        moved.contains("DTSTAMP:20261003T100000Z\r\nSEQUENCE:1\r\n"),
        "{moved}"
    );
    let back = export(&night, &moved, "2026-10-04T10:00:00Z");
    assert!(
        back.contains("DTSTAMP:20261004T100000Z\r\nSEQUENCE:2\r\n"),
        "{back}"
    );
    assert_eq!(Earlier::read(b"\xff\0nonsense"), Earlier::default());
}

#[test]
fn a_night_left_out_of_an_export_goes_on_from_its_sequence() {
    let write = |nights: &[NightEvent], known: &mut Earlier, now: &str| {
        let text = write_nights(nights, &[], "k", known, at(now));
        known.then(&text);
        // What is kept reads as what was kept.
        assert_eq!(Earlier::read(known.text().as_bytes()), *known);
        text
    };
    let at_half_past = one("Europe/Oslo", "2026-10-24T20:30:00Z");
    let at_eleven = one("Europe/Oslo", "2026-10-24T21:00:00Z");
    let other = NightEvent {
        night: Night(NaiveDate::from_ymd_opt(2026, 10, 23).expect("date")),
        ..one("Europe/Oslo", "2026-10-23T20:30:00Z")
    };
    let mut known = Earlier::default();
    write(
        &[at_half_past, other.clone()],
        &mut known,
        "2026-10-01T10:00:00Z",
    );
    write(
        &[at_eleven.clone(), other.clone()],
        &mut known,
        "2026-10-02T10:00:00Z",
    );
    write(
        std::slice::from_ref(&other),
        &mut known,
        "2026-10-03T10:00:00Z",
    );
    let back = write(
        &[other.clone(), at_eleven.clone()],
        &mut known,
        "2026-10-04T10:00:00Z",
    );
    assert!(
        back.contains("UID:night-2026-10-24@k\r\nDTSTAMP:20261002T100000Z\r\nSEQUENCE:1\r\n"),
        "{back}"
    );
    known.forget_before(at_eleven.night);
    let forgotten = write(&[other], &mut known, "2026-10-05T10:00:00Z");
    assert!(
        forgotten.contains("DTSTAMP:20261005T100000Z\r\nSEQUENCE:0"),
        "{forgotten}"
    );
}

#[test]
fn a_zone_without_changes_and_utc_itself() {
    let tokyo = one("Asia/Tokyo", "2026-10-24T13:30:00Z");
    let text = write_nights(
        &[tokyo],
        &[],
        "k",
        &Earlier::default(),
        at("2026-10-01T10:00:00Z"),
    );
    assert_eq!(text.matches("BEGIN:STANDARD").count(), 1);
    assert!(text.contains("DTSTART:19700101T000000\r\nTZOFFSETFROM:+0900\r\nTZOFFSETTO:+0900"));
    let utc = one("UTC", "2026-10-24T22:30:00Z");
    let text = write_nights(
        &[utc],
        &[],
        "k",
        &Earlier::default(),
        at("2026-10-01T10:00:00Z"),
    );
    assert!(!text.contains("VTIMEZONE") && text.contains("DTEND:20261024T223000Z\r\n"));
}

#[test]
fn a_night_without_wind_down_is_a_moment() {
    let night = NightEvent {
        wind_down: None,
        ..one("Europe/Oslo", "2026-10-24T20:30:00Z")
    };
    let text = write_nights(
        &[night],
        &[],
        "k",
        &Earlier::default(),
        at("2026-10-01T10:00:00Z"),
    );
    assert!(text.contains("SUMMARY:Lights out at 22:30\r\n") && !text.contains("DTEND"));
    assert_eq!(text.matches("BEGIN:VALARM").count(), 1);
}

#[test]
fn long_lines_are_folded_between_characters() {
    let mut text = Text::default();
    let line = format!("SUMMARY:{}", "é→🌙".repeat(30));
    text.line(&line);
    let physical: Vec<&str> = text.0.trim_end().split("\r\n").collect();
    assert!(physical.len() > 3 && physical.iter().all(|part| part.len() <= 75));
    assert_eq!(text.0.trim_end().replace("\r\n ", ""), line);
}

#[test]
fn a_night_that_does_not_take_place_any_more_is_called_off_until_it_does_again() {
    let night = one("Europe/Oslo", "2026-10-24T20:30:00Z");
    let zones = |name: &str| Zone::embedded(name);
    let mut known = Earlier::default();
    let mut export = |takes_place: bool, now: &str| {
        let nights = if takes_place {
            std::slice::from_ref(&night)
        } else {
            &[]
        };
        let off = (!takes_place).then(|| known.called_off(night.night, "k", &zones));
        let off: Vec<CalledOff> = off.flatten().into_iter().collect();
        let text = write_nights(nights, &off, "k", &known, at(now));
        known.then(&text);
        text
    };
    // Nobody was told of it.
    assert!(!export(false, "2026-10-01T09:00:00Z").contains("VEVENT"));
    export(true, "2026-10-01T10:00:00Z");
    let off = export(false, "2026-10-02T10:00:00Z");
    let event = off.split_once("BEGIN:VEVENT\r\n").expect("an event").1;
    let expected = "UID:night-2026-10-24@k DTSTAMP:20261002T100000Z SEQUENCE:1 DTSTART:20261024T200700Z \
        DTEND:20261024T203000Z SUMMARY:Wind-down\\,_lights_out_at_22:30 STATUS:CANCELLED CLASS:PRIVATE \
        TRANSP:TRANSPARENT END:VEVENT END:VCALENDAR";
    let lines: Vec<String> = event.lines().map(|line| line.replace(' ', "_")).collect();
    assert_eq!(lines, expected.split_whitespace().collect::<Vec<_>>());
    assert_eq!(export(false, "2026-10-03T10:00:00Z"), off);
    let again = export(true, "2026-10-04T10:00:00Z");
    assert!(
        again.contains("SEQUENCE:2") && !again.contains("STATUS"),
        "{again}"
    );
    assert_eq!(again.matches("BEGIN:VALARM").count(), 2);
    assert_eq!(known.nights_from(night.night, "k"), [night.night]);
    assert_eq!(known.nights_from(night.night, "another"), []);
    assert_eq!(known.nights_from(night.night.next(), "k"), []);
}
