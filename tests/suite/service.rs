//! Evenings on a real bus: the real service, a real store, a notification server that is scripted.

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server, Shown};
use crate::support::eventually;
use crate::support::service::{Service, events, seconds_ahead, wait_for_event, wind_down_at};

fn evening(seconds: i64, more: &str) -> Home {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(seconds), more));
    home
}

/// An evening whose prompt is due at once, with everything running.
fn prompted(script: Script) -> (Home, Bus, Server, Service) {
    let home = evening(0, "");
    let bus = Bus::start();
    let server = Server::start(&bus, script);
    let service = Service::start(&home, &bus);
    (home, bus, server, service)
}

#[test]
fn the_prompt_shows_on_time_and_start_is_kept() {
    let due = seconds_ahead(3);
    let home = Home::new();
    let opened = home.path().join("opened");
    let start = format!("start = [\"touch\", \"{}\"]", opened.display());
    home.write("settings.toml", &wind_down_at(due, &start));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let shown = server.wait_for(1);
    let late = chrono::Utc::now() - due;
    assert!(
        late >= chrono::Duration::zero() && late < chrono::Duration::seconds(3),
        "late by {late}"
    );
    assert_eq!(shown.summary, "Time to wind down");
    assert!(
        shown.body.starts_with("8 minutes, then lights out at"),
        "{}",
        shown.body
    );
    assert_eq!(
        shown.actions,
        [
            "start",
            "Start",
            "later",
            "In 15 minutes",
            "not_tonight",
            "Not tonight"
        ]
    );
    assert_eq!(
        shown.urgency,
        Some(1),
        "urgent is for emergencies, and bedtime is none"
    );
    assert_eq!(shown.desktop_entry.as_deref(), Some("evenfall"));
    server.press(shown.id, "start");
    let answered = wait_for_event(&home, "wind_down", "answered");
    assert_eq!(answered["answer"], "started");
    eventually("the command of the settings to run", || {
        opened.exists().then_some(())
    });
}

#[test]
fn a_server_that_comes_late_gets_the_prompt() {
    let home = evening(0, "");
    let bus = Bus::start();
    let _service = Service::start(&home, &bus);
    wait_for_event(&home, "wind_down", "not_shown");
    let missing = || home.status().expect("status")["service"]["nothing_shows"].clone();
    assert!(
        missing()
            .as_str()
            .is_some_and(|why| why.contains("no notification service runs")),
        "{}",
        missing()
    );
    let server = Server::start(&bus, Script::default());
    let shown = server.wait_for(1);
    assert!(missing().is_null());
    server.press(shown.id, "not_tonight");
    assert_eq!(
        wait_for_event(&home, "wind_down", "answered")["answer"],
        "not_tonight"
    );
}

#[test]
fn a_server_that_dies_is_followed_by_another_with_the_same_prompt() {
    let (home, bus, server, _service) = prompted(Script::default());
    server.wait_for(1);
    wait_for_event(&home, "wind_down", "shown");
    drop(server);
    let server = Server::start(&bus, Script::default());
    let again = server.wait_for(1);
    // Ids start again with the server: nothing of the old one may be replaced.
    assert_eq!((again.id, again.replaces), (1, 0));
    server.press(again.id, "later");
    wait_for_event(&home, "wind_down", "later");
}

#[test]
fn killed_between_showing_and_answer_it_is_one_prompt_not_two() {
    let (home, bus, server, service) = prompted(Script::default());
    let first = server.wait_for(1);
    wait_for_event(&home, "wind_down", "shown");
    service.kill();
    let _service = Service::start(&home, &bus);
    // The buttons of the old one lead nowhere any more, so it is replaced in its place.
    let again = server.wait_for(2);
    assert_eq!((again.replaces, again.id), (first.id, first.id));
    server.press(again.id, "start");
    wait_for_event(&home, "wind_down", "answered");
    let showings = events(&home)
        .iter()
        .filter(|(_, event)| event["what"] == "showing")
        .count();
    assert_eq!(showings, 1);
    let fresh = |shown: &&Shown| shown.replaces == 0 && shown.summary == first.summary;
    assert_eq!(server.shown().iter().filter(fresh).count(), 1);
}

