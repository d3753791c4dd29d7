//! What needs node, or node and a browser: run by `cargo test -- --ignored` where they are installed.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use evenfall::pure::pace::{Pace, Player, State, Trace};
use evenfall::pure::routine::library::Limits;
use evenfall::pure::routine::{Library, Timeline};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};

use crate::support::bus::{Bus, Script, Server};

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}

fn state_word(state: State) -> &'static str {
    match state {
        State::Waiting => "waiting",
        State::Playing { .. } => "playing",
        State::Paused { .. } => "paused",
        State::Over { .. } => "over",
    }
}

/// Plays one evening by a list of operations, each so many milliseconds after the one before.
fn played(timeline: &Timeline, second_inhale: u32, pace: f64, operations: &[(u8, u32)]) -> Value {
    let factor = Pace::times(pace).expect("a pace");
    let mut player = Player::new(timeline, factor).expect("cues");
    let mut now = Duration::ZERO;
    let steps: Vec<Value> = operations
        .iter()
        .map(|(what, later)| {
            now += Duration::from_millis(u64::from(*later));
            let word = match what {
                0 | 1 => {
                    player.start(now);
                    "start"
                }
                2 => {
                    player.pause(now);
                    "pause"
                }
                3 => {
                    player.skip(now);
                    "skip"
                }
                4 => {
                    player.back(now);
                    "back"
                }
                _ => {
                    player.tick(now);
                    "tick"
                }
            };
            json!({
                "do": word,
                "now": milliseconds(now),
                "position": milliseconds(player.position(now)),
                "index": player.place(player.position(now)).index,
                "played": milliseconds(player.progress(now).played),
                "state": state_word(player.state()),
            })
        })
        .collect();
    let trace = Trace::of(timeline, Duration::from_millis(u64::from(second_inhale)));
    let volumes: Vec<Value> = (0..=timeline.total_ms / 137)
        .map(|part| json!([part * 137, trace.volume(Duration::from_millis(part * 137))]))
        .collect();
    let cues: Vec<Value> = timeline
        .cues
        .iter()
        .map(|cue| json!([cue.at_ms, cue.for_ms, cue.kind.id(), cue.step, cue.breath]))
        .collect();
    json!({
        "timeline": { "total_ms": timeline.total_ms, "cues": cues },
        "second_inhale": second_inhale,
        "pace": pace,
        "operations": steps,
        "volumes": volumes,
    })
}

#[test]
#[ignore = "needs node"]
fn the_pages_player_and_breath_are_the_programs_own() {
    let library = Library::shipped();
    let limits = Limits {
        holds_ok: true,
        ..Limits::default()
    };
    let mut runner = TestRunner::new(Config::default());
    let strategy = (
        proptest::collection::vec((0_u8..8, 1_u32..40_000), 1..60),
        proptest::sample::select(vec![1.0, 2.0, 0.5, 60.0]),
        proptest::sample::select(library.patterns.keys().cloned().collect::<Vec<_>>()),
    );
    let mut cases = Vec::new();
    for evening in library.evenings.values() {
        for _ in 0..20 {
            let (operations, pace, pattern) =
                strategy.new_tree(&mut runner).expect("a case").current();
            let (mut routine, _) = library.routine(evening, &limits);
            routine.pattern = library.patterns[&pattern].clone();
            let timeline = Timeline::compile(&routine, &library);
            let second = routine.pattern.second_inhale_ms;
            cases.push(played(&timeline, second, pace, &operations));
        }
    }
    let mut node = Command::new("node")
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/pace.cjs"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("node is installed");
    node.stdin
        .take()
        .expect("piped")
        .write_all(json!(cases).to_string().as_bytes())
        .expect("node reads");
    let said = node.wait_with_output().expect("node ends");
    let words = String::from_utf8_lossy(&said.stderr).into_owned();
    assert!(said.status.success(), "{words}");
    let compared = String::from_utf8_lossy(&said.stdout);
    assert!(compared.trim().ends_with("compared"), "{compared}");
}

/// Every scenario of tests/page, in a real browser, with a notification server that shows what it is told.
/// `EVENFALL_PAGE_SCENARIOS` names some of them, with spaces between, instead of all.
#[test]
#[ignore = "needs node, chromium, and playwright-core with axe-core on NODE_PATH"]
fn the_page_works_in_a_browser() {
    let bus = Bus::start();
    let _server = Server::start(&bus, Script::default());
    let scenarios = std::env::var("EVENFALL_PAGE_SCENARIOS").unwrap_or_default();
    let status = Command::new("node")
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/run.cjs"))
        .arg(env!("CARGO_BIN_EXE_evenfall"))
        .args(scenarios.split_whitespace())
        .env("EVENFALL_TEST_BUS", &bus.address)
        .status()
        .expect("node is installed");
    assert!(status.success(), "see above");
}
