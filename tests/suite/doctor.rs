//! `doctor`: each thing that would stop prompts is found, with the command that mends it.

use serde_json::Value;

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, seconds_ahead, wind_down_at};

/// Exit status, and the finding about something.
fn asked(home: &Home, bus: &Bus, about: &str, variables: &[(&str, &str)]) -> (i32, Value) {
    let mut command = home.command("", &["--json", "doctor"]);
    command.env("DBUS_SESSION_BUS_ADDRESS", &bus.address);
    for (name, value) in variables {
        command.env(name, value);
    }
    let output = command.output().expect("doctor");
    let said: Value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&output.stdout)));
    let findings = said["findings"].as_array().expect("findings");
    let found = findings
        .iter()
        .find(|finding| finding["about"] == about)
        .cloned();
    (
        output.status.code().unwrap_or(-1),
        found.unwrap_or(Value::Null),
    )
}

fn in_order() -> (Home, Bus, Server, Service) {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(3600), ""));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let service = Service::start(&home, &bus);
    (home, bus, server, service)
}

fn stops(finding: &Value) -> bool {
    finding["stops"] == true
        && finding["remedy"]
            .as_str()
            .is_some_and(|remedy| !remedy.is_empty())
}

#[test]
fn where_all_is_well_it_says_so_and_succeeds() {
    let (home, bus, _server, _service) = in_order();
    let (code, service) = asked(&home, &bus, "Service", &[]);
    assert_eq!(
        (code, &service["stops"]),
        (0, &Value::Bool(false)),
        "{service}"
    );
}

