//! Half a minute of the real service with a prompt every two seconds, while everything around it fails:
//! the notification server is killed, comes back with its ids from 1, hangs, shows no buttons, answers
//! within a millisecond; the service itself is killed and stopped for a while.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use chrono::{DateTime, Utc};
use rusqlite::Connection;
use serde_json::Value;

use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, events, seconds_ahead, wait_for_event};
use crate::support::{Home, eventually};

/// Seconds between the person's own prompts.
const EVERY: usize = 2;
/// How late a prompt may be shown where nothing is wrong, seconds: a loaded machine.
const LATE: f64 = 1.5;

/// One showing or more of a prompt of the person's own, as the store has it.
#[derive(Debug, Default)]
struct Own {
    showings: u32,
    refused: u32,
    shown: u32,
    /// The first of them.
    begun: Option<DateTime<Utc>>,
}

/// What the store says of the own prompts, by their time.
fn own_prompts(home: &Home) -> BTreeMap<DateTime<Utc>, Own> {
    let store = Connection::open(home.path().join("diary.db")).expect("store");
    let mut statement = store
        .prepare("SELECT slot, at_ms, event FROM prompt_event WHERE kind = 'own' ORDER BY id")
        .expect("events");
    let rows = statement.query_map([], |row| {
        Ok((
            row.get::<_, String>(0)?,
            row.get::<_, i64>(1)?,
            row.get::<_, String>(2)?,
        ))
    });
    let mut all: BTreeMap<DateTime<Utc>, Own> = BTreeMap::new();
    for row in rows.expect("rows") {
        let (slot, at, event) = row.expect("row");
        let event: Value = serde_json::from_str(&event).expect("event");
        // A slot begins with its wall time; the zone of this home is UTC.
        let due = chrono::NaiveDateTime::parse_from_str(&slot[..19], "%Y-%m-%dT%H:%M:%S")
            .unwrap_or_else(|error| panic!("{slot}: {error}"));
        let own = all.entry(due.and_utc()).or_default();
        match event["what"].as_str() {
            Some("showing") => {
                own.showings += 1;
                own.begun = own.begun.or(DateTime::from_timestamp_millis(at));
            }
            Some("not_shown") => own.refused += 1,
            Some("shown") => own.shown += 1,
            _ => {}
        }
    }
    all
}

fn block() -> String {
    let every_day =
        ["mon", "tue", "wed", "thu", "fri", "sat", "sun"].map(|day| format!("{day} = \"legs\"\n"));
    format!(
        "name = \"Soak\"\nstarts = {}\n[[phase]]\nname = \"All\"\nweeks = 3\n[phase.week]\n{}[session.legs]\n\
         title = \"Legs\"\nrpe = 7\n[[session.legs.part]]\nkind = \"steady\"\nminutes = 20\n",
        (Utc::now() - chrono::Duration::days(2)).format("%Y-%m-%d"),
        every_day.concat()
    )
}

fn settings(winds_down: DateTime<Utc>, session: &str) -> String {
    let bedtime = winds_down + chrono::Duration::minutes(28);
    let wake = bedtime + chrono::Duration::hours(8);
    // One prompt comes once a minute at most, so there are many.
    let own = (0..60).step_by(EVERY).map(|second| {
        format!("[[prompts.own]]\nwhen = \"{second} * * * * *\"\ntext = \"Stand up, {second}\"\n")
    });
    let own: Vec<String> = own.collect();
    format!(
        "timezone = \"UTC\"\n[nights]\nbedtime = \"{}\"\nwake = \"{}\"\n[evening]\nminutes = 8\nsettle = 15\nstart = [\"true\"]\n\
         [prompts]\nmorning = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\nsession = \"{session}\"\n\
         {}[page]\non = false\n",
        bedtime.format("%H:%M:%S"),
        wake.format("%H:%M:%S"),
        own.concat()
    )
}

fn signal(service: &Service, signal: rustix::process::Signal) {
    let id = i32::try_from(service.id()).expect("id");
    let id = rustix::process::Pid::from_raw(id).expect("id");
    rustix::process::kill_process(id, signal).expect("signal");
}

/// A service that hangs would not answer its socket.
fn answers_at_once(home: &Home) {
    let begun = Instant::now();
    let status = home.status().expect("status");
    assert_eq!(status["running"], true, "{status}");
    let took = begun.elapsed();
    assert!(took < Duration::from_secs(5), "{took:?}");
}

