//! The guide without a terminal and without waiting: a scripted clock, and pictures in a buffer.

use std::collections::VecDeque;
use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

use super::look::{Colours, Letters, Look};
use super::pacer::{Event, Press, Reading, Waiter, Woke};
use super::plain::Plain;
use super::run::run;
use super::words::{self, GuideWords, StepWords};
use super::{Played, Told};
use crate::pure::pace::{Outcome, Pace, Player};
use crate::pure::routine::figure::{self, Figure};
use crate::pure::routine::{Cue, CueKind, Side, Stretch, Timeline, safety};

mod pictures;
mod screen;

/// Two held sides (5 s to get ready, 20 s held), then three breaths of 4 + 6 s: 80 s.
fn timeline() -> Timeline {
    let mut cues: Vec<Cue> = Vec::new();
    let mut push = |kind, seconds: u64, step, breath, text: &str| {
        let at_ms = cues.last().map_or(0, |cue: &Cue| cue.at_ms + cue.for_ms);
        cues.push(Cue {
            at_ms,
            for_ms: seconds * 1000,
            kind,
            text: text.to_owned(),
            step,
            breath,
        });
    };
    let moves = [
        "Calf at the wall, left side. Stand an arm's length from the wall, hands on it.",
        "Right side: the same on this side.",
    ];
    let holds = [
        "Left side: a mild pull in the lower leg.",
        "Right side: a mild pull in the lower leg.",
    ];
    for step in 0..2 {
        push(CueKind::Move, 5, Some(step), None, moves[step]);
        push(CueKind::Stretch, 20, Some(step), None, holds[step]);
    }
    for breath in 0..3 {
        push(CueKind::Inhale, 4, None, Some(breath), "Inhale");
        push(CueKind::Exhale, 6, None, Some(breath), "Exhale");
    }
    push(CueKind::End, 0, None, None, "That is all for tonight.");
    let total_ms = cues.last().map_or(0, |cue| cue.at_ms);
    Timeline {
        id: "sample".to_owned(),
        total_ms,
        cues,
    }
}

/// A person seated with one arm raised.
const SEATED: &str = r#"
name = "Arm up"
position = "seated"
sides = 2
hold = [15, 45]
regions = { shoulders = 1 }
set_up = "Sit."
feel = "Little."
ease_off = "Lower the arm."
easier = "Bend it."

[figure]
rest = ["foot on floor", "pelvis on chair"]
legs = { hip = 90, knee = 90 }
right_arm = { shoulder = 150 }
accent = ["right_shoulders"]
"#;

fn figure_of(side: Side) -> Option<Figure> {
    let stretch = Stretch::parse("arm_up.toml", "arm_up", SEATED).expect("a stretch");
    stretch.figure().map(|pose| figure::draw(pose, side))
}

fn guide_words() -> GuideWords {
    let step = |side| StepWords {
        name: "Calf at the wall".to_owned(),
        side,
        hold_s: 20,
        set_up:
            "Stand an arm's length from the wall, hands on it. Set one foot back, knee straight, \
                 heel on the floor."
                .to_owned(),
        feel: "A mild pull in the back of the lower leg, none at the heel.".to_owned(),
        ease_off: "Step in closer if it tingles or the heel lifts.".to_owned(),
        figure: figure_of(side),
    };
    GuideWords {
        title: "Wind-down".to_owned(),
        intro: vec!["Lights out is planned for 22:30.".to_owned()],
        cautions: vec!["Leave out kneeling tonight: you noted knee pain.".to_owned()],
        closing: vec!["Lights out is planned for 22:30.".to_owned()],
        needs: vec!["a wall".to_owned()],
        pattern: "Longer out, 4 and 6".to_owned(),
        breathing: "4 s in, 6 s out".to_owned(),
        second_inhale: Duration::ZERO,
        steps: vec![step(Side::Left), step(Side::Right)],
    }
}

const UNCOLOURED: Look = Look {
    colours: Colours::None,
    letters: Letters::Unicode,
};

/// A clock that moves only when somebody waits, and keys pressed at given moments. Every deadline is
/// kept to the nanosecond plus `late`.
struct Scripted {
    now: Duration,
    late: Duration,
    /// Moments at which the machine sleeps, and for how long.
    sleeps: VecDeque<(Duration, Duration)>,
    slept: Duration,
    /// The program stands still from one moment to another, whatever is due between them.
    stopped: Option<(Duration, Duration)>,
    events: VecDeque<(Duration, Event)>,
}

impl Scripted {
    fn new(events: &[(f64, Event)]) -> Self {
        Self {
            now: Duration::ZERO,
            late: Duration::ZERO,
            sleeps: VecDeque::new(),
            slept: Duration::ZERO,
            stopped: None,
            events: events.iter().map(|(at, event)| (s(*at), *event)).collect(),
        }
    }
}

impl Waiter for Scripted {
    fn read(&self) -> Reading {
        let wall = chrono::DateTime::UNIX_EPOCH + self.now + self.slept;
        Reading {
            elapsed: self.now,
            wall,
        }
    }

