//! Notifications that stand although the service that put them there is gone, or that come late.

use super::*;

fn token(id: u32) -> Option<Token> {
    let server = ":1.7".to_owned();
    Some(Token { server, id })
}

fn withdrawn(actions: &[Action]) -> Vec<Option<Token>> {
    actions
        .iter()
        .filter_map(|action| match action {
            Action::Withdraw { token, .. } => Some(token.clone()),
            _ => None,
        })
        .collect()
}

fn taken(service: &mut Service, now: &str, (kind, showing): (Kind, u32), id: u32) -> Vec<Action> {
    let key = Key {
        kind,
        ..evening_key()
    };
    let result = Ok(token(id));
    let input = Input::ShowResult {
        key,
        showing,
        result,
    };
    service.step(&plan(), at(now), input)
}

/// The first showing stands, the second was written down, and the service was killed before it asked the
/// desktop for it.
fn killed_before_the_reminder_shows() -> Service {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    confirm(&mut service, at("2026-01-05T22:02"), 1);
    let actions = service.step(&plan(), at("2026-01-05T22:12"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::WindDown, 2)]);
    Service::remembering(service.records)
}

fn start_again(service: &mut Service, now: &str) -> Vec<Action> {
    let known_until = Some(at("2026-01-05T22:12"));
    let input = Input::Started {
        since: known_until,
        known_until,
    };
    service.step(&plan(), at(now), input)
}

#[test]
fn what_stood_before_a_kill_is_replaced_by_the_next_reminder() {
    let mut service = killed_before_the_reminder_shows();
    start_again(&mut service, "2026-01-05T22:13");
    let actions = service.step(&plan(), at("2026-01-05T22:22"), Input::Woke);
    let replaces = actions.iter().find_map(|action| match action {
        Action::Show {
            showing, replaces, ..
        } => Some((*showing, replaces.clone())),
        _ => None,
    });
    assert_eq!(replaces, Some((3, token(1))));
}

#[test]
fn what_stood_before_a_kill_goes_with_the_answer() {
    let mut service = killed_before_the_reminder_shows();
    start_again(&mut service, "2026-01-05T22:13");
    let answer = Input::Reply {
        key: evening_key(),
        reply: Reply::NotTonight,
    };
    let actions = service.step(&plan(), at("2026-01-05T22:14"), answer);
    assert_eq!(withdrawn(&actions), [token(1)]);
}

#[test]
fn what_stood_before_a_kill_goes_when_the_clock_is_set_back() {
    let mut service = killed_before_the_reminder_shows();
    start_again(&mut service, "2026-01-05T22:13");
    let actions = service.step(&plan(), at("2026-01-05T20:00"), Input::Woke);
    assert_eq!(withdrawn(&actions), [token(1)]);
    let actions = service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::WindDown, 3)]);
}

#[test]
fn what_was_closed_was_there() {
    let mut service = killed_before_the_reminder_shows();
    start_again(&mut service, "2026-01-05T22:13");
    let closed = Input::Reply {
        key: evening_key(),
        reply: Reply::Dismiss,
    };
    service.step(&plan(), at("2026-01-05T22:14"), closed);
    let actions = service.step(&plan(), at("2026-01-05T20:00"), Input::Woke);
    assert_eq!(shown(&actions), []);
    let actions = service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    assert_eq!(shown(&actions), [], "the follow-up keeps its time");
}

#[test]
fn what_a_slow_server_says_a_second_time_is_taken_away() {
    let mut service = started(at("2026-01-05T22:29"));
    let actions = service.step(&plan(), at("2026-01-05T22:30"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::LightsOut, 1)]);
    let actions = service.step(&plan(), at("2026-01-05T22:32"), Input::Woke);
    assert_eq!(shown(&actions), [(Kind::LightsOut, 2)]);
    let first = taken(&mut service, "2026-01-05T22:33", (Kind::LightsOut, 1), 4);
    assert_eq!(withdrawn(&first), []);
    let second = taken(&mut service, "2026-01-05T22:33", (Kind::LightsOut, 2), 5);
    assert_eq!(withdrawn(&second), [token(5)]);
}

#[test]
fn what_a_slow_server_takes_after_the_answer_is_taken_away() {
    let mut service = started(at("2026-01-05T22:00"));
    service.step(&plan(), at("2026-01-05T22:02"), Input::Woke);
    let answer = Input::Reply {
        key: evening_key(),
        reply: Reply::NotTonight,
    };
    service.step(&plan(), at("2026-01-05T22:03"), answer);
    let late = taken(&mut service, "2026-01-05T22:04", (Kind::WindDown, 1), 1);
    assert_eq!(withdrawn(&late), [token(1)]);
}
