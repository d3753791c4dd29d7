//! Sleep diary arithmetic (Carney CE et al. 2012; Reed DL & Sacco WP 2016; Ohayon M et al. 2017;
//! Lichstein KL et al. 2003), elapsed time computed with Python's zoneinfo.

use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::diary::{
    DiaryEntry, LONG_WAKE_MIN, Moment, Refusal, attach, awakenings_indicator, efficiency_indicator,
    efficiency_percent, insomnia_weeks, long_wake_nights, onset_indicator, waso_indicator,
};
use serde_json::Value;

use super::{Vectors, id};

fn wall(value: &Value) -> NaiveDateTime {
    let text = value.as_str().expect("time");
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").expect("time")
}

fn minutes(value: &Value) -> Option<u32> {
    value
        .as_u64()
        .map(|number| u32::try_from(number).expect("small"))
}

/// The person's words for a time; the first pass of a repeated hour has to be said with its offset,
/// because the later one is our reading.
fn moment(of: &Value, name: &str, zone: &Zone) -> Option<Moment> {
    let wall = wall(&of[name]);
    let second_pass = of["folds"][name] == 1;
    let first = zone.resolve(wall).earlier();
    Some(if second_pass {
        Moment::Local(wall)
    } else {
        Moment::Fixed(zone.local(first))
    })
}

fn entry(of: &Value, zone: &Zone) -> DiaryEntry {
    DiaryEntry {
        into_bed: moment(of, "into_bed", zone),
        lights_out: moment(of, "attempt", zone),
        asleep_after_min: minutes(&of["sol"]),
        wakings: minutes(&of["awakenings"]),
        awake_for_min: minutes(&of["waso"]),
        woke: moment(of, "final_wake", zone),
        up: moment(of, "out_of_bed", zone),
        tried_after_min: minutes(&of["tried_after_final"]),
        ..DiaryEntry::default()
    }
}

#[test]
fn nights_have_the_lengths_computed_elsewhere() {
    let vectors = Vectors::read("sleep_diary");
    assert_eq!(
        vectors.names(),
        [
            "attach_dates",
            "long_wake_pattern",
            "night",
            "quality_indicator",
            "reject_or_accept"
        ]
    );
    for case in vectors.group("night") {
        let (given, out) = (&case["in"], &case["out"]);
        let zone = Zone::embedded(given["tz"].as_str().expect("tz")).expect("zone");
        let night = Night::of(wall(&given["attempt"]));
        let times = entry(given, &zone)
            .resolve(night, &zone)
            .unwrap_or_else(|refusals| panic!("{}: {refusals:?}", id(case)))
            .times;
        let found = times.measures();
        let in_minutes = |seconds: Option<i64>| seconds.map(|seconds| seconds as f64 / 60.0);
        for (name, computed) in [
            ("TIB_min", in_minutes(found.in_bed_s)),
            ("SPT_min", in_minutes(found.sleep_period_s)),
            ("TST_min", in_minutes(found.asleep_s)),
            (
                "wake_after_final_in_bed_min",
                in_minutes(found.after_waking_s),
            ),
            ("DSE_min", in_minutes(found.attempt_s)),
            ("SE_TIB_percent", found.efficiency_bed),
            ("SE_DSE_percent", found.efficiency_attempt),
        ] {
            vectors.same(&format!("{} {name}", id(case)), computed, &out[name]);
        }
        let local =
            |at: chrono::DateTime<chrono::Utc>, form: &str| zone.local(at).format(form).to_string();
        assert_eq!(
            local(found.onset.expect("onset"), "%Y-%m-%dT%H:%M%:z"),
            out["onset_local"]
        );
        assert_eq!(
            local(found.midpoint.expect("midpoint"), "%Y-%m-%dT%H:%M:%S%:z"),
            out["midpoint_local"]
        );
        // What subtracting wall times would have said; the point of the clock-change cases is that it differs.
        let naive = wall(&given["out_of_bed"]) - wall(&given["into_bed"]);
        vectors.same(
            id(case),
            in_minutes(Some(naive.num_seconds())),
            &out["naive_wallclock_TIB_min"],
        );
    }
}

#[test]
fn the_second_pass_of_a_repeated_hour_is_our_reading_and_is_said() {
    let vectors = Vectors::read("sleep_diary");
    let group = vectors.group("night");
    let case = group
        .iter()
        .find(|case| id(case) == "wake_inside_repeated_hour_second_pass")
        .expect("the case");
    let zone = Zone::embedded("Europe/Berlin").expect("zone");
    let plain = |name: &str| Some(Moment::Local(wall(&case["in"][name])));
    let said = DiaryEntry {
        woke: plain("final_wake"),
        up: plain("out_of_bed"),
        ..entry(&case["in"], &zone)
    };
    let diary = said
        .resolve(Night::of(wall(&case["in"]["attempt"])), &zone)
        .expect("night");
    vectors.same(
        "in bed",
        diary
            .times
            .measures()
            .in_bed_s
            .map(|seconds| seconds as f64 / 60.0),
        &case["out"]["TIB_min"],
    );
    assert_eq!(diary.notes.len(), 2, "{:?}", diary.notes);
}

