//! Tests of reading, on texts of our own. The sample files with their expected results are read in
//! `tests/suite/calendar.rs`.

use chrono::{DateTime, NaiveDate};
use proptest::prelude::*;

use super::*;

fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

fn berlin() -> Zone {
    Zone::embedded("Europe/Berlin").expect("zone")
}

/// Reads a calendar for 2026 at home in Berlin.
fn read_2026(text: &[u8], limits: &Limits) -> Result<Reading, Vec<String>> {
    let home = berlin();
    let span = Span {
        from: date("2026-01-01"),
        until: date("2027-01-01"),
        home: &home,
    };
    let source = Source {
        file: "c.ics",
        octets: text,
    };
    let mut faults = Faults::new(source.file);
    let reading = read_with(&source, &span, &Zone::embedded, limits, &mut faults);
    if faults.is_empty() {
        return Ok(reading);
    }
    let complaints = faults.into_complaints();
    Err(complaints.iter().map(ToString::to_string).collect())
}

/// A calendar around lines that are written with blanks between them.
fn calendar(lines: &str) -> String {
    let lines: Vec<&str> = lines.split_whitespace().collect();
    format!(
        "BEGIN:VCALENDAR\r\n{}\r\nEND:VCALENDAR\r\n",
        lines.join("\r\n")
    )
}

/// An event around lines.
fn event(lines: &str) -> String {
    calendar(&format!("BEGIN:VEVENT UID:a {lines} END:VEVENT"))
}

/// Starts as instants in UTC or as dates.
fn starts(text: &str) -> Vec<String> {
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("a good calendar");
    reading.occurrences.iter().map(|o| when(o.start)).collect()
}

/// Starts and ends.
fn spans(text: &str) -> Vec<(String, String)> {
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("a good calendar");
    let of = |o: &Occurrence| (when(o.start), when(o.end));
    reading.occurrences.iter().map(of).collect()
}

fn when(when: When) -> String {
    match when {
        When::Date(date) => date.to_string(),
        When::At(at) => at.format("%m-%dT%H:%MZ").to_string(),
    }
}

fn refusals(text: &str) -> String {
    read_2026(text.as_bytes(), &LIMITS)
        .expect_err("a fault")
        .join("\n")
}

#[test]
fn a_zone_defined_in_the_file_is_used_where_its_name_is_not_known() {
    // The rules of the tz database for Berlin from 1996 on, under a name nobody knows.
    let zone = "BEGIN:VTIMEZONE TZID:Own/Town \
        BEGIN:DAYLIGHT DTSTART:19960331T020000 TZOFFSETFROM:+0100 TZOFFSETTO:+0200 \
        RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU END:DAYLIGHT \
        BEGIN:STANDARD DTSTART:19961027T030000 TZOFFSETFROM:+0200 TZOFFSETTO:+0100 \
        RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU END:STANDARD END:VTIMEZONE";
    let event = |id: &str| {
        format!("BEGIN:VEVENT UID:a DTSTART;TZID={id}:20260101T023000 RRULE:FREQ=DAILY END:VEVENT")
    };
    let own = starts(&calendar(&format!("{zone} {}", event("Own/Town"))));
    let known = starts(&calendar(&event("Europe/Berlin")));
    assert_eq!(own.len(), 365);
    assert_eq!(own, known);
}

#[test]
fn a_known_name_wins_over_a_wrong_definition_of_it() {
    let wrong = "BEGIN:VTIMEZONE TZID:Europe/Berlin BEGIN:STANDARD DTSTART:19700101T000000 \
        TZOFFSETFROM:+0900 TZOFFSETTO:+0900 END:STANDARD END:VTIMEZONE \
        BEGIN:VEVENT UID:a DTSTART;TZID=Europe/Berlin:20260105T180000 END:VEVENT";
    assert_eq!(starts(&calendar(wrong)), ["01-05T17:00Z"]);
}

