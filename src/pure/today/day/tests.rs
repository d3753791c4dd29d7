use super::*;
use crate::pure::caution::{Kind, PainReport, Report, Sign, Site, What};
use crate::pure::civil::Night;
use crate::pure::diary::Morning;
use crate::pure::readiness::Guard;
use crate::pure::today::Reported;

const BLOCK: &str = r#"
name = "Two sessions"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 8
[phase.week]
mon = "legs"
tue = "arms"
wed = "rest"
thu = "legs"
fri = ["legs", "arms"]
[session.legs]
title = "Legs"
rpe = 8
minutes = 30
regions = { thigh_front = 3, calves = 2 }
[[session.legs.part]]
kind = "intervals"
title = "Steps"
rounds = 8
work = 20
rest = 10
[session.arms]
title = "Arms"
rpe = 6
minutes = 20
regions = { upper_arms = 2 }
"#;

fn block() -> Block {
    crate::pure::block::parse("block.toml", BLOCK, None).expect("block")
}

fn date(number: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 5).expect("date") + Days::new(number)
}

/// A morning of day `number`, counted from the first of the block.
fn morning(number: u64, rating: u8) -> Morning {
    let mut morning = Morning::empty(Night(date(number)).previous(), "UTC");
    morning.ratings = Ratings {
        sleep_quality: Some(rating),
        freshness: Some(rating),
        soreness: Some(rating),
        mood: Some(rating),
    };
    morning
}

fn usual(days: u64) -> Records {
    Records {
        mornings: (0..days).map(|number| morning(number, 3)).collect(),
        ..Records::default()
    }
}

fn pain(site: &str, kind: Kind, on: u64) -> Reported {
    Reported {
        report: Report {
            what: What::Pain(PainReport {
                site: Site::from_id(site).expect("site"),
                level: 4,
                kind,
                since: date(on),
            }),
            on: date(on),
        },
        until: None,
    }
}

fn done(number: u64, minutes: f64, rpe: f64) -> TrainingDone {
    TrainingDone {
        date: date(number),
        session: Some("legs".to_owned()),
        minutes: Some(minutes),
        rpe: Some(rpe),
        parts: Vec::new(),
        note: String::new(),
    }
}

fn on(records: &Records, number: u64) -> Today {
    let mut found = days(records, &block(), None, date(number), 1, date(number));
    found.remove(0)
}

#[test]
fn a_day_without_records_goes_as_planned() {
    let today = on(&Records::default(), 0);
    assert_eq!(today.readiness.band, Band::AsPlanned);
    assert_eq!(today.readiness.score.score, None);
    assert!(today.sessions[0].suggestion.as_planned);
    assert_eq!((today.load.day, today.load.mean_7), (None, None));
    assert!(!today.recorded);
    assert_eq!(today.reasons, ["No ratings are recorded for this morning."]);
    let rest = on(&Records::default(), 2);
    assert_eq!((rest.kind, rest.sessions.len()), (DayKind::Rest, 0));
}

#[test]
fn later_days_change_no_score_and_each_day_of_a_span_is_as_it_is_alone() {
    let mut records = usual(20);
    for number in [3, 9, 15] {
        records.mornings[number as usize] = morning(number, 2);
    }
    let all = days(&records, &block(), None, date(0), 25, date(19));
    assert_eq!(all.len(), 25);
    for day in &all {
        let mut until_then = records.clone();
        until_then
            .mornings
            .retain(|morning| morning.date() <= day.date);
        let alone = days(&until_then, &block(), None, day.date, 1, date(19));
        assert_eq!(alone[0].readiness, day.readiness, "{}", day.date);
        assert_eq!(alone[0].move_back, day.move_back, "{}", day.date);
    }
    assert_eq!(all[3].readiness.band, Band::RecoverOnly);
    assert_eq!(all[22].readiness.score.score, None);
}

#[test]
fn pain_speaks_against_the_session_that_loads_it_and_no_other() {
    let mut records = usual(20);
    records.reports.push(pain("knee_left", Kind::Sharp, 1));
    // Friday has both sessions.
    let friday = on(&records, 4);
    assert_eq!(friday.readiness.guards, [Guard::Pain]);
    assert_eq!(friday.readiness.band, Band::RecoverOnly);
    let legs = friday.sessions[0].suggestion.session.as_ref();
    assert_eq!(legs.expect("a walk").rpe, 2.0);
    assert!(friday.sessions[1].suggestion.as_planned);
    let tuesday = on(&records, 8);
    assert_eq!(tuesday.readiness.guards, []);
    // Before the report nobody knew, and after it is closed nobody minds.
    assert_eq!(on(&records, 0).cautions, []);
    records.reports[0].until = Some(date(4));
    assert_eq!(on(&records, 4).readiness.band, Band::AsPlanned);
    assert_eq!(on(&records, 3).cautions.len(), 1);
}

