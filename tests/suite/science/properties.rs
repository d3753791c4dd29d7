//! What has to hold whatever the numbers are.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use chrono::{Days, NaiveDate};
use evenfall::pure::adjust::{Dose, DosedPart, Suggestion, suggest};
use evenfall::pure::block::Work;
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::diary::{DiaryEntry, Item, Moment, Morning, Ratings};
use evenfall::pure::exchange::csv::{
    MORNING_COLUMNS, merged, not_yet_known, read_mornings, read_sessions, write_mornings,
    write_sessions,
};
use evenfall::pure::load::{DayLoads, TrainingDone};
use evenfall::pure::readiness::{Band, Conditions, RatedMorning, assess, for_day, history};
use evenfall::pure::region::Region;
use proptest::prelude::*;

fn day(number: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).expect("date") + Days::new(number)
}

fn rating() -> impl Strategy<Value = Option<u8>> {
    prop_oneof![1 => Just(None), 6 => (1_u8..=5).prop_map(Some)]
}

fn ratings() -> impl Strategy<Value = Ratings> {
    (rating(), rating(), rating(), rating()).prop_map(
        |(sleep_quality, freshness, soreness, mood)| Ratings {
            sleep_quality,
            freshness,
            soreness,
            mood,
        },
    )
}

/// Up to sixty rated mornings on different days of a hundred, in any order.
fn mornings() -> impl Strategy<Value = Vec<RatedMorning>> {
    prop::collection::btree_map(0_u64..100, ratings(), 0..60)
        .prop_map(|days| {
            days.into_iter()
                .map(|(number, ratings)| RatedMorning {
                    date: day(number),
                    ratings,
                })
                .collect::<Vec<_>>()
        })
        .prop_shuffle()
}

fn work() -> impl Strategy<Value = Work> {
    prop_oneof![
        (1_u32..20, 1_u32..90, 0_u32..90).prop_map(|(rounds, work_s, rest_s)| Work::Intervals {
            rounds,
            work_s,
            rest_s,
            moves: Vec::new(),
        }),
        (1_u32..60).prop_map(|minutes| Work::Steady { minutes }),
        (1_u32..30, 1_u32..20).prop_map(|(minutes, reps)| Work::TimedRounds {
            minutes,
            reps,
            moves: Vec::new(),
        }),
        (1_u32..10, 1_u32..15, 0_u32..180).prop_map(|(sets, reps, rest_s)| Work::Sets {
            sets,
            reps,
            rest_s,
            moves: Vec::new(),
        }),
    ]
}

fn regions() -> impl Strategy<Value = BTreeSet<Region>> {
    prop::collection::btree_set(
        prop::sample::select(Region::ALL.map(|(_, region)| region).to_vec()),
        0..4,
    )
}

/// A planned session; its minutes from the parts, or more or fewer as a coach may write.
fn planned() -> impl Strategy<Value = Dose> {
    (
        0_u32..=20,
        prop::collection::vec((work(), regions()), 0..4),
        prop::option::of(1_u32..120),
    )
        .prop_map(|(half_points, parts, minutes)| {
            let rpe = f64::from(half_points) / 2.0;
            let parts: Vec<DosedPart> = parts
                .into_iter()
                .map(|(work, regions)| DosedPart {
                    title: work.kind().to_owned(),
                    work,
                    rpe_cap: rpe,
                    reps_in_reserve: None,
                    regions,
                })
                .collect();
            let seconds: u32 = parts.iter().map(|part| part.work.seconds()).sum();
            Dose {
                id: "any".to_owned(),
                title: "Any".to_owned(),
                rpe,
                minutes: minutes.unwrap_or(seconds.div_ceil(60)),
                regions: parts
                    .iter()
                    .flat_map(|part| part.regions.iter().copied())
                    .collect(),
                parts,
            }
        })
}

/// Effort, minutes and load of what is suggested; nothing where no training is.
fn size(suggestion: &Suggestion) -> (f64, u32, f64) {
    suggestion
        .session
        .as_ref()
        .map_or((0.0, 0, 0.0), |dose| (dose.rpe, dose.minutes, dose.load()))
}

