use super::*;

fn night(text: &str) -> Night {
    Night(text.parse().expect("date"))
}

fn zone(name: &str) -> Zone {
    Zone::embedded(name).expect("zone")
}

fn said(text: &str) -> Option<Moment> {
    Some(text.parse().expect("time"))
}

fn usual() -> DiaryEntry {
    DiaryEntry {
        into_bed: said("22:40"),
        lights_out: said("22:50"),
        asleep_after_min: Some(15),
        wakings: Some(2),
        awake_for_min: Some(20),
        woke: said("06:20"),
        up: said("06:30"),
        ..DiaryEntry::default()
    }
}

fn ids(entry: &DiaryEntry, of: &str, in_zone: &str) -> Vec<&'static str> {
    entry
        .resolve(night(of), &zone(in_zone))
        .expect_err("a question")
        .iter()
        .map(Refusal::id)
        .collect()
}

#[test]
fn clock_times_get_their_dates_from_the_night() {
    let diary = usual()
        .resolve(night("2026-01-05"), &zone("Europe/Oslo"))
        .expect("an ordinary night");
    let measures = diary.times.measures();
    assert_eq!(measures.in_bed_s, Some(470 * 60));
    assert_eq!(measures.asleep_s, Some((450 - 35) * 60));
    assert_eq!(measures.attempt_s, Some(450 * 60));
    assert!(diary.notes.is_empty());
    assert_eq!(
        diary.times.into_bed,
        Some("2026-01-05T21:40:00Z".parse().expect("instant"))
    );
}

#[test]
fn bed_after_midnight_is_the_same_night() {
    let entry = DiaryEntry {
        lights_out: said("00:30"),
        into_bed: said("23:50"),
        ..usual()
    };
    let times = entry
        .resolve(night("2026-01-05"), &zone("UTC"))
        .expect("night")
        .times;
    assert_eq!(
        times.lights_out,
        Some("2026-01-06T00:30:00Z".parse().expect("instant"))
    );
    assert_eq!(
        times.into_bed,
        Some("2026-01-05T23:50:00Z".parse().expect("instant"))
    );
}

#[test]
fn a_question_names_both_values() {
    let entry = DiaryEntry {
        up: said("06:10"),
        ..usual()
    };
    let refusals = entry
        .resolve(night("2026-01-05"), &zone("UTC"))
        .expect_err("up before woke");
    let text = refusals[0].to_string();
    assert!(
        text.contains("up 2026-01-06 06:10") && text.contains("woke 2026-01-06 06:20"),
        "{text}"
    );
    assert!(text.contains('?'), "{text}");
}

#[test]
fn impossible_minutes_are_questioned() {
    let entry = DiaryEntry {
        awake_for_min: Some(500),
        ..usual()
    };
    assert_eq!(
        ids(&entry, "2026-01-05", "UTC"),
        ["sum_of_wake_exceeds_time_available"]
    );
    let entry = DiaryEntry {
        tried_after_min: Some(11),
        ..usual()
    };
    assert_eq!(
        ids(&entry, "2026-01-05", "UTC"),
        ["sum_of_wake_exceeds_time_available"]
    );
}

#[test]
fn a_whole_day_in_bed_is_asked_about_and_can_be_confirmed() {
    let mut entry = DiaryEntry {
        lights_out: said("07:00"),
        woke: said("07:00"),
        ..DiaryEntry::default()
    };
    assert_eq!(ids(&entry, "2026-01-14", "UTC"), ["long_in_bed"]);
    entry.long_confirmed = true;
    let times = entry
        .resolve(night("2026-01-14"), &zone("UTC"))
        .expect("confirmed")
        .times;
    assert_eq!(times.measures().attempt_s, Some(1440 * 60));
}

#[test]
fn the_skipped_hour_is_a_question() {
    let entry = DiaryEntry {
        lights_out: said("02:30"),
        into_bed: said("01:30"),
        ..usual()
    };
    assert_eq!(ids(&entry, "2026-03-28", "Europe/Berlin"), ["skipped_hour"]);
}

