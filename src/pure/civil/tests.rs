use proptest::prelude::*;

use super::*;

fn at(text: &str) -> Instant {
    text.parse().expect("instant")
}

fn wall(text: &str) -> NaiveDateTime {
    text.parse().expect("wall time")
}

/// The same rules from both sources: a compiled-in zone and its rule as POSIX writes it, which goes the
/// way of the machine's files. Rules of 2026 by the tz database.
fn pairs() -> Vec<(Zone, Zone)> {
    [
        ("Europe/Berlin", "CET-1CEST,M3.5.0,M10.5.0/3"),
        ("America/New_York", "EST5EDT,M3.2.0,M11.1.0"),
        (
            "Australia/Lord_Howe",
            "<+1030>-10:30<+11>-11,M10.1.0,M4.1.0",
        ),
        (
            "Pacific/Chatham",
            "<+1245>-12:45<+1345>,M9.5.0/2:45,M4.1.0/3:45",
        ),
        ("America/Santiago", "<-04>4<-03>,M9.1.6/24,M4.1.6/24"),
        ("Asia/Kathmandu", "<+0545>-5:45"),
    ]
    .into_iter()
    .map(|(name, rule)| {
        (
            Zone::embedded(name).expect("known zone"),
            Zone::from_posix(rule).expect("rule"),
        )
    })
    .collect()
}

fn both(name: &str) -> [Zone; 2] {
    let (embedded, posix) = pairs()
        .into_iter()
        .find(|(zone, _)| zone.name() == name)
        .expect("pair");
    [embedded, posix]
}

#[test]
fn each_source_says_what_it_is() {
    for (embedded, posix) in pairs() {
        assert_eq!(embedded.source(), ZoneSource::Embedded);
        assert_eq!(posix.source(), ZoneSource::System);
    }
    assert!(Zone::from_posix("no rule at all").is_err());
    assert!(Zone::from_tzif("Own", b"no zone file").is_err());
    assert!(Zone::embedded("Mars/Olympus").is_none());
    assert_eq!(
        Zone::utc().offset_at(Instant::UNIX_EPOCH).local_minus_utc(),
        0
    );
}

#[test]
fn a_skipped_wall_time_moves_on_by_the_gap() {
    for zone in both("Europe/Berlin") {
        let gap = zone.resolve(wall("2026-03-29T02:30:00"));
        let moved = at("2026-03-29T01:30:00Z"); // 03:30 there
        assert_eq!(gap, Resolved::Skipped { moved });
        assert_eq!((gap.earlier(), gap.later()), (moved, moved));
        // The edges: the last minute before the gap, its first minute, the first after it.
        let exact = |text: &str| matches!(zone.resolve(wall(text)), Resolved::Exact(_));
        assert!(exact("2026-03-29T01:59:59"));
        assert!(!exact("2026-03-29T02:00:00"));
        assert!(!exact("2026-03-29T02:59:59"));
        assert!(exact("2026-03-29T03:00:00"));
    }
}

#[test]
fn a_repeated_wall_time_has_two_readings() {
    for zone in both("Europe/Berlin") {
        let twice = zone.resolve(wall("2026-10-25T02:30:00"));
        assert_eq!(twice.earlier(), at("2026-10-25T00:30:00Z"));
        assert_eq!(twice.later(), at("2026-10-25T01:30:00Z"));
        let exact = |text: &str| matches!(zone.resolve(wall(text)), Resolved::Exact(_));
        assert!(exact("2026-10-25T01:59:59"));
        assert!(!exact("2026-10-25T02:00:00"));
        assert!(!exact("2026-10-25T02:59:59"));
        assert!(exact("2026-10-25T03:00:00"));
    }
}

#[test]
fn half_an_hour_is_skipped_and_repeated_at_lord_howe() {
    for zone in both("Australia/Lord_Howe") {
        let moved = at("2026-10-03T15:40:00Z"); // 02:10 moves on to 02:40+11
        let gap = zone.resolve(wall("2026-10-04T02:10:00"));
        assert_eq!(gap, Resolved::Skipped { moved });
        assert_eq!(zone.local(moved).to_rfc3339(), "2026-10-04T02:40:00+11:00");
        let twice = zone.resolve(wall("2026-04-05T01:45:00"));
        assert_eq!(twice.later() - twice.earlier(), Duration::minutes(30));
    }
}

#[test]
fn midnight_itself_is_skipped_at_santiago() {
    for zone in both("America/Santiago") {
        let gap = zone.resolve(wall("2026-09-06T00:00:00"));
        let moved = at("2026-09-06T04:00:00Z");
        assert_eq!(gap, Resolved::Skipped { moved });
        assert_eq!(zone.local(moved).to_rfc3339(), "2026-09-06T01:00:00-03:00");
    }
}

