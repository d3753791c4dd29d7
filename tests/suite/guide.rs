//! The guide through its public faces: plain lines in (shortened) real time, and the program on a real
//! terminal.

use std::io::{Read, Write};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use chrono::NaiveDate;
use evenfall::pure::civil::Night;
use evenfall::pure::pace::{Outcome, Pace};
use evenfall::pure::prompt::{Answer, Event, Key, Kind};
use evenfall::pure::routine::{CueKind, Library, Timeline, safety};
use evenfall::shell::guide::{self, Colours, GuideWords, Letters, Look, Options, Output, Told};

use evenfall::shell::store::{EveningRow, Store};

use super::support::Home;

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
        output: Output::Standard,
        plain: true,
        pace: Pace::times(PACE).expect("in range"),
        look,
        sound: false,
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

/// A program on a terminal of its own (`script` of util-linux), its keys typed by the test.
struct OnTerminal {
    child: Child,
    seen: Arc<Mutex<Vec<u8>>>,
}

impl OnTerminal {
    fn start(home: &Home, command: &str) -> Self {
        let mut child = Command::new("script")
            .args(["-qec", command, "/dev/null"])
            .env("EVENFALL", env!("CARGO_BIN_EXE_evenfall"))
            .env("EVENFALL_HOME", home.path())
            .envs([
                ("TERM", "xterm-256color"),
                ("LC_ALL", "C.UTF-8"),
                ("TZ", "UTC"),
                ("NO_COLOR", ""),
            ])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("script of util-linux is there");
        let seen = Arc::new(Mutex::new(Vec::new()));
        let (mut out, into) = (child.stdout.take().expect("piped"), Arc::clone(&seen));
        std::thread::spawn(move || {
            let mut some = [0; 4096];
            while let Ok(count @ 1..) = out.read(&mut some) {
                into.lock().expect("whole").extend(&some[..count]);
            }
        });
        Self { child, seen }
    }

    fn text(&self) -> String {
        String::from_utf8_lossy(&self.seen.lock().expect("whole")).into_owned()
    }

    /// Waits until the terminal has shown something.
    fn sees(&mut self, wanted: &str) -> &mut Self {
        let begun = Instant::now();
        while !self.text().contains(wanted) {
            assert!(
                begun.elapsed() < Duration::from_secs(60),
                "no {wanted:?} in {:?}",
                self.text()
            );
            std::thread::sleep(Duration::from_millis(20));
        }
        self
    }

    fn types(&mut self, keys: &str) -> &mut Self {
        let stdin = self.child.stdin.as_mut().expect("piped");
        stdin.write_all(keys.as_bytes()).expect("a terminal");
        stdin.flush().expect("a terminal");
        self
    }

    /// Waits for the end and gives all that was shown.
    fn ends(mut self) -> String {
        let code = self.child.wait().expect("ends");
        assert!(code.success(), "{:?}", self.text());
        self.sees("stty after");
        self.text()
    }
}

impl Drop for OnTerminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The settings of the terminal before and after; they have to be the same.
fn terminal_settings(text: &str) -> [String; 2] {
    ["stty before ", "stty after "].map(|mark| {
        let after = text
            .split(mark)
            .nth(1)
            .unwrap_or_else(|| panic!("no {mark} in {text:?}"));
        after.lines().next().unwrap_or_default().trim().to_owned()
    })
}

const AROUND: [&str; 2] = ["echo stty before $(stty -g)", "echo stty after $(stty -g)"];
const LEAVES: &str = "\u{1b}[?1049l";

#[test]
fn on_a_terminal_keys_start_and_end_it_and_the_terminal_is_given_back() {
    let home = Home::new();
    let follow = "$EVENFALL --at 2026-01-05T21:30 follow very_short";
    let sized = format!(
        "stty rows 16 cols 60; {}; {follow}; {}",
        AROUND[0], AROUND[1]
    );
    let mut terminal = OnTerminal::start(&home, &sized);
    terminal.sees("Enter starts").types(" ").sees("get ready");
    // Played for more than a second, so that there is something to record.
    std::thread::sleep(Duration::from_millis(1500));
    terminal.types("q");
    let text = terminal.ends();
    assert!(
        text.contains("\u{1b}[?1049h") && text.contains(LEAVES),
        "{text:?}"
    );
    let [before, after] = terminal_settings(&text);
    assert_eq!(before, after);
    let [row] = evenings(&home).try_into().expect("one evening");
    assert!(row.done_s >= 1 && !row.is_done(), "{row:?}");
    let after = text.split(LEAVES).nth(1).expect("something after");
    assert!(
        after.contains("Recorded: ") && after.contains(" s of 3 min 20 s."),
        "{after:?}"
    );
}

#[test]
fn a_signal_ends_it_recorded_and_with_the_terminal_given_back() {
    let home = Home::new();
    // A terminal that does not know its size is taken to have the usual one.
    let terminated = format!(
        "{}; ($EVENFALL --at 2026-01-05T21:30 follow very_short & echo $! > $EVENFALL_HOME/pid; wait); {}",
        AROUND[0], AROUND[1]
    );
    let mut terminal = OnTerminal::start(&home, &terminated);
    terminal.sees("Enter starts").types(" ").sees("get ready");
    std::thread::sleep(Duration::from_millis(1500));
    let pid = std::fs::read_to_string(home.path().join("pid")).expect("written by the shell");
    let killed = Command::new("kill")
        .args(["-TERM", pid.trim()])
        .status()
        .expect("kill");
    assert!(killed.success());
    let text = terminal.ends();
    assert!(
        text.contains(LEAVES) && text.contains("Recorded: "),
        "{text:?}"
    );
    let [before, after] = terminal_settings(&text);
    assert_eq!(before, after);
}

