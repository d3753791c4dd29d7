//! Nights written as a calendar and read back: by our own reader and by two other programs.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use chrono::{DateTime, Duration, Utc};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::exchange::calendar::{
    Earlier, NightEvent, Source, Span, WindDown, read, write_nights,
};

use super::{autumn, date, row};
use crate::support::{Home, not_tested};

/// Nights in several zones around their clock changes, and what has to be read back: UID, start, end and
/// the instants of the alarms.
fn nights() -> (Vec<NightEvent>, Vec<String>) {
    let mut events = Vec::new();
    let mut expected = Vec::new();
    let cases = [
        ("Europe/Oslo", "2026-10-20", 10, "22:30"),
        // The wind-down of the night of 24 October starts in the second passing of the repeated hour.
        ("Europe/Berlin", "2026-10-22", 4, "03:10"),
        ("America/New_York", "2026-10-29", 6, "23:45"),
        ("Pacific/Chatham", "2026-09-23", 6, "21:50"),
        ("Asia/Kathmandu", "2026-11-10", 2, "00:20"),
        ("Australia/Lord_Howe", "2026-10-01", 5, "01:50"),
        ("UTC", "2026-11-20", 1, "22:00"),
    ];
    for (name, first, count, clock) in cases {
        let zone = Zone::embedded(name).expect("zone");
        for days in 0..count {
            let night = Night(date(first) + Duration::days(days));
            let lights_out = zone
                .resolve(night.wall(clock.parse().expect("clock")))
                .earlier();
            let wind_down = WindDown {
                prompt_at: lights_out - Duration::minutes(31),
                starts_at: lights_out - Duration::minutes(26),
            };
            let utc = |at: DateTime<Utc>| at.format("%Y-%m-%dT%H:%M:%SZ");
            expected.push(format!(
                "night-{night}@{} {} {} {},{}",
                owner(name),
                utc(wind_down.starts_at),
                utc(lights_out),
                utc(wind_down.prompt_at),
                utc(lights_out)
            ));
            let zone = zone.clone();
            events.push((
                name,
                NightEvent {
                    night,
                    wind_down: Some(wind_down),
                    lights_out,
                    zone,
                },
            ));
        }
    }
    expected.sort();
    (
        events.into_iter().map(|(_, event)| event).collect(),
        expected,
    )
}

fn owner(zone: &str) -> String {
    zone.replace('/', ".")
}

/// The exported files, one a zone, as one owner has one zone at a time.
fn exports(events: &[NightEvent]) -> Vec<String> {
    let now = "2026-09-01T08:00:00Z".parse().expect("instant");
    let zones: BTreeSet<&str> = events.iter().map(|event| event.zone.name()).collect();
    let of = |zone: &str| -> String {
        let own: Vec<NightEvent> = events
            .iter()
            .filter(|event| event.zone.name() == zone)
            .cloned()
            .collect();
        write_nights(&own, &[], &owner(zone), &Earlier::default(), now)
    };
    zones.into_iter().map(of).collect()
}

#[test]
fn exported_nights_are_lawful_lines() {
    let (events, _) = nights();
    for text in exports(&events) {
        assert_lawful(&text);
    }
}

fn assert_lawful(text: &str) {
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert!(text.split("\r\n").all(|line| line.len() <= 75));
    assert!(
        !text.contains("METHOD"),
        "a METHOD would demand an ORGANIZER (RFC 5546)"
    );
}

#[test]
fn exported_nights_come_back_the_same_through_our_own_reader() {
    let (events, expected) = nights();
    let mut got = Vec::new();
    for text in exports(&events) {
        // Once by the name of the zone, once with the name unknown, so that the file's own definition of it
        // is all there is.
        let renamed = text
            .replace("TZID=", "TZID=Own/")
            .replace("TZID:", "TZID:Own/");
        let readings =
            [&text, &renamed].map(|text| autumn("nights.ics", text.as_bytes()).expect("readable"));
        let rows = readings
            .clone()
            .map(|reading| reading.occurrences.iter().map(row).collect::<Vec<_>>());
        assert_eq!(rows[0], rows[1]);
        got.extend(
            rows[0]
                .iter()
                .map(|(uid, _, start, end, _)| format!("{uid} {start} {end}")),
        );
    }
    got.sort();
    let expected: Vec<&str> = expected
        .iter()
        .map(|line| line.rsplit_once(' ').expect("alarms").0)
        .collect();
    assert_eq!(got, expected);
}

#[test]
fn exported_nights_come_back_the_same_through_icalendar() {
    let (events, expected) = nights();
    let folder = tempfile::tempdir().expect("folder");
    let mut got = Vec::new();
    for text in exports(&events) {
        let file = folder.path().join("nights.ics");
        fs::write(&file, text).expect("file");
        let Some(lines) = by_icalendar(&file, ["2026-09-01", "2026-12-01"]) else {
            return;
        };
        got.extend(lines);
    }
    got.sort();
    assert_eq!(got, expected);
}

