//! One piece of the core's work, for counting its instructions (see `tests/bench/count`).
//!
//! `instructions NAME` runs the piece once; without a name it lists the pieces. Under callgrind the
//! count of such a run is the same on every run, whatever else the machine is doing.

use std::collections::BTreeMap;
use std::hint::black_box;

use chrono::{Duration, NaiveDate};

use evenfall::pure::agenda::Plan;
use evenfall::pure::block;
use evenfall::pure::civil::Zone;
use evenfall::pure::diary::Ratings;
use evenfall::pure::readiness::{RatedMorning, history};
use evenfall::pure::region::Region;
use evenfall::pure::routine::compose::{Request, compose};
use evenfall::pure::routine::library::{Library, Limits};
use evenfall::pure::routine::{Stretch, Timeline};
use evenfall::pure::settings::Settings;

type Piece = (&'static str, fn());

/// `nothing` is the cost of starting and of reading the library, to be taken off the others.
const PIECES: [Piece; 5] = [
    ("nothing", nothing),
    ("readiness", readiness),
    ("composer", composer),
    ("agenda", agenda),
    ("timeline", timeline),
];

fn main() {
    let name = std::env::args().nth(1).unwrap_or_default();
    match PIECES.iter().find(|(known, _)| *known == name) {
        Some((_, piece)) => piece(),
        None => PIECES.iter().for_each(|(name, _)| println!("{name}")),
    }
}

fn first_day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2016, 1, 4).unwrap_or_default()
}

fn nothing() {
    black_box(Library::shipped());
}

/// Ten years of mornings.
fn readiness() {
    black_box(Library::shipped());
    let rating = |day: i64, step: i64| u8::try_from(2 + (day * step / 7 + day % 3) % 3).ok();
    let mornings: Vec<RatedMorning> = (0..3650)
        .map(|day| RatedMorning {
            date: first_day() + Duration::days(day),
            ratings: Ratings {
                sleep_quality: rating(day, 3),
                freshness: rating(day, 5),
                soreness: rating(day, 2),
                mood: rating(day, 11),
            },
        })
        .collect();
    assert_eq!(black_box(history(&mornings)).len(), 3650);
}

/// One evening of ten minutes from the shipped library.
fn composer() {
    let library = Library::shipped();
    let stretches: Vec<Stretch> = library.stretches.values().cloned().collect();
    let request = Request {
        trained: BTreeMap::from([
            (Region::ThighFront, 3),
            (Region::Glutes, 2),
            (Region::Calves, 2),
        ]),
        seconds: 600,
        ..Request::default()
    };
    assert!(
        black_box(compose(
            &request,
            &stretches,
            &library.patterns["longer_out_4_6"]
        ))
        .proven
    );
}

/// Ninety days of prompts.
fn agenda() {
    black_box(Library::shipped());
    let plan = Plan {
        settings: Settings::default(),
        block: block::shipped("nine_week_home", first_day())
            .and_then(Result::ok)
            .expect("the shipped block is clean"),
        zone: Zone::embedded("Europe/Oslo").expect("a known zone"),
        zones: BTreeMap::new(),
        routine_seconds: None,
        drawn: BTreeMap::new(),
    };
    let from = plan
        .zone
        .resolve(first_day().and_time(chrono::NaiveTime::MIN))
        .earlier();
    assert!(black_box(plan.prompts(from, from + Duration::days(90))).len() > 200);
}

/// Every shipped evening compiled to cues.
fn timeline() {
    let library = Library::shipped();
    for evening in library.evenings.values() {
        let (routine, _) = library.routine(evening, &Limits::default());
        assert!(
            !black_box(Timeline::compile(&routine, &library))
                .cues
                .is_empty()
        );
    }
}
