//! Calendars read and written: the sample files, broken ones, and what other programs make of ours.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant as Clock;

use chrono::{DateTime, Duration, NaiveDate, Utc};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::complaint::Complaint;
use evenfall::pure::exchange::calendar::{
    Earlier, NightEvent, Occurrence, Reading, Source, Span, When, WindDown, read, write_nights,
};
use serde_json::Value;

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/ics")
}

fn expected() -> Value {
    let text = fs::read_to_string(samples().join("expected.json")).expect("expected.json");
    serde_json::from_str(&text).expect("JSON")
}

fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

/// Reads octets for the span and zone the samples are made for.
fn autumn(file: &str, octets: &[u8]) -> Result<Reading, Vec<Complaint>> {
    let home = Zone::embedded("Europe/Berlin").expect("zone");
    let span = Span {
        from: date("2026-09-01"),
        until: date("2026-12-01"),
        home: &home,
    };
    read(&Source { file, octets }, &span, &Zone::embedded)
}

fn sample(name: &str) -> Result<Reading, Vec<Complaint>> {
    autumn(name, &fs::read(samples().join(name)).expect(name))
}

/// An occurrence as the sample's makers compare it: instants in UTC, whole days as dates.
type Row = (String, String, String, String, bool);

fn row(occurrence: &Occurrence) -> Row {
    let json = occurrence.to_json(&Zone::embedded("Asia/Kathmandu").expect("zone"));
    let text = |field: &str| json[field].as_str().expect(field).to_owned();
    let when = |field| match DateTime::parse_from_rfc3339(&text(field)) {
        Ok(at) => at.to_utc().format("%Y-%m-%dT%H:%M:%SZ").to_string(),
        Err(_) => text(field),
    };
    (
        text("uid"),
        text("summary"),
        when("start"),
        when("end"),
        json["status"] == "CANCELLED",
    )
}

fn expected_row(occurrence: &Value) -> Row {
    let text = |field: &str| occurrence[field].as_str().expect(field).to_owned();
    let when = |field: &str| {
        let when = &occurrence[field];
        when["utc"]
            .as_str()
            .or(when["local"].as_str())
            .expect("time")
            .to_owned()
    };
    (
        text("uid"),
        text("summary"),
        when("start"),
        when("end"),
        occurrence["status"] == "CANCELLED",
    )
}

#[test]
fn the_readable_samples_give_what_they_say() {
    // Expected values: recurring-ical-events 3.8.2, put right by hand where it departs from RFC 5545, starts
    // compared with libical 3.0.16 and khal 0.10.5 (tests/data/ics/README.md).
    let expected = expected();
    let samples = expected["ok"].as_object().expect("samples");
    assert_eq!(samples.len(), 12);
    for (name, sample_expected) in samples {
        let reading = sample(name).unwrap_or_else(|complaints| panic!("{name}: {complaints:?}"));
        let mut got: Vec<Row> = reading.occurrences.iter().map(row).collect();
        let listed = sample_expected["occurrences"]
            .as_array()
            .expect("occurrences");
        let mut wanted: Vec<Row> = listed.iter().map(expected_row).collect();
        got.sort();
        wanted.sort();
        assert_eq!(got, wanted, "{name}");
        let texts = sample_expected["texts"].as_object();
        for (uid, texts) in texts.into_iter().flatten() {
            let occurrence = reading
                .occurrences
                .iter()
                .find(|o| *o.uid == **uid)
                .expect("event");
            assert_eq!(
                occurrence.description.as_deref(),
                texts["description"].as_str(),
                "{uid}"
            );
            assert_eq!(
                occurrence.location.as_deref(),
                texts["location"].as_str(),
                "{uid}"
            );
        }
    }
}

#[test]
fn the_broken_samples_are_refused_with_every_reason() {
    let expected = expected();
    let samples = expected["bad"].as_object().expect("samples");
    assert_eq!(samples.len(), 9);
    for (name, sample_expected) in samples {
        let begun = Clock::now();
        let result = sample(name);
        assert!(
            begun.elapsed().as_secs_f64() < 2.0,
            "{name} took {:?}",
            begun.elapsed()
        );
        let complaints = match result {
            Ok(reading) => {
                assert_eq!(sample_expected["result"], "ok-or-limit", "{name} was taken");
                let uids: BTreeSet<String> = reading
                    .occurrences
                    .iter()
                    .map(|o| o.uid.to_string())
                    .collect();
                for uid in sample_expected["good_events"].as_array().expect("events") {
                    assert!(
                        uids.contains(uid.as_str().expect("uid")),
                        "{name}: {uid} is lost"
                    );
                }
                continue;
            }
            Err(complaints) => complaints,
        };
        let said: String = complaints.iter().map(|c| format!("{c}\n")).collect();
        let mentions = sample_expected["message_mentions_one_of"]
            .as_array()
            .expect("words");
        let mentions = mentions.iter().filter_map(Value::as_str);
        let found = mentions
            .filter(|word| said.to_lowercase().contains(&word.to_lowercase()))
            .count();
        let needed = sample_expected["problems"].as_u64().unwrap_or(1);
        assert!(
            found as u64 >= needed,
            "{name}: {found} of {needed} problems named:\n{said}"
        );
        assert!(
            complaints
                .iter()
                .all(|c| c.file == *name && c.line > 0 && !c.instead.is_empty()),
            "{said}"
        );
        if let Some(line) = sample_expected["line"].as_u64() {
            assert!(
                complaints.iter().any(|c| c.line as u64 == line),
                "{name}: line {line} is not named:\n{said}"
            );
        }
    }
}

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
        write_nights(&own, &owner(zone), &Earlier::default(), now)
    };
    zones.into_iter().map(of).collect()
}