#[test]
fn a_sign_of_the_same_day_level_stops_everything_and_cannot_be_refused() {
    let mut records = usual(20);
    records.reports.push(Reported {
        report: Report {
            what: What::Sign {
                sign: Sign::DarkUrine,
                site: None,
            },
            on: date(1),
        },
        until: None,
    });
    records.reports.push(pain("wrist_left", Kind::Numb, 1));
    records.kept.insert(date(3));
    for number in [1, 3] {
        let today = on(&records, number);
        assert!(!today.suggests_training());
        assert_eq!(today.sessions[0].suggestion.session, None);
        assert_eq!(today.cautions[0].sign, Some(Sign::DarkUrine));
        assert_eq!(today.readiness.guards[0], Guard::RedFlag);
    }
    // A choice about training closes no caution, the milder one neither.
    assert_eq!(on(&records, 1).cautions.len(), 2);
    assert_eq!(on(&records, 3).cautions.len(), 2);
}

#[test]
fn a_refusal_is_kept_and_not_argued_with() {
    let mut records = usual(20);
    records.mornings[15] = morning(15, 1);
    assert_eq!(on(&records, 15).readiness.band, Band::RecoverOnly);
    records.kept.insert(date(15));
    let today = on(&records, 15);
    assert!(today.sessions[0].suggestion.as_planned && today.kept);
    assert_eq!(today.reasons, ["You chose to train as planned."]);
    assert_eq!(today.readiness.band, Band::RecoverOnly, "the fact stays");
}

#[test]
fn soreness_that_stays_takes_the_parts_that_load_it() {
    let mut records = usual(20);
    for morning in &mut records.mornings[4..15] {
        morning.sore_in.insert(Region::Calves, 2);
    }
    let thursday = on(&records, 10);
    assert_eq!(thursday.cautions, []);
    let monday = on(&records, 14);
    assert_eq!(monday.cautions[0].sign, Some(Sign::SorenessStays));
    assert_eq!(monday.readiness.guards, []);
    assert!(!monday.sessions[0].suggestion.as_planned);
}

#[test]
fn two_recovery_days_suggest_to_move_the_block_unless_it_was_moved() {
    let mut records = usual(20);
    records.mornings[14] = morning(14, 1);
    records.mornings[15] = morning(15, 1);
    records.mornings[15].ill = true;
    let today = on(&records, 15);
    assert!(today.move_back.expect("suggested").unwell);
    assert_eq!(on(&records, 14).move_back, None);
    let mut moved = block();
    moved.shifts.push(crate::pure::block::Shift {
        from: date(15),
        days: 7,
    });
    let found = days(&records, &moved, None, date(15), 1, date(15));
    assert_eq!(found[0].move_back, None);
}

#[test]
fn missing_is_not_zero_and_a_rest_day_is_once_its_morning_after_is_recorded() {
    let mut records = Records {
        sessions: vec![done(0, 30.0, 8.0), done(1, 20.0, 6.0), done(3, 30.0, 7.0)],
        ..Records::default()
    };
    records.first_training_day = Some(date(0));
    let all = |records: &Records| days(records, &block(), None, date(0), 7, date(3));
    let loads: Vec<Option<f64>> = all(&records).iter().map(|day| day.load.day).collect();
    // Wednesday is a planned rest day, but nobody has said that nothing was trained.
    let known = [
        Some(240.0),
        Some(120.0),
        None,
        Some(210.0),
        None,
        None,
        None,
    ];
    assert_eq!(loads, known);
    assert_eq!(all(&records)[3].load.mean_7, None);
    assert_eq!(all(&records)[3].load.week, 570.0);
    records.mornings = vec![morning(3, 3), morning(5, 3)];
    let found = all(&records);
    assert_eq!(found[2].load.day, Some(0.0));
    assert_eq!(found[3].load.mean_7, Some(570.0 / 7.0));
    // Friday was planned and is not recorded: missed, or not written down?
    assert_eq!(found[4].load.day, None);
    records.rest.insert(date(4));
    assert_eq!(all(&records)[4].load.day, Some(0.0));
}

#[test]
fn of_today_the_sum_so_far_counts() {
    let mut records = usual(8);
    records.sessions = (0..5).map(|number| done(number, 30.0, 8.0)).collect();
    records.sessions.remove(2);
    records.first_training_day = Some(date(0));
    let load = on(&records, 7).load;
    assert_eq!((load.day, load.week), (Some(0.0), 720.0));
    assert_eq!(load.known_days, 7);
    let later = days(&records, &block(), None, date(7), 1, date(9));
    assert_eq!(later[0].load.day, None);
}