/// UID, start, end and alarms of a calendar file by Python's icalendar with recurring-ical-events; nothing
/// where they are not installed, which is said.
fn by_icalendar(file: &Path, [from, to]: [&str; 2]) -> Option<Vec<String>> {
    let python = std::env::var("EVENFALL_TEST_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let probe = Command::new(&python)
        .args(["-c", "import icalendar, recurring_ical_events"])
        .output();
    if !probe.is_ok_and(|probe| probe.status.success()) {
        not_tested(
            "the export, by Python's icalendar",
            "Install icalendar and recurring-ical-events",
        );
        return None;
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/calendar/read_back.py");
    let output = Command::new(&python)
        .arg(script)
        .arg(file)
        .args([from, to])
        .output()
        .expect("python");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    let text = String::from_utf8(output.stdout).expect("text");
    Some(text.lines().map(str::to_owned).collect())
}

// The clocks of Oslo go back in the night of 24 October 2026 (tz database).
#[test]
fn what_the_program_exports_rings_when_the_program_itself_would_prompt() {
    let home = Home::new();
    home.write(
        "settings.toml",
        "timezone = \"Europe/Oslo\"\n[nights]\nbedtime = \"22:30\"\nwake = \"06:30\"\nsat = { bedtime = \"02:40\", wake = \"09:00\" }\n",
    );
    let file = home.path().join("nights.ics");
    let path = file.to_str().expect("path");
    let span = ["--from", "2026-10-22", "--days", "6"];
    home.done(
        "2026-10-20T12:00",
        &[&["export", "nights", path][..], &span].concat(),
    );
    let agenda = home.json("2026-10-20T12:00", &[&["agenda"][..], &span].concat());
    let of = |kind: &str| -> Vec<String> {
        let prompts = agenda["prompts"].as_array().expect("prompts").iter();
        prompts
            .filter(|prompt| prompt["kind"] == kind)
            .map(|prompt| {
                let due = prompt["due_at"].as_str().expect("instant");
                let due = DateTime::parse_from_rfc3339(due).expect("instant").to_utc();
                due.format("%Y-%m-%dT%H:%M:%SZ").to_string()
            })
            .collect()
    };
    let expected: Vec<String> = of("wind_down")
        .iter()
        .zip(of("lights_out"))
        .map(|(prompt, lights_out)| format!("{prompt},{lights_out}"))
        .collect();
    assert_eq!(expected.len(), 6);
    let Some(lines) = by_icalendar(&file, ["2026-10-20", "2026-11-01"]) else {
        return;
    };
    let mut alarms: Vec<&str> = lines
        .iter()
        .map(|line| line.rsplit_once(' ').expect("alarms").1)
        .collect();
    alarms.sort();
    assert_eq!(alarms, expected);
}

#[test]
fn exported_nights_come_back_the_same_through_khal() {
    if !Command::new("khal")
        .arg("--version")
        .output()
        .is_ok_and(|probe| probe.status.success())
    {
        not_tested("the export, by khal", "Install khal");
        return;
    }
    let (events, expected) = nights();
    let folder = tempfile::tempdir().expect("folder");
    let home = folder.path();
    fs::create_dir(home.join("calendar")).expect("folder");
    let settings = format!(
        "[calendars]\n[[nights]]\npath = {0}/calendar\n[sqlite]\npath = {0}/khal.db\n[locale]\n\
         local_timezone = UTC\ndefault_timezone = UTC\ntimeformat = %H:%M:%S\ndateformat = %Y-%m-%d\n\
         longdateformat = %Y-%m-%d\ndatetimeformat = %Y-%m-%dT%H:%M:%SZ\nlongdatetimeformat = %Y-%m-%dT%H:%M:%SZ\n",
        home.display()
    );
    fs::write(home.join("settings"), settings).expect("settings");
    let khal = |arguments: &[&str]| {
        let mut command = Command::new("khal");
        let output = command
            .arg("-c")
            .arg(home.join("settings"))
            .args(arguments)
            .env("HOME", home)
            .output();
        let output = output.expect("khal");
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).expect("text")
    };
    let file = home.join("nights.ics");
    let path = file.to_str().expect("path");
    for text in exports(&events) {
        fs::write(&file, text).expect("file");
        khal(&["import", "--batch", "-a", "nights", path]);
    }
    let list = |format: &str, from: &str, span: &str| {
        let lines = ["list", "--once", "--day-format", "", "--format", format];
        khal(&[&lines[..], &[from, span]].concat())
    };
    let times = |from: &str, span: &str| -> Vec<String> {
        let listed = list("{uid} {start-long-full} {end-long-full}", from, span);
        let lines = listed.lines().filter(|line| !line.trim().is_empty());
        lines.map(str::to_owned).collect()
    };
    let mut got = times("2026-09-01", "100d");
    got.sort();
    let expected: Vec<&str> = expected
        .iter()
        .map(|line| line.rsplit_once(' ').expect("alarms").0)
        .collect();
    assert_eq!(got, expected);

    // A night that has moved replaces the one imported before.
    let mut oslo: Vec<NightEvent> = events
        .into_iter()
        .filter(|event| event.zone.name() == "Europe/Oslo")
        .collect();
    oslo.truncate(1);
    let [first, second] = [0, 30].map(|minutes| {
        let mut night = oslo[0].clone();
        night.lights_out += Duration::minutes(minutes);
        let earlier = fs::read(&file)
            .map(|octets| Earlier::read(&octets))
            .unwrap_or_default();
        let now = "2026-09-02T08:00:00Z".parse().expect("instant");
        let text = write_nights(&[night], &[], &owner("Europe/Oslo"), &earlier, now);
        fs::write(&file, &text).expect("file");
        khal(&["import", "--batch", "-a", "nights", path]);
        text
    });
    assert!(
        first.contains("SEQUENCE:0") && second.contains("SEQUENCE:1"),
        "{first}{second}"
    );
    assert_eq!(
        times("2026-10-20", "1d"),
        ["night-2026-10-20@Europe.Oslo 2026-10-20T20:04:00Z 2026-10-20T21:00:00Z"]
    );

    // And one that is called off stays as cancelled, without its alarms.
    let earlier = Earlier::read(&fs::read(&file).expect("file"));
    let off = earlier.called_off(oslo[0].night, &owner("Europe/Oslo"), &Zone::embedded);
    let now = "2026-09-03T08:00:00Z".parse().expect("instant");
    let off = [off.expect("known")];
    let text = write_nights(&[], &off, &owner("Europe/Oslo"), &earlier, now);
    fs::write(&file, text).expect("file");
    khal(&["import", "--batch", "-a", "nights", path]);
    let listed = list("{uid} {cancelled}|{alarm-symbol}|", "2026-10-20", "1d");
    let words: Vec<&str> = listed.split_whitespace().collect();
    assert_eq!(words, ["night-2026-10-20@Europe.Oslo", "CANCELLED", "||"]);
}

// Samoa had no 30 December 2011 (tz database, Pacific/Apia). What is called off: RFC 5545, sections 3.8.1.11
// (status) and 3.8.7.4 (sequence).
#[test]
fn a_night_that_the_calendar_skips_after_a_move_is_called_off_in_the_next_export() {
    let home = Home::new();
    let file = home.path().join("nights.ics");
    let path = file.to_str().expect("path");
    let export = |zone: &str, now: &str, days: &str| {
        home.write("settings.toml", &format!("timezone = \"{zone}\"\n"));
        let words = ["export", "nights", path, "--days", days];
        let said = home.done(now, &words);
        let text = fs::read_to_string(&file).expect("file");
        assert_lawful(&text);
        (said.out, text)
    };
    let skipped = |text: &str| {
        let from = text.find("UID:night-2011-12-30@")?;
        let event = &text[from..];
        Some(event[..event.find("END:VEVENT").expect("an end")].to_owned())
    };
    let (_, before) = export("Pacific/Auckland", "2011-12-27T12:00", "7");
    assert!(skipped(&before).is_some_and(|event| event.contains("SEQUENCE:0")));
    // Also where the new export does not reach that far.
    let (said, after) = export("Pacific/Apia", "2011-12-27T13:00", "2");
    assert!(said.contains("called off in it: 1 night"), "{said}");
    let event = skipped(&after).expect("an event");
    for line in [
        "SEQUENCE:1\r\n",
        "STATUS:CANCELLED\r\n",
        "DTSTART:20111230T",
    ] {
        assert!(event.contains(line), "{line} in {event}");
    }
    assert!(!event.contains("VALARM"), "{event}");
    assert_eq!(after.matches("STATUS:").count(), 1, "{after}");
    let (_, same) = export("Pacific/Apia", "2011-12-27T14:00", "2");
    assert_eq!(same, after);

    // As other readers have it: cancelled, and silent.
    let span = Span {
        from: date("2011-12-27"),
        until: date("2012-01-05"),
        home: &Zone::utc(),
    };
    let source = Source {
        file: "nights.ics",
        octets: after.as_bytes(),
    };
    let reading = read(&source, &span, &Zone::embedded).expect("readable");
    let cancelled: Vec<&str> = reading
        .occurrences
        .iter()
        .filter(|occurrence| occurrence.cancelled())
        .map(|occurrence| &*occurrence.uid)
        .collect();
    assert_eq!(cancelled.len(), 1);
    assert!(cancelled[0].starts_with("night-2011-12-30@"));
    if let Some(lines) = by_icalendar(&file, ["2011-12-26", "2012-01-05"]) {
        let line = lines
            .iter()
            .find(|line| line.starts_with("night-2011-12-30@"));
        // Nothing stands where the alarms would.
        assert!(line.is_some_and(|line| line.ends_with("Z ")), "{lines:?}");
    }

    // What is over is not called off any more.
    let (_, over) = export("Pacific/Apia", "2012-01-02T12:00", "2");
    assert_eq!(skipped(&over), None);
}
