use proptest::prelude::*;

use super::*;

fn wall(text: &str) -> NaiveDateTime {
    text.parse().unwrap()
}

fn instant(text: &str) -> Instant {
    text.parse().unwrap()
}

/// The first firing after an instant.
fn next_instant_after(fields: &CronFields, zone: &Zone, instant: Instant) -> Option<Instant> {
    let from = instant + Duration::milliseconds(1);
    let until = from + Duration::days(3);
    let listed = firings(fields, zone, from, until).first().copied();
    let first = first_firing(fields, zone, from).filter(|(_, due)| *due < until);
    assert_eq!(
        first, listed,
        "the short way and the list disagree after {instant}"
    );
    listed.map(|(_, due)| due)
}

fn fields(text: &str) -> CronFields {
    parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"))
}

fn fault_of(text: &str) -> (usize, String) {
    let fault = parse(text).expect_err(text);
    assert!(!fault.what.is_empty() && !fault.instead.is_empty());
    (fault.at, format!("{}. {}.", fault.what, fault.instead))
}

#[test]
fn weekday_names_mean_their_days() {
    let sunday = fields("0 0 18 * * Sun");
    assert_eq!(
        next_after(&sunday, wall("2026-01-05T00:00:00")),
        Some(wall("2026-01-11T18:00:00"))
    );
    let workdays = fields("0 30 13 * * mon-FRI");
    assert_eq!(
        next_after(&workdays, wall("2026-01-09T13:30:00")),
        Some(wall("2026-01-12T13:30:00"))
    );
    let long = fields("0 0 7 ? * Tuesday,thu");
    assert_eq!(
        next_after(&long, wall("2026-01-06T07:00:00")),
        Some(wall("2026-01-08T07:00:00"))
    );
}

#[test]
fn the_next_time_is_later_than_the_time_asked_from() {
    let daily = fields("@daily");
    assert_eq!(
        next_after(&daily, wall("2026-01-05T00:00:00")),
        Some(wall("2026-01-06T00:00:00"))
    );
    assert_eq!(
        next_after(&daily, wall("2026-01-05T00:00:00.5")),
        Some(wall("2026-01-06T00:00:00"))
    );
}

#[test]
fn each_fault_is_named_with_its_place_and_a_remedy() {
    let cases = [
        (
            "",
            0,
            "there are no cron fields. Write six fields: second minute hour day month weekday, for example \"0 0 18 * * Sun\".",
        ),
        (
            "30 13 * * Mon-Fri",
            0,
            "there are five cron fields, and the second is missing. Write the second first: \"0 30 13 * * Mon-Fri\".",
        ),
        (
            "0 0 18 * * Sun 2027",
            15,
            "there are seven cron fields, and a year is not used here. Leave it out: \"0 0 18 * * Sun\".",
        ),
        (
            "0 0 18 * * 7",
            11,
            "the weekday \"7\" has digits, which mean different days in different programs. Write names: Mon, Tue, Wed, Thu, Fri, Sat or Sun, for example Mon-Fri or Tue,Thu.",
        ),
        (
            "0 0 18 * * Mon-5",
            11,
            "the weekday \"Mon-5\" has digits, which mean different days in different programs. Write names: Mon, Tue, Wed, Thu, Fri, Sat or Sun, for example Mon-Fri or Tue,Thu.",
        ),
        (
            "0 0 18 * * Wed,Mo",
            15,
            "the weekday \"Mo\" is not known. Write Mon.",
        ),
        (
            "0 0 18 * * Fri-Mon",
            11,
            "the weekday range Fri-Mon runs backwards, and ranges do not wrap around. Write Fri-Sat,Sun-Mon.",
        ),
        (
            "0 0 18 * * Fri-Sun",
            11,
            "the weekday range Fri-Sun runs backwards, and ranges do not wrap around. Write Fri-Sat,Sun.",
        ),
        (
            "0 0 22-6 * * *",
            4,
            "the hour range 22-6 runs backwards, and ranges do not wrap around. Write 22-23,0-6.",
        ),
        (
            "0 0 25 * * *",
            4,
            "the hour 25 is out of range. Write * or numbers from 0 to 23.",
        ),
        (
            "0 0 18 * Foo *",
            9,
            "the month \"Foo\" is not known. Write * or numbers from 1 to 12.",
        ),
        (
            "0 0 18 L * *",
            7,
            "the day of the month \"L\" is not known. Write * or numbers from 1 to 31.",
        ),
        (
            "0 0/0 18 * * *",
            2,
            "the step \"/0\" of the minute does not fit. Write / and a whole number from 1 to 59.",
        ),
        (
            "* 0 18 * * *",
            0,
            "the second \"*\" comes more than once a minute. Write one second, usually 0.",
        ),
        (
            "0 0 22 31 2 *",
            0,
            "\"0 0 22 31 2 *\" never comes: no year has such a day. Write a day that the month has.",
        ),
        (
            "@dayly",
            0,
            "\"@dayly\" is not known. Did you mean @daily? Or write the six fields.",
        ),
        (
            "0 0 18,, * * *",
            7,
            "the hour has an empty place. Write * or numbers from 0 to 23.",
        ),
    ];
    for (text, at, said) in cases {
        assert_eq!(fault_of(text), (at, said.to_owned()), "{text}");
    }
}

