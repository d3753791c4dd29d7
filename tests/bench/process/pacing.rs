//! How late each cue of a guided routine comes, and whether it drifts: all ways at the same time.

use std::fs::File;
use std::io::{Read, Write};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

use crate::support::Home;

use super::figures::Times;

/// Seconds between the peers' cues: a breath of the shipped pattern has two cues in 10 s.
const STEP_S: u64 = 5;

/// Seconds of pacing; `EVENFALL_PACING_SECONDS` changes it (600 for the published figures).
fn seconds() -> u64 {
    super::setting("EVENFALL_PACING_SECONDS", 60)
}

/// Prints the table.
pub fn run() {
    let home = Home::new();
    home.write(
        "routines/evenings/breathing.toml",
        &format!(
            "name = \"Breathing\"\nabout = \"Breathing alone.\"\npattern = \"longer_out_4_6\"\nbreathe = {}\n",
            seconds().max(180)
        ),
    );
    println!(
        "A cue every 4 or 6 s, the peers' every {STEP_S} s, {} s in all, at the same time.\n",
        seconds().max(180)
    );
    println!(
        "| pacing | cues | p50 ms | p99 ms | max ms | at the end ms |\n|---|---|---|---|---|---|"
    );
    std::thread::scope(|scope| {
        let told = scope.spawn(|| plain(&home));
        let drawn = scope.spawn(|| terminal(&home));
        let shell = scope.spawn(shell_sleep);
        let interval = scope.spawn(interval);
        for (name, said) in [("plain lines", told), ("terminal", drawn)] {
            let said = said.join().expect("a guide");
            println!("| evenfall follow, {name} | {} |", in_cells(&said));
        }
        for (name, times) in [("sleep in a shell", shell), ("tokio interval", interval)] {
            let (times, end) = times.join().expect("a peer");
            println!(
                "| {name} | {} | {:.2} | {:.2} | {:.2} | {end:.2} |",
                times.count(),
                times.quantile(0.5),
                times.quantile(0.99),
                times.quantile(1.0)
            );
        }
    });
}

/// evenfall says its own lateness, against its absolute deadlines.
fn follow(home: &Home, arguments: &[&str]) -> Command {
    let mut command = home.command("", &[&["follow", "breathing"], arguments].concat());
    command
        .env("EVENFALL_LATENESS", "1")
        .env("TERM", "xterm-256color");
    command
}

/// "41 cues, lateness p50 150 us, p99 … us, max … us, drift … us" as the cells of a row.
fn in_cells(said: &str) -> String {
    let words = said.lines().last().unwrap_or_default().split([' ', ',']);
    let numbers: Vec<f64> = words.filter_map(|word| word.parse().ok()).collect();
    assert_eq!(numbers.len(), 5, "the guide said: {said}");
    let ms: Vec<String> = numbers[1..]
        .iter()
        .map(|us| format!("{:.2}", us / 1000.0))
        .collect();
    format!("{} | {}", numbers[0], ms.join(" | "))
}

fn plain(home: &Home) -> String {
    let said = follow(home, &["--plain"]).output().expect("follow");
    String::from_utf8_lossy(&said.stderr).into_owned()
}

/// On a terminal of its own, whose other end reads what is drawn.
fn terminal(home: &Home) -> String {
    let ours = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&ours).expect("grant");
    unlockpt(&ours).expect("unlock");
    let size = rustix::termios::Winsize {
        ws_row: 30,
        ws_col: 100,
        ws_xpixel: 0,
        ws_ypixel: 0,
    };
    rustix::termios::tcsetwinsize(&ours, size).expect("a size");
    let path = ptsname(&ours, Vec::new()).expect("a name");
    let open = || {
        let end = File::options()
            .read(true)
            .write(true)
            .open(path.to_str().expect("a name"));
        Stdio::from(end.expect("the program's end"))
    };
    let mut command = follow(home, &[]);
    let child = command
        .stdin(open())
        .stdout(open())
        .stderr(Stdio::piped())
        .spawn();
    drop(command);
    let mut ours = File::from(ours);
    let mut keys = ours.try_clone().expect("a handle");
    std::thread::spawn(move || {
        // The first screen waits for a key, and so does the last.
        std::thread::sleep(Duration::from_millis(1500));
        keys.write_all(b" ").expect("a key");
        std::thread::sleep(Duration::from_secs(seconds().max(180) + 4));
        keys.write_all(b"q").expect("a key");
    });
    std::thread::spawn(move || {
        let mut piece = [0; 65_536];
        while let Ok(1..) = ours.read(&mut piece) {}
    });
    let said = child.expect("follow").wait_with_output().expect("follow");
    String::from_utf8_lossy(&said.stderr).into_owned()
}

/// A loop of `sleep` in a shell: each round adds the cost of starting it.
fn shell_sleep() -> (Times, f64) {
    let script = format!(
        "date +%s.%N; for i in $(seq {}); do sleep {STEP_S}; date +%s.%N; done",
        rounds()
    );
    let said = Command::new("sh")
        .args(["-c", &script])
        .output()
        .expect("a shell");
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    let at: Vec<f64> = text
        .lines()
        .filter_map(|line| line.trim().parse().ok())
        .collect();
    let late = at[1..]
        .iter()
        .enumerate()
        .map(|(round, at_s)| (at_s - at[0] - (STEP_S * (round as u64 + 1)) as f64) * 1000.0);
    of(late.collect())
}

fn interval() -> (Times, f64) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("runtime");
    of(runtime.block_on(async {
        let mut ticks = tokio::time::interval(Duration::from_secs(STEP_S));
        ticks.tick().await;
        let begun = Instant::now();
        let mut late = Vec::new();
        for round in 1..=rounds() {
            ticks.tick().await;
            let due = Duration::from_secs(STEP_S * round);
            late.push((begun.elapsed().as_secs_f64() - due.as_secs_f64()) * 1000.0);
        }
        late
    }))
}

fn rounds() -> u64 {
    seconds().max(180) / STEP_S
}

/// All, and the last one, which holds the drift.
fn of(late: Vec<f64>) -> (Times, f64) {
    let mut times = Times::default();
    late.iter().for_each(|ms| times.add_ms(*ms));
    (times, late.last().copied().unwrap_or(f64::NAN))
}
