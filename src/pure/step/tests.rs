//! Whole evenings as lists of inputs.

use chrono::{Duration, NaiveDate};

use super::*;
use crate::pure::block;
use crate::pure::civil::{Night, Zone};
use crate::pure::prompt::{Kind, Standing};
use crate::pure::settings::Settings;

mod left_standing;

const BLOCK: &str = r#"
name = "Test"
starts = 2026-01-05
[[phase]]
name = "All"
weeks = 3
[phase.week]
mon = "legs"
fri = "legs"
[session.legs]
title = "Legs"
rpe = 7
[[session.legs.part]]
kind = "steady"
minutes = 20
"#;

fn plan() -> Plan {
    Plan {
        settings: Settings::default(),
        block: block::parse("block.toml", BLOCK, None).expect("clean"),
        zone: Zone::utc(),
        zones: BTreeMap::new(),
        routine_seconds: None,
        drawn: BTreeMap::new(),
    }
}

fn at(text: &str) -> Instant {
    format!("{text}:00Z").parse().expect("instant")
}

fn evening_key() -> Key {
    Key::once(
        Kind::WindDown,
        Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("date")),
    )
}

fn shown(actions: &[Action]) -> Vec<(Kind, u32)> {
    actions
        .iter()
        .filter_map(|action| match action {
            Action::Show { due, showing, .. } => Some((due.key.kind, *showing)),
            _ => None,
        })
        .collect()
}

fn wakes(actions: &[Action]) -> Option<Instant> {
    actions.iter().find_map(|action| match action {
        Action::WakeAt(at) => Some(*at),
        _ => None,
    })
}

fn misses(actions: &[Action]) -> usize {
    let events = actions.iter().filter_map(|action| match action {
        Action::Record { events } => Some(events),
        _ => None,
    });
    let missed = |(_, event): &&(Key, Event)| *event == Event::Missed;
    events.flatten().filter(missed).count()
}

fn started(now: Instant) -> Service {
    let mut service = Service::default();
    service.step(
        &plan(),
        now,
        Input::Started {
            since: None,
            known_until: None,
        },
    );
    service
}

fn confirm(service: &mut Service, now: Instant, showing: u32) {
    let token = Some(Token {
        server: ":1.7".to_owned(),
        id: 1,
    });
    service.step(
        &plan(),
        now,
        Input::ShowResult {
            key: evening_key(),
            showing,
            result: Ok(token),
        },
    );
}

#[test]
fn the_wind_down_shows_when_due_and_the_intent_is_written_first() {
    let mut service = Service::default();
    let actions = service.step(
        &plan(),
        at("2026-01-05T20:00"),
        Input::Started {
            since: None,
            known_until: None,
        },
    );
    assert_eq!(shown(&actions), []);
    assert_eq!(wakes(&actions), Some(at("2026-01-05T22:02")));
    let actions = service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::WindDown, 1)]);
    let showing = |(_, event): &(Key, Event)| matches!(event, Event::Showing { .. });
    let record = actions.iter().position(
        |action| matches!(action, Action::Record { events } if events.iter().any(showing)),
    );
    let show = actions
        .iter()
        .position(|a| matches!(a, Action::Show { .. }));
    assert!(record.expect("recorded") < show.expect("shown"));
}

#[test]
fn an_unanswered_prompt_comes_again_as_often_as_set_and_is_then_missed() {
    let mut service = started(at("2026-01-05T22:01"));
    let mut showings = Vec::new();
    let mut now = at("2026-01-05T22:01");
    while now < at("2026-01-05T23:30") {
        for (kind, showing) in shown(&service.step(&plan(), now, Input::Woke)) {
            if kind == Kind::WindDown {
                showings.push((now, showing));
                confirm(&mut service, now, showing);
            }
        }
        now += Duration::minutes(1);
    }
    let times = ["2026-01-05T22:02", "2026-01-05T22:12", "2026-01-05T22:22"].map(at);
    assert_eq!(showings, [(times[0], 1), (times[1], 2), (times[2], 3)]);
    assert!(matches!(
        service.records[&evening_key()].standing,
        Standing::Missed { .. }
    ));
}

#[test]
fn a_restart_between_showing_and_answer_does_not_show_it_anew() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    let mut again = Service::remembering(service.records.clone());
    let known_until = Some(at("2026-01-05T22:02"));
    let actions = again.step(
        &plan(),
        at("2026-01-05T22:04"),
        Input::Started {
            since: known_until,
            known_until,
        },
    );
    let replaced = actions.iter().find_map(|action| match action {
        Action::Show {
            showing, replaces, ..
        } => Some((*showing, replaces.clone())),
        _ => None,
    });
    // The same showing, taking the place of the notification that stands.
    assert_eq!(
        replaced,
        Some((
            1,
            Some(Token {
                server: ":1.7".to_owned(),
                id: 1
            })
        ))
    );
    assert!(
        !actions
            .iter()
            .any(|action| matches!(action, Action::Record { .. }))
    );
}