#[test]
fn impossible_entries_are_refused_and_a_sleepless_night_is_not() {
    let vectors = Vectors::read("sleep_diary");
    let zone = Zone::utc();
    let night = Night(NaiveDate::from_ymd_opt(2026, 1, 14).expect("date"));
    for case in vectors.group("reject_or_accept") {
        let given = &case["in"];
        let clock = |name: &str| {
            given[name]
                .as_str()
                .and_then(|text| text.parse::<Moment>().ok())
        };
        if let Some(asleep) = given["tst"].as_i64() {
            let share = efficiency_percent(asleep * 60, given["tib"].as_i64().expect("tib") * 60);
            vectors.same(id(case), share, &case["out"]["SE_TIB_percent"]);
            assert_eq!(case["out"]["accept"], true);
            let sleepless = DiaryEntry {
                lights_out: "23:00".parse().ok(),
                asleep_after_min: Some(0),
                awake_for_min: Some(420),
                woke: "06:00".parse().ok(),
                ..DiaryEntry::default()
            };
            let times = sleepless.resolve(night, &zone).expect("accepted").times;
            assert_eq!(times.measures().asleep_s, Some(asleep));
            continue;
        }
        let entry = DiaryEntry {
            lights_out: clock("attempt"),
            asleep_after_min: minutes(&given["sol"]),
            awake_for_min: minutes(&given["waso"]),
            woke: clock("final_wake"),
            up: clock("out_of_bed"),
            ..DiaryEntry::default()
        };
        let refusals = entry.resolve(night, &zone).expect_err(id(case));
        let ids: Vec<&str> = refusals.iter().map(Refusal::id).collect();
        assert_eq!(ids, [case["out"]["error"].as_str().expect("error")]);
    }
}

#[test]
fn clock_times_get_the_dates_computed_elsewhere() {
    let vectors = Vectors::read("sleep_diary");
    for case in vectors.group("attach_dates") {
        let (given, out) = (&case["in"], &case["out"]);
        let clock = |name: &str| {
            NaiveTime::parse_from_str(given[name].as_str().expect("time"), "%H:%M").expect("time")
        };
        let morning: NaiveDate = given["morning_date"]
            .as_str()
            .expect("date")
            .parse()
            .expect("date");
        let (bed, woke) = attach(clock("bed"), clock("wake"), morning);
        assert_eq!(
            (bed, woke),
            (wall(&out["bed"]), wall(&out["wake"])),
            "{}",
            id(case)
        );
        let span = (woke - bed).num_minutes() as f64;
        vectors.same(id(case), Some(span), &out["wallclock_span_min"]);
        // The same dates, read from an entry of the night before that morning.
        let entry = DiaryEntry {
            lights_out: Some(Moment::Clock(clock("bed"))),
            woke: Some(Moment::Clock(clock("wake"))),
            long_confirmed: true,
            ..DiaryEntry::default()
        };
        let night = Night(morning - Duration::days(1));
        let times = entry
            .resolve(night, &Zone::utc())
            .unwrap_or_else(|refusals| panic!("{}: {refusals:?}", id(case)))
            .times;
        assert_eq!(
            times.lights_out.map(|at| at.naive_utc()),
            Some(bed),
            "{}",
            id(case)
        );
        assert_eq!(
            times.woke.map(|at| at.naive_utc()),
            Some(woke),
            "{}",
            id(case)
        );
    }
}

#[test]
fn marks_of_good_sleep_are_those_of_the_panel() {
    let vectors = Vectors::read("sleep_diary");
    for case in vectors.group("quality_indicator") {
        let (given, out) = (&case["in"], &case["out"]);
        let number = |name: &str| minutes(&given[name]).expect("number");
        for (name, found) in [
            ("sol", onset_indicator(number("sol_min"), false)),
            (
                "awakenings",
                awakenings_indicator(number("awakenings_over_5min"), false),
            ),
            ("waso", waso_indicator(number("waso_min"))),
            (
                "se",
                efficiency_indicator(given["se_percent"].as_f64().expect("percent")),
            ),
        ] {
            assert_eq!(found.id(), out[name], "{} {name}", id(case));
        }
    }
}

#[test]
fn weeks_with_long_times_awake_are_counted() {
    let vectors = Vectors::read("sleep_diary");
    for case in vectors.group("long_wake_pattern") {
        let weeks = case["in"]["weeks"].as_array().expect("weeks");
        let nights: Vec<usize> = weeks
            .iter()
            .map(|week| {
                let week: Vec<Option<u32>> =
                    week.as_array().expect("week").iter().map(minutes).collect();
                long_wake_nights(&week)
            })
            .collect();
        assert_eq!(serde_json::json!(nights), case["out"]["nights_per_week"]);
        assert_eq!(insomnia_weeks(&nights), case["out"]["weeks_with_3_or_more"]);
        assert_eq!(long_wake_nights(&[Some(LONG_WAKE_MIN - 1), None]), 0);
    }
}