#[test]
fn the_leap_day_comes() {
    let leap = fields("0 0 12 29 Feb *");
    assert_eq!(
        next_after(&leap, wall("2026-01-01T00:00:00")),
        Some(wall("2028-02-29T12:00:00"))
    );
}

/// Offsets and changes as in the IANA tz database 2025b; what a skipped and a repeated time mean is
/// our own choice: later by the gap, and the first of two.
#[test]
fn a_skipped_time_comes_later_and_a_repeated_one_once() {
    let cases = [
        (
            "Europe/Berlin",
            "0 30 2 * * *",
            "2026-03-28T12:00:00Z",
            ["2026-03-29T01:30:00Z", "2026-03-30T00:30:00Z"],
        ),
        (
            "Europe/Berlin",
            "0 30 2 * * *",
            "2026-10-24T12:00:00Z",
            ["2026-10-25T00:30:00Z", "2026-10-26T01:30:00Z"],
        ),
        (
            "America/New_York",
            "0 30 2 * * *",
            "2026-03-07T12:00:00Z",
            ["2026-03-08T07:30:00Z", "2026-03-09T06:30:00Z"],
        ),
        (
            "America/New_York",
            "0 30 1 * * *",
            "2026-10-31T12:00:00Z",
            ["2026-11-01T05:30:00Z", "2026-11-02T06:30:00Z"],
        ),
        (
            "Africa/Cairo",
            "0 0 0 * * *",
            "2026-04-23T12:00:00Z",
            ["2026-04-23T22:00:00Z", "2026-04-24T21:00:00Z"],
        ),
        (
            "Australia/Lord_Howe",
            "0 15 2 * * *",
            "2026-10-03T12:00:00Z",
            ["2026-10-03T15:45:00Z", "2026-10-04T15:15:00Z"],
        ),
        (
            "Pacific/Apia",
            "0 0 8 * * *",
            "2011-12-29T20:00:00Z",
            ["2011-12-30T18:00:00Z", "2011-12-31T18:00:00Z"],
        ),
    ];
    for (name, text, from, expected) in cases {
        let zone = Zone::embedded(name).unwrap();
        let mut at = instant(from);
        for next in expected {
            at = next_instant_after(&fields(text), &zone, at).unwrap();
            assert_eq!(at, instant(next), "{name} {text}");
        }
    }
}

#[test]
fn asking_again_between_the_clock_change_and_a_moved_time_does_not_lose_it() {
    let zone = Zone::embedded("Europe/Berlin").unwrap();
    let after_the_gap = instant("2026-03-29T01:10:00Z");
    let next = next_instant_after(&fields("0 30 2 * * *"), &zone, after_the_gap);
    assert_eq!(next, Some(instant("2026-03-29T01:30:00Z")));
}

#[test]
fn a_schedule_finer_than_an_hour_stays_in_order_through_the_repeated_hour() {
    let zone = Zone::embedded("Europe/Berlin").unwrap();
    let quarter = fields("0 0/15 * * * *");
    let mut at = instant("2026-10-24T23:50:00Z");
    let mut found = Vec::new();
    for _ in 0..6 {
        at = next_instant_after(&quarter, &zone, at).unwrap();
        found.push(at.format("%H:%M").to_string());
    }
    // 02:00 to 02:45 in their first reading; the second reading of the hour has none of its own.
    assert_eq!(
        found,
        ["00:00", "00:15", "00:30", "00:45", "02:00", "02:15"]
    );
}

