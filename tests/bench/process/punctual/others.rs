//! The schedulers beside: each runs a job that notes the time and calls notify-send.

use std::collections::BTreeMap;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use chrono::{DateTime, Utc};

use crate::support::bus::{Bus, Script, Server};

use super::super::figures::Times;
use super::super::peers::{self, Ended, installed};
use super::milliseconds;

/// Seconds between the jobs of the shell and of tokio, which come half a second after the whole ones.
const STEP_S: u64 = 10;

/// Everything that runs beside.
pub struct Others {
    folder: tempfile::TempDir,
    server: Server,
    _bus: Bus,
    tokio: std::thread::JoinHandle<()>,
    _running: Vec<Ended>,
    crontab: Option<Crontab>,
    missing: Vec<&'static str>,
}

impl Others {
    /// Starts all that are installed, for a span.
    pub fn start(span: Duration) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let bus = Bus::start();
        let server = Server::start(&bus, Script::default());
        let job = job(folder.path(), &bus);
        let mut running = Vec::new();
        let mut missing = Vec::new();
        let mut crontab = None;
        if installed("cron") && installed("notify-send") {
            crontab = Some(Crontab::with(&format!(
                "* * * * * {} cron 60 0\n",
                job.display()
            )));
            running.extend(child(Command::new("cron").arg("-f")));
        } else {
            missing.push("cron and notify-send");
        }
        if installed("atd") && installed("notify-send") {
            at_jobs(&job, span);
            running.extend(child(Command::new("atd").arg("-f")));
        } else {
            missing.push("at and notify-send");
        }
        running.extend(child(&mut shell_loop(&job, span)));
        let mut systemd = Command::new(peers::folder().join("peers/systemd"));
        systemd
            .arg(span.as_secs().saturating_sub(8).to_string())
            .arg(folder.path());
        running.extend(child(&mut systemd));
        let address = bus.address.clone();
        let tokio = std::thread::spawn(move || tokio_calls(&address, span));
        Self {
            folder,
            server,
            _bus: bus,
            tokio,
            _running: running,
            crontab,
            missing,
        }
    }

    /// Prints their rows beside evenfall's.
    pub fn rows(self, evenfall: &Times) {
        drop(self.crontab);
        for name in self.missing {
            println!("| {name} | not installed | | | | |");
        }
        let _ = self.tokio.join();
        let mut called: BTreeMap<String, Times> = BTreeMap::new();
        for shown in self.server.shown() {
            // The body is the due instant in milliseconds.
            let due = shown
                .body
                .parse()
                .ok()
                .and_then(DateTime::<Utc>::from_timestamp_millis);
            if let Some(due) = due {
                called
                    .entry(shown.summary)
                    .or_default()
                    .add_ms(milliseconds(shown.at - due));
            }
        }
        if let Some(times) = called.get("tokio") {
            times.row("tokio sleep_until: Notify called", Some(evenfall));
        }
        for (name, grain_s, offset_s) in [
            ("shell", STEP_S as f64, 0.5),
            ("at", 60.0, 0.0),
            ("cron", 60.0, 0.0),
            ("systemd-1us", 10.0, 0.0),
            ("systemd-default", 60.0, 0.0),
        ] {
            let noted = noted(&self.folder.path().join(name), grain_s, offset_s);
            if noted.count() == 0 {
                println!("| {name} | did not run here | | | | |");
                continue;
            }
            noted.row(&format!("{name}: job runs"), Some(evenfall));
            if let Some(called) = called.get(name) {
                called.row(
                    &format!("{name}: Notify called (notify-send)"),
                    Some(evenfall),
                );
            }
        }
        let memory = std::fs::read_to_string(self.folder.path().join("systemd-memory"));
        for line in memory.unwrap_or_default().lines() {
            println!(
                "| systemd user manager: resident and anonymous KiB | {} | | | | |",
                line.trim()
            );
        }
    }
}

fn child(command: &mut Command) -> Option<Ended> {
    let command = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command.spawn().ok().map(Ended)
}