#[test]
fn each_hindrance_is_found() {
    let (home, bus, server, service) = in_order();
    drop(server);
    let (code, finding) = asked(&home, &bus, "Notifications", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    let _server = Server::start(&bus, Script::default());
    drop(service);
    let (code, finding) = asked(&home, &bus, "Service", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    let remedy = finding["remedy"].as_str().expect("remedy");
    let home = home.path().display();
    assert!(
        remedy.starts_with(&format!("evenfall --home {home} daemon")),
        "{remedy}"
    );
}

#[test]
fn a_desktop_out_of_reach_or_in_do_not_disturb_is_found() {
    let (home, bus, server, _service) = in_order();
    let nowhere = [("DBUS_SESSION_BUS_ADDRESS", "unix:path=/nonexistent/bus")];
    let (code, finding) = asked(&home, &bus, "Notifications", &nowhere);
    assert!(code == 1 && stops(&finding), "{finding}");
    assert!(finding["found"].to_string().contains("cannot be reached"));
    drop(server);
    let quiet = Script {
        quiet: true,
        ..Script::default()
    };
    let _server = Server::start(&bus, quiet);
    let (code, finding) = asked(&home, &bus, "Notifications", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    assert!(finding["found"].to_string().contains("do not disturb"));
}

/// What the doctor says in the XDG folders of a person, with a systemctl that says something of the unit.
fn without_home_option(systemd_says: &str, more: &[(&str, &str)], about: &str) -> Value {
    let folder = tempfile::tempdir().expect("folder");
    let below = |name: &str| folder.path().join(name);
    std::fs::create_dir_all(below("bin")).expect("folder");
    std::fs::create_dir_all(below("run")).expect("folder");
    let script = format!("#!/bin/sh\necho {systemd_says}\n[ {systemd_says} = enabled ]\n");
    std::fs::write(below("bin/systemctl"), script).expect("script");
    let executable = std::os::unix::fs::PermissionsExt::from_mode(0o755);
    std::fs::set_permissions(below("bin/systemctl"), executable).expect("mode");
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_evenfall"));
    command
        .args(["--json", "doctor"])
        .env_clear()
        .env("PATH", format!("{}:/usr/bin:/bin", below("bin").display()))
        .env("HOME", folder.path())
        .env("XDG_RUNTIME_DIR", below("run"))
        .env("XDG_CONFIG_DIRS", below("etc"));
    for (name, value) in more {
        if let Some(file) = name.strip_prefix("file ") {
            std::fs::create_dir_all(below(file).parent().expect("parent")).expect("folder");
            std::fs::write(below(file), value).expect("file");
        } else {
            command.env(name, value);
        }
    }
    let output = command.output().expect("doctor");
    let said: Value = serde_json::from_slice(&output.stdout).expect("json");
    let findings = said["findings"].as_array().expect("findings").iter();
    let mut found = findings.filter(|finding| finding["about"] == about);
    found.next().cloned().expect("the finding")
}

#[test]
fn a_unit_that_is_not_enabled_is_found() {
    let about = "Start at login";
    for (says, remedy) in [
        ("disabled", "systemctl --user enable --now evenfall.service"),
        (
            "masked",
            "systemctl --user unmask evenfall.service && systemctl --user enable --now evenfall.service",
        ),
    ] {
        let finding = without_home_option(says, &[], about);
        assert!(stops(&finding), "{finding}");
        assert_eq!(finding["remedy"], remedy);
    }
    assert_eq!(
        without_home_option("enabled", &[], about)["remedy"],
        Value::Null
    );
    let finding = without_home_option("not-found", &[], about);
    let remedy = finding["remedy"].as_str().expect("remedy");
    assert!(remedy.contains(".config/systemd/user"), "{remedy}");
    // A desktop without systemd has an entry; one of the person's own may switch it off.
    let system = ("file etc/autostart/evenfall.desktop", "[Desktop Entry]\n");
    let finding = without_home_option("not-found", &[system], about);
    assert_eq!(finding["remedy"], Value::Null, "{finding}");
    let own = (
        "file .config/autostart/evenfall.desktop",
        "[Desktop Entry]\nHidden=true\n",
    );
    let finding = without_home_option("not-found", &[system, own], about);
    assert!(finding["remedy"].is_string(), "{finding}");
}

#[test]
fn a_runtime_folder_that_is_not_there_is_found() {
    let about = "Runtime folder";
    assert_eq!(
        without_home_option("enabled", &[], about)["remedy"],
        Value::Null
    );
    let gone = [("XDG_RUNTIME_DIR", "/proc/nowhere")];
    let finding = without_home_option("enabled", &gone, about);
    assert!(stops(&finding), "{finding}");
    let unset = [("XDG_RUNTIME_DIR", "")];
    let finding = without_home_option("enabled", &unset, about);
    assert!(finding["remedy"].is_string(), "{finding}");
}

#[test]
fn broken_and_unreadable_files_are_found() {
    let (home, bus, _server, _service) = in_order();
    home.write(
        "settings.toml",
        "timezone = \"UTC\"\n[nights]\nbedtme = \"22:30\"\n",
    );
    let (code, finding) = asked(&home, &bus, "Files", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    assert!(
        finding["found"]
            .as_str()
            .expect("found")
            .contains("settings.toml:3:1:"),
        "{finding}"
    );
    std::fs::remove_file(home.path().join("settings.toml")).expect("removed");
    std::fs::create_dir(home.path().join("settings.toml")).expect("folder in its place");
    let (code, finding) = asked(&home, &bus, "Files", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    assert!(
        finding["remedy"]
            .as_str()
            .expect("remedy")
            .starts_with("make them readable: chmod")
    );
}

#[test]
fn a_damaged_diary_is_found_with_the_copy_that_mends_it() {
    let (home, bus, _server, service) = in_order();
    assert_eq!(
        home.run(
            "2026-01-06T09:00",
            &["morning", "--night", "2026-01-05", "--sleep", "3"]
        )
        .code,
        0
    );
    drop(service);
    let diary = home.path().join("diary.db");
    let store = evenfall::shell::store::Store::open(&diary).expect("open");
    store
        .keep_copy("2026-01-06".parse().expect("date"))
        .expect("copy");
    drop(store);
    for name in ["diary.db-wal", "diary.db-shm"] {
        let _ = std::fs::remove_file(home.path().join(name));
    }
    std::fs::write(&diary, vec![0xa5; 20_000]).expect("damage");
    let (code, finding) = asked(&home, &bus, "Diary", &[]);
    assert!(code == 1 && stops(&finding), "{finding}");
    // What it says to run mends it, and keeps what was there.
    let remedy = finding["remedy"].as_str().expect("remedy");
    let command = remedy
        .strip_prefix("if it is damaged: ")
        .expect("a command");
    let ran = std::process::Command::new("sh")
        .args(["-c", command])
        .status();
    assert!(ran.expect("sh").success(), "{command}");
    let (_, finding) = asked(&home, &bus, "Diary", &[]);
    assert_eq!(finding["stops"], false, "{finding}");
    assert!(home.path().join("diary.db.aside").exists());
}

#[test]
fn zone_and_clock_are_looked_at() {
    let (home, bus, _server, _service) = in_order();
    home.write(
        "settings.toml",
        "timezone = \"system\"\n[page]\non = false\n",
    );
    let (code, finding) = asked(&home, &bus, "Zone", &[("TZ", "Middle/Earth")]);
    assert!(code == 1 && stops(&finding), "{finding}");
    let (code, finding) = asked(&home, &bus, "Travel", &[("TZ", "Europe/Oslo")]);
    assert_eq!(
        (code, &finding["stops"]),
        (0, &Value::Bool(false)),
        "{finding}"
    );
    home.write(
        "settings.toml",
        "timezone = \"Asia/Tokyo\"\n[page]\non = false\n",
    );
    // The machine's own zone is no hindrance where the settings name one.
    let (code, finding) = asked(&home, &bus, "Zone", &[("TZ", "Middle/Earth")]);
    assert_eq!(
        (code, &finding["stops"]),
        (0, &Value::Bool(false)),
        "{finding}"
    );
    let (_, finding) = asked(&home, &bus, "Another zone", &[("TZ", "Europe/Oslo")]);
    assert_eq!(finding["stops"], false, "{finding}");
    let said = home.run("1970-01-02T00:00", &["--json", "doctor"]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("the year is 1970"), "{}", said.out);
}
