//! The guide through the library's public face: plain lines in (shortened) real time, and a look at it
//! on a real terminal for people.

use std::time::{Duration, Instant};

use evenfall::pure::pace::{Outcome, Pace};
use evenfall::pure::routine::{CueKind, Library, Timeline, safety};
use evenfall::shell::guide::{self, Colours, GuideWords, Letters, Look, Options, Told};

const PACE: f64 = 60.0;

fn evening(id: &str) -> (Timeline, GuideWords) {
    let library = Library::shipped();
    let evening = &library.evenings[id];
    let (routine, _) = library.routine(evening, &Default::default());
    let words = GuideWords::of(&evening.name, &routine, &library);
    (Timeline::compile(&routine, &library), words)
}

fn options() -> Options {
    let look = Look {
        colours: Colours::None,
        letters: Letters::Unicode,
    };
    Options {
        plain: true,
        pace: Pace::times(PACE).expect("in range"),
        look,
    }
}

#[test]
fn a_shipped_evening_plays_in_plain_lines_a_minute_a_second() {
    let (timeline, words) = evening("very_short");
    let mut out = Vec::new();
    let mut told = Vec::new();
    let begun = Instant::now();
    let played = guide::play_plain(&timeline, &words, &options(), &mut out, &mut |what| {
        told.push(what.clone())
    })
    .expect("played");
    let least = Duration::from_millis(timeline.total_ms).div_f64(PACE);
    assert!(begun.elapsed() >= least, "no cue comes early");

    let text = String::from_utf8(out).expect("text");
    assert!(text.ends_with('\n') && !text.contains(['\u{1b}', '\r']));
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines.contains(&safety::STOP_RULE));
    let inhales = timeline
        .cues
        .iter()
        .filter(|cue| cue.kind == CueKind::Inhale)
        .count();
    assert_eq!(
        lines
            .iter()
            .filter(|line| line.starts_with("Breath "))
            .count(),
        inhales
    );
    let holds = timeline
        .cues
        .iter()
        .filter(|cue| cue.kind == CueKind::Stretch)
        .count();
    assert_eq!(
        lines
            .iter()
            .filter(|line| line.starts_with("Hold, "))
            .count(),
        holds
    );

    assert_eq!(played.outcome(), Outcome::Done);
    assert_eq!(played.seconds_done(), timeline.total_ms / 1000);
    assert_eq!(played.lateness.count(), timeline.cues.len() - 1);
    assert!(matches!(told.as_slice(), [Told::Started(_), Told::Over(over)] if *over == played));
}

#[test]
fn every_shipped_evening_plays_to_its_end() {
    for id in Library::shipped().evenings.keys() {
        let (timeline, words) = evening(id);
        let fast = Options {
            pace: Pace::times(1000.0).expect("in range"),
            ..options()
        };
        let mut out = Vec::new();
        let played =
            guide::play_plain(&timeline, &words, &fast, &mut out, &mut |_| {}).expect("played");
        assert_eq!(played.seconds_done(), timeline.total_ms / 1000, "{id}");
        let lines = String::from_utf8(out).expect("text").lines().count();
        assert!(
            lines >= timeline.cues.len(),
            "{id}: {lines} lines for {} cues",
            timeline.cues.len()
        );
    }
}

/// For a look by a person: `cargo test --test suite guide::on_this_terminal -- --ignored --nocapture`,
/// in a terminal.
#[test]
#[ignore = "plays on the terminal and waits for keys"]
fn on_this_terminal() {
    let (timeline, words) = evening("whole_body");
    let pace = std::env::var("PACE")
        .ok()
        .and_then(|pace| pace.parse().ok())
        .unwrap_or(1.0);
    let pace = Pace::times(pace).expect("0.1 to 1000");
    let options = Options {
        pace,
        ..Options::default()
    };
    let played = guide::play(&timeline, &words, &options, &mut |_| {}).expect("played");
    println!(
        "{} s of {} s, {}",
        played.seconds_done(),
        played.total_seconds(),
        played.outcome().id()
    );
    println!("{}", played.lateness.sentence());
}