/// The job: notes the time, then shows what a person would see. Arguments: name, grain, offset in seconds.
fn job(folder: &Path, bus: &Bus) -> PathBuf {
    let path = folder.join("job");
    let script = format!(
        "#!/bin/sh\nnow=$(date +%s.%N)\necho $now >> {}/$1\n\
         export DBUS_SESSION_BUS_ADDRESS='{}'\n\
         exec notify-send \"$1\" \"$(echo $now $2 $3 | awk '{{ printf \"%.0f\", (int(($1 - $3) / $2) * $2 + $3) * 1000 }}')\"\n",
        folder.display(),
        bus.address
    );
    std::fs::write(&path, script).expect("job");
    let all = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(&path, all.clone()).expect("mode");
    std::fs::set_permissions(folder, all).expect("mode");
    path
}

/// How late the noted instants are after a grid.
fn noted(path: &Path, grain_s: f64, offset_s: f64) -> Times {
    let mut times = Times::default();
    let text = std::fs::read_to_string(path).unwrap_or_default();
    for at in text
        .lines()
        .filter_map(|line| line.trim().parse::<f64>().ok())
    {
        times.add_ms((at - offset_s).rem_euclid(grain_s) * 1000.0);
    }
    times
}

/// One job for each whole minute of the span.
fn at_jobs(job: &Path, span: Duration) {
    for minute in 1..=span.as_secs() / 60 {
        let due = Utc::now() + chrono::Duration::minutes(minute as i64);
        let line = format!(
            "echo '{} at 60 0' | at -t {}",
            job.display(),
            due.format("%Y%m%d%H%M")
        );
        let _ = Command::new("sh")
            .env("TZ", "UTC")
            .args(["-c", &line])
            .output();
    }
}

/// A loop that sleeps up to the next due instant, as exactly as a shell can.
fn shell_loop(job: &Path, span: Duration) -> Command {
    let script = format!(
        "for i in $(seq {}); do sleep $(date +%s.%N | awk '{{ t = $1 - 0.5; printf \"%.9f\", {STEP_S} - (t - int(t / {STEP_S}) * {STEP_S}) }}'); {} shell {STEP_S} 0.5; done",
        span.as_secs() / STEP_S,
        job.display()
    );
    let mut command = Command::new("sh");
    command.args(["-c", &script]);
    command
}

/// tokio's timer with the same call to the bus, without a process to be started.
fn tokio_calls(address: &str, span: Duration) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("runtime");
    let (begun, begun_wall) = (Instant::now(), Utc::now());
    let first = chrono::Duration::milliseconds(500)
        - chrono::Duration::nanoseconds(i64::from(begun_wall.timestamp_subsec_nanos()));
    runtime.block_on(async {
        let connection = zbus::connection::Builder::address(address)
            .build()
            .await
            .expect("bus");
        for round in 1..span.as_secs() / STEP_S {
            let after = first + chrono::Duration::seconds((round * STEP_S) as i64);
            tokio::time::sleep_until((begun + after.to_std().unwrap_or_default()).into()).await;
            let due = (begun_wall + after).timestamp_millis().to_string();
            let hints: BTreeMap<&str, zbus::Variant<'_>> = BTreeMap::new();
            let arguments = (
                "",
                0_u32,
                "",
                "tokio",
                due.as_str(),
                Vec::<&str>::new(),
                hints,
                -1_i32,
            );
            let name = "org.freedesktop.Notifications";
            let path = "/org/freedesktop/Notifications";
            let _ = connection
                .call_method(Some(name), path, Some(name), "Notify", &arguments)
                .await;
        }
    });
}

/// The person's crontab, put back when dropped.
struct Crontab {
    before: Vec<u8>,
}

impl Crontab {
    fn with(line: &str) -> Self {
        let before = Command::new("crontab")
            .arg("-l")
            .output()
            .map_or(Vec::new(), |said| said.stdout);
        let mut text = before.clone();
        text.extend(line.as_bytes());
        install(&text);
        Self { before }
    }
}

impl Drop for Crontab {
    fn drop(&mut self) {
        install(&self.before);
    }
}

fn install(text: &[u8]) {
    use std::io::Write;
    let child = Command::new("crontab")
        .arg("-")
        .stdin(Stdio::piped())
        .spawn();
    let Ok(mut child) = child else { return };
    if let Some(mut input) = child.stdin.take() {
        let _ = input.write_all(text);
    }
    let _ = child.wait();
}
