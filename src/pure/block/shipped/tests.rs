use std::collections::BTreeSet;

use chrono::Weekday;

use super::*;
use crate::pure::block::{DayKind, Session};

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn started(id: &str) -> Block {
    match shipped(id, date("2026-01-01")).unwrap() {
        Ok(block) => block,
        Err(complaints) => panic!("{complaints:#?}"),
    }
}

fn days(block: &Block) -> impl Iterator<Item = NaiveDate> {
    block.starts.iter_days().take(7 * block.weeks() as usize)
}

/// Planned load of each week: the sum of RPE x minutes of its sessions (session-RPE: Foster C et al.
/// 2001, J Strength Cond Res 15(1):109-115).
fn week_loads(block: &Block) -> Vec<f64> {
    let load =
        |session: &Session, week: u32| session.rpe * f64::from(session.minutes_in_week(week));
    let mut loads = vec![0.0; block.weeks() as usize];
    for day in days(block) {
        let plan = block.day(day);
        let week = plan.week.unwrap();
        loads[plan.block_week.unwrap() as usize - 1] += plan
            .sessions
            .iter()
            .map(|session| load(session, week))
            .sum::<f64>();
    }
    loads
}

fn training_days_a_week(block: &Block) -> Vec<usize> {
    let mut counts = vec![0; block.weeks() as usize];
    for plan in days(block).map(|day| block.day(day)) {
        counts[plan.block_week.unwrap() as usize - 1] +=
            usize::from(plan.kind == DayKind::Training);
    }
    counts
}

#[test]
fn every_shipped_block_reads_clean_and_starts_on_the_next_monday() {
    for (id, _) in SHIPPED {
        let block = started(id);
        assert_eq!(block.starts, date("2026-01-05"), "{id}");
        assert_eq!(block.starts.weekday(), Weekday::Mon);
    }
    assert!(shipped("no_such_block", date("2026-01-01")).is_none());
}

#[test]
fn a_monday_is_its_own_next_monday() {
    assert_eq!(next_monday(date("2026-01-05")), date("2026-01-05"));
    assert_eq!(next_monday(date("2026-01-06")), date("2026-01-12"));
    assert_eq!(next_monday(date("2026-01-04")), date("2026-01-05"));
}

#[test]
fn the_default_is_three_phases_of_three_weeks_with_five_training_and_two_rest_days() {
    let block = started(SHIPPED[0].0);
    let weeks: Vec<u32> = block.phases.iter().map(|phase| phase.weeks).collect();
    assert_eq!(weeks, [3, 3, 3]);
    assert_eq!(training_days_a_week(&block), [5; 9]);
    assert_eq!(block.last_day(), Some(date("2026-03-08")));
}

#[test]
fn the_other_two_are_as_long_as_their_names_say() {
    assert_eq!(
        training_days_a_week(&started("stair_climb_ten_weeks")),
        [4, 4, 4, 4, 4, 4, 4, 4, 3, 3]
    );
    assert_eq!(training_days_a_week(&started("return_four_weeks")), [3; 4]);
}

#[test]
fn every_session_is_planned_somewhere() {
    for (id, _) in SHIPPED {
        let block = started(id);
        let planned: BTreeSet<&String> = block
            .phases
            .iter()
            .flat_map(|phase| phase.week.iter().flatten())
            .collect();
        assert_eq!(planned, block.sessions.keys().collect(), "{id}");
    }
}

/// Our own limit, from caution: no week is planned more than a quarter above the one before it, and
/// the two blocks that lead to a date end lighter than they were.
#[test]
fn the_planned_load_grows_in_small_steps() {
    for (id, _) in SHIPPED {
        let loads = week_loads(&started(id));
        assert!(loads[0] > 0.0, "{id}");
        for (week, pair) in loads.windows(2).enumerate() {
            assert!(
                pair[1] <= pair[0] * 1.25,
                "{id}: week {} to {}: {pair:?}",
                week + 1,
                week + 2
            );
        }
    }
    for id in ["nine_week_home", "stair_climb_ten_weeks"] {
        let loads = week_loads(&started(id));
        assert!(loads.last() < loads.iter().rev().nth(1), "{id}: {loads:?}");
    }
}

#[test]
fn the_interval_ladder_goes_from_rest_to_work_with_the_week() {
    let block = started(SHIPPED[0].0);
    let in_week = |week: u64| {
        let plan = block.day(block.starts + Days::new(7 * (week - 1)));
        let parts = plan.sessions[0].parts_in_week(plan.week.unwrap());
        parts[1].work.clone()
    };
    let work = |week| match in_week(week) {
        crate::pure::block::Work::Intervals { work_s, rest_s, .. } => (work_s, rest_s),
        other => panic!("{other:?}"),
    };
    assert_eq!([work(1), work(2), work(3)], [(10, 20), (15, 15), (20, 10)]);
}
