//! A writer that is killed at random, again and again: nothing that it acknowledged is lost.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, Utc};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::prompt::{Event, Key, Kind};
use evenfall::shell::store::Store;

use super::{count, integrity};

const STORE: &str = "EVENFALL_TORTURE_STORE";
const ROUNDS: u64 = 500;

/// The writer: run as a process of its own by the test below. It writes a record and says so, until it
/// is killed.
#[test]
#[ignore = "the other end of the torture"]
fn writer() {
    let path = std::env::var_os(STORE).expect("started by the torture");
    let round = std::env::var("EVENFALL_TORTURE_ROUND").expect("round");
    let mut store = Store::open(path.as_ref()).expect("open");
    let night = Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("date"));
    let at = DateTime::<Utc>::from_timestamp_millis(1_767_600_000_000).expect("instant");
    for number in 0_u64.. {
        let key = Key {
            kind: Kind::Own,
            night,
            slot: format!("{round}.{number}"),
        };
        store
            .add_event(&key, at, &Zone::utc(), &Event::Dismissed)
            .expect("written");
        // Past the test harness, which keeps what is printed.
        let mut out = std::io::stdout().lock();
        writeln!(out, "kept {round}.{number}").expect("said");
        out.flush().expect("said");
    }
}

#[test]
fn nothing_acknowledged_is_lost_in_five_hundred_kills() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("diary.db");
    let mut acknowledged: Vec<String> = Vec::new();
    // A linear congruential generator (Numerical Recipes) spreads the kills over the first writes.
    let mut chance = 12_345_u64;
    for round in 0..ROUNDS {
        let mut child = Command::new(std::env::current_exe().expect("this program"))
            .args([
                "data::torture::writer",
                "--exact",
                "--ignored",
                "--nocapture",
            ])
            .env(STORE, &path)
            .env("EVENFALL_TORTURE_ROUND", round.to_string())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("writer");
        let out = child.stdout.take().expect("output");
        let reader = std::thread::spawn(move || {
            let lines = BufReader::new(out).lines().map_while(Result::ok);
            let kept = lines.filter_map(|line| line.strip_prefix("kept ").map(str::to_owned));
            kept.collect::<Vec<_>>()
        });
        chance = chance.wrapping_mul(1_664_525).wrapping_add(1_013_904_223) % (1 << 32);
        // From before the store is open to some dozen writes in.
        std::thread::sleep(Duration::from_micros(1000 + chance % 24_000));
        child.kill().expect("kill");
        child.wait().expect("wait");
        acknowledged.extend(reader.join().expect("reader"));
    }
    assert_eq!(integrity(&path), "ok");
    let store = Store::open(&path).expect("open");
    let first = Night(NaiveDate::from_ymd_opt(2026, 1, 1).expect("date"));
    let kept: std::collections::BTreeSet<String> = store
        .events_since(first)
        .expect("events")
        .into_iter()
        .map(|(key, _, _)| key.slot)
        .collect();
    let lost: Vec<&String> = acknowledged
        .iter()
        .filter(|slot| !kept.contains(*slot))
        .collect();
    println!(
        "{ROUNDS} kills, {} records acknowledged, {} in the store, {} lost, integrity ok",
        acknowledged.len(),
        count(&path, "prompt_event"),
        lost.len()
    );
    assert!(lost.is_empty(), "lost: {lost:?}");
    assert!(
        acknowledged.len() > 100,
        "the kills came too early to show anything"
    );
}
