//! Nights as open data points, held against the public schemas (Open mHealth, see tests/data/omh/README.md).

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::diary::{DiaryEntry, Times};
use evenfall::pure::exchange::sleep_schema::{SleepNight, sleep_points};
use jsonschema::{Draft, Registry, Validator};
use proptest::prelude::*;
use serde_json::{Value, json};

const BASE: &str = "https://w3id.org/openmhealth/schemas/omh/";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/omh")
}

fn files(folder: &Path) -> Vec<(String, Value)> {
    let entries = fs::read_dir(folder)
        .expect("folder")
        .map(|entry| entry.expect("entry").path());
    let mut files: Vec<(String, Value)> = entries
        .map(|path| {
            let name = path
                .file_name()
                .expect("name")
                .to_string_lossy()
                .into_owned();
            let value = serde_json::from_slice(&fs::read(&path).expect("file")).expect("JSON");
            (name, value)
        })
        .collect();
    files.sort_by(|a, b| a.0.cmp(&b.0));
    files
}

/// The public schemas under one address, all read as draft 07; nothing is fetched.
struct Schemas {
    registry: Registry<'static>,
    names: BTreeSet<String>,
}

impl Schemas {
    fn load() -> Self {
        let mut registry = Registry::new().draft(Draft::Draft7);
        let mut names = BTreeSet::new();
        for (name, mut schema) in files(&folder().join("schema")) {
            // Some say draft 04 and some 07; what they use means the same in both.
            schema.as_object_mut().expect("schema").remove("$schema");
            registry = registry
                .add(format!("{BASE}{name}"), schema)
                .expect("schema");
            names.insert(name);
        }
        Self {
            registry: registry.prepare().expect("registry"),
            names,
        }
    }

    fn validator(&self, name: &str) -> Validator {
        assert!(self.names.contains(name), "there is no schema {name}");
        jsonschema::options()
            .with_draft(Draft::Draft7)
            .with_registry(&self.registry)
            .should_validate_formats(true)
            .build(&json!({ "$ref": format!("{BASE}{name}") }))
            .expect("validator")
    }

    /// What is wrong with a data point: its header, and its body by the schema the header names.
    fn faults(&self, point: &Value) -> Vec<String> {
        let mut faults: Vec<String> = Vec::new();
        let mut check = |name: &str, value: &Value| {
            let validator = self.validator(name);
            faults.extend(
                validator
                    .iter_errors(value)
                    .map(|error| format!("{}: {error}", error.instance_path())),
            );
        };
        check("data-point-1.0.json", point);
        let id = &point["header"]["schema_id"];
        if let (Some(name), Some(version)) = (id["name"].as_str(), id["version"].as_str()) {
            check(&format!("{name}-{version}.json"), &point["body"]);
        }
        faults
    }
}

#[test]
fn the_validator_tells_the_valid_samples_from_the_invalid() {
    let schemas = Schemas::load();
    for (kind, valid) in [("valid", true), ("invalid", false)] {
        let samples = files(&folder().join(kind));
        assert_eq!(samples.len(), 5);
        for (name, sample) in samples {
            let faults = schemas.faults(&sample);
            assert_eq!(faults.is_empty(), valid, "{name}: {faults:?}");
        }
    }
}

fn zone() -> Zone {
    Zone::embedded("Europe/Berlin").expect("zone")
}

fn night(date: &str) -> Night {
    Night(date.parse().expect("date"))
}

fn at(text: &str) -> DateTime<Utc> {
    DateTime::parse_from_rfc3339(text)
        .expect("instant")
        .to_utc()
}

fn times(date: &str, entry: &DiaryEntry) -> Times {
    entry.resolve(night(date), &zone()).expect("entry").times
}

fn full() -> DiaryEntry {
    DiaryEntry {
        into_bed: "22:40".parse().ok(),
        lights_out: "22:47".parse().ok(),
        asleep_after_min: Some(18),
        wakings: Some(2),
        awake_for_min: Some(25),
        woke: "06:40".parse().ok(),
        up: "06:55".parse().ok(),
        tried_after_min: Some(12),
        ..DiaryEntry::default()
    }
}