    fn wait(&mut self, until: Option<Duration>) -> Woke {
        let next = self.events.front().map(|(at, _)| *at);
        let woke = match (until, next) {
            (Some(until), Some(next)) if next > until => Woke::Due,
            (Some(_), None) => Woke::Due,
            (None, None) => Woke::Event(Event::Finish),
            _ => Woke::Event(self.events.pop_front().expect("an event").1),
        };
        let at = if woke == Woke::Due {
            until.map(|until| until + self.late)
        } else {
            next
        };
        self.now = self.now.max(at.unwrap_or(self.now));
        if let Some((_, until)) = self.stopped.take_if(|(from, _)| *from <= self.now) {
            self.now = until;
        }
        while let Some((_, length)) = self.sleeps.pop_front_if(|(at, _)| *at <= self.now) {
            self.slept += length;
        }
        woke
    }
}

fn s(seconds: f64) -> Duration {
    Duration::from_secs_f64(seconds)
}

fn key(at: f64, press: Press) -> (f64, Event) {
    (at, Event::Press(press))
}

/// Plays in plain lines; gives the lines, what was told, and what was played.
fn play_lines(waiter: &mut Scripted, keys: bool) -> (Vec<String>, Vec<Told>, Played) {
    let (timeline, words) = (timeline(), guide_words());
    let player = Player::new(&timeline, Pace::REAL).expect("cues");
    let mut out = Vec::new();
    let mut told = Vec::new();
    let mut plain = Plain::new(&mut out, &timeline, &words, Letters::Unicode, keys);
    let played = run(player, &mut plain, waiter, &mut |what| {
        told.push(what.clone())
    });
    let text = String::from_utf8(out).expect("text");
    (
        text.lines().map(str::to_owned).collect(),
        told,
        played.expect("played"),
    )
}

/// Compares with a text kept in `tests/data/guide`; with `KEEP_PICTURES=1` it is written anew, to be
/// read and committed.
fn as_kept(name: &str, text: &str) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/guide");
    if std::env::var_os("KEEP_PICTURES").is_some() {
        std::fs::write(folder.join(name), format!("{text}\n")).expect("writable");
    }
    let kept = std::fs::read_to_string(folder.join(name)).unwrap_or_default();
    assert_eq!(
        text.trim_end(),
        kept.trim_end(),
        "{name} differs; now:\n{text}\n"
    );
}

#[test]
fn plain_lines_say_each_cue_once() {
    let (lines, told, played) = play_lines(&mut Scripted::new(&[]), false);
    as_kept("plain.txt", &lines.join("\n"));
    assert_eq!((played.seconds_done(), played.total_seconds()), (80, 80));
    assert_eq!(played.outcome(), Outcome::Done);
    assert_eq!(played.lateness.count(), 10, "every cue but the first");
    let started = chrono::DateTime::UNIX_EPOCH;
    assert_eq!(told, [Told::Started(started), Told::Over(played)]);
}

#[test]
fn what_comes_and_the_stop_rule_are_said_before_anything_starts() {
    let mut waiter = Scripted::new(&[key(5.0, Press::End)]);
    let (lines, told, played) = play_lines(&mut waiter, true);
    assert!(lines.iter().any(|line| line == safety::STOP_RULE));
    assert!(lines.iter().any(|line| line == safety::LIMITS));
    assert!(lines.iter().any(|line| line.starts_with("Enter starts")));
    assert_eq!((played.started, played.seconds_done()), (None, 0));
    assert_eq!(
        told,
        [Told::Over(played)],
        "left at the first screen: never started"
    );
}

#[test]
fn late_wakes_do_not_add_up() {
    let mut waiter = Scripted::new(&[]);
    waiter.late = Duration::from_millis(3);
    let (_, _, played) = play_lines(&mut waiter, false);
    assert_eq!(
        waiter.now,
        s(80.003),
        "each deadline is counted from the start"
    );
    assert_eq!(played.lateness.quantile(0.0), Duration::from_millis(3));
    assert_eq!(played.lateness.quantile(1.0), Duration::from_millis(3));
    assert_eq!(played.lateness.drift_us(), 0);
}

#[test]
fn a_pause_moves_the_end_by_its_own_length() {
    let events = [
        key(10.0, Press::Enter),
        key(20.0, Press::Space),
        key(50.0, Press::Enter),
    ];
    let mut waiter = Scripted::new(&events);
    let (lines, _, played) = play_lines(&mut waiter, true);
    assert_eq!(waiter.now, s(10.0 + 80.0 + 30.0));
    assert_eq!(played.seconds_done(), 80);
    let paused = lines
        .iter()
        .position(|line| line == "Paused. Enter goes on.")
        .expect("said");
    assert!(lines[paused + 1].starts_with("Going on. Hold, 15 seconds. Left side: a mild"));
}

#[test]
fn skipping_and_ending_count_what_was_played() {
    // 10 s of the first side, over the second, 5 s of the first breath, then the end.
    let events = [
        key(0.0, Press::Enter),
        key(10.0, Press::Skip),
        key(10.0, Press::Skip),
        key(15.0, Press::End),
    ];
    let (lines, _, played) = play_lines(&mut Scripted::new(&events), true);
    assert_eq!(
        (played.seconds_done(), played.outcome()),
        (15, Outcome::Partly)
    );
    assert_eq!(lines[lines.len() - 2], "Ended early. 15 s of 1 min 20 s.");
}

