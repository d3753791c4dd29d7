//! Nights against independent results: Python's zoneinfo for seven years in eight zones, and the
//! computed examples for the start of a wind-down and for dates of bedtimes.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Duration, NaiveDate, NaiveDateTime, NaiveTime, Offset};
use evenfall::pure::civil::{Instant, Night, Resolved, Zone, ZoneSource, first_difference};
use evenfall::pure::night::{PlannedTime, attach_dates, span, wind_down_start};
use evenfall::pure::settings::NightTimes;
use evenfall::shell::zones::ZoneFiles;
use serde_json::Value;

use crate::support::Home;

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name)
}

fn vectors(topic: &str, group: &str) -> Vec<Value> {
    let text =
        std::fs::read_to_string(data("vectors").join(format!("{topic}.json"))).expect("vectors");
    let all: Value = serde_json::from_str(&text).expect("JSON");
    all["vectors"][group].as_array().expect("group").clone()
}

fn zone_files() -> ZoneFiles {
    ZoneFiles::at(&data("nights/zoneinfo"), &data("nights"), None)
}

fn time(text: &str) -> NaiveTime {
    NaiveTime::parse_from_str(text, "%H:%M").expect("time")
}

fn text(value: &Value) -> &str {
    value.as_str().expect("text")
}

fn times(bedtime: NaiveTime, wake: NaiveTime) -> NightTimes {
    NightTimes {
        bedtime,
        wake,
        by_day: BTreeMap::new(),
        on: BTreeMap::new(),
        alarm_days: None,
    }
}

/// A run of evenings with the same result; seconds count from 00:00 UTC of the evening's date.
struct Run {
    zone: String,
    bedtime: String,
    wake: String,
    first: NaiveDate,
    nights: i64,
    seconds: [i64; 3],
    offsets: [i32; 3],
    kinds: [String; 2],
}

fn runs() -> Vec<Run> {
    let table = std::fs::read_to_string(data("nights/nights.csv")).expect("table");
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| cells[at].parse::<i64>().expect("number");
        let offset = |at: usize| cells[at].parse::<i32>().expect("offset");
        Run {
            zone: cells[0].to_owned(),
            bedtime: cells[1].to_owned(),
            wake: cells[2].to_owned(),
            first: cells[3].parse().expect("date"),
            nights: number(4),
            seconds: [number(5), number(6), number(7)],
            offsets: [offset(8), offset(9), offset(10)],
            kinds: [cells[11].to_owned(), cells[12].to_owned()],
        }
    };
    table.lines().skip(1).map(row).collect()
}

fn kind(zone: &Zone, planned: &PlannedTime) -> &'static str {
    match zone.resolve(planned.planned) {
        Resolved::Exact(_) => "-",
        Resolved::Skipped { .. } => "s",
        Resolved::Repeated { .. } => "r",
    }
}

/// Compares nights of a run, every one or only its ends; gives the number of nights in it.
fn compare(run: &Run, zone: &Zone, every: bool) -> i64 {
    let planned = times(time(&run.bedtime), time(&run.wake));
    let ends = [0, run.nights - 1];
    for day in (0..run.nights).filter(|day| every || ends.contains(day)) {
        let evening = run.first + Duration::days(day);
        let night = span(Night(evening), &planned, zone);
        let start = wind_down_start(night.bedtime.at, 15, 480);
        let zero = evening.and_time(NaiveTime::MIN).and_utc();
        let instants = [night.bedtime.at, night.wake.at, start];
        let said = format!("{} {} {} {evening}", run.zone, run.bedtime, run.wake);
        assert_eq!(
            instants.map(|at| (at - zero).num_seconds()),
            run.seconds,
            "{said}"
        );
        assert_eq!(
            instants.map(|at| zone.offset_at(at).local_minus_utc()),
            run.offsets,
            "{said}"
        );
        assert_eq!(
            [&night.bedtime, &night.wake].map(|at| kind(zone, at)),
            [&run.kinds[0], &run.kinds[1]],
            "{said}"
        );
        assert_eq!(night.bedtime.skipped, run.kinds[0] == "s", "{said}");
        assert_eq!(night.in_bed_s(), run.seconds[1] - run.seconds[0], "{said}");
        assert_eq!(Night::at(night.bedtime.at, zone), night.night, "{said}");
        assert!(night.takes_place(), "{said}");
        assert_eq!(night.bedtime.local, zone.local(night.bedtime.at), "{said}");
    }
    run.nights
}