/// The data points of nights recorded one after the other.
fn points(nights: &[(&str, Times)]) -> Vec<Value> {
    let zone = zone();
    let nights: Vec<SleepNight<'_>> = nights
        .iter()
        .map(|(date, times)| SleepNight {
            night: night(date),
            zone: &zone,
            times,
            recorded_at: at("2026-11-02T06:05:00Z"),
        })
        .collect();
    match sleep_points(&nights, "k3v9") {
        Value::Array(points) => points,
        other => panic!("no list: {other}"),
    }
}

#[test]
fn a_night_across_the_clock_change_is_said_in_full_and_lawfully() {
    let points = points(&[("2026-10-24", times("2026-10-24", &full()))]);
    // By hand: 23:05 summer time to 06:40 winter time is 8 h 35 min, less 25 min awake; 490 of 515.
    let expected = json!({
        "effective_time_frame": { "time_interval": {
            "start_date_time": "2026-10-24T23:05:00+02:00",
            "end_date_time": "2026-10-25T06:40:00+01:00",
        } },
        "latency_to_sleep_onset": { "value": 18, "unit": "min" },
        "wake_after_sleep_onset": { "value": 25, "unit": "min" },
        "latency_to_arising": { "value": 12, "unit": "min" },
        "total_sleep_time": { "value": 490, "unit": "min" },
        "number_of_awakenings": 2,
        "is_main_sleep": true,
        "sleep_maintenance_efficiency_percentage": { "value": 95.1, "unit": "%" },
    });
    assert_eq!(points[0]["body"], expected);
    let header = &points[0]["header"];
    assert_eq!(header["creation_date_time"], "2026-11-02T07:05:00+01:00");
    assert_eq!(
        header["acquisition_provenance"]["modality"],
        "self-reported"
    );
    assert_eq!(points.len(), 2, "and one for the week");
    let schemas = Schemas::load();
    for point in &points {
        assert_eq!(schemas.faults(point), Vec::<String>::new(), "{point}");
    }
}

#[test]
fn the_week_is_the_mean_of_its_nights_from_monday_noon() {
    let short = DiaryEntry {
        sleep_min: Some(390),
        ..DiaryEntry::default()
    };
    // Sunday 1 November belongs to the week before.
    let points = points(&[
        ("2026-11-02", times("2026-11-02", &full())),
        ("2026-11-01", times("2026-11-01", &short)),
        ("2026-11-04", times("2026-11-04", &short)),
        ("2026-11-05", Times::default()),
    ]);
    let kinds: Vec<(&str, bool)> = points
        .iter()
        .map(|p| {
            let name = p["header"]["schema_id"]["name"].as_str().expect("name");
            (name, p["body"].get("descriptive_statistic").is_some())
        })
        .collect();
    let total = "total-sleep-time";
    assert_eq!(
        kinds,
        [
            (total, false),
            (total, true),
            ("sleep-episode", false),
            (total, false),
            (total, true)
        ]
    );
    let week = &points[4]["body"];
    // 22:47 + 18 min to 06:40 is 455 min, less 25: 430. The mean of 430 and 390.
    assert_eq!(
        week["total_sleep_time"],
        json!({ "value": 410.0, "unit": "min" })
    );
    assert_eq!(
        week["effective_time_frame"]["time_interval"]["start_date_time"],
        "2026-11-02T12:00:00+01:00"
    );
    assert_eq!(
        week["effective_time_frame"]["time_interval"]["end_date_time"],
        "2026-11-09T12:00:00+01:00"
    );
    assert_eq!(week["descriptive_statistic"], "average");
}