#[test]
fn exported_nights_are_lawful_lines() {
    let (events, _) = nights();
    for text in exports(&events) {
        assert!(text.ends_with("END:VCALENDAR\r\n"));
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        assert!(text.split("\r\n").all(|line| line.len() <= 75));
        assert!(
            !text.contains("METHOD"),
            "a METHOD would demand an ORGANIZER (RFC 5546)"
        );
    }
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

/// Says loudly that a test could not be made.
fn not_tested(what: &str, how: &str) {
    eprintln!("NOT TESTED: {what}. {how}, or run tests/run, which does it.");
}

#[test]
fn exported_nights_come_back_the_same_through_icalendar() {
    let python = std::env::var("EVENFALL_TEST_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let probe = Command::new(&python)
        .args(["-c", "import icalendar, recurring_ical_events"])
        .output();
    if !probe.is_ok_and(|probe| probe.status.success()) {
        not_tested(
            "the export, by Python's icalendar",
            "Install icalendar and recurring-ical-events",
        );
        return;
    }
    let (events, expected) = nights();
    let folder = tempfile::tempdir().expect("folder");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/calendar/read_back.py");
    let mut got = Vec::new();
    for text in exports(&events) {
        let file = folder.path().join("nights.ics");
        fs::write(&file, text).expect("file");
        let mut command = Command::new(&python);
        let output = command
            .arg(&script)
            .arg(&file)
            .args(["2026-09-01", "2026-12-01"])
            .output()
            .expect("python");
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        got.extend(
            String::from_utf8(output.stdout)
                .expect("text")
                .lines()
                .map(str::to_owned),
        );
    }
    got.sort();
    assert_eq!(got, expected);
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
    let format = "{uid} {start-long-full} {end-long-full}";
    let listed = khal(&[
        "list",
        "--once",
        "--day-format",
        "",
        "--format",
        format,
        "2026-09-01",
        "100d",
    ]);
    let mut got: Vec<&str> = listed
        .lines()
        .filter(|line| !line.trim().is_empty())
        .collect();
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
        let text = write_nights(&[night], &owner("Europe/Oslo"), &earlier, now);
        fs::write(&file, &text).expect("file");
        khal(&["import", "--batch", "-a", "nights", path]);
        text
    });
    assert!(
        first.contains("SEQUENCE:0") && second.contains("SEQUENCE:1"),
        "{first}{second}"
    );
    let listed = khal(&[
        "list",
        "--once",
        "--day-format",
        "",
        "--format",
        format,
        "2026-10-20",
        "1d",
    ]);
    let listed: Vec<&str> = listed
        .lines()
        .filter(|line| !line.trim().is_empty())
        .collect();
    assert_eq!(
        listed,
        ["night-2026-10-20@Europe.Oslo 2026-10-20T20:04:00Z 2026-10-20T21:00:00Z"]
    );
}

#[test]
fn rules_give_the_dates_of_an_independent_program() {
    // python-dateutil 2.9.0, see tests/data/rules/make.py.
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/rules/rules.json");
    let rules: Vec<Value> =
        serde_json::from_slice(&fs::read(path).expect("rules.json")).expect("JSON");
    assert_eq!(rules.len(), 240);
    let home = Zone::utc();
    let span = Span {
        from: date("2026-01-01"),
        until: date("2029-01-01"),
        home: &home,
    };
    for case in &rules {
        let (start, rule) = (
            case["start"].as_str().expect("start"),
            case["rule"].as_str().expect("rule"),
        );
        let text = format!(
            "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:a\nDTSTART:{start}\nRRULE:{rule}\nEND:VEVENT\nEND:VCALENDAR\n"
        );
        let source = Source {
            file: rule,
            octets: text.as_bytes(),
        };
        let reading =
            read(&source, &span, &Zone::embedded).unwrap_or_else(|c| panic!("{rule}: {c:?}"));
        let got: Vec<String> = reading
            .occurrences
            .iter()
            .map(|o| match o.start {
                When::At(at) => at.format("%Y-%m-%dT%H:%M").to_string(),
                When::Date(date) => date.to_string(),
            })
            .collect();
        let listed = |field: &str| -> Vec<&str> {
            case[field]
                .as_array()
                .expect("dates")
                .iter()
                .filter_map(Value::as_str)
                .collect()
        };
        assert_eq!(
            got.len() as u64,
            case["count"].as_u64().expect("count"),
            "{start} {rule}"
        );
        let (first, last) = (listed("first"), listed("last"));
        assert_eq!(got[..first.len()], first, "{start} {rule}");
        assert_eq!(got[got.len() - last.len()..], last, "{start} {rule}");
    }
}
