//! What the service costs while nothing is due: every kind of it at the same time, and cron beside them.

use std::os::unix::net::UnixDatagram;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::support::bus::{Bus, Script, Server};
use crate::support::{Home, program};

use super::figures::{Times, head};
use super::peers::{Ended, installed};
use super::years;

/// Seconds of watching; `EVENFALL_IDLE_SECONDS` changes it (600 for the published figures).
fn seconds() -> u64 {
    super::setting("EVENFALL_IDLE_SECONDS", 60)
}

/// Settled before it is watched for so long: longer than an unused worker thread of the runtime lasts (10 s).
const SETTLES: Duration = Duration::from_secs(15);

/// Starts of which the median counts.
const STARTS: usize = 20;

/// Name, page on, years of records.
const KINDS: [(&str, bool, i64); 4] = [
    ("page off, empty", false, 0),
    ("page off, ten years", false, 10),
    ("page on, empty", true, 0),
    ("page on, ten years", true, 10),
];

/// Prints the tables.
pub fn run() {
    let bus = Bus::start();
    let _server = Server::start(&bus, Script::default());
    let homes: Vec<Home> = KINDS
        .iter()
        .map(|(_, page, years)| years::home(*years, &format!("[page]\non = {page}\n")))
        .collect();
    head("start to ready (READY=1 to the service manager)");
    for ((name, ..), home) in KINDS.iter().zip(&homes) {
        let mut times = Times::default();
        for _ in 0..STARTS {
            times.add(ready(home, &bus).1);
        }
        times.row(name, None);
    }
    let mut watched: Vec<(String, Ended)> = KINDS
        .iter()
        .zip(&homes)
        .map(|((name, ..), home)| ((*name).to_owned(), ready(home, &bus).0))
        .collect();
    if installed("cron") {
        let cron = Command::new("cron").arg("-f").stderr(Stdio::null()).spawn();
        watched.extend(
            cron.ok()
                .map(|child| ("cron, one job a day".to_owned(), Ended(child))),
        );
    }
    std::thread::sleep(SETTLES);
    let sample = |(_, ended): &(String, Ended)| Sample::of(ended.0.id());
    let before: Vec<Sample> = watched.iter().map(sample).collect();
    std::thread::sleep(Duration::from_secs(seconds()));
    println!(
        "\n| idle for {} s | resident MiB | of it anonymous | of it file | own share (PSS) | threads | open files | switches | CPU ticks |",
        seconds()
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    for (at, before) in watched.iter().zip(before) {
        sample(at).row(&at.0, &before);
    }
    let binary = std::fs::metadata(program()).map_or(0, |m| m.len());
    println!("\nBinary: {:.2} MB (10^6 bytes).", binary as f64 / 1e6);
}

/// A service that has said that it is ready, and how long that took from before it was started.
fn ready(home: &Home, bus: &Bus) -> (Ended, Duration) {
    let path = home.path().join("ready.sock");
    let _ = std::fs::remove_file(&path);
    let socket = UnixDatagram::bind(&path).expect("a socket");
    socket
        .set_read_timeout(Some(Duration::from_secs(20)))
        .expect("a timeout");
    let begun = Instant::now();
    let child = home
        .command("", &["daemon"])
        .env("DBUS_SESSION_BUS_ADDRESS", &bus.address)
        .env("NOTIFY_SOCKET", &path)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the service starts");
    let mut said = [0; 64];
    let count = socket
        .recv(&mut said)
        .expect("the service says that it is ready");
    let took = begun.elapsed();
    assert!(said[..count].starts_with(b"READY=1"));
    (Ended(child), took)
}

#[derive(Default)]
struct Sample {
    resident: f64,
    anonymous: f64,
    file: f64,
    share: f64,
    threads: u64,
    files: usize,
    switches: u64,
    ticks: u64,
}

impl Sample {
    fn of(pid: u32) -> Self {
        let root = Path::new("/proc").join(pid.to_string());
        let read = |name: &str| std::fs::read_to_string(root.join(name)).unwrap_or_default();
        let (status, rollup, stat) = (read("status"), read("smaps_rollup"), read("stat"));
        let mib = |text: &str, name: &str| field(text, name) as f64 / 1024.0;
        let mut sample = Self {
            resident: mib(&status, "VmRSS:"),
            anonymous: mib(&status, "RssAnon:"),
            file: mib(&status, "RssFile:"),
            share: mib(&rollup, "Pss:"),
            files: std::fs::read_dir(root.join("fd")).map_or(0, Iterator::count),
            ..Self::default()
        };
        let tasks = std::fs::read_dir(root.join("task")).expect("tasks");
        for task in tasks.flatten() {
            sample.threads += 1;
            let status = std::fs::read_to_string(task.path().join("status")).unwrap_or_default();
            sample.switches += field(&status, "voluntary_ctxt_switches:")
                + field(&status, "nonvoluntary_ctxt_switches:");
        }
        // The fields after the name in brackets: the 12th and 13th are user and system ticks (proc(5)).
        let after_name = stat.rsplit(')').next().unwrap_or_default();
        sample.ticks = after_name
            .split_whitespace()
            .skip(11)
            .take(2)
            .filter_map(|ticks| ticks.parse::<u64>().ok())
            .sum();
        sample
    }

    fn row(&self, name: &str, before: &Self) {
        println!(
            "| {name} | {:.1} | {:.1} | {:.1} | {:.1} | {} | {} | {} | {} |",
            self.resident,
            self.anonymous,
            self.file,
            self.share,
            self.threads,
            self.files,
            self.switches.saturating_sub(before.switches),
            self.ticks.saturating_sub(before.ticks),
        );
    }
}

fn field(text: &str, name: &str) -> u64 {
    let line = text.lines().find(|line| line.starts_with(name));
    line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok())
        .unwrap_or(0)
}
