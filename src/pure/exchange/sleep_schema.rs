//! Nights as open data points: `sleep-episode` 1.1 and `total-sleep-time` 1.0 of Open mHealth
//! (<https://www.openmhealth.org>, schemas under the Apache License 2.0).
//!
//! Only what the person said goes out, or what follows exactly from it. A data point's id is fixed by the
//! night, so that a second export of the same night replaces the first one wherever it is read.

use std::collections::BTreeMap;

use chrono::{Datelike, Duration, NaiveDate, NaiveTime};
use serde_json::{Map, Value, json};
use uuid::Uuid;

use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::diary::{Times, efficiency_percent};

/// A recorded night.
#[derive(Clone, Copy, Debug)]
pub struct SleepNight<'n> {
    /// The night.
    pub night: Night,
    /// The zone it was recorded in.
    pub zone: &'n Zone,
    /// Its times.
    pub times: &'n Times,
    /// When it was recorded.
    pub recorded_at: Instant,
}

/// The data points of some nights, as a list in order of time: one a night that has something to say, and
/// after the last night of each calendar week (Monday to Sunday evening) the mean of its nights.
///
/// A night with the times of falling asleep and waking becomes a sleep episode. One of which only the
/// minutes asleep are known becomes a total sleep time within the hours the person was in bed, or within
/// the night from noon to noon. `owner` is the random id made once for this person's exports.
pub fn sleep_points(nights: &[SleepNight<'_>], owner: &str) -> Value {
    let mut nights: Vec<&SleepNight<'_>> = nights.iter().collect();
    nights.sort_by_key(|night| night.night);
    let mut weeks: BTreeMap<NaiveDate, Vec<&SleepNight<'_>>> = BTreeMap::new();
    for night in nights {
        let evening = night.night.evening();
        let into = i64::from(evening.weekday().num_days_from_monday());
        let monday = evening - Duration::days(into);
        weeks.entry(monday).or_default().push(night);
    }
    let ids = Ids::new(owner);
    let points = weeks.into_iter().flat_map(|(monday, nights)| {
        let each = nights.iter().filter_map(|night| point(night, &ids));
        let mut points: Vec<Value> = each.collect();
        points.extend(week(monday, &nights, &ids));
        points
    });
    Value::Array(points.collect())
}

/// Fixed ids, made from names (UUID version 5 of RFC 9562).
struct Ids(Uuid);

impl Ids {
    fn new(owner: &str) -> Self {
        Self(Uuid::new_v5(&Uuid::NAMESPACE_OID, owner.as_bytes()))
    }

    fn of(&self, schema: Schema, date: NaiveDate) -> String {
        let name = format!("{} {date}", schema.name());
        Uuid::new_v5(&self.0, name.as_bytes()).to_string()
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Schema {
    Episode,
    NightTotal,
    WeekTotal,
}

impl Schema {
    /// A word for the id; the two totals of one schema must not share one.
    fn name(self) -> &'static str {
        match self {
            Self::Episode => "sleep-episode",
            Self::NightTotal => "total-sleep-time night",
            Self::WeekTotal => "total-sleep-time week",
        }
    }

    fn id(self) -> Value {
        let (name, version) = match self {
            Self::Episode => ("sleep-episode", "1.1"),
            Self::NightTotal | Self::WeekTotal => ("total-sleep-time", "1.0"),
        };
        json!({ "namespace": "omh", "name": name, "version": version })
    }
}

fn point(night: &SleepNight<'_>, ids: &Ids) -> Option<Value> {
    let measures = night.times.measures();
    let (schema, body) = match (measures.onset, night.times.woke) {
        (Some(onset), Some(woke)) => (Schema::Episode, episode(night, onset, woke)),
        _ => (Schema::NightTotal, total(night, measures.asleep_s?)),
    };
    let id = ids.of(schema, night.night.evening());
    Some(data_point(schema, &id, night.recorded_at, night.zone, body))
}

fn data_point(schema: Schema, id: &str, created: Instant, zone: &Zone, body: Value) -> Value {
    json!({
        "header": {
            "id": id,
            "creation_date_time": date_time(created, zone),
            "schema_id": schema.id(),
            "acquisition_provenance": { "source_name": "evenfall", "modality": "self-reported" },
        },
        "body": body,
    })
}

/// A night from falling asleep to the final waking.
fn episode(night: &SleepNight<'_>, onset: Instant, woke: Instant) -> Value {
    let times = night.times;
    let measures = times.measures();
    let mut body = Map::new();
    let mut say = |name: &str, value: Option<Value>| {
        if let Some(value) = value {
            body.insert(name.to_owned(), value);
        }
    };
    let minutes = |minutes: Option<u32>| minutes.map(|minutes| length(i64::from(minutes) * 60));
    // No waking is no time awake, even where nobody asked for the minutes.
    let awake = times
        .awake_for_min
        .or_else(|| (times.wakings == Some(0)).then_some(0));
    say("effective_time_frame", Some(frame(onset, woke, night.zone)));
    say("latency_to_sleep_onset", minutes(times.asleep_after_min));
    say("wake_after_sleep_onset", minutes(awake));
    say("latency_to_arising", minutes(times.tried_after_min));
    say("total_sleep_time", measures.asleep_s.map(length));
    say("number_of_awakenings", times.wakings.map(Value::from));
    say("is_main_sleep", Some(Value::from(true)));
    let share = measures
        .asleep_s
        .zip(measures.sleep_period_s)
        .and_then(|(asleep, period)| efficiency_percent(asleep, period));
    let percent = |share: f64| json!({ "value": (share * 10.0).round() / 10.0, "unit": "%" });
    say(
        "sleep_maintenance_efficiency_percentage",
        share.map(percent),
    );
    Value::Object(body)
}

/// A night of which only the time asleep is known.
fn total(night: &SleepNight<'_>, asleep_s: i64) -> Value {
    let times = night.times;
    let in_bed = times
        .lights_out
        .or(times.into_bed)
        .zip(times.woke.or(times.up));
    let (from, to) = in_bed.unwrap_or_else(|| {
        let (evening, morning) = (night.night.evening(), night.night.morning());
        (noon(evening, night.zone), noon(morning, night.zone))
    });
    json!({
        "total_sleep_time": length(asleep_s),
        "effective_time_frame": frame(from, to, night.zone),
    })
}

/// The mean of the nights of a week whose time asleep is known; "per episode", because nights may be
/// missing. Nights run from noon to noon, and so does their week.
fn week(monday: NaiveDate, nights: &[&SleepNight<'_>], ids: &Ids) -> Option<Value> {
    let known: Vec<(&SleepNight<'_>, i64)> = nights
        .iter()
        .filter_map(|night| Some((*night, night.times.measures().asleep_s?)))
        .collect();
    let last = known.last()?.0;
    let recorded_at = known.iter().map(|(night, _)| night.recorded_at).max()?;
    let sum: i64 = known.iter().map(|(_, asleep)| asleep).sum();
    // A whole number of nights, far below 2^52 seconds in all.
    let mean_min = sum as f64 / 60.0 / known.len() as f64;
    let zone = last.zone;
    let body = json!({
        "total_sleep_time": { "value": (mean_min * 100.0).round() / 100.0, "unit": "min" },
        "effective_time_frame": frame(noon(monday, zone), noon(monday + Duration::days(7), zone), zone),
        "descriptive_statistic": "average",
        "descriptive_statistic_denominator": "episode",
    });
    let id = ids.of(Schema::WeekTotal, monday);
    Some(data_point(Schema::WeekTotal, &id, recorded_at, zone, body))
}

fn noon(date: NaiveDate, zone: &Zone) -> Instant {
    let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
    zone.resolve(date.and_time(noon)).earlier()
}

fn frame(from: Instant, to: Instant, zone: &Zone) -> Value {
    json!({
        "time_interval": {
            "start_date_time": date_time(from, zone),
            "end_date_time": date_time(to, zone),
        },
    })
}

fn date_time(at: Instant, zone: &Zone) -> String {
    zone.local(at).to_rfc3339()
}

/// A length in minutes, a whole number where it is one.
fn length(seconds: i64) -> Value {
    if seconds % 60 == 0 {
        json!({ "value": seconds / 60, "unit": "min" })
    } else {
        json!({ "value": seconds as f64 / 60.0, "unit": "min" })
    }
}
