use chrono::{Datelike, Days};
use proptest::prelude::*;

use super::*;

const STAIRS: &str = r#"
name = "Stair-climb preparation"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 3
[phase.week]
mon = "legs_and_lungs"
tue = "rest"
[session.legs_and_lungs]
title = "Legs and lungs"
rpe = 8
regions = { thigh_front = 3, glutes = 2, calves = 2 }
at = "18:30"
[[session.legs_and_lungs.part]]
kind = "intervals"
title = "Step-ups"
rounds = 8
work = 20
rest = 10
by_week = [ { work = 10, rest = 20 }, { work = 15, rest = 15 }, { work = 20, rest = 10 } ]
[[session.legs_and_lungs.part]]
kind = "timed_rounds"
minutes = 12
moves = ["step-up", "press", "row", "hinge", "plank"]
reps = 8
"#;

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn the_ladder_follows_the_week_of_the_phase() {
    let block = parse("block.toml", STAIRS, None).unwrap();
    let day = block.day(date("2026-01-12"));
    assert_eq!(
        (day.kind, day.week, day.block_week),
        (DayKind::Training, Some(2), Some(2))
    );
    let parts = day.sessions[0].parts_in_week(2);
    assert_eq!(
        *parts[0].work,
        Work::Intervals {
            rounds: 8,
            work_s: 15,
            rest_s: 15,
            moves: vec![]
        }
    );
    assert_eq!(day.sessions[0].minutes_in_week(2), 4 + 12);
}

#[test]
fn every_key_of_a_session_is_read() {
    let block = parse("block.toml", STAIRS, None).unwrap();
    let session = &block.sessions["legs_and_lungs"];
    assert_eq!(block.name, "Stair-climb preparation");
    assert_eq!(
        (session.title.as_str(), session.rpe, session.minutes),
        ("Legs and lungs", 8.0, None)
    );
    assert_eq!(session.at, NaiveTime::from_hms_opt(18, 30, 0));
    assert_eq!(
        session.regions,
        BTreeMap::from([
            (Region::ThighFront, 3),
            (Region::Glutes, 2),
            (Region::Calves, 2)
        ])
    );
    assert_eq!(session.parts[1].title, "Timed rounds");
    assert_eq!(session.parts[1].work.kind(), "timed_rounds");
}

fn with_session(session: &str) -> String {
    format!(
        "name = \"Test\"\nstarts = 2026-01-05\n[[phase]]\nweeks = 4\nweek.mon = \"a\"\n[session.a]\nrpe = 6\n{session}"
    )
}

fn only_session(session: &str) -> Session {
    let block = parse("block.toml", &with_session(session), None)
        .unwrap_or_else(|complaints| panic!("{complaints:#?}"));
    block.sessions["a"].clone()
}

#[test]
fn weeks_beyond_the_list_use_its_last_entry() {
    let session = only_session(
        "[[session.a.part]]\nkind = \"steady\"\nby_week = [{ minutes = 10 }, { minutes = 15 }]\n",
    );
    let minutes: Vec<u32> = (1..=4).map(|week| session.minutes_in_week(week)).collect();
    assert_eq!(minutes, [10, 15, 15, 15]);
}

#[test]
fn a_week_changes_only_what_it_names() {
    let session = only_session(
        "[[session.a.part]]\nkind = \"sets\"\nsets = 3\nreps = 5\nrest = 90\nmoves = [\"hinge\", \"row\"]\nby_week = [{}, { sets = 4 }, { moves = [\"hinge\"], rest = 60 }]\n",
    );
    let sets = |sets, moves: &[&str], rest_s| Work::Sets {
        sets,
        reps: 5,
        moves: moves.iter().map(|one| (*one).to_owned()).collect(),
        rest_s,
    };
    let weeks: Vec<&Work> = (1..=3)
        .map(|week| session.parts_in_week(week)[0].work)
        .collect();
    assert_eq!(
        weeks,
        [
            &sets(3, &["hinge", "row"], 90),
            &sets(4, &["hinge", "row"], 90),
            &sets(3, &["hinge"], 60)
        ]
    );
}

