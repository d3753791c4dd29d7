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