fn seconds_of_work(dose: &Dose) -> u32 {
    dose.parts.iter().map(|part| part.work.seconds()).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_worse_rating_never_makes_the_suggestion_harder(
        past in mornings(),
        today in ratings(),
        worse in ratings(),
        plan in planned(),
        out in regions(),
    ) {
        let mut lower = today;
        for item in Item::ALL {
            if let (Some(answer), Some(other)) = (today.get(item), worse.get(item)) {
                lower.set(item, Some(answer.min(other)));
            }
        }
        let assessed = |ratings| {
            let morning = RatedMorning { date: day(101), ratings };
            assess(for_day(&past, &morning), &Conditions::default())
        };
        let (better, worse) = (assessed(today), assessed(lower));
        prop_assert!(worse.band >= better.band);
        if let Some((worse, better)) = worse.score.score.zip(better.score.score) {
            prop_assert!(worse <= better);
        }
        let (better, worse) = (suggest(&plan, better.band, &out), suggest(&plan, worse.band, &out));
        prop_assert!(size(&worse).0 <= size(&better).0, "effort {:?} {:?}", worse, better);
        prop_assert!(size(&worse).2 <= size(&better).2 + 1e-9, "load {:?} {:?}", worse, better);
    }

    #[test]
    fn nothing_suggested_is_above_the_plan(plan in planned(), out in regions(), band in 0_usize..5) {
        let suggestion = suggest(&plan, Band::ALL[band], &out);
        let (rpe, minutes, load) = size(&suggestion);
        prop_assert!(rpe <= plan.rpe && minutes <= plan.minutes && load <= plan.load() + 1e-9);
        if let Some(session) = &suggestion.session {
            prop_assert!(Band::ALL[band] == Band::RecoverOnly
                || session.parts.len() <= plan.parts.len());
            prop_assert!(session.regions.is_disjoint(&out));
            for part in &session.parts {
                prop_assert!(part.rpe_cap <= plan.rpe);
            }
            if !session.regions.is_empty() {
                prop_assert!(seconds_of_work(session) <= seconds_of_work(&plan));
            }
        }
        if suggestion.as_planned {
            prop_assert_eq!((rpe, minutes), (plan.rpe, plan.minutes));
        } else {
            prop_assert!(!suggestion.changes.is_empty());
        }
    }

    #[test]
    fn an_unanswered_item_counts_as_usual(past in mornings(), today in ratings(), left_out in 0_usize..4) {
        let item = Item::ALL[left_out];
        let mut without = today;
        without.set(item, None);
        let score = |ratings| for_day(&past, &RatedMorning { date: day(101), ratings });
        let (with, without) = (score(today), score(without));
        if let Some(deviation) = without.deviation {
            // Exactly the part of the item is missing, nothing is spread over the others.
            let part = with.items[left_out].part.unwrap_or(0.0);
            prop_assert!((with.deviation.expect("more answers") - part - deviation).abs() < 1e-12);
            prop_assert_eq!(with.spread, without.spread);
            if part == 0.0 {
                prop_assert_eq!(with.score, without.score);
            }
        }
    }

    #[test]
    fn scores_of_past_days_never_change(past in mornings(), cut in 0_u64..100) {
        let scores = history(&past);
        let known: Vec<RatedMorning> =
            past.iter().filter(|morning| morning.date < day(cut)).copied().collect();
        let known_scores = history(&known);
        prop_assert_eq!(&scores[..known_scores.len()], &known_scores[..]);
        for morning in &past {
            prop_assert_eq!(for_day(&past, morning), scores.iter().find(|score| score.date == morning.date).copied().expect("scored"));
        }
    }

    #[test]
    fn the_order_of_the_records_does_not_matter(past in mornings()) {
        let mut turned = past.clone();
        turned.reverse();
        prop_assert_eq!(history(&past), history(&turned));
    }

    #[test]
    fn the_order_of_import_does_not_matter(
        rows in prop::collection::vec((0_u64..40, prop::option::of(0_u32..20), 0_u32..240), 0..40).prop_shuffle()
    ) {
        let done: Vec<TrainingDone> = rows.iter().map(|(number, half_points, minutes)| TrainingDone {
            date: day(*number),
            session: (number % 3 == 0).then(|| "any".to_owned()),
            minutes: Some(f64::from(*minutes)),
            rpe: half_points.map(|half| f64::from(half + 1) / 2.0),
            parts: Vec::new(),
            note: String::new(),
        }).collect();
        let mut turned = done.clone();
        turned.reverse();
        prop_assert_eq!(DayLoads::new(&done), DayLoads::new(&turned));
        prop_assert!(not_yet_known(&done, &turned).is_empty());
        // Through a file and back: the same sessions, and none of them new.
        let read = read_sessions(&write_sessions(&turned), "s.csv", false);
        prop_assert_eq!(&read.complaints, &vec![]);
        let read: Vec<TrainingDone> = read.rows.into_iter().map(|row| row.value).collect();
        prop_assert_eq!(read.len(), done.len());
        prop_assert!(not_yet_known(&done, &read).is_empty());
    }

    #[test]
    fn mornings_survive_a_file(
        given in prop::collection::btree_map(0_u64..700, (ratings(), 0_u32..60, 0_u32..90, 0_u32..300, 0_u32..300, "[ -~äπ\n\"',=+@-]{0,12}"), 0..20)
    ) {
        // Lord Howe moves its clocks by half an hour, so the window holds odd nights.
        let zone = Zone::embedded("Australia/Lord_Howe").expect("zone");
        let mut mornings = Vec::new();
        for (number, (ratings, sol, waso, late, early, note)) in given {
            let night = Night(day(number));
            let clock = |minutes: u32| {
                let minutes = minutes % (24 * 60);
                chrono::NaiveTime::from_hms_opt(minutes / 60, minutes % 60, 0).map(Moment::Clock)
            };
            let entry = DiaryEntry {
                lights_out: clock(20 * 60 + late),
                asleep_after_min: Some(sol),
                awake_for_min: Some(waso),
                woke: clock(5 * 60 + early),
                ..DiaryEntry::default()
            };
            // A time in the skipped half hour is refused; such a night is not in the file.
            if let Ok(diary) = entry.resolve(night, &zone) {
                mornings.push(Morning { times: diary.times, ratings, note, ..Morning::empty(night, zone.name()) });
            }
        }
        let text = write_mornings(&mornings, &zone);
        let read = read_mornings(&text, "m.csv", &zone, false);
        prop_assert_eq!(&read.complaints, &vec![], "{}", text);
        prop_assert_eq!(read.rows.len(), mornings.len());
        for (row, morning) in read.rows.iter().zip(&mornings) {
            // Blanks alone are no note; a cell keeps all others.
            if !morning.note.trim().is_empty() {
                prop_assert_eq!(&row.value, morning, "{}", text);
                prop_assert_eq!(merged(Some(morning), &row.value), None);
            }
        }
    }

    #[test]
    fn no_text_makes_the_reader_fall_over(text in "(night|date|,|\n|\r|\"|[0-9:T-]{1,10}|x|ü){0,40}") {
        for row in read_mornings(&text, "m.csv", &Zone::utc(), true).rows {
            prop_assert!(!row.value.is_empty());
        }
        read_sessions(&text, "s.csv", true);
        // With a good header every row is read or complained about.
        let text = format!("{}\n{text}", MORNING_COLUMNS.join(","));
        let read = read_mornings(&text, "m.csv", &Zone::utc(), false);
        prop_assert!(read.header_ok);
        prop_assert!(read.complaints.iter().all(|complaint| complaint.line > 1));
    }
}