#[test]
fn the_minutes_a_coach_gives_count_and_parts_are_then_not_needed() {
    assert_eq!(only_session("minutes = 45\n").minutes_in_week(1), 45);
    let both = only_session("minutes = 45\n[[session.a.part]]\nkind = \"steady\"\nminutes = 20\n");
    assert_eq!(both.minutes_in_week(3), 45);
}

#[test]
fn minutes_from_parts_are_rounded_up() {
    // 7 x (20 + 10) s = 210 s.
    let session = only_session(
        "[[session.a.part]]\nkind = \"intervals\"\nrounds = 7\nwork = 20\nrest = 10\n",
    );
    assert_eq!(session.minutes_in_week(1), 4);
}

#[test]
fn a_day_may_have_several_sessions_or_none() {
    let text = with_session("minutes = 20\n[session.b]\nrpe = 2\nminutes = 10\n").replace(
        "week.mon = \"a\"",
        "week.mon = [\"b\", \"a\"]\nweek.tue = \"rest\"\nweek.wed = []\nweek.thu = [\"rest\"]",
    );
    let block = parse("block.toml", &text, None).unwrap();
    let monday = block.day(date("2026-01-05"));
    let ids: Vec<&str> = monday
        .sessions
        .iter()
        .map(|session| session.id.as_str())
        .collect();
    assert_eq!(ids, ["b", "a"]);
    for day in [
        "2026-01-06",
        "2026-01-07",
        "2026-01-08",
        "2026-01-09",
        "2026-01-11",
    ] {
        assert_eq!(block.day(date(day)).kind, DayKind::Rest, "{day}");
    }
}

const TWO_PHASES: &str = r#"
name = "Two phases"
starts = 2026-01-07 # a Wednesday
[[phase]]
name = "One"
weeks = 2
week = { mon = "a", wed = "b" }
[[phase]]
name = "Two"
weeks = 1
week = { mon = "b" }
[session.a]
rpe = 5
minutes = 20
[session.b]
rpe = 4
minutes = 30
"#;

fn shifted(shifts: &[(&str, u32)]) -> Block {
    let text = shifts
        .iter()
        .fold(TWO_PHASES.to_owned(), |text, (from, days)| {
            add_shift(
                &text,
                Shift {
                    from: date(from),
                    days: *days,
                },
            )
            .unwrap()
        });
    parse("block.toml", &text, None).unwrap_or_else(|complaints| panic!("{complaints:#?}"))
}

/// Kind, first session, phase, week and week of the block of a day, in short.
fn told(block: &Block, day: &str) -> String {
    let plan = block.day(date(day));
    let session = plan
        .sessions
        .first()
        .map_or("-", |session| session.id.as_str());
    let phase = plan.phase.map_or("-", |phase| phase.name.as_str());
    format!(
        "{} {session} {phase} {:?} {:?}",
        plan.kind.id(),
        plan.week,
        plan.block_week
    )
}

#[test]
fn weeks_run_from_the_weekday_of_the_start_and_keep_the_names_of_the_days() {
    let block = shifted(&[]);
    let days = [
        ("2026-01-06", "outside - - None None"),
        ("2026-01-07", "training b One Some(1) Some(1)"),
        ("2026-01-08", "rest - One Some(1) Some(1)"),
        ("2026-01-12", "training a One Some(1) Some(1)"),
        ("2026-01-13", "rest - One Some(1) Some(1)"),
        ("2026-01-14", "training b One Some(2) Some(2)"),
        ("2026-01-19", "training a One Some(2) Some(2)"),
        ("2026-01-21", "rest - Two Some(1) Some(3)"),
        ("2026-01-26", "training b Two Some(1) Some(3)"),
        ("2026-01-27", "rest - Two Some(1) Some(3)"),
        ("2026-01-28", "outside - - None None"),
    ];
    for (day, expected) in days {
        assert_eq!(told(&block, day), expected, "{day}");
    }
    assert_eq!(block.last_day(), Some(date("2026-01-27")));
}