#[test]
fn the_repeated_hour_is_the_later_one_unless_only_the_earlier_fits() {
    let berlin = zone("Europe/Berlin");
    let entry = DiaryEntry {
        into_bed: said("02:50"),
        lights_out: said("02:10"),
        ..usual()
    };
    let diary = entry
        .resolve(night("2026-10-24"), &berlin)
        .expect("both readings are needed");
    assert_eq!(
        diary.times.into_bed,
        Some("2026-10-25T00:50:00Z".parse().expect("instant"))
    );
    assert_eq!(
        diary.times.lights_out,
        Some("2026-10-25T01:10:00Z".parse().expect("instant"))
    );
    assert_eq!(diary.notes.len(), 2);
    assert!(
        diary.notes[0].contains("later one (02:10+01:00)"),
        "{:?}",
        diary.notes
    );
    assert!(
        diary.notes[1].contains("earlier one (02:50+02:00)"),
        "{:?}",
        diary.notes
    );
    let exact = DiaryEntry {
        lights_out: said("2026-10-25T02:10+02:00"),
        into_bed: said("01:50"),
        ..usual()
    };
    let diary = exact.resolve(night("2026-10-24"), &berlin).expect("exact");
    assert_eq!(
        diary.times.lights_out,
        Some("2026-10-25T00:10:00Z".parse().expect("instant"))
    );
    assert!(diary.notes.is_empty());
}

#[test]
fn minutes_asleep_stand_in_for_the_times_but_do_not_contradict_them() {
    let alone = DiaryEntry {
        sleep_min: Some(430),
        ..DiaryEntry::default()
    };
    let times = alone
        .resolve(night("2026-01-05"), &zone("UTC"))
        .expect("minutes alone")
        .times;
    assert_eq!(times.measures().asleep_s, Some(430 * 60));
    assert_eq!(times.measures().efficiency_bed, None);
    let same = DiaryEntry {
        sleep_min: Some(415),
        ..usual()
    };
    assert!(same.resolve(night("2026-01-05"), &zone("UTC")).is_ok());
    let other = DiaryEntry {
        sleep_min: Some(300),
        ..usual()
    };
    assert_eq!(ids(&other, "2026-01-05", "UTC"), ["sleep_min_disagrees"]);
}

#[test]
fn what_was_not_said_stays_unknown() {
    let entry = DiaryEntry {
        lights_out: said("22:50"),
        woke: said("06:20"),
        ..DiaryEntry::default()
    };
    let measures = entry
        .resolve(night("2026-01-05"), &zone("UTC"))
        .expect("two times")
        .times
        .measures();
    assert_eq!(measures.asleep_s, None);
    assert_eq!(measures.in_bed_s, None);
    assert_eq!(measures.attempt_s, Some(450 * 60));
    assert_eq!(measures.asleep_at_most_s, Some(450 * 60));
}

#[test]
fn a_date_of_another_night_is_questioned() {
    let entry = DiaryEntry {
        lights_out: said("2026-02-05T22:50"),
        woke: said("2026-02-06T06:20"),
        ..DiaryEntry::default()
    };
    assert_eq!(
        ids(&entry, "2026-01-05", "UTC"),
        ["other_night", "other_night"]
    );
}

#[test]
fn every_night_of_four_years_has_its_true_length() {
    // The wall says eight hours; what elapsed differs by what the clocks were moved, in any zone.
    for name in [
        "Europe/Berlin",
        "America/New_York",
        "Australia/Lord_Howe",
        "Asia/Kolkata",
    ] {
        let zone = zone(name);
        let entry = DiaryEntry {
            lights_out: said("23:00"),
            woke: said("07:00"),
            ..DiaryEntry::default()
        };
        let mut date = NaiveDate::from_ymd_opt(2024, 1, 1).expect("date");
        for _ in 0..4 * 365 {
            let times = entry
                .resolve(Night(date), &zone)
                .expect("neither time is ever skipped")
                .times;
            let (from, to) = (times.lights_out.expect("from"), times.woke.expect("to"));
            let moved =
                zone.offset_at(to).local_minus_utc() - zone.offset_at(from).local_minus_utc();
            assert_eq!(
                times.measures().attempt_s,
                Some(8 * 3600 - i64::from(moved)),
                "{name} {date}"
            );
            date = date.succ_opt().expect("next");
        }
    }
}

#[test]
fn a_long_time_awake_needs_one_long_or_both_known() {
    let long = |asleep_after_min, awake_for_min| {
        Times {
            asleep_after_min,
            awake_for_min,
            ..Times::default()
        }
        .long_wake_min()
    };
    assert_eq!(long(Some(10), Some(35)), Some(35));
    assert_eq!(long(Some(40), None), Some(40));
    assert_eq!(long(Some(10), None), None);
    assert_eq!(long(None, None), None);
}