#[test]
fn an_answer_within_a_millisecond_is_not_lost() {
    // Also one that comes before the id of the notification is known.
    for press_first in [false, true, false, true, false] {
        let home = evening(0, "");
        let bus = Bus::start();
        let _server = Server::start(
            &bus,
            Script {
                press_at_once: Some("not_tonight"),
                press_first,
                ..Script::default()
            },
        );
        let _service = Service::start(&home, &bus);
        assert_eq!(
            wait_for_event(&home, "wind_down", "answered")["answer"],
            "not_tonight"
        );
    }
}

/// As GNOME Shell does; a bus allows a person 256 connections, so there may be only one of ours.
#[test]
fn a_server_that_answers_the_sender_alone_is_heard_over_the_one_connection() {
    let home = Home::new();
    let due = seconds_ahead(6);
    let own = (0..3).map(|second| {
        let at = due + chrono::Duration::seconds(second);
        let at = at.format("%S %M %H * * *");
        format!("[[prompts.own]]\nwhen = \"{at}\"\ntext = \"Number {second}\"\n")
    });
    let own: String = own.collect();
    let settings = wind_down_at(seconds_ahead(0), "").replace("[page]", &format!("{own}[page]"));
    home.write("settings.toml", &settings);
    let bus = Bus::start();
    let script = Script {
        unicast: true,
        ..Script::default()
    };
    let server = Server::start(&bus, script);
    let _service = Service::start(&home, &bus);
    server.wait_for(4);
    let shown = server.shown();
    let wind_down = shown
        .iter()
        .find(|shown| shown.summary == "Time to wind down");
    server.press(wind_down.expect("wind-down").id, "not_tonight");
    assert_eq!(
        wait_for_event(&home, "wind_down", "answered")["answer"],
        "not_tonight"
    );
    let senders: std::collections::BTreeSet<&str> =
        shown.iter().map(|shown| shown.sender.as_str()).collect();
    assert_eq!(senders.len(), 1, "{senders:?}");
}

#[test]
fn a_server_that_hangs_does_not_hang_the_service() {
    let (home, _bus, server, _service) = prompted(Script {
        hang: true,
        ..Script::default()
    });
    server.wait_for(1);
    let said = home.run("", &["not-tonight"]);
    assert_eq!(said.code, 0, "{said:?}");
    assert_eq!(
        wait_for_event(&home, "wind_down", "answered")["answer"],
        "not_tonight"
    );
}

#[test]
fn where_no_buttons_are_seen_the_commands_are_told() {
    let without = Script {
        capabilities: vec!["body"],
        ..Script::default()
    };
    let in_a_menu = Script {
        name: "dunst",
        ..Script::default()
    };
    for (script, buttons) in [(without, 0), (in_a_menu, 6)] {
        let home = evening(0, "");
        let bus = Bus::start();
        let server = Server::start(&bus, script);
        let _service = Service::start(&home, &bus);
        let shown = server.wait_for(1);
        assert_eq!(shown.actions.len(), buttons);
        for command in ["evenfall follow", "evenfall later", "evenfall not-tonight"] {
            assert!(
                shown.body.contains(command),
                "{command} is not in: {}",
                shown.body
            );
        }
    }
}

#[test]
fn a_text_of_the_person_cannot_become_markup() {
    let home = Home::new();
    let soon = seconds_ahead(4).format("%S %M %H * * *");
    let settings = format!(
        "timezone = \"UTC\"\n[prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\n\
         [[prompts.own]]\nwhen = \"{soon}\"\ntext = \"Tea & <b>biscuits</b>\"\n[page]\non = false\n"
    );
    home.write("settings.toml", &settings);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let shown = eventually("the own prompt", || {
        server
            .shown()
            .into_iter()
            .find(|shown| shown.summary == "Reminder")
    });
    assert_eq!(shown.body, "Tea &amp; &lt;b&gt;biscuits&lt;/b&gt;");
    assert_eq!(shown.urgency, Some(0));
}