#[test]
fn a_shift_moves_the_later_part_and_leaves_a_pause_outside() {
    let block = shifted(&[("2026-01-19", 7)]);
    let days = [
        ("2026-01-14", "training b One Some(2) Some(2)"),
        ("2026-01-18", "rest - One Some(2) Some(2)"),
        ("2026-01-19", "outside - - None None"),
        ("2026-01-25", "outside - - None None"),
        ("2026-01-26", "training a One Some(2) Some(2)"),
        ("2026-02-02", "training b Two Some(1) Some(3)"),
        ("2026-02-03", "rest - Two Some(1) Some(3)"),
        ("2026-02-04", "outside - - None None"),
    ];
    for (day, expected) in days {
        assert_eq!(told(&block, day), expected, "{day}");
    }
    assert_eq!(block.last_day(), Some(date("2026-02-03")));
}

#[test]
fn a_second_shift_counts_in_the_calendar_after_the_first() {
    let block = shifted(&[("2026-01-12", 2), ("2026-01-15", 7)]);
    // What was planned for Monday the 12th moved to the 14th and stayed there; the rest moved on.
    assert_eq!(told(&block, "2026-01-14"), "training a One Some(1) Some(1)");
    assert_eq!(told(&block, "2026-01-15"), "outside - - None None");
    assert_eq!(told(&block, "2026-01-23"), "training b One Some(2) Some(2)");
    assert_eq!(block.last_day(), Some(date("2026-02-05")));
}

#[test]
fn a_shift_after_the_end_changes_nothing() {
    assert_eq!(
        shifted(&[("2026-01-28", 30)]).last_day(),
        Some(date("2026-01-27"))
    );
}

#[test]
fn a_template_starts_where_it_is_told_to() {
    let template = TWO_PHASES.replace("starts = 2026-01-07 # a Wednesday\n", "");
    assert!(parse("block.toml", &template, None).is_err());
    let block = parse("block.toml", &template, Some(date("2026-03-02"))).unwrap();
    assert_eq!(block.starts, date("2026-03-02"));
    let written = set_start(&template, date("2026-03-09")).unwrap();
    let block = parse("block.toml", &written, Some(date("2026-03-02"))).unwrap();
    assert_eq!(block.starts, date("2026-03-09"), "a written start wins");
}

proptest! {
    /// However often a block is moved, every planned day comes exactly once, in its order, and ends on
    /// the last day.
    #[test]
    fn shifts_lose_and_repeat_no_day(
        moves in prop::collection::vec((0_u64..40, 1_u32..12), 0..4),
    ) {
        let mut block = shifted(&[]);
        let planned: Vec<String> = (0..21).map(|day| told(&block, &(block.starts + Days::new(day)).to_string())).collect();
        block.shifts = moves
            .iter()
            .map(|(day, days)| Shift { from: block.starts + Days::new(*day), days: *days })
            .collect();
        let last = block.last_day().unwrap();
        let found: Vec<String> = block
            .starts
            .iter_days()
            .take(120)
            .filter(|day| block.day(*day).kind != DayKind::Outside)
            .map(|day| {
                assert!(day <= last, "{day} is after {last}");
                told(&block, &day.to_string())
            })
            .collect();
        prop_assert_ne!(block.day(last).kind, DayKind::Outside);
        prop_assert_eq!(found, planned);
    }

    /// No date makes the lookup panic.
    #[test]
    fn any_date_can_be_asked(day in -2_000_000_i32..2_000_000) {
        let block = shifted(&[("2026-01-19", 7)]);
        if let Some(date) = NaiveDate::from_num_days_from_ce_opt(day) {
            let plan = block.day(date);
            prop_assert_eq!(plan.kind == DayKind::Outside, plan.week.is_none(), "{}", date.year());
        }
    }
}
