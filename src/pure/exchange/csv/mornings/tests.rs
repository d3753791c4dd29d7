use std::collections::BTreeMap;

use super::*;
use crate::pure::region::Region;

const HEADER: &str = "night,into_bed,lights_out,asleep_after_min,wakings,awake_for_min,woke,up,sleep_min,sleep_quality,freshness,soreness,mood,note";

fn berlin() -> Zone {
    Zone::embedded("Europe/Berlin").expect("zone")
}

fn read(rows: &str) -> Imported<Morning> {
    read_mornings(&format!("{HEADER}\r\n{rows}"), "m.csv", &berlin(), false)
}

fn good(rows: &str) -> Vec<Morning> {
    let read = read(rows);
    assert_eq!(read.complaints, []);
    read.rows.into_iter().map(|row| row.value).collect()
}

fn said(rows: &str) -> Vec<String> {
    read(rows)
        .complaints
        .iter()
        .map(ToString::to_string)
        .collect()
}

#[test]
fn what_is_written_is_read_back() {
    let rows = "2026-01-05,2026-01-05T22:40,2026-01-05T22:50,15,2,20,2026-01-06T06:20,2026-01-06T06:30,415,3,3,4,3,\"late, but fine\"\r\n\
        2026-01-06,,,,,,,,430,,2,,,\r\n\
        2026-01-07,,,,,,,,,3,3,3,3,'=note\r\n\
        2026-10-24,2026-10-24T22:00,2026-10-24T22:00,10,0,,2026-10-25T02:30+02:00,2026-10-25T02:30+01:00,260,3,3,3,3,\r\n";
    let mornings = good(rows);
    assert_eq!(mornings.len(), 4);
    assert_eq!(mornings[0].times.sleep_min, None, "the times say it");
    assert_eq!(mornings[1].times.sleep_min, Some(430));
    assert_eq!(mornings[2].note, "=note");
    assert_eq!(
        write_mornings(&mornings, &berlin()),
        format!("{HEADER}\r\n{rows}")
    );
}

#[test]
fn a_record_of_another_zone_keeps_its_instants() {
    let mut mornings = good("2026-01-05,,2026-01-05T22:50,15,0,0,2026-01-06T06:20,,,,,,,\r\n");
    mornings[0].zone = "Asia/Tokyo".to_owned();
    let text = write_mornings(&mornings, &berlin());
    assert!(text.contains("2026-01-05T22:50+01:00"), "{text}");
    let back = read_mornings(&text, "m.csv", &Zone::utc(), false);
    assert_eq!(back.complaints, []);
    assert_eq!(back.rows[0].value.times, mornings[0].times);
}

#[test]
fn clock_times_without_a_date_belong_to_the_night() {
    let plain = good("2026-01-05,22:40,22:50,15,2,20,06:20,06:30,,,,,,\r\n");
    let dated = good(
        "2026-01-05,2026-01-05 22:40,2026-01-05T22:50:00,15,2,20,2026-01-06T06:20,2026-01-06T06:30,,,,,,\r\n",
    );
    assert_eq!(plain, dated);
}

#[test]
fn every_bad_cell_is_named_with_its_place() {
    assert_eq!(
        said("2026-01-05,22:40,late,15,2,20,06:20,06:30,,6,3,x,3,\r\n"),
        [
            "m.csv:2:18: `late` is not a time. Write a local date and time like 2026-01-05T22:40.",
            "m.csv:2:44: `6` is not a rating. Write 1 to 5, 3 as usual and 5 the best, or leave it empty.",
            "m.csv:2:48: `x` is not a rating. Write 1 to 5, 3 as usual and 5 the best, or leave it empty.",
        ]
    );
    let order = said("2026-01-05,22:40,22:50,15,2,20,06:40,06:30,,,,,,\r\n");
    assert_eq!(order.len(), 1);
    assert!(
        order[0].starts_with("m.csv:2:38: up 2026-01-06 06:30 comes before woke 2026-01-06 06:40."),
        "{order:?}"
    );
    let skipped = said("2026-03-28,,2026-03-29T02:30,,,,07:00,,,,,,,\r\n");
    assert!(
        skipped[0].contains("2:13: lights out 2026-03-29 02:30 does not exist"),
        "{skipped:?}"
    );
    let disagree = said("2026-01-05,22:40,22:50,15,2,20,06:20,06:30,300,,,,,\r\n");
    assert!(
        disagree[0].contains("300 minutes asleep do not fit"),
        "{disagree:?}"
    );
    assert_eq!(said("2026-01-05,22:40,22:50,15\r\n").len(), 1);
    assert_eq!(
        said("2026-01-05,,,,,,,,430,,,,,\"open\r\n")[0]
            .split(". ")
            .next(),
        Some("m.csv:2:27: a quote is opened and not closed")
    );
}

#[test]
fn a_blank_night_is_passed_over_and_two_of_one_night_are_questioned() {
    assert_eq!(good("2026-01-05,,,,,,,,,,,,,\r\n"), []);
    let twice = "2026-01-05,,,,,,,,,3,3,3,3,\r\n2026-01-05,,,,,,,,,3,3,3,3,\r\n";
    assert_eq!(good(twice).len(), 1);
    let differs = said("2026-01-05,,,,,,,,,3,3,3,3,\r\n2026-01-05,,,,,,,,,3,2,3,3,\r\n");
    assert!(
        differs[0].starts_with("m.csv:3:1:") && differs[0].contains("line 2"),
        "{differs:?}"
    );
}

#[test]
fn the_repeated_hour_is_noted_with_its_line() {
    let read = read("2026-10-24,,22:00,10,0,0,02:30,,,,,,,\r\n");
    assert_eq!(read.notes.len(), 1);
    assert!(
        read.notes[0].starts_with("line 2: 02:30 happened twice"),
        "{:?}",
        read.notes
    );
}

#[test]
fn a_file_that_comes_back_keeps_what_it_cannot_carry() {
    let imported = good("2026-01-05,22:40,22:50,15,2,20,06:20,06:30,,3,3,4,3,\r\n").remove(0);
    let known = Morning {
        sore_in: BTreeMap::from([(Region::Calves, 2)]),
        ill: true,
        times: Times {
            tried_after_min: Some(5),
            ..imported.times.clone()
        },
        ..imported.clone()
    };
    assert_eq!(merged(Some(&known), &imported), None);
    assert_eq!(merged(None, &imported), Some(imported.clone()));
    let mut corrected = imported;
    corrected.ratings.freshness = Some(2);
    let kept = merged(Some(&known), &corrected).expect("a change");
    assert_eq!(kept.ratings.freshness, Some(2));
    assert!(kept.ill && !kept.sore_in.is_empty());
    assert_eq!(kept.times.tried_after_min, Some(5));
}