#[test]
fn a_definition_that_cannot_be_used_is_named() {
    let zone = |inside: &str| {
        calendar(&format!(
            "BEGIN:VTIMEZONE TZID:X {inside} END:VTIMEZONE \
             BEGIN:VEVENT UID:a DTSTART;TZID=X:20260105T180000 END:VEVENT"
        ))
    };
    assert!(refusals(&zone("")).contains("c.ics:2:7: the time zone X says no offset"));
    let half = "BEGIN:STANDARD DTSTART:20200101T000000 TZOFFSETFROM:+0100 END:STANDARD";
    assert!(refusals(&zone(half)).contains("the time zone X cannot be used: it has no TZOFFSETTO"));
}

#[test]
fn writing_habits_of_other_programs_are_accepted() {
    let text = "\u{feff}begin:vcalendar\nx-own;a=\"b:c\";d=e,f:g\n\nbegin:vevent\nuid:a\n\
        dtstart;tzid=\"Europe/Berlin\":20260\n\t105T180000\nsumm\n ary:Cl\n\t imb\n\
        begin:x-part\nsummary:not this one\nend:x-part\nend:vevent\nend:vcalendar\n\n\
        BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:b\nDTSTART:20260106\nEND:VEVENT\nEND:VCALENDAR";
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("accepted");
    let summaries: Vec<&str> = reading.occurrences.iter().map(|o| &*o.summary).collect();
    assert_eq!(summaries, ["Cl imb", ""]);
    assert_eq!(reading.occurrences[0].line, 4);
}

#[test]
fn the_first_occurrence_is_the_start_itself_and_counts() {
    // RFC 5545, section 3.3.10: DTSTART always counts as the first occurrence.
    let text = event("DTSTART:20260105T170000Z RRULE:FREQ=WEEKLY;COUNT=3;BYDAY=WE");
    assert_eq!(
        starts(&text),
        ["01-05T17:00Z", "01-07T17:00Z", "01-14T17:00Z"]
    );
}

#[test]
fn the_end_of_a_rule_in_its_three_forms() {
    let until = |end: &str| {
        starts(&event(&format!(
            "DTSTART;TZID=Europe/Berlin:20260105T180000 RRULE:FREQ=DAILY;UNTIL={end}"
        )))
        .len()
    };
    assert_eq!(until("20260107T170000Z"), 3);
    assert_eq!(until("20260107T165959Z"), 2);
    assert_eq!(until("20260107T180000"), 3);
    assert_eq!(until("20260107"), 3);
    assert_eq!(until("20260101"), 0);
}

#[test]
fn days_move_the_wall_clock_and_hours_are_elapsed_time() {
    // Berlin puts its clocks forward on 29 March 2026.
    let text = event("DTSTART;TZID=Europe/Berlin:20260328T180000 DURATION:P1DT1H");
    assert_eq!(
        spans(&text),
        [("03-28T17:00Z".into(), "03-29T17:00Z".into())]
    );
    let text = event("DTSTART;TZID=Europe/Berlin:20260328T180000 DURATION:PT25H");
    assert_eq!(
        spans(&text),
        [("03-28T17:00Z".into(), "03-29T18:00Z".into())]
    );
}

#[test]
fn a_wall_time_that_is_skipped_moves_on_by_the_gap() {
    let text = event("DTSTART;TZID=Europe/Berlin:20260328T023000 RRULE:FREQ=DAILY;COUNT=2");
    assert_eq!(starts(&text), ["03-28T01:30Z", "03-29T01:30Z"]);
}

#[test]
fn more_dates_periods_and_dates_left_out() {
    let text = event(
        "DTSTART:20260105T170000Z DURATION:PT1H RRULE:FREQ=DAILY;COUNT=3 \
         RDATE;VALUE=PERIOD:20260201T100000Z/PT2H,20260202T100000Z/20260202T103000Z \
         RDATE:20260203T100000Z,20260105T170000Z EXDATE;TZID=Europe/Berlin:20260106T180000 \
         EXRULE:FREQ=DAILY;INTERVAL=2;COUNT=1",
    );
    let expected = [
        ("01-07T17:00Z", "01-07T18:00Z"),
        ("02-01T10:00Z", "02-01T12:00Z"),
        ("02-02T10:00Z", "02-02T10:30Z"),
        ("02-03T10:00Z", "02-03T11:00Z"),
    ];
    assert_eq!(
        spans(&text),
        expected.map(|(a, b)| (a.to_owned(), b.to_owned()))
    );
    let by_date =
        event("DTSTART:20260105T170000Z RRULE:FREQ=DAILY;COUNT=3 EXDATE;VALUE=DATE:20260106");
    assert_eq!(starts(&by_date), ["01-05T17:00Z", "01-07T17:00Z"]);
}

