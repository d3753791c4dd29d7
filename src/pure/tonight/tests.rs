use chrono::NaiveDate;
use proptest::prelude::*;

use super::*;
use crate::pure::avoid::Avoid;
use crate::pure::block;
use crate::pure::civil::Zone;
use crate::pure::settings::Settings;

fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

/// The shipped nine weeks from Monday 5 January 2026, in universal time, with the usual settings.
fn plan() -> Plan {
    let (id, _) = block::SHIPPED[0];
    let shipped = block::shipped(id, date("2026-01-01"));
    Plan {
        settings: Settings::default(),
        block: shipped.expect("known").expect("whole"),
        zone: Zone::utc(),
        zones: BTreeMap::new(),
        routine_seconds: None,
    }
}

fn monday() -> Night {
    Night(date("2026-01-05"))
}

fn planned(plan: &Plan, choice: &Choice) -> Tonight {
    of(
        plan,
        &Library::shipped(),
        monday(),
        None,
        &Known::default(),
        choice,
    )
}

#[test]
fn an_evening_is_composed_for_what_was_trained_and_fits_its_minutes() {
    let plan = plan();
    let tonight = planned(&plan, &Choice::default());
    assert_eq!(tonight.seconds, 8 * 60);
    assert!(tonight.timeline.total_ms <= 480_000);
    assert!(
        tonight.timeline.total_ms > 460_000,
        "{}",
        tonight.timeline.total_ms
    );
    let library = Library::shipped();
    let trained = trained(&plan, monday());
    assert!(!trained.is_empty());
    let touches = |step: &Step| {
        trained.keys().any(|region| {
            library.stretches[&step.stretch]
                .regions
                .contains_key(region)
        })
    };
    assert!(tonight.routine.steps.iter().any(touches));
    assert!(tonight.why.contains("trained today"), "{}", tonight.why);
}

#[test]
fn late_means_shorter_and_too_late_means_as_planned() {
    let plan = plan();
    let night = plan.night(monday());
    let at = |minutes: i64| {
        let now = night.bedtime.at + Duration::minutes(minutes);
        of(
            &plan,
            &Library::shipped(),
            monday(),
            Some(now),
            &Known::default(),
            &Choice::default(),
        )
    };
    assert!(!at(-60).late);
    assert_eq!(at(22).seconds, 480);
    assert!(at(26).late);
    assert_eq!(at(26).seconds, 240);
    assert!(at(26).timeline.total_ms <= 240_000);
    assert_eq!(at(28).seconds, 480);
}

#[test]
fn a_swapped_stretch_is_replaced_on_both_sides_and_the_time_is_kept() {
    let plan = plan();
    let usual = planned(&plan, &Choice::default());
    let out = usual.routine.steps[0].stretch.clone();
    let library = Library::shipped();
    let offered = alternatives(&usual.routine, &library, &Limits::default(), &out);
    let by = offered.first().expect("an alternative").id.clone();
    let tonight = planned(
        &plan,
        &Choice {
            swaps: vec![(out.clone(), by.clone())],
            ..Choice::default()
        },
    );
    let ids: Vec<&str> = tonight
        .routine
        .steps
        .iter()
        .map(|step| step.stretch.as_str())
        .collect();
    assert!(!ids.contains(&out.as_str()));
    assert_eq!(
        ids.iter().filter(|id| **id == by).count(),
        library.stretches[&by].sides().len()
    );
    assert!(tonight.timeline.total_ms <= 480_000 + u64::from(tonight.routine.pattern.cycle_ms()));
    // What is not in the routine, or not permitted, changes nothing.
    for (out, by) in [
        ("nothing", by.as_str()),
        (out.as_str(), "nothing"),
        (&out, &out),
    ] {
        let swaps = vec![(out.to_owned(), by.to_owned())];
        let same = planned(
            &plan,
            &Choice {
                swaps,
                ..Choice::default()
            },
        );
        assert_eq!(same.routine.steps, usual.routine.steps);
    }
}

#[test]
fn a_coachs_evening_stays_as_written_and_gives_way_when_it_is_late() {
    let mut plan = plan();
    plan.settings.evening.routine = Some("legs".to_owned());
    let library = Library::shipped();
    let (written, _) = library.routine(&library.evenings["legs"], &Limits::default());
    plan.routine_seconds = Some(u32::try_from(written.seconds().div_ceil(60) * 60).unwrap());
    let tonight = planned(&plan, &Choice::default());
    assert_eq!(tonight.routine, written);
    assert_eq!(
        tonight.given.as_deref(),
        Some(library.evenings["legs"].name.as_str())
    );
    let late = plan.night(monday()).bedtime.at + Duration::minutes(25);
    let short = of(
        &plan,
        &library,
        monday(),
        Some(late),
        &Known::default(),
        &Choice::default(),
    );
    assert!(short.late && short.routine.steps.len() < written.steps.len());
    assert!(short.timeline.total_ms <= 300_000);
}

#[test]
fn patterns_in_turn_come_round_and_hold_nothing_unless_allowed() {
    let mut plan = plan();
    plan.settings.evening.pattern = PatternChoice::Rotate;
    let library = Library::shipped();
    let in_turn = |plan: &Plan| -> BTreeSet<String> {
        let mut night = monday();
        let mut seen = BTreeSet::new();
        for _ in 0..library.patterns.len() {
            let tonight = of(
                plan,
                &library,
                night,
                None,
                &Known::default(),
                &Choice::default(),
            );
            assert!(plan.settings.evening.holds || !tonight.routine.pattern.has_holds());
            seen.insert(tonight.routine.pattern.id);
            night = night.next();
        }
        seen
    };
    let without: BTreeSet<String> = library
        .patterns
        .values()
        .filter(|pattern| !pattern.has_holds())
        .map(|pattern| pattern.id.clone())
        .collect();
    assert_eq!(in_turn(&plan), without);
    plan.settings.evening.holds = true;
    assert_eq!(in_turn(&plan).len(), library.patterns.len());
    plan.settings.avoid = Avoid::from_id("holds").into_iter().collect();
    assert_eq!(in_turn(&plan), without);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn whatever_was_chosen_fits_and_spares_what_hurts(
        minutes in 0_u32..40,
        hurts in proptest::sample::subsequence(Region::ALL.to_vec(), 0..4),
        picks in proptest::collection::vec((0_usize..8, 0_usize..6), 0..4),
    ) {
        let plan = plan();
        let library = Library::shipped();
        let known = Known {
            painful: hurts.into_iter().map(|(_, region)| region).collect(),
            ..Known::default()
        };
        let limits = Limits { painful: known.painful.clone(), ..Limits::default() };
        let mut choice = Choice { minutes: Some(minutes), swaps: Vec::new() };
        for (which, other) in picks {
            let now = of(&plan, &library, monday(), None, &known, &choice);
            let Some(step) = now.routine.steps.get(which) else { continue };
            let offered = alternatives(&now.routine, &library, &limits, &step.stretch);
            let Some(by) = offered.get(other) else { continue };
            choice.swaps.push((step.stretch.clone(), by.id.clone()));
        }
        let tonight = of(&plan, &library, monday(), None, &known, &choice);
        let cycle = u64::from(tonight.routine.pattern.cycle_ms());
        prop_assert!(tonight.timeline.total_ms <= u64::from(tonight.seconds) * 1000 + cycle);
        for step in &tonight.routine.steps {
            let stretch = &library.stretches[&step.stretch];
            prop_assert!(known.painful.iter().all(|region| !stretch.touches(*region)));
            prop_assert!((stretch.hold_s.0..=stretch.hold_s.1).contains(&step.hold_s));
        }
    }
}