/// Lets the own prompts come for so many seconds under a server, and says how many it was asked for.
fn under(bus: &Bus, home: &Home, script: Script, seconds: u64) -> usize {
    let server = Server::start(bus, script);
    std::thread::sleep(Duration::from_secs(seconds));
    answers_at_once(home);
    let count = server.shown().len();
    // Those on time, the one late one a minute that is let through, and what the night has.
    let most = usize::try_from(seconds).expect("small") / 2 + 5;
    assert!(
        count <= most,
        "{count} in {seconds} s: {:?}",
        server.shown()
    );
    count
}

#[test]
fn half_a_minute_of_everything_that_servers_do() {
    let home = Home::new();
    let (begun, winds_down) = (seconds_ahead(0), seconds_ahead(2));
    home.write("block.toml", &block());
    home.write("settings.toml", &settings(winds_down, "off"));
    let bus = Bus::start();
    let mut counts = Vec::new();

    let server = Server::start(&bus, Script::default());
    let service = Service::start(&home, &bus);
    let wind_down = eventually("the wind-down", || {
        let mut shown = server.shown().into_iter();
        shown.find(|shown| shown.summary == "Time to wind down")
    });
    server.press(wind_down.id, "not_tonight");
    let answered = wait_for_event(&home, "wind_down", "answered");
    assert_eq!(answered["answer"], "not_tonight");
    std::thread::sleep(Duration::from_secs(2));
    counts.push(server.shown().len());

    // Killed, nobody there for a while, and another one with its ids from 1.
    drop(server);
    std::thread::sleep(Duration::from_secs(3));
    answers_at_once(&home);
    counts.push(under(&bus, &home, Script::default(), 4));
    // One that takes every call and answers none.
    let hung = Script {
        hang: true,
        ..Script::default()
    };
    counts.push(under(&bus, &home, hung, 4));
    // One without buttons.
    let plain = Script {
        capabilities: vec!["body"],
        ..Script::default()
    };
    counts.push(under(&bus, &home, plain, 3));
    // One whose person answers within a millisecond; an edit brings a prompt that asks for an answer.
    let hasty = Script {
        press_at_once: Some("start"),
        ..Script::default()
    };
    let session = seconds_ahead(2).format("%H:%M:%S").to_string();
    home.write("settings.toml", &settings(winds_down, &session));
    counts.push(under(&bus, &home, hasty, 5));
    assert_eq!(
        wait_for_event(&home, "session", "answered")["answer"],
        "started"
    );

    // The service killed and stopped for a while, under a server that is well.
    let server = Server::start(&bus, Script::default());
    service.kill();
    let service = Service::start(&home, &bus);
    std::thread::sleep(Duration::from_secs(2));
    signal(&service, rustix::process::Signal::STOP);
    std::thread::sleep(Duration::from_secs(5));
    let before = server.shown().len();
    signal(&service, rustix::process::Signal::CONT);
    std::thread::sleep(Duration::from_secs(3));
    let after_pause = server.shown().len() - before;
    assert!(after_pause <= 4, "a burst of {after_pause} after a pause");
    counts.push(server.shown().len());
    answers_at_once(&home);

    let descriptors = std::fs::read_dir(format!("/proc/{}/fd", service.id()))
        .expect("descriptors")
        .count();
    assert!(descriptors < 40, "{descriptors} descriptors are open");
    let (code, _, err) = service.stop();
    assert_eq!(code, Some(0), "{err}");
    assert!(!err.contains("panicked"), "{err}");
    judge(&home, begun, &counts);
}

fn judge(home: &Home, begun: DateTime<Utc>, counts: &[usize]) {
    let store = Connection::open(home.path().join("diary.db")).expect("store");
    let whole: String = store
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .expect("check");
    assert_eq!(whole, "ok");
    let showings = |kind: &str| {
        events(home)
            .iter()
            .filter(|(of, event)| of == kind && event["what"] == "showing")
            .count()
    };
    assert_eq!((showings("wind_down"), showings("session")), (1, 1));
    let own = own_prompts(home);
    for (due, own) in &own {
        // One that no server took may be tried again.
        assert!(own.showings - own.refused <= 1, "{due}: {own:?}");
        let late = own.begun.map(|at| at - *due);
        assert!(late.is_none_or(|late| late >= chrono::Duration::zero()));
    }
    let shown = own.values().filter(|own| own.shown > 0).count();
    let punctual = own
        .iter()
        .filter(|(due, own)| {
            own.begun
                .is_some_and(|at| (at - **due).as_seconds_f64() < LATE)
        })
        .count();
    println!(
        "soak of {} s: {} own prompts begun, {punctual} of them within {LATE} s, {shown} confirmed on a screen; \
         notifications by server {counts:?}",
        (Utc::now() - begun).num_seconds(),
        own.len()
    );
    assert!(own.len() >= 8 && shown >= 6, "{own:?}");
    assert!(punctual * 10 >= own.len() * 8, "{own:?}");
}