#[test]
fn a_changed_occurrence_counts_wherever_it_moved_to() {
    // From outside the span into it, out of it, and of a series that is not in the file.
    let text = calendar(
        "BEGIN:VEVENT UID:a DTSTART:20251230T170000Z RRULE:FREQ=DAILY;COUNT=4 END:VEVENT \
         BEGIN:VEVENT UID:a RECURRENCE-ID:20251230T170000Z DTSTART:20260501T170000Z END:VEVENT \
         BEGIN:VEVENT UID:a RECURRENCE-ID:20260101T170000Z DTSTART:20250501T170000Z END:VEVENT \
         BEGIN:VEVENT UID:gone RECURRENCE-ID;VALUE=DATE:20260301 DTSTART:20260302 END:VEVENT",
    );
    assert_eq!(
        starts(&text),
        ["01-02T17:00Z", "2026-03-02", "05-01T17:00Z"]
    );
}

#[test]
fn what_overlaps_the_span_belongs_to_it() {
    let text = calendar(
        "BEGIN:VEVENT UID:over DTSTART:20251231T220000Z DTEND:20251231T233000Z END:VEVENT \
         BEGIN:VEVENT UID:ends DTSTART:20251231T220000Z DTEND:20251231T230000Z END:VEVENT \
         BEGIN:VEVENT UID:point DTSTART:20251231T230000Z END:VEVENT \
         BEGIN:VEVENT UID:camp DTSTART:20251230 DTEND:20260102 END:VEVENT \
         BEGIN:VEVENT UID:last DTSTART:20261231T225959Z END:VEVENT \
         BEGIN:VEVENT UID:after DTSTART:20261231T230000Z END:VEVENT",
    );
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("good");
    let uids: Vec<&str> = reading.occurrences.iter().map(|o| &*o.uid).collect();
    assert_eq!(uids, ["camp", "over", "point", "last"]);
}

#[test]
fn versions_of_an_event_are_told_apart_and_remarked_on() {
    let text = calendar(
        "BEGIN:VEVENT UID:a SEQUENCE:2 DTSTART:20260105 END:VEVENT \
         BEGIN:VEVENT UID:a SEQUENCE:10 DTSTART:20260106 END:VEVENT \
         BEGIN:VEVENT UID:b DTSTAMP:20260102T000000Z DTSTART:20260107 END:VEVENT \
         BEGIN:VEVENT UID:b DTSTAMP:20260101T000000Z DTSTART:20260108 END:VEVENT",
    );
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("good");
    let dates: Vec<String> = reading.occurrences.iter().map(|o| when(o.start)).collect();
    assert_eq!(dates, ["2026-01-06", "2026-01-07"]);
    assert_eq!(
        reading.remarks,
        [
            "a is there twice, in lines 2 and 7: the one with the higher SEQUENCE counts.",
            "b is there twice, in lines 12 and 17: the one with the later DTSTAMP counts.",
        ]
    );
}

