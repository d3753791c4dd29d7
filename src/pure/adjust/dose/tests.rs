use std::collections::BTreeMap;

use super::*;
use crate::pure::block::Part;

fn part(title: &str, work: Work, regions: Option<Vec<Region>>) -> Part {
    Part {
        title: title.to_owned(),
        work,
        regions,
        by_week: Vec::new(),
    }
}

fn session() -> Session {
    Session {
        id: "legs_and_lungs".to_owned(),
        title: "Legs and lungs".to_owned(),
        rpe: 8.0,
        regions: BTreeMap::from([(Region::ThighFront, 3), (Region::Calves, 2)]),
        at: None,
        minutes: None,
        parts: vec![
            part(
                "Step-ups",
                Work::Intervals {
                    rounds: 8,
                    work_s: 20,
                    rest_s: 10,
                    moves: Vec::new(),
                },
                None,
            ),
            part(
                "Press complex",
                Work::Sets {
                    sets: 4,
                    reps: 6,
                    moves: vec!["press".to_owned(), "row".to_owned()],
                    rest_s: 90,
                },
                Some(vec![Region::Shoulders]),
            ),
            part(
                "Density",
                Work::TimedRounds {
                    minutes: 12,
                    moves: vec!["step-up".to_owned()],
                    reps: 8,
                },
                None,
            ),
        ],
    }
}

fn suggested(band: Band, leave_out: &[Region]) -> Suggestion {
    let planned = Dose::planned(&session(), 1);
    suggest(&planned, band, &leave_out.iter().copied().collect())
}

#[test]
fn as_planned_changes_nothing() {
    let planned = Dose::planned(&session(), 1);
    let suggestion = suggested(Band::AsPlanned, &[]);
    assert_eq!(suggestion.session.as_ref(), Some(&planned));
    assert!(suggestion.as_planned);
    // 240 s of intervals, 4 x (6 x 2 x 4 + 90) s of sets, 720 s of rounds.
    assert_eq!(planned.minutes, (240_u32 + 552 + 720).div_ceil(60));
    assert_eq!(planned.load(), 8.0 * 26.0);
}

#[test]
fn trim_cuts_rounds_sets_and_minutes_by_a_quarter() {
    let suggestion = suggested(Band::Trim, &[]);
    assert_eq!(
        suggestion.changes,
        [
            "Step-ups: 6 rounds of 20:10 instead of 8 rounds of 20:10.",
            "Press complex: 3 sets of 6 instead of 4 sets of 6.",
            "Density: 9 minutes instead of 12 minutes.",
        ]
    );
    let session = suggestion.session.expect("trimmed");
    assert_eq!(session.minutes, (180_u32 + 414 + 540).div_ceil(60));
    assert_eq!(session.rpe, 8.0);
    assert_eq!(session.parts[1].reps_in_reserve, Some(2.0));
    assert_eq!(session.parts[0].reps_in_reserve, None);
}

#[test]
fn ease_halves_and_takes_a_step_down_the_ladder() {
    let suggestion = suggested(Band::Ease, &[]);
    assert_eq!(
        suggestion.changes,
        [
            "Step-ups: 4 rounds of 15:15 instead of 8 rounds of 20:10.",
            "Press complex: 2 sets of 6 instead of 4 sets of 6.",
            "Density: 6 minutes instead of 12 minutes.",
            "Effort up to 6 of 10 instead of 8.",
            "End each set with about 4 repetitions in reserve.",
        ]
    );
}

#[test]
fn recovery_is_a_walk_never_longer_than_the_plan() {
    let suggestion = suggested(Band::RecoverOnly, &[]);
    let walk = suggestion.session.expect("a walk");
    assert_eq!((walk.rpe, walk.minutes), (2.0, 26));
    let short = Dose {
        minutes: 8,
        ..Dose::planned(&session(), 1)
    };
    let walk = suggest(&short, Band::RecoverOnly, &BTreeSet::new())
        .session
        .expect("a walk");
    assert!(walk.minutes <= 8);
    assert_eq!(suggested(Band::StopAndSeekHelp, &[]).session, None);
}

#[test]
fn parts_that_load_what_should_rest_are_left_out() {
    let suggestion = suggested(Band::AsPlanned, &[Region::Calves]);
    let session = suggestion.session.expect("the rest");
    let titles: Vec<&str> = session
        .parts
        .iter()
        .map(|part| part.title.as_str())
        .collect();
    assert_eq!(titles, ["Press complex"]);
    assert_eq!(session.minutes, 552_u32.div_ceil(60));
    assert_eq!(suggestion.changes.len(), 2);
    assert!(suggestion.changes[0].contains("Step-ups") && suggestion.changes[0].contains("calves"));
    let all = suggested(Band::Trim, &[Region::Calves, Region::Shoulders]);
    assert_eq!(all.session.expect("a walk").rpe, 2.0);
    assert!(
        all.changes[0].starts_with("All of the session loads"),
        "{:?}",
        all.changes
    );
}

#[test]
fn the_coach_s_minutes_keep_their_warm_up() {
    let mut with_warm_up = session();
    with_warm_up.minutes = Some(40);
    let planned = Dose::planned(&with_warm_up, 1);
    let eased = suggest(&planned, Band::Ease, &BTreeSet::new())
        .session
        .expect("eased");
    // 1512 s of parts become 120 + 276 + 360 s; the other 888 s stay.
    assert_eq!(eased.minutes, (888_u32 + 756).div_ceil(60));
    with_warm_up.minutes = Some(10);
    let planned = Dose::planned(&with_warm_up, 1);
    let eased = suggest(&planned, Band::Ease, &BTreeSet::new())
        .session
        .expect("eased");
    assert_eq!(eased.minutes, 5);
}

#[test]
fn a_session_without_parts_is_cut_by_its_minutes() {
    let planned = Dose {
        parts: Vec::new(),
        minutes: 45,
        ..Dose::planned(&session(), 1)
    };
    let trimmed = suggest(&planned, Band::Trim, &BTreeSet::new());
    assert_eq!(trimmed.changes, ["33 minutes instead of 45."]);
    let out = suggest(&planned, Band::AsPlanned, &BTreeSet::from([Region::Calves]));
    assert_eq!(out.session.expect("a walk").rpe, 2.0);
}