#[test]
fn later_from_another_terminal_takes_the_notification_away() {
    let (home, _bus, server, _service) = prompted(Script::default());
    let shown = server.wait_for(1);
    wait_for_event(&home, "wind_down", "shown");
    let waiting = home.run("", &["status"]).out;
    assert!(
        waiting.contains("Waiting for your answer: the wind-down prompt of "),
        "{waiting}"
    );
    let said = home.run("", &["later", "5"]);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.out.contains("5 minutes"), "{said:?}");
    wait_for_event(&home, "wind_down", "later");
    eventually("the notification to be closed", || {
        server.closed().contains(&shown.id).then_some(())
    });
    let standing = home.status().expect("status")["service"]["standing"].clone();
    assert_eq!(standing[0]["kind"], "wind_down");
    let until = standing[0]["later_until"].as_str().expect("an instant");
    let put_off = home.run("", &["status"]).out;
    let clock = &until["YYYY-MM-DDT".len()..][.."HH:MM".len()];
    let words = format!("Put off, comes again at {clock}: the wind-down prompt of ");
    assert!(put_off.contains(&words), "{put_off}");
}

#[test]
fn closing_it_is_an_answer_for_now_and_expiry_is_none() {
    let (home, _bus, server, _service) = prompted(Script::default());
    let shown = server.wait_for(1);
    wait_for_event(&home, "wind_down", "shown");
    server.close(shown.id, 1);
    server.close(shown.id, 2);
    wait_for_event(&home, "wind_down", "dismissed");
    let dismissed = events(&home)
        .iter()
        .filter(|(_, event)| event["what"] == "dismissed")
        .count();
    assert_eq!((dismissed, server.shown().len()), (1, 1));
}

#[test]
fn a_second_service_says_who_runs() {
    let home = evening(600, "");
    let bus = Bus::start();
    let _service = Service::start(&home, &bus);
    let pid = home.status().expect("status")["service"]["pid"].to_string();
    let said = home.run("", &["daemon"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains(&pid), "{}", said.err);
}

#[test]
fn a_settings_edit_counts_at_once_and_a_broken_one_changes_nothing() {
    let home = evening(3600, "");
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    home.write(
        "settings.toml",
        "timezone = \"UTC\"\n[nights]\nbedtme = \"22:30\"\n",
    );
    let complaint = eventually("the complaint", || {
        let status = home.status()?;
        status["service"]["complaints"][0]
            .as_str()
            .map(str::to_owned)
    });
    assert!(complaint.contains("settings.toml:3:1:"), "{complaint}");
    let said = server.wait_for(1);
    assert_eq!(said.summary, "A file needs a look");
    assert!(said.body.contains("settings.toml:3:1:"), "{}", said.body);
    home.write("settings.toml", &wind_down_at(seconds_ahead(0), ""));
    let shown = server.wait_for(2);
    assert_eq!(shown.summary, "Time to wind down");
    assert_eq!(
        home.status().expect("status")["service"]["complaints"],
        serde_json::json!([])
    );
}

#[test]
fn files_that_are_wrong_end_it_at_the_start_and_nothing_is_changed() {
    let home = Home::new();
    home.write("settings.toml", "[nights]\nbedtme = \"22:30\"\n");
    home.write("block.toml", "name = 1\n");
    let said = home.run("", &["daemon"]);
    // Not 1: the unit does not start it again on this one.
    assert_eq!(said.code, 2, "{said:?}");
    for place in ["settings.toml:2:1:", "block.toml:1:8:"] {
        assert!(said.err.contains(place), "{said:?}");
    }
    for made in ["diary.db", "service.sock", "page.json"] {
        assert!(!home.path().join(made).exists(), "{made}");
    }
}

#[test]
fn asked_to_stop_it_ends_cleanly_and_leaves_no_socket() {
    let home = evening(3600, "");
    let bus = Bus::start();
    let _server = Server::start(&bus, Script::default());
    let service = Service::start(&home, &bus);
    assert!(home.path().join("service.sock").exists());
    let (code, out, err) = service.stop();
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.starts_with("Next: wind-down,"), "{out}");
    assert!(!home.path().join("service.sock").exists());
    assert_eq!(home.status().expect("status")["running"], false);
}

#[test]
fn without_a_bus_the_evening_goes_on() {
    let home = evening(0, "");
    let bus = Bus::start();
    let mut gone = Bus::start();
    gone.address = "unix:path=/nonexistent/bus".to_owned();
    let service = Service::start(&home, &gone);
    wait_for_event(&home, "wind_down", "not_shown");
    let status = home.run("", &["status"]).out;
    assert!(
        status.contains("No prompt can show: the session bus cannot be reached"),
        "{status}"
    );
    let (code, _, err) = service.stop();
    assert_eq!(code, Some(0));
    assert_eq!(err.matches("No desktop notification").count(), 1, "{err}");
    drop(bus);
}