#[test]
fn a_whole_day_is_skipped_at_apia() {
    let zone = Zone::embedded("Pacific/Apia").expect("known zone");
    for hour in ["00:00", "11:59", "22:30", "23:59"] {
        let gap = zone.resolve(wall(&format!("2011-12-30T{hour}:00")));
        let moved = zone.resolve(wall(&format!("2011-12-31T{hour}:00")));
        assert!(matches!(gap, Resolved::Skipped { .. }), "{hour}");
        assert_eq!(gap.earlier(), moved.earlier(), "{hour}");
    }
    let change = zone
        .next_change(at("2011-12-01T00:00:00Z"), at("2012-01-31T00:00:00Z"))
        .expect("change");
    assert_eq!(change, at("2011-12-30T10:00:00Z"));
}

#[test]
fn a_whole_day_is_repeated_at_juneau() {
    // By the tz database the day of 18 October 1867 came twice when the date line moved west of it.
    let zone = Zone::embedded("America/Juneau").expect("known zone");
    let twice = zone.resolve(wall("1867-10-19T12:00:00"));
    assert_eq!(twice.later() - twice.earlier(), Duration::days(1));
}

#[test]
fn the_next_change_is_a_whole_second() {
    for zone in both("Europe/Berlin") {
        let next = |from, until| zone.next_change(at(from), at(until));
        let change = at("2026-03-29T01:00:00Z");
        let until = "2026-12-31T00:00:00Z";
        assert_eq!(next("2026-01-01T00:00:00.250Z", until), Some(change));
        assert_eq!(next("2026-03-29T00:59:59.900Z", until), Some(change));
        assert_eq!(
            next("2026-03-29T01:00:00Z", until),
            Some(at("2026-10-25T01:00:00Z"))
        );
        assert_eq!(
            next("2026-01-01T00:00:00Z", "2026-03-29T01:00:00Z"),
            Some(change)
        );
        assert_eq!(next("2026-01-01T00:00:00Z", "2026-03-29T00:59:59Z"), None);
        assert_eq!(next(until, "2026-01-01T00:00:00Z"), None);
    }
    let still = Zone::embedded("Asia/Kathmandu").expect("known zone");
    assert_eq!(
        still.next_change(at("2024-01-01T00:00:00Z"), at("2031-01-01T00:00:00Z")),
        None
    );
}

#[test]
fn the_first_difference_of_two_zones() {
    let [berlin, same] = both("Europe/Berlin");
    let (from, until) = (at("2026-01-01T00:00:00Z"), at("2029-01-01T00:00:00Z"));
    assert_eq!(first_difference(&berlin, &same, from, until), None);
    let lagos = Zone::embedded("Africa/Lagos").expect("known zone"); // UTC+1 all year
    assert_eq!(
        first_difference(&berlin, &lagos, from, until),
        Some(at("2026-03-29T01:00:00Z"))
    );
    assert_eq!(
        first_difference(&berlin, &Zone::utc(), from, until),
        Some(from)
    );
    assert_eq!(first_difference(&berlin, &Zone::utc(), from, from), None);
}

#[test]
fn nights_run_from_noon_to_noon() {
    let night = Night("2026-01-13".parse().expect("date"));
    for inside in [
        "2026-01-13T12:00:00",
        "2026-01-13T23:59:59",
        "2026-01-14T00:30:00",
        "2026-01-14T11:59:59",
    ] {
        assert_eq!(Night::of(wall(inside)), night, "{inside}");
    }
    assert_eq!(Night::of(wall("2026-01-13T11:59:59")), night.previous());
    assert_eq!(Night::of(wall("2026-01-14T12:00:00")), night.next());
    assert_eq!(night.to_string(), "2026-01-13");
    let zone = Zone::embedded("Asia/Kathmandu").expect("known zone");
    assert_eq!(Night::at(at("2026-01-14T06:14:00Z"), &zone), night); // 11:59 there
    assert_eq!(Night::at(at("2026-01-14T06:15:00Z"), &zone), night.next());
}

proptest! {
    /// Both sources mean the same by every wall time of these years.
    #[test]
    fn both_sources_agree(seconds in 1_704_067_200_i64..1_924_905_600, which in 0_usize..6) {
        let (embedded, posix) = &pairs()[which];
        let wall = DateTime::from_timestamp(seconds, 0).expect("instant").naive_utc();
        prop_assert_eq!(embedded.resolve(wall), posix.resolve(wall));
    }

    /// What the wall shows at an instant means that instant again.
    #[test]
    fn there_and_back(seconds in 1_704_067_200_i64..1_924_905_600, which in 0_usize..6) {
        let (embedded, posix) = &pairs()[which];
        let instant = DateTime::from_timestamp(seconds, 0).expect("instant");
        for zone in [embedded, posix] {
            let resolved = zone.resolve(zone.local(instant).naive_local());
            prop_assert!(resolved.earlier() == instant || resolved.later() == instant);
            let skipped = matches!(resolved, Resolved::Skipped { .. });
            prop_assert!(!skipped);
        }
    }

    /// A wall time lies in the night that `wall` was asked for.
    #[test]
    fn a_time_of_day_stays_in_its_night(day in 0_i64..4000, second in 0_u32..86_400) {
        let night = Night(NaiveDate::default() + Duration::days(day));
        let time = NaiveTime::from_num_seconds_from_midnight_opt(second, 0).expect("time");
        prop_assert_eq!(Night::of(night.wall(time)), night);
    }
}