proptest! {
    /// A daily time comes exactly once for every day of the calendar, whatever the clocks do: asked
    /// from one firing or from any moment before the next, the answer is the same.
    #[test]
    fn a_daily_time_comes_once_a_day(
        zone in prop::sample::select(vec!["Europe/Oslo", "America/St_Johns", "Australia/Lord_Howe", "Africa/Cairo", "America/Santiago", "Asia/Tehran"]),
        start in 0_i64..2500,
        minute in 0_u32..1440,
        share in 0.0_f64..1.0,
    ) {
        let zone = Zone::embedded(zone).unwrap();
        let daily = fields(&format!("0 {} {} * * *", minute % 60, minute / 60));
        let from = instant("2024-01-01T12:00:00Z") + Duration::days(start);
        let first = next_instant_after(&daily, &zone, from).unwrap();
        let second = next_instant_after(&daily, &zone, first).unwrap();
        let gap = second - first;
        prop_assert!((Duration::hours(22)..=Duration::hours(26)).contains(&gap), "{first} {second}");
        let between = first + Duration::milliseconds((gap.num_milliseconds() as f64 * share) as i64);
        prop_assert_eq!(next_instant_after(&daily, &zone, between).unwrap(), second);
        let days = zone.local(second).date_naive() - zone.local(first).date_naive();
        prop_assert_eq!(days, Duration::days(1));
    }

    /// A span cut in two gives the firings of the whole.
    #[test]
    fn a_cut_span_loses_and_doubles_nothing(
        zone in prop::sample::select(vec!["Europe/Oslo", "Australia/Lord_Howe", "Africa/Cairo", "Pacific/Apia"]),
        text in prop::sample::select(vec!["0 30 2 * * *", "0 0/20 * * * *", "0 0 0 * * *", "0 15 1-3 * * Sun"]),
        start in prop::sample::select(vec!["2026-03-28T00:00:00Z", "2026-10-24T00:00:00Z", "2026-04-03T00:00:00Z", "2026-04-23T00:00:00Z", "2011-12-29T00:00:00Z"]),
        cut in 0_i64..4320,
    ) {
        let zone = Zone::embedded(zone).unwrap();
        let fields = fields(text);
        let from = instant(start);
        let (middle, until) = (from + Duration::minutes(cut), from + Duration::days(3));
        let mut parts = firings(&fields, &zone, from, middle);
        parts.extend(firings(&fields, &zone, middle, until));
        prop_assert!(parts.windows(2).all(|pair| pair[0].1 < pair[1].1));
        prop_assert_eq!(parts, firings(&fields, &zone, from, until));
    }

    /// A short span gives what a long one around it gives there.
    #[test]
    fn a_short_span_is_a_part_of_a_long_one(
        zone in prop::sample::select(vec!["Europe/Oslo", "Pacific/Apia", "UTC"]),
        text in prop::sample::select(vec![
            "0 30 2 * * *", "7 * * * * *", "0 0/20 * * * *", "59 59 23 31 12 *", "0 0 0 * * Mon-Fri", "30 0 0 ? Jan,Dec Thu,Fri", "@hourly",
        ]),
        near in prop::sample::select(vec!["2026-03-29T01:00:00Z", "2026-12-31T22:59:59Z", "2026-12-31T23:59:59Z", "2026-06-01T00:30:07Z", "2011-12-30T10:00:00Z"]),
        before_ms in -3000_i64..15_000,
        length_ms in 0_i64..12_000,
    ) {
        let zone = Zone::embedded(zone).unwrap();
        let fields = fields(text);
        let from = instant(near) - Duration::milliseconds(before_ms);
        let until = from + Duration::milliseconds(length_ms);
        let mut around = firings(&fields, &zone, from - Duration::hours(1), until + Duration::hours(1));
        around.retain(|(_, due)| (from..until).contains(due));
        prop_assert_eq!(firings(&fields, &zone, from, until), around);
    }

    /// The first of several is the first of all that each of them would give by itself.
    #[test]
    fn the_first_of_several_is_the_first_of_each(
        zone in prop::sample::select(vec!["Europe/Oslo", "Australia/Lord_Howe", "Africa/Cairo", "Pacific/Apia", "UTC"]),
        texts in prop::collection::vec(prop::sample::select(vec![
            "0 30 2 * * *", "0 0/20 * * * *", "0 0 0 * * *", "0 15 1-3 * * Sun", "0 30 3 * * *", "0 0 2 29 3 *", "0 15 23 * * Sat",
        ]), 1..6),
        start in prop::sample::select(vec!["2026-03-27T00:00:00Z", "2026-10-23T00:00:00Z", "2026-04-03T00:00:00Z", "2026-04-23T00:00:00Z", "2011-12-28T00:00:00Z"]),
        minutes in 0_i64..6000,
    ) {
        let zone = Zone::embedded(zone).unwrap();
        let several: Vec<CronFields> = texts.into_iter().map(fields).collect();
        let from = instant(start) + Duration::minutes(minutes);
        let each = several.iter().enumerate().filter_map(|(place, fields)| {
            first_firing(fields, &zone, from).map(|(wall, at)| (place, wall, at))
        });
        let mut each: Vec<_> = each.collect();
        let first = each.iter().map(|(_, _, at)| *at).min();
        each.retain(|(_, _, at)| Some(*at) == first);
        prop_assert_eq!(first_of(several.iter(), &zone, from), each);
    }

    /// No text makes the reader panic, and what it accepts comes at some time.
    #[test]
    fn any_text_is_read_or_refused_with_words(text in "[0-9A-Za-z*?,/@ -]{0,24}") {
        match parse(&text) {
            Ok(fields) => prop_assert!(next_after(&fields, wall("2026-01-01T00:00:00")).is_some()),
            Err(fault) => {
                prop_assert!(fault.at <= text.len());
                prop_assert!(!fault.what.is_empty() && !fault.instead.is_empty());
            }
        }
    }

    /// As above, near the form that is accepted: six fields of plausible parts.
    #[test]
    fn plausible_fields_are_read_or_refused_with_words(
        parts in prop::collection::vec("[*?]|[0-9]{1,2}(-[0-9]{1,2})?(/[0-9]{1,2})?|(Mon|Tue|Sun|Jan)(-(Fri|Sat|Mar))?", 6)
    ) {
        let text = parts.join(" ");
        match parse(&text) {
            Ok(fields) => prop_assert!(next_after(&fields, wall("2026-01-01T00:00:00")).is_some()),
            Err(fault) => prop_assert!(!fault.what.contains("cannot be read"), "{}: {:?}", text, fault),
        }
    }
}
