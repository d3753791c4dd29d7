//! How late each cue of a guided routine comes, and whether it drifts.

use std::process::Command;
use std::time::{Duration, Instant};

use crate::support::Home;

use super::figures::{Times, head};

/// Seconds of pacing; `EVENFALL_PACING_SECONDS` changes it (600 for the published figures).
fn seconds() -> u64 {
    std::env::var("EVENFALL_PACING_SECONDS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(60)
}

/// Prints the table; evenfall says its own lateness against its absolute deadlines.
pub fn run() {
    let home = Home::new();
    let minutes = (seconds() / 60).max(3);
    home.write(
        "routines/evenings/breathing.toml",
        &format!(
            "name = \"Breathing\"\nstretches = []\npattern = \"longer_out_4_6\"\nseconds = {}\n",
            minutes * 60
        ),
    );
    let said = home
        .command("", &["follow", "breathing", "--plain"])
        .env("EVENFALL_LATENESS", "1")
        .output()
        .expect("follow");
    println!(
        "evenfall follow --plain: {}",
        String::from_utf8_lossy(&said.stderr).trim()
    );
    println!();
    head("peers, a cue every 5 s");
    shell_sleep();
    interval();
}

/// A loop of `sleep` in a shell: each round adds the cost of starting it.
fn shell_sleep() {
    let rounds = seconds() / 5;
    let script = format!("for i in $(seq {rounds}); do sleep 5; date +%s.%N; done");
    let begun = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(0.0, |d| d.as_secs_f64());
    let said = Command::new("sh")
        .args(["-c", &script])
        .output()
        .expect("shell");
    let mut times = Times::default();
    for (round, line) in String::from_utf8_lossy(&said.stdout).lines().enumerate() {
        let due = begun + 5.0 * (round + 1) as f64;
        times.add_ms((line.trim().parse::<f64>().unwrap_or(due) - due) * 1000.0);
    }
    times.row("sleep in a shell", None);
    println!(
        "\ndrift of the shell at the end: {:.1} ms\n",
        times.quantile(1.0)
    );
}

fn interval() {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("runtime");
    let times = runtime.block_on(async {
        let mut times = Times::default();
        let begun = Instant::now();
        let mut ticks = tokio::time::interval(Duration::from_secs(5));
        ticks.tick().await;
        for round in 1..=seconds() / 5 {
            ticks.tick().await;
            times.add(
                begun
                    .elapsed()
                    .saturating_sub(Duration::from_secs(5 * round)),
            );
        }
        times
    });
    head("runtime");
    times.row("tokio interval", None);
}