#[test]
fn ids_are_fixed_by_night_and_person_and_differ_from_one_another() {
    let nights = [
        ("2026-11-02", times("2026-11-02", &full())),
        ("2026-11-03", times("2026-11-03", &full())),
    ];
    let ids = |points: &[Value]| -> Vec<String> {
        points
            .iter()
            .map(|p| p["header"]["id"].as_str().expect("id").to_owned())
            .collect()
    };
    let first = ids(&points(&nights));
    assert_eq!(first, ids(&points(&nights)));
    assert_eq!(first[0], ids(&points(&nights[..1]))[0]);
    assert_eq!(first.iter().collect::<BTreeSet<_>>().len(), 3);
    assert!(
        first
            .iter()
            .all(|id| id.len() == 36 && id.as_bytes()[14] == b'5'),
        "{first:?}"
    );
    let zone = zone();
    let other = SleepNight {
        night: night("2026-11-02"),
        zone: &zone,
        times: &nights[0].1,
        recorded_at: at("2026-11-02T06:05:00Z"),
    };
    assert_ne!(
        sleep_points(&[other], "someone-else")[0]["header"]["id"],
        first[0]
    );
}

#[test]
fn what_was_not_said_is_left_out() {
    let entry = DiaryEntry {
        lights_out: "22:47".parse().ok(),
        asleep_after_min: Some(18),
        woke: "06:40".parse().ok(),
        ..DiaryEntry::default()
    };
    let points = points(&[("2026-11-02", times("2026-11-02", &entry))]);
    let body = points[0]["body"].as_object().expect("body");
    let names: Vec<&str> = body.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "effective_time_frame",
            "is_main_sleep",
            "latency_to_sleep_onset"
        ]
    );
    assert_eq!(points.len(), 1, "no mean without a length");
}

#[test]
fn every_name_used_is_one_of_the_schema() {
    // Additional properties pass any validator, so a misspelt name would too.
    let schema_names = |name: &str| -> BTreeSet<String> {
        let text = fs::read(folder().join("schema").join(name)).expect("schema");
        let schema: Value = serde_json::from_slice(&text).expect("JSON");
        schema["properties"]
            .as_object()
            .expect("properties")
            .keys()
            .cloned()
            .collect()
    };
    let short = DiaryEntry {
        sleep_min: Some(390),
        ..DiaryEntry::default()
    };
    for point in points(&[
        ("2026-11-02", times("2026-11-02", &full())),
        ("2026-11-03", times("2026-11-03", &short)),
    ]) {
        let id = &point["header"]["schema_id"];
        let file = format!(
            "{}-{}.json",
            id["name"].as_str().expect("name"),
            id["version"].as_str().expect("version")
        );
        for (part, file) in [("body", file.as_str()), ("header", "header-1.2.json")] {
            let known = schema_names(file);
            for name in point[part].as_object().expect("object").keys() {
                assert!(known.contains(name), "{file} knows no {name}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn whatever_was_recorded_is_lawful(
        bed in 0_i64..300,
        after in prop::option::of(0_u32..90),
        wakings in prop::option::of(0_u32..6),
        awake in prop::option::of(0_u32..60),
        asleep in 300_i64..600,
        tried in prop::option::of(0_u32..30),
        sleep in prop::option::of(0_u32..700),
        which in 0_u8..8,
        day in 0_i64..400,
    ) {
        let zone = zone();
        let evening = at("2026-01-01T19:00:00Z") + chrono::Duration::days(day);
        let lights_out = evening + chrono::Duration::minutes(bed);
        let woke = lights_out + chrono::Duration::minutes(asleep);
        let times = Times {
            into_bed: (which & 1 == 0).then_some(evening),
            lights_out: (which & 2 == 0).then_some(lights_out),
            asleep_after_min: after,
            wakings,
            awake_for_min: awake,
            woke: (which & 4 == 0).then_some(woke),
            up: None,
            tried_after_min: tried,
            sleep_min: sleep,
        };
        let night = SleepNight { night: Night::at(lights_out, &zone), zone: &zone, times: &times, recorded_at: woke };
        let schemas = Schemas::load();
        for point in sleep_points(&[night], "k").as_array().expect("list") {
            let faults = schemas.faults(point);
            prop_assert!(faults.is_empty(), "{faults:?} in {point}");
        }
    }
}