#[test]
fn faults_of_an_event_are_all_named() {
    let text = event(
        "DTSTART:20260105T170000Z DTSTART:20260106T170000Z DTEND:20260107 DURATION:PT1H SEQUENCE:x \
         RRULE:FREQ=WEEKLY;BYDAY=XX EXDATE:2026 RDATE;VALUE=PERIOD:20260201T100000Z",
    );
    let said = refusals(&text);
    for words in [
        "has two lines DTSTART",
        "has both DTEND and DURATION",
        "`x` is no SEQUENCE",
        "in its RRULE",
        "`2026` in EXDATE is no date that exists",
        "in RDATE is no period",
    ] {
        assert!(said.contains(words), "{words}:\n{said}");
    }
    assert!(refusals(&event("DTSTART:20260105 DTEND:20260105T100000Z")).contains("not both dates"));
    assert!(refusals(&event("DTSTART:20260105 DURATION:PT1H")).contains("is no DURATION"));
    assert!(refusals(&event("SUMMARY:x")).contains("has no DTSTART"));
    let range = event("DTSTART:20260105 RECURRENCE-ID;RANGE=THISANDFUTURE:20260105");
    assert!(refusals(&range).contains("RANGE"));
    assert!(refusals(&calendar("BEGIN:VEVENT DTSTART:20260105 END:VEVENT")).contains("has no UID"));
}

#[test]
fn faults_of_rules_are_named() {
    let rule = |rule: &str| refusals(&event(&format!("DTSTART:20260105T170000Z RRULE:{rule}")));
    for (wrong, words) in [
        ("COUNT=3", "it has no FREQ"),
        ("FREQ=DAILY;COUNT=0", "COUNT=0"),
        ("FREQ=DAILY;INTERVAL=0", "INTERVAL=0"),
        ("FREQ=DAILY;COUNT=2;UNTIL=20260201", "both COUNT and UNTIL"),
        ("FREQ=DAILY;FREQ=WEEKLY", "two parts FREQ"),
        ("FREQ=DAILY;UNTIL=20260230", "UNTIL=20260230"),
        ("FREQ=MINUTELY", "MINUTELY"),
        ("FREQ=DAILY;BYMONTH", "has no `=`"),
        ("FREQ=MONTHLY;BYMONTHDAY=40", "BYMONTHDAY"),
        ("FREQ=YEARLY;BYEASTER=1", "BYEASTER"),
    ] {
        let said = rule(wrong);
        assert!(said.contains(words), "{wrong}: {said}");
    }
}

#[test]
fn structure_faults_are_named() {
    assert!(refusals("BEGIN:VCALENDAR\nEND:VEVENT\nEND:VCALENDAR\n").contains("closes nothing"));
    assert!(
        refusals("X-A:1\nBEGIN:VCALENDAR\nEND:VCALENDAR\n").contains("outside of any calendar")
    );
    assert!(
        refusals("BEGIN:VCALENDAR\nno colon here\nEND:VCALENDAR\n")
            .contains("c.ics:2:1: `no colon here`")
    );
    assert!(refusals("BEGIN:VCALENDAR\nA:\0\nEND:VCALENDAR\n").contains("NUL"));
    let deep = "BEGIN:X-A\n".repeat(20);
    assert!(refusals(&format!("BEGIN:VCALENDAR\n{deep}")).contains("deeper than 8 levels"));
}

#[test]
fn every_limit_is_named_when_it_is_reached() {
    let said = |text: &str, limits: &Limits| {
        read_2026(text.as_bytes(), limits)
            .expect_err("limit")
            .join("\n")
    };
    let small = Limits {
        file_octets: 500,
        line_octets: 60,
        lines: 20,
        components: 3,
        occurrences: 10,
        before: 10,
        total: 15,
        steps: 1_000,
    };
    assert!(said(&event(&"X:1 ".repeat(200)), &small).contains("the limit is 500"));
    assert!(said(&event(&format!("X:{}", "y".repeat(100))), &small).contains("the limit is 60"));
    assert!(said(&event(&"X:1 ".repeat(30)), &small).contains("more than 20 lines"));
    let many = "BEGIN:X-A END:X-A ".repeat(3);
    assert!(said(&calendar(&many), &small).contains("more than 3 components"));
    let daily = |start: &str| event(&format!("DTSTART:{start} RRULE:FREQ=DAILY"));
    assert!(said(&daily("20260105"), &small).contains("more than 10 occurrences in the span"));
    assert!(said(&daily("20250101"), &small).contains("more than 10 occurrences before the span"));
    let two = "BEGIN:VEVENT UID:a DTSTART:20260105 RRULE:FREQ=DAILY;COUNT=9 END:VEVENT \
               BEGIN:VEVENT UID:b DTSTART:20260105 RRULE:FREQ=DAILY;COUNT=9 END:VEVENT";
    assert!(said(&calendar(two), &small).contains("more occurrences in the span asked for"));
    let work = Limits { steps: 5, ..LIMITS };
    assert!(said(&daily("20260105"), &work).contains("too much work"));
}