#[test]
fn skipping_the_last_breath_reaches_the_end_but_is_not_done() {
    let mut events = vec![key(0.0, Press::Enter)];
    events.extend([key(1.0, Press::Skip); 5]);
    let (lines, _, played) = play_lines(&mut Scripted::new(&events), true);
    assert_eq!(
        (played.seconds_done(), played.outcome()),
        (1, Outcome::Partly)
    );
    assert_eq!(
        lines[lines.len() - 2],
        "That is all for tonight. 1 s of 1 min 20 s."
    );
}

#[test]
fn a_signal_ends_it_with_what_was_done() {
    let mut waiter = Scripted::new(&[(33.0, Event::Finish)]);
    let (_, told, played) = play_lines(&mut waiter, false);
    assert_eq!((waiter.now, played.seconds_done()), (s(33.0), 33));
    assert_eq!(told.last(), Some(&Told::Over(played)));
}

#[test]
fn without_keys_a_suspend_is_said_and_the_rest_still_played() {
    let mut waiter = Scripted::new(&[]);
    waiter.sleeps.push_back((s(7.0), s(3600.0)));
    let (lines, _, played) = play_lines(&mut waiter, false);
    let said = lines
        .iter()
        .position(|line| line.starts_with("Interrupted"))
        .expect("said");
    assert!(lines[said + 1].starts_with("Going on. Hold, 10 seconds. Left side: a mild"));
    assert_eq!(played.seconds_done(), 80);
}

#[test]
fn with_keys_a_suspend_waits_for_the_person() {
    let mut waiter = Scripted::new(&[key(0.0, Press::Enter), key(100.0, Press::Space)]);
    waiter.sleeps.push_back((s(7.0), s(3600.0)));
    let (lines, _, played) = play_lines(&mut waiter, true);
    assert!(
        lines
            .iter()
            .any(|line| line.ends_with("was stopped. Enter goes on."))
    );
    assert_eq!(
        waiter.now,
        s(100.0 + 80.0 - 15.0),
        "stood still at 15 s, where it noticed"
    );
    assert_eq!(played.seconds_done(), 80);
}

#[test]
fn a_rehearsal_says_the_same_lines() {
    let (timeline, words) = (timeline(), guide_words());
    let say = |pace| {
        let player = Player::new(&timeline, Pace::times(pace).expect("in range")).expect("cues");
        let mut out = Vec::new();
        let mut plain = Plain::new(&mut out, &timeline, &words, Letters::Unicode, false);
        let mut waiter = Scripted::new(&[]);
        run(player, &mut plain, &mut waiter, &mut |_| {}).expect("played");
        (String::from_utf8(out).expect("text"), waiter.now)
    };
    let (real, length) = say(1.0);
    let (fast, short) = say(60.0);
    assert_eq!(real, fast);
    assert_eq!(
        (length, short),
        (s(80.0), Duration::from_nanos(1_333_333_334))
    );
}

#[test]
fn a_line_stays_a_line_and_carries_no_escape() {
    let (mut timeline, words) = (timeline(), guide_words());
    timeline.cues[0].text = "Stand\nstill\u{1b}[2J\rnow \u{9b}1m".to_owned();
    let player = Player::new(&timeline, Pace::REAL).expect("cues");
    let mut out = Vec::new();
    let mut plain = Plain::new(&mut out, &timeline, &words, Letters::Ascii, false);
    run(player, &mut plain, &mut Scripted::new(&[]), &mut |_| {}).expect("played");
    assert!(
        out.iter()
            .all(|byte| *byte == b'\n' || (0x20..0x7f).contains(byte))
    );
    assert!(
        String::from_utf8(out)
            .expect("text")
            .contains("Stand still [2J now")
    );
}

/// Takes some lines, then fails.
struct Failing(usize, io::ErrorKind);

impl Write for Failing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0 = self.0.checked_sub(1).ok_or(self.1)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn an_output_that_fails_does_not_lose_what_was_done() {
    let (timeline, words) = (timeline(), guide_words());
    let fail = |kind| {
        let player = Player::new(&timeline, Pace::REAL).expect("cues");
        let mut out = Failing(14, kind);
        let mut plain = Plain::new(&mut out, &timeline, &words, Letters::Unicode, false);
        let mut told = Vec::new();
        let result = run(player, &mut plain, &mut Scripted::new(&[]), &mut |what| {
            told.push(what.clone())
        });
        (result, told)
    };
    let (closed, told) = fail(io::ErrorKind::BrokenPipe);
    let played = closed.expect("a reader that left is no error");
    assert!(played.seconds_done() > 0);
    assert_eq!(told.last(), Some(&Told::Over(played)));
    let (full, told) = fail(io::ErrorKind::StorageFull);
    assert_eq!(full.expect_err("said").kind(), io::ErrorKind::StorageFull);
    assert!(matches!(told.last(), Some(Told::Over(played)) if played.seconds_done() > 0));
}