/// Bounds are for an unoptimised build on a busy machine; what it took is printed.
#[test]
fn ten_years_and_twenty_thousand_rows_are_quick() {
    let ten_years: Vec<RatedMorning> = (0..3653_u64)
        .map(|number| RatedMorning {
            date: day(number),
            ratings: Ratings {
                freshness: u8::try_from(number * 7 % 5 + 1).ok(),
                ..Ratings::AS_USUAL
            },
        })
        .collect();
    let today = RatedMorning {
        date: day(3653),
        ratings: Ratings::AS_USUAL,
    };
    let begun = Instant::now();
    let score = for_day(&ten_years, &today);
    let one = begun.elapsed();
    let all = history(&ten_years);
    let both = begun.elapsed();
    assert!(score.score.is_some() && all.len() == 3653);
    let zone = Zone::embedded("Europe/Oslo").expect("zone");
    let mut text = format!("{}\r\n", MORNING_COLUMNS.join(","));
    for number in 0..20_000_u64 {
        let night = NaiveDate::from_ymd_opt(1950, 1, 1).expect("date") + Days::new(number);
        let next = night.succ_opt().expect("next");
        text.push_str(&format!("{night},{night}T22:40,{night}T22:50,15,2,20,{next}T06:20,{next}T06:30,,3,3,4,3,\"n, {number}\"\r\n"));
    }
    let begun = Instant::now();
    let read = read_mornings(&text, "m.csv", &zone, false);
    let rows = begun.elapsed();
    assert_eq!(read.complaints, []);
    assert_eq!(read.rows.len(), 20_000);
    println!(
        "one morning after ten years {one:?}, all of them {:?}, 20000 rows {rows:?}",
        both - one
    );
    assert!(
        one < Duration::from_millis(250)
            && both < Duration::from_secs(3)
            && rows < Duration::from_secs(5)
    );
}
