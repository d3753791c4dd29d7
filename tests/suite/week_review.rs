//! The prompt of the week, on a real bus: at its time it says the week's sentences, and Start opens the
//! look back.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;

use chrono::{DateTime, Duration, Utc};

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::eventually;
use crate::support::service::{Service, seconds_ahead, wait_for_event};

/// Only the look back is prompted, at an instant of the coming minute, as a rule of cron says it.
fn settings(due: DateTime<Utc>, more: &str) -> String {
    format!(
        "timezone = \"UTC\"\n[evening]\nnights = \"training\"\n[prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\n\
         week_review = \"{}\"\n{more}",
        due.format("%S %M %H * * *")
    )
}

/// Nothing is planned, so that no wind-down gets in between; six nights are recorded.
fn home(due: DateTime<Utc>, more: &str) -> Home {
    let home = Home::new();
    home.write("settings.toml", &settings(due, more));
    let starts = (Utc::now() + Duration::days(60)).date_naive();
    home.write(
        "block.toml",
        &format!(
            "name = \"Later\"\nstarts = {starts}\n[[phase]]\nname = \"One\"\nweeks = 1\n[phase.week]\nmon = \"legs\"\n\
             [session.legs]\ntitle = \"Legs\"\nrpe = 7\nminutes = 30\nregions = {{ calves = 2 }}\n"
        ),
    );
    for ago in 1..=6 {
        let night = (Utc::now() - Duration::days(ago)).date_naive().to_string();
        let words = [
            "morning",
            "--night",
            &night,
            "--lights-out",
            "22:30",
            "--asleep-after",
            "15",
            "--wakings",
            "0",
            "--awake-for",
            "0",
            "--woke",
            "06:30",
        ];
        home.done("", &words);
    }
    home
}

/// The sentences that the notification has to carry: the first two of the week.
fn sentences(home: &Home) -> String {
    let review = home.json("", &["review"]);
    let first: Vec<&str> = review["sentences"]
        .as_array()
        .expect("sentences")
        .iter()
        .filter_map(|sentence| sentence.as_str())
        .take(2)
        .collect();
    assert!(first[0].contains("you slept 7 h 45 min"), "{first:?}");
    first.join(" ")
}

/// What a browser gets for an address.
fn asked_for(address: &str, cookie: &str) -> String {
    let rest = address.strip_prefix("http://").expect("address");
    let (host, path) = rest.split_once('/').expect("path");
    let mut stream = TcpStream::connect(host).expect("the page answers");
    let request = format!(
        "GET /{path} HTTP/1.1\r\nhost: {host}\r\ncookie: {cookie}\r\nconnection: close\r\n\r\n"
    );
    stream.write_all(request.as_bytes()).expect("asked");
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).expect("answered");
    String::from_utf8_lossy(&answer).into_owned()
}

#[test]
fn at_its_time_it_says_the_week_and_look_tells_the_command() {
    let due = seconds_ahead(4);
    let home = home(due, "[page]\non = false\n");
    let expected = sentences(&home);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let shown = server.wait_for(1);
    assert!(Utc::now() >= due, "not before its time");
    assert_eq!(shown.summary, "Your week");
    assert!(
        shown.body.ends_with(&expected),
        "{} / {expected}",
        shown.body
    );
    assert_eq!(shown.actions, ["start", "Look"]);
    server.press(shown.id, "start");
    assert_eq!(
        wait_for_event(&home, "week_review", "answered")["answer"],
        "started"
    );
    let told = server.wait_for(2);
    assert!(told.body.contains("evenfall review"), "{}", told.body);
}

#[test]
fn look_opens_the_weeks_of_the_page() {
    let due = seconds_ahead(4);
    let home = home(due, "");
    let expected = sentences(&home);
    // Stands for the browser and notes the address.
    let tools = home.path().join("tools");
    std::fs::create_dir(&tools).expect("folder");
    let opener = tools.join("xdg-open");
    std::fs::write(
        &opener,
        "#!/bin/sh\nprintf %s \"$1\" > \"$0.new\" && mv \"$0.new\" \"$0.address\"\n",
    )
    .expect("script");
    std::fs::set_permissions(&opener, PermissionsExt::from_mode(0o755)).expect("executable");
    let path = format!(
        "{}:{}",
        tools.display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start_with(&home, &bus, &[("PATH", &path)]);
    let shown = server.wait_for(1);
    assert!(shown.body.ends_with(&expected), "{}", shown.body);
    server.press(shown.id, "start");
    let address = eventually("the page to be opened", || {
        std::fs::read_to_string(tools.join("xdg-open.address")).ok()
    });
    assert!(address.contains("weeks"), "{address}");
    let entered = asked_for(&address, "");
    let header = |name: &str| {
        let line = entered
            .lines()
            .find(|line| line.to_ascii_lowercase().starts_with(name));
        let value = line.and_then(|line| line.split([' ', ';']).nth(1));
        value
            .unwrap_or_else(|| panic!("no {name} in {entered}"))
            .to_owned()
    };
    assert_eq!(header("location:"), "/weeks");
    let origin = &address[..address.find("/enter").expect("path")];
    let page = asked_for(&format!("{origin}/weeks"), &header("set-cookie:"));
    assert!(
        page.contains("Looking back") && page.contains("you slept 7 h 45 min"),
        "{page}"
    );
}
