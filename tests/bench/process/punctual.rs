//! How late the call of `Notify` comes after the due instant.

use std::process::{Child, Command, Stdio};
use std::time::Duration;

use chrono::{DateTime, Utc};

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::Service;

use super::figures::{Times, head, installed};

/// How many prompts; `EVENFALL_PROMPTS` changes it.
fn prompts() -> i64 {
    std::env::var("EVENFALL_PROMPTS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(300)
}

/// Prints the tables: quiet, and with both cores busy.
pub fn run() {
    head("lateness of Notify");
    let quiet = lateness("evenfall, quiet", None);
    let busy: Vec<Child> = (0..2)
        .filter_map(|_| {
            Command::new("sh")
                .args(["-c", "while :; do :; done"])
                .stdout(Stdio::null())
                .spawn()
                .ok()
        })
        .collect();
    lateness("evenfall, both cores busy", Some(&quiet));
    for mut child in busy {
        let _ = child.kill();
        let _ = child.wait();
    }
    if prompts() >= 300 {
        at_job();
    }
    println!(
        "\ncron has whole-minute grain; systemd timers need a running user manager, which this table leaves out."
    );
}

/// One own prompt a second.
fn lateness(name: &str, beside: Option<&Times>) -> Times {
    let home = Home::new();
    let begin = Utc::now() + chrono::Duration::seconds(8);
    let mut settings = String::from(
        "timezone = \"UTC\"\n[prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\n[page]\non = false\n",
    );
    for second in 0..prompts() {
        let due = begin + chrono::Duration::seconds(second);
        settings.push_str(&format!(
            "[[prompts.own]]\nwhen = \"{}\"\ntext = \"{}\"\n",
            due.format("%S %M %H %d %m *"),
            due.timestamp()
        ));
    }
    home.write("settings.toml", &settings);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    std::thread::sleep(Duration::from_secs(
        u64::try_from(prompts()).unwrap_or(0) + 10,
    ));
    let mut times = Times::default();
    for shown in server.shown() {
        let Some(due) = shown
            .body
            .parse()
            .ok()
            .and_then(|at| DateTime::<Utc>::from_timestamp(at, 0))
        else {
            continue;
        };
        times.add_ms((shown.at - due).num_microseconds().unwrap_or(0) as f64 / 1000.0);
    }
    times.row(name, beside);
    times
}

/// Debian's `at`, three jobs: whole minutes, so few are enough to see the grain.
fn at_job() {
    if !installed("at") || !installed("atd") {
        println!("| at | not installed | | | | |");
        return;
    }
    let folder = tempfile::tempdir().expect("folder");
    let daemon = Command::new("atd").arg("-f").spawn();
    let mut times = Times::default();
    for _ in 0..3 {
        let due = Utc::now() + chrono::Duration::seconds(61);
        let minute = due.timestamp() / 60 * 60;
        let file = folder.path().join(minute.to_string());
        let job = format!(
            "echo 'date +%s.%N > {}' | at -t {}",
            file.display(),
            due.format("%Y%m%d%H%M")
        );
        let _ = Command::new("sh")
            .env("TZ", "UTC")
            .args(["-c", &job])
            .output();
        std::thread::sleep(Duration::from_secs(62));
        if let Some(at) = std::fs::read_to_string(&file)
            .ok()
            .and_then(|text| text.trim().parse::<f64>().ok())
        {
            times.add_ms((at - minute as f64) * 1000.0);
        }
    }
    times.row("at (whole minutes)", None);
    if let Ok(mut daemon) = daemon {
        let _ = daemon.kill();
        let _ = daemon.wait();
    }
}