#[test]
fn plain_lines_on_a_terminal_carry_no_escape_and_no_lone_return() {
    let home = Home::new();
    let follow = "$EVENFALL --at 2026-01-05T21:30 follow very_short --plain --pace 100";
    let mut terminal = OnTerminal::start(&home, &format!("{}; {follow}; {}", AROUND[0], AROUND[1]));
    terminal.sees("Enter starts").types("\n");
    let text = terminal.ends();
    assert!(!text.contains('\u{1b}'), "{text:?}");
    assert!(!text.replace("\r\n", "").contains('\r'), "{text:?}");
    assert!(text.contains("That is all for tonight.") && text.contains("Played without recording"));
}

#[test]
fn a_rehearsal_is_recorded_only_when_asked_for() {
    let home = Home::new();
    let follow = ["follow", "very_short", "--pace", "500"];
    let said = home.json("2026-01-05T21:30", &follow);
    assert_eq!(evenings(&home), []);
    assert_eq!(
        (said["outcome"].as_str(), said["recorded"].as_bool()),
        (Some("done"), Some(false))
    );
    let said = home.json("2026-01-05T21:30", &[&follow[..], &["--record"]].concat());
    assert_eq!(said["night"], "2026-01-05");
    assert_eq!(
        (
            said["seconds_done"].as_u64(),
            said["total_seconds"].as_u64()
        ),
        (Some(200), Some(200))
    );
    assert_eq!(
        (said["outcome"].as_str(), said["recorded"].as_bool()),
        (Some("done"), Some(true))
    );
}

/// What the store knows of the night of 5 January.
fn evenings(home: &Home) -> Vec<EveningRow> {
    let store = Store::open(&home.path().join("diary.db")).expect("a store");
    store.evenings_since(night()).expect("rows")
}

fn night() -> Night {
    Night(NaiveDate::from_ymd_opt(2026, 1, 5).expect("a date"))
}

#[test]
fn what_was_done_answers_the_prompt() {
    let home = Home::new();
    // Real pace in the evening needs no flag; at a rehearsal's pace the flag stands for it.
    home.json("2026-01-05T21:30", &["follow", "--pace", "500", "--record"]);
    let [row] = evenings(&home).try_into().expect("one evening");
    assert!(row.is_done() && !row.stretches.is_empty());
    assert_eq!(row.started.to_rfc3339()[..16], *"2026-01-05T21:30");
    let store = Store::open(&home.path().join("diary.db")).expect("a store");
    let key = Key::once(Kind::WindDown, night());
    let answers: Vec<Event> = store
        .events_since(night())
        .expect("events")
        .into_iter()
        .filter_map(|(of, _, event)| (of == key).then_some(event))
        .collect();
    let answered = |answer| Event::Answered { answer };
    assert_eq!(answers, [answered(Answer::Started), answered(Answer::Done)]);
}

#[test]
fn in_bed_nobody_stands_up_and_missing_tones_are_said() {
    let home = Home::new();
    let at = "2026-01-05T21:30";
    let said = home
        .command(
            at,
            &[
                "follow", "--plain", "--pace", "500", "--in-bed", "--sound", "--record",
            ],
        )
        .output()
        .expect("it starts");
    assert!(said.status.success());
    let text = String::from_utf8(said.stdout).expect("text");
    assert!(text.contains("without tones"), "{text}");
    let [row] = evenings(&home).try_into().expect("one evening");
    let library = Library::shipped();
    assert!(!row.stretches.is_empty());
    for id in &row.stretches {
        assert!(library.stretches[id].bed_friendly, "{id}");
    }
    assert_eq!(home.run(at, &["follow", "--in-bed", "legs"]).code, 2);
}

#[test]
fn a_routine_tried_at_noon_leaves_the_evening_open() {
    let home = Home::new();
    let follow = "$EVENFALL --at 2026-01-05T13:00 follow very_short";
    let sized = format!(
        "stty rows 24 cols 80; {}; {follow}; {}",
        AROUND[0], AROUND[1]
    );
    let mut terminal = OnTerminal::start(&home, &sized);
    terminal.sees("Enter starts").types(" ").sees("get ready");
    std::thread::sleep(Duration::from_millis(1200));
    terminal.types("q");
    assert!(terminal.ends().contains("Played without recording"));
    assert_eq!(evenings(&home), []);
}

#[test]
fn an_evening_that_does_not_exist_is_refused_with_what_to_write() {
    let said = Home::new().run("2026-01-05T21:30", &["follow", "vry_short"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(
        said.err.contains("Did you mean very_short?"),
        "{}",
        said.err
    );
    let said = Home::new().run("", &["follow", "very_short", "--pace", "0"]);
    assert_eq!(said.code, 2);
    assert!(
        said.err.contains("Write a number from 0.1 to 1000"),
        "{}",
        said.err
    );
}