// Expected: Python 3.11 zoneinfo on the tz database 2026f, tests/data/nights/generate.py.
#[test]
fn every_night_of_seven_years_in_eight_zones() {
    let files = zone_files();
    let mut counted: BTreeMap<(String, String), i64> = BTreeMap::new();
    let mut kinds = BTreeSet::new();
    for run in runs() {
        let zone = files.load(&run.zone).expect("zone of the table");
        assert_eq!(zone.source(), ZoneSource::System);
        *counted
            .entry((run.zone.clone(), run.bedtime.clone()))
            .or_default() += compare(&run, &zone, true);
        kinds.extend(run.kinds);
    }
    assert_eq!(counted.len(), 8 * 7);
    let days = 7 * 365 + 2; // 2024 and 2028 are leap years
    assert!(
        counted.values().all(|nights| *nights == days),
        "{counted:?}"
    );
    assert_eq!(kinds.into_iter().collect::<Vec<_>>(), ["-", "r", "s"]);
}

/// The compiled-in tables may be older than the zone files here; where they say the same for these
/// years, the nights at both ends of every run have to be the same too.
#[test]
fn the_embedded_tables_give_the_same_nights_where_their_rules_are_the_same() {
    let files = zone_files();
    let at = |text: &str| text.parse::<Instant>().expect("instant");
    let (from, until) = (at("2023-12-30T00:00:00Z"), at("2031-01-03T00:00:00Z"));
    let runs = runs();
    let names: BTreeSet<&str> = runs.iter().map(|run| run.zone.as_str()).collect();
    let same: BTreeMap<&str, Zone> = names
        .into_iter()
        .filter(|name| files.differs(name, from, until).is_none())
        .map(|name| (name, Zone::embedded(name).expect("known zone")))
        .collect();
    for run in &runs {
        if let Some(zone) = same.get(run.zone.as_str()) {
            compare(run, zone, false);
        }
    }
    assert!(same.len() >= 5, "only {same:?} have the same rules");
}

/// The difference that is reported is the first one an hourly walk finds.
#[test]
fn where_the_sources_differ_is_found_exactly() {
    let files = zone_files();
    let from: Instant = "2024-01-01T00:00:00Z".parse().expect("instant");
    let until = from + Duration::hours(24 * 365 * 3);
    for name in runs()
        .into_iter()
        .map(|run| run.zone)
        .collect::<BTreeSet<_>>()
    {
        let system = files.load(&name).expect("zone");
        let embedded = Zone::embedded(&name).expect("known zone");
        let walked = (0..24 * 365 * 3)
            .map(|hour| from + Duration::hours(hour))
            .find(|at| system.offset_at(*at) != embedded.offset_at(*at));
        let found = first_difference(&system, &embedded, from, until);
        // A change on the half hour is walked over by half an hour.
        let near = match (walked, found) {
            (Some(walked), Some(found)) => {
                (Duration::zero()..Duration::hours(1)).contains(&(walked - found))
            }
            (None, None) => true,
            _ => false,
        };
        assert!(near, "{name}: walked {walked:?}, found {found:?}");
    }
    assert_eq!(files.versions().system.as_deref(), Some("2026f"));
}

// Apia went from 29 to 31 December 2011 (tz database).
#[test]
fn the_skipped_day_is_the_same_from_both_sources() {
    let file = zone_files().load("Pacific/Apia").expect("zone");
    assert_eq!(file.source(), ZoneSource::System);
    let planned = times(time("22:30"), time("06:30"));
    for zone in [file, Zone::embedded("Pacific/Apia").expect("known zone")] {
        let night = |day: u32| {
            let evening = NaiveDate::from_ymd_opt(2011, 12, day).expect("date");
            span(Night(evening), &planned, &zone)
        };
        let taking_place: Vec<u32> = (27..=31).filter(|day| night(*day).takes_place()).collect();
        assert_eq!(taking_place, [27, 28, 29, 31]);
        assert_eq!(night(29).in_bed_s(), 8 * 3600);
        assert_eq!(
            night(29).wake.local.to_rfc3339(),
            "2011-12-31T06:30:00+14:00"
        );
        assert_eq!(night(30).bedtime.at, night(31).bedtime.at);
    }
}