#[test]
fn machine_output_has_offsets_and_dates() {
    let text = calendar(
        "BEGIN:VEVENT UID:a DTSTART:20260705T170000Z STATUS:cancelled END:VEVENT \
         BEGIN:VEVENT UID:b DTSTART:20260706 END:VEVENT",
    );
    let reading = read_2026(text.as_bytes(), &LIMITS).expect("good");
    let json: Vec<_> = reading
        .occurrences
        .iter()
        .map(|o| o.to_json(&berlin()))
        .collect();
    assert_eq!(json[0]["start"], "2026-07-05T19:00:00+02:00");
    assert_eq!(json[0]["status"], "CANCELLED");
    assert!(reading.occurrences[0].cancelled());
    assert_eq!(json[1]["start"], "2026-07-06");
    assert_eq!(json[1]["end"], "2026-07-07");
    assert!(json[1]["status"].is_null());
    let late = DateTime::parse_from_rfc3339("2026-07-05T23:30:00Z").expect("instant");
    let late = Occurrence {
        start: When::At(late.to_utc()),
        ..reading.occurrences[0].clone()
    };
    assert_eq!(late.date(&berlin()), date("2026-07-06"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_octets_make_it_panic(mut octets in prop::collection::vec(any::<u8>(), 0..400), at in 0_usize..400) {
        let _ = read_2026(&octets, &LIMITS);
        octets.splice(at.min(octets.len())..at.min(octets.len()), *b"BEGIN:VCALENDAR\r\n");
        let _ = read_2026(&octets, &LIMITS);
    }

    #[test]
    fn damaged_calendars_are_read_or_refused(cut in 0_usize..700, octet in any::<u8>(), drop in 0_usize..40) {
        let good = event(
            "DTSTART;TZID=Europe/Berlin:20260105T180000 DTEND;TZID=Europe/Berlin:20260105T190000 \
             RRULE:FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,WE;UNTIL=20260601T000000Z EXDATE:20260107T170000Z \
             RDATE;VALUE=PERIOD:20260201T100000Z/PT2H SUMMARY:A\\,b DURATION:P1D SEQUENCE:3",
        )
        .into_bytes();
        let at = cut % good.len();
        let mut damaged = good.clone();
        damaged[at] = octet;
        let _ = read_2026(&damaged, &LIMITS);
        let end = (at + drop).min(good.len());
        damaged.drain(at..end);
        let _ = read_2026(&damaged, &LIMITS);
        let _ = read_2026(&good[..at], &LIMITS);
    }

    #[test]
    fn any_rule_of_parts_is_expanded_or_refused(
        frequency in prop::sample::select(vec!["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY"]),
        parts in prop::collection::vec((0_usize..10, -60_i32..60, 0_i32..400), 0..4),
        day in 1_u32..29,
    ) {
        let names = ["INTERVAL", "BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYHOUR", "BYMINUTE", "BYSETPOS", "COUNT", "BYSECOND"];
        let parts: Vec<String> = parts.iter().map(|(name, a, b)| format!(";{}={a},{b}", names[*name])).collect();
        let rule = format!("FREQ={frequency}{}", parts.concat());
        let text = event(&format!("DTSTART;TZID=Europe/Berlin:202601{day:02}T023000 RRULE:{rule}"));
        if let Ok(reading) = read_2026(text.as_bytes(), &LIMITS) {
            let starts: Vec<_> = reading.occurrences.iter().map(|o| o.start).collect();
            prop_assert!(starts.len() <= LIMITS.occurrences);
        }
    }
}