#[test]
fn a_showing_that_nobody_confirmed_is_not_repeated_at_a_restart_but_reminded_of() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    let mut again = Service::remembering(service.records.clone());
    let known_until = Some(at("2026-01-05T22:02"));
    let actions = again.step(
        &plan(),
        at("2026-01-05T22:03"),
        Input::Started {
            since: known_until,
            known_until,
        },
    );
    assert_eq!(shown(&actions), []);
    assert_eq!(wakes(&actions), Some(at("2026-01-05T22:12")));
    assert_eq!(
        shown(&again.step(&plan(), at("2026-01-05T22:12"), Input::Woke)),
        [(Kind::WindDown, 2)]
    );
}

#[test]
fn found_late_it_is_offered_while_three_minutes_are_left_and_missed_after() {
    for (found, expected) in [
        ("2026-01-05T22:57", vec![(Kind::WindDown, 1)]),
        ("2026-01-05T22:58", vec![]),
    ] {
        let mut service = started(at("2026-01-05T20:00"));
        let actions = service.step(&plan(), at(found), Input::Woke);
        let wind_down: Vec<_> = shown(&actions)
            .into_iter()
            .filter(|(kind, _)| *kind == Kind::WindDown)
            .collect();
        assert_eq!(wind_down, expected, "found at {found}");
    }
}

#[test]
fn after_a_long_sleep_there_is_no_burst() {
    let mut service = started(at("2026-01-05T20:00"));
    let actions = service.step(&plan(), at("2026-01-09T12:30"), Input::Woke);
    assert_eq!(shown(&actions).len(), 1, "{:?}", shown(&actions));
    let missed = misses(&actions);
    assert!(missed >= 6, "only {missed} misses were recorded");
    let next = wakes(&actions).expect("a wake");
    assert_eq!(next, at("2026-01-09T12:31"));
    assert_eq!(shown(&service.step(&plan(), next, Input::Woke)).len(), 1);
}

#[test]
fn later_comes_when_asked_for_and_reminders_begin_anew() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    let reply = Input::Reply {
        key: evening_key(),
        reply: Reply::Later { minutes: 15 },
    };
    let actions = service.step(&plan(), at("2026-01-05T22:03"), reply);
    assert_eq!(wakes(&actions), Some(at("2026-01-05T22:18")));
    assert_eq!(
        shown(&service.step(&plan(), at("2026-01-05T22:18"), Input::Woke)),
        [(Kind::WindDown, 2)]
    );
    confirm(&mut service, at("2026-01-05T22:18"), 2);
    assert_eq!(
        shown(&service.step(&plan(), at("2026-01-05T22:28"), Input::Woke)),
        [(Kind::WindDown, 3)]
    );
}

#[test]
fn not_tonight_ends_the_evening() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    let actions = service.step(
        &plan(),
        at("2026-01-05T22:03"),
        Input::Reply {
            key: evening_key(),
            reply: Reply::NotTonight,
        },
    );
    assert!(
        actions
            .iter()
            .any(|action| matches!(action, Action::Withdraw { .. }))
    );
    for minute in 4..57 {
        let actions = service.step(
            &plan(),
            at(&format!("2026-01-05T22:{minute:02}")),
            Input::Woke,
        );
        assert!(
            shown(&actions)
                .iter()
                .all(|(kind, _)| *kind != Kind::WindDown)
        );
    }
}

#[test]
fn a_clock_set_ahead_and_back_loses_nothing_and_repeats_nothing() {
    let mut service = started(at("2026-01-05T20:00"));
    service.step(&plan(), at("2026-01-06T20:00"), Input::Woke);
    assert!(matches!(
        service.records[&evening_key()].standing,
        Standing::Missed { .. }
    ));
    service.step(&plan(), at("2026-01-05T20:01"), Input::Woke);
    let actions = service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::WindDown, 1)]);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    service.step(
        &plan(),
        at("2026-01-05T22:03"),
        Input::Reply {
            key: evening_key(),
            reply: Reply::Done,
        },
    );
    service.step(&plan(), at("2026-01-05T21:00"), Input::Woke);
    let actions = service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    assert_eq!(shown(&actions), []);
}

#[test]
fn without_a_server_it_waits_for_one_and_does_not_spin() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    let refused = Input::ShowResult {
        key: evening_key(),
        showing: 1,
        result: Err(()),
    };
    let actions = service.step(&plan(), at("2026-01-05T22:02"), refused);
    assert_eq!(shown(&actions), []);
    assert!(wakes(&actions).expect("a wake") > at("2026-01-05T22:20"));
    let actions = service.step(&plan(), at("2026-01-05T22:10"), Input::ServerAppeared);
    assert_eq!(shown(&actions), [(Kind::WindDown, 2)]);
}

#[test]
fn a_new_server_gets_the_standing_prompt_once_more() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    assert_eq!(
        shown(&service.step(&plan(), at("2026-01-05T22:04"), Input::ServerGone)),
        []
    );
    assert_eq!(
        shown(&service.step(&plan(), at("2026-01-05T22:05"), Input::ServerAppeared)),
        [(Kind::WindDown, 1)]
    );
}

#[test]
fn before_the_first_start_nothing_was_promised() {
    let mut service = Service::default();
    let actions = service.step(
        &plan(),
        at("2026-01-07T09:00"),
        Input::Started {
            since: None,
            known_until: None,
        },
    );
    assert_eq!(misses(&actions), 0, "{actions:?}");
}