#[test]
fn the_start_of_the_wind_down() {
    for vector in vectors("breathing_winddown", "winddown_start") {
        let given = &vector["in"];
        let number = |key: &str| u32::try_from(given[key].as_u64().expect("number")).expect("fits");
        let zone = Zone::embedded(text(&given["tz"])).expect("known zone");
        let wall: NaiveDateTime = text(&given["planned_bedtime"]).parse().expect("wall time");
        let night = span(Night::of(wall), &times(wall.time(), time("11:00")), &zone);
        assert_eq!(night.bedtime.planned, wall);
        let routine = number("stretch_s") + number("breathe_s");
        assert_eq!(number("buffer_s") % 60, 0);
        let start = wind_down_start(night.bedtime.at, number("buffer_s") / 60, routine);
        let expected =
            DateTime::parse_from_rfc3339(text(&vector["out"]["start_local"])).expect("instant");
        let shown = zone.local(start);
        assert_eq!(shown, expected, "{}", vector["id"]);
        assert_eq!(
            shown.offset().fix(),
            expected.offset().fix(),
            "{}",
            vector["id"]
        );
        assert_eq!(Value::from(routine), vector["out"]["duration_s"]);
    }
}

#[test]
fn the_dates_of_a_bedtime_and_a_wake_time() {
    for vector in vectors("sleep_diary", "attach_dates") {
        let (given, out) = (&vector["in"], &vector["out"]);
        let wall = |key: &str| {
            NaiveDateTime::parse_from_str(text(&out[key]), "%Y-%m-%dT%H:%M").expect("wall time")
        };
        let expected = (wall("bed"), wall("wake"));
        let (bed, wake) = (time(text(&given["bed"])), time(text(&given["wake"])));
        let morning: NaiveDate = text(&given["morning_date"]).parse().expect("date");
        assert_eq!(
            attach_dates(bed, wake, morning),
            expected,
            "{}",
            vector["id"]
        );
        let minutes = (expected.1 - expected.0).num_minutes();
        assert_eq!(out["wallclock_span_min"].as_f64(), Some(minutes as f64));
        // The plan of the night that bedtime falls into puts both on the same dates.
        let night = span(Night::of(expected.0), &times(bed, wake), &Zone::utc());
        assert_eq!(
            (night.bedtime.planned, night.wake.planned),
            expected,
            "{}",
            vector["id"]
        );
    }
}

/// The prompts the program plans on its own for days in a zone, with the zone files kept here: kind,
/// night and due instant.
fn planned_by_the_program(zone: &str, bedtime: &str, from: &str) -> Vec<String> {
    let home = Home::new();
    home.write(
        "settings.toml",
        &format!("timezone = \"{zone}\"\n[nights]\nbedtime = \"{bedtime}\"\nwake = \"09:00\"\n[evening]\nminutes = 8\nsettle = 15\n[prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"on\"\n"),
    );
    let output = home
        .command("", &["--json", "agenda", "--from", from, "--days", "1"])
        .env("TZDIR", data("nights/zoneinfo"))
        .output()
        .expect("the program starts");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let said: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let prompts = said["prompts"].as_array().expect("list");
    let line = |prompt: &Value| {
        format!(
            "{} {} {}",
            text(&prompt["kind"]),
            text(&prompt["night"]),
            text(&prompt["due_at"])
        )
    };
    prompts
        .iter()
        .map(line)
        .filter(|line| !line.starts_with("week"))
        .collect()
}

// Clock changes by the tz database 2026f.
#[test]
fn the_program_follows_the_zone_files_of_the_machine() {
    // Half an hour is skipped at 02:00; the wind-down is timed back in real minutes.
    assert_eq!(
        planned_by_the_program("Australia/Lord_Howe", "02:10", "2026-10-04"),
        [
            "wind_down 2026-10-03 2026-10-04T01:42:00+10:30",
            "lights_out 2026-10-03 2026-10-04T02:40:00+11:00",
        ]
    );
    // The hour before 03:00 comes twice: the first counts for lights out.
    assert_eq!(
        planned_by_the_program("Europe/Berlin", "02:30", "2026-10-25"),
        [
            "wind_down 2026-10-24 2026-10-25T02:02:00+02:00",
            "lights_out 2026-10-24 2026-10-25T02:30:00+02:00",
        ]
    );
    // Morocco is at universal time by these files, an hour ahead by tables of 2025.
    assert_eq!(
        planned_by_the_program("Africa/Casablanca", "22:30", "2027-01-10"),
        [
            "wind_down 2027-01-10 2027-01-10T22:02:00+00:00",
            "lights_out 2027-01-10 2027-01-10T22:30:00+00:00",
        ]
    );
}
