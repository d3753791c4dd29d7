//! A writer that is killed at random, again and again: nothing that it acknowledged is lost. A power that
//! is cut: nothing that was waited for is lost.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, Utc};
use evenfall::pure::civil::{Night, Zone};
use evenfall::pure::prompt::{Answer, Event, Key, Kind};
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
        // Those that wait for the disk and those that do not, in turn.
        let event = if number.is_multiple_of(2) {
            Event::Dismissed
        } else {
            Event::Showing { showing: 1 }
        };
        store
            .add_event(&key, at, &Zone::utc(), &event)
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

/// What SQLite's documentation of its WAL format promises: of a journal whose end did not come to the disk,
/// everything up to the last whole transaction counts.
#[test]
fn a_power_cut_takes_from_the_end_and_never_what_was_waited_for() {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("diary.db");
    let journal = folder.path().join("diary.db-wal");
    let mut store = Store::open(&path).expect("open");
    let night = Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("date"));
    let at = DateTime::<Utc>::from_timestamp_millis(1_767_600_000_000).expect("instant");
    let mut happens = |events: &[Event]| {
        let key = Key::once(Kind::WindDown, night);
        let with_zone = |event: &Event| (key.clone(), Zone::utc(), event.clone());
        let events: Vec<_> = events.iter().map(with_zone).collect();
        store.add_events(at, &events).expect("written");
        std::fs::metadata(&journal).expect("journal").len()
    };
    let (showing, token) = (Event::Showing { showing: 1 }, None);
    let shown = Event::Shown { showing: 1, token };
    let answered = Event::Answered {
        answer: Answer::Started,
    };
    let mut all = vec![showing.clone(), shown.clone(), answered.clone()];
    happens(&[showing]);
    happens(&[shown]);
    let waited_for = happens(&[answered]);
    let mut ends = vec![(waited_for, all.len())];
    for showing in 2..6 {
        let events = [Event::Showing { showing }, Event::NotShown { showing }];
        let end = happens(&events);
        all.extend(events);
        ends.push((end, all.len()));
    }
    let written = std::fs::read(&journal).expect("journal");
    let lost = tempfile::tempdir().expect("folder");
    let mut cuts = 0;
    for cut in (waited_for..=written.len() as u64).step_by(512) {
        // What came not to the disk is missing, or the file is as long and holds something else there.
        for filler in [None, Some(0_u8), Some(0xa5)] {
            let place = lost.path().join(format!("{cut}-{filler:?}"));
            std::fs::create_dir(&place).expect("folder");
            let after = place.join("diary.db");
            std::fs::copy(&path, &after).expect("copy");
            let mut left = written.clone();
            let kept = usize::try_from(cut).expect("small");
            match filler {
                None => left.truncate(kept),
                Some(filler) => left[kept..].fill(filler),
            }
            std::fs::write(place.join("diary.db-wal"), left).expect("journal");
            let store = Store::open(&after).expect("it opens");
            store.check().expect("it is whole");
            let found = store.events_since(night).expect("events");
            let found: Vec<Event> = found.into_iter().map(|(_, _, event)| event).collect();
            let whole = ends.iter().rfind(|(end, _)| *end <= cut);
            let (_, count) = whole.expect("the answer was waited for");
            assert_eq!(found, all[..*count], "cut at {cut}, then {filler:?}");
            cuts += 1;
        }
    }
    println!("{cuts} journals cut off after what was waited for, each whole up to a transaction");
    assert!(cuts > 30, "{cuts}");
}
