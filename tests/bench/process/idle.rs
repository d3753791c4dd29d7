//! What the service costs while nothing is due.

use std::path::Path;
use std::time::{Duration, Instant};

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::Service;

use super::figures::Times;

/// Seconds of watching; `EVENFALL_IDLE_SECONDS` changes it (600 for the published figures).
fn seconds() -> u64 {
    std::env::var("EVENFALL_IDLE_SECONDS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(60)
}

/// Prints the table.
pub fn run() {
    println!(
        "| service | RSS MiB | of it anonymous | threads | open files | switches in {} s | CPU ticks | ready after ms |",
        seconds()
    );
    println!("|---|---|---|---|---|---|---|---|");
    for (name, page, years) in [
        ("page off, empty", false, 0),
        ("page on, empty", true, 0),
        ("page on, ten years", true, 10),
    ] {
        watch(name, page, years);
    }
    println!(
        "\nBinary: {:.2} MiB",
        std::fs::metadata(env!("CARGO_BIN_EXE_evenfall")).map_or(0, |m| m.len()) as f64 / 1048576.0
    );
}

fn watch(name: &str, page: bool, years: i64) {
    let home = Home::new();
    home.write(
        "settings.toml",
        &format!("timezone = \"UTC\"\n[page]\non = {page}\n"),
    );
    if years > 0 {
        let file = home.path().join("mornings.csv");
        std::fs::write(&file, super::commands::mornings_csv(years)).expect("csv");
        let said = home.run("", &["import", file.to_str().expect("path")]);
        assert_eq!(said.code, 0, "{said:?}");
    }
    let bus = Bus::start();
    let _server = Server::start(&bus, Script::default());
    let mut ready = Times::default();
    for _ in 0..5 {
        let begun = Instant::now();
        let service = Service::spawn(&home, &bus);
        while std::os::unix::net::UnixStream::connect(home.path().join("service.sock")).is_err() {
            std::thread::sleep(Duration::from_micros(200));
            assert!(
                begun.elapsed() < Duration::from_secs(20),
                "the service does not come up"
            );
        }
        ready.add(begun.elapsed());
        drop(service);
    }
    let service = Service::start(&home, &bus);
    std::thread::sleep(Duration::from_secs(3));
    let before = Sample::of(service.id());
    std::thread::sleep(Duration::from_secs(seconds()));
    let after = Sample::of(service.id());
    println!(
        "| {name} | {:.1} | {:.1} | {} | {} | {} | {} | {:.1} |",
        after.rss_kb / 1024.0,
        after.anonymous_kb / 1024.0,
        after.threads,
        after.files,
        after.switches - before.switches,
        after.ticks - before.ticks,
        ready.quantile(0.5)
    );
}

#[derive(Default)]
struct Sample {
    rss_kb: f64,
    anonymous_kb: f64,
    threads: u64,
    files: usize,
    switches: u64,
    ticks: u64,
}

impl Sample {
    fn of(pid: u32) -> Self {
        let root = Path::new("/proc").join(pid.to_string());
        let mut sample = Self {
            files: std::fs::read_dir(root.join("fd")).map_or(0, Iterator::count),
            ..Self::default()
        };
        for task in std::fs::read_dir(root.join("task"))
            .expect("tasks")
            .flatten()
        {
            sample.threads += 1;
            let status = std::fs::read_to_string(task.path().join("status")).unwrap_or_default();
            sample.switches += field(&status, "voluntary_ctxt_switches:")
                + field(&status, "nonvoluntary_ctxt_switches:");
        }
        let status = std::fs::read_to_string(root.join("status")).unwrap_or_default();
        sample.rss_kb = field(&status, "VmRSS:") as f64;
        sample.anonymous_kb = field(&status, "RssAnon:") as f64;
        let stat = std::fs::read_to_string(root.join("stat")).unwrap_or_default();
        let after_name: Vec<&str> = stat
            .rsplit(')')
            .next()
            .unwrap_or_default()
            .split_whitespace()
            .collect();
        sample.ticks = [11, 12]
            .iter()
            .filter_map(|at| after_name.get(*at)?.parse::<u64>().ok())
            .sum();
        sample
    }
}

fn field(text: &str, name: &str) -> u64 {
    let line = text.lines().find(|line| line.starts_with(name));
    line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok())
        .unwrap_or(0)
}
