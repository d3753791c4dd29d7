//! Files that are none, or too long, or that command the terminal: each is named and takes no time.

use std::process::Command;
use std::time::{Duration, Instant};

use crate::support::{Home, Said};

const AT: &str = "2026-01-06T21:00";

fn at_once(home: &Home, arguments: &[&str]) -> Said {
    let begun = Instant::now();
    let said = home.run(AT, arguments);
    assert!(begun.elapsed() < Duration::from_secs(20), "{arguments:?}");
    said
}

#[test]
fn what_is_no_ordinary_file_is_not_waited_for() {
    let pipe = Home::new();
    let made = Command::new("mkfifo")
        .arg(pipe.path().join("settings.toml"))
        .status();
    assert!(made.expect("mkfifo").success());
    let endless = Home::new();
    std::os::unix::fs::symlink("/dev/zero", endless.path().join("block.toml")).expect("link");
    for (home, name) in [(&pipe, "settings.toml:1:1:"), (&endless, "block.toml:1:1:")] {
        let said = at_once(home, &["tonight"]);
        assert_eq!(said.code, 2, "{said:?}");
        assert!(said.err.contains(name), "{said:?}");
        assert!(said.err.contains("no ordinary file"), "{said:?}");
    }
}

#[test]
fn what_is_too_long_is_not_read_to_its_end() {
    let home = Home::new();
    let long = |octets: usize| "#".repeat(octets);
    home.write("settings.toml", &long(2 << 20));
    let said = at_once(&home, &["check"]);
    assert_eq!(said.code, 2, "{said:?}");
    assert!(said.err.contains("longer than 1024 kB"), "{said:?}");
    home.write("settings.toml", "timezone = \"UTC\"\n");
    for (name, octets) in [("x.csv", 9 << 20), ("x.ics", 11_000_000)] {
        home.write(name, &long(octets));
        let file = home.path().join(name);
        let said = at_once(&home, &["import", file.to_str().expect("path")]);
        assert_eq!(said.code, 2, "{name}: {}", said.err.len());
        assert!(said.err.contains("limit"), "{}", said.err);
    }
}

#[test]
fn a_routine_file_that_cannot_be_read_costs_that_file_alone() {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n");
    home.write("routines/patterns/own.toml", "");
    let file = home.path().join("routines/patterns/own.toml");
    std::fs::write(&file, b"# mine\nname = \"\xff\"\n").expect("file");
    let said = at_once(&home, &["tonight"]);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.err.contains("own.toml:2:9:"), "{said:?}");
    assert_eq!(at_once(&home, &["check"]).code, 2);
}

#[test]
fn nothing_of_a_file_commands_the_terminal() {
    let home = Home::new();
    home.write("settings.toml", "timezone = \"UTC\"\n\"\\u001b[2J\" = 1\n");
    let said = at_once(&home, &["check"]);
    assert!(said.code == 2 && !said.err.contains('\x1b'), "{said:?}");
    home.write("settings.toml", "timezone = \"UTC\"\n");
    home.write(
        "x.csv",
        "night,sleep_quality,note\n2026-01-05,3,\x1b[2Jnote\n",
    );
    home.write(
        "x.ics",
        "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTART:20260110T183000Z\r\n\
         SUMMARY:\x1b[2Jtitle\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
    );
    let path = |name: &str| home.path().join(name).to_str().expect("path").to_owned();
    let said = at_once(&home, &["import", &path("x.csv")]);
    assert_eq!(said.code, 0, "{said:?}");
    let shown = at_once(&home, &["morning", "--show", "2026-01-05"]);
    assert!(shown.out.contains("[2Jnote") && !shown.out.contains('\x1b'));
    let shown = at_once(&home, &["import", &path("x.ics"), "--dry-run"]);
    assert!(
        shown.out.contains("[2Jtitle") && !shown.out.contains('\x1b'),
        "{shown:?}"
    );
}
