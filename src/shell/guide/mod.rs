//! The guide: plays a [`Timeline`] on the terminal, or in plain lines.
//!
//! [`play`] picks the surface and wires keys and signals. The parts: `pacer` waits for absolute
//! deadlines, `run` is the loop, `terminal` with `draw` and `look` is the picture, `plain` the lines,
//! `words` every sentence.

use std::io::{self, BufRead, IsTerminal, Write};
use std::sync::mpsc::{self, Sender};
use std::thread;

use crate::pure::civil::Instant;
use crate::pure::pace::{Outcome, Pace, Player, Progress};
use crate::pure::routine::Timeline;

mod draw;
mod look;
mod pacer;
mod plain;
mod run;
mod signals;
pub mod sound;
mod terminal;
mod words;

#[cfg(test)]
mod tests;

pub use look::{Colours, Letters, Look};
pub use pacer::Lateness;
pub use words::{GuideWords, StepWords, length};

use pacer::{Event, Live};
use plain::Plain;
use sound::{Sounding, Tones};
use terminal::{Hand, Keys, Screen, Taken};

/// Where a routine is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Output {
    /// On the terminal, or in lines where standard output is none.
    Standard,
    /// In lines on standard error, because standard output is for a machine.
    LinesToStandardError,
}

/// How a routine is played.
#[derive(Clone, Copy)]
pub struct Options {
    /// Plain lines even on a terminal.
    pub plain: bool,
    /// Where.
    pub output: Output,
    /// How fast.
    pub pace: Pace,
    /// Colours and letters.
    pub look: Look,
    /// With tones, where the machine has a program that plays them; at [`Pace::REAL`] only.
    pub sound: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            plain: false,
            output: Output::Standard,
            pace: Pace::REAL,
            look: Look::of_process(),
            sound: false,
        }
    }
}

/// What was played.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    /// When it started; `None` if the person left at the first screen.
    pub started: Option<Instant>,
    /// How far it went.
    pub progress: Progress,
    /// How late the cues were.
    pub lateness: Lateness,
}

impl Played {
    /// Whole seconds of the routine that were played.
    pub fn seconds_done(&self) -> u64 {
        self.progress.played.as_secs()
    }

    /// Whole seconds of the routine.
    pub fn total_seconds(&self) -> u64 {
        self.progress.total.as_secs()
    }

    /// Done or partly.
    pub fn outcome(&self) -> Outcome {
        self.progress.outcome
    }
}

/// What the guide tells at the moment it is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// The person started the routine.
    Started(Instant),
    /// It is over; told before any last screen, so that it can be recorded at once.
    Over(Played),
}

/// Plays a routine on this process's terminal, or in plain lines where that was asked for or standard
/// output is no terminal.
///
/// Uses the process's signals and, on a terminal, its standard input; meant to be called once.
///
/// # Errors
/// A timeline without cues ([`io::ErrorKind::InvalidInput`]); a terminal that cannot be taken or
/// written to. What was played until then has been told.
pub fn play(
    timeline: &Timeline,
    words: &GuideWords,
    options: &Options,
    tell: &mut dyn FnMut(&Told),
) -> io::Result<Played> {
    if in_lines(options) {
        return play_lines_here(timeline, words, options, tell);
    }
    let (events, inbox) = mpsc::channel();
    let player = player(timeline, options)?;
    let _signals = signals::Listening::start(events.clone(), true)?;
    let _taken = Taken::take()?;
    let _keys = Keys::start(events)?;
    let canvas = terminal::canvas()?;
    let mut screen =
        Screen::new(canvas, timeline, words, options.look, Hand::OWN).ok_or_else(no_cues)?;
    let mut heard = Sounding::new(&mut screen, tones(timeline, options)?);
    run::run(player, &mut heard, &mut Live::new(inbox), tell)
}

fn in_lines(options: &Options) -> bool {
    let dumb = look::is_dumb(&std::env::var("TERM").unwrap_or_default());
    options.plain || options.output != Output::Standard || dumb || !io::stdout().is_terminal()
}

fn play_lines_here(
    timeline: &Timeline,
    words: &GuideWords,
    options: &Options,
    tell: &mut dyn FnMut(&Told),
) -> io::Result<Played> {
    let (events, inbox) = mpsc::channel();
    let keys = can_be_asked(options.output);
    let _signals = signals::Listening::start(events.clone(), false)?;
    if keys {
        read_lines(events)?;
    }
    let mut out: Box<dyn Write> = match options.output {
        Output::Standard => Box::new(io::stdout()),
        Output::LinesToStandardError => Box::new(io::stderr()),
    };
    play_lines(
        timeline,
        words,
        options,
        &mut *out,
        keys,
        Live::new(inbox),
        tell,
    )
}

/// Plays a routine in plain lines to any output, without keys or signals: it starts at once and runs
/// to its end.
///
/// # Errors
/// A timeline without cues, or an output that cannot be written to; a closed pipe ends it without one.
pub fn play_plain(
    timeline: &Timeline,
    words: &GuideWords,
    options: &Options,
    out: &mut dyn Write,
    tell: &mut dyn FnMut(&Told),
) -> io::Result<Played> {
    let (_events, inbox) = mpsc::channel();
    play_lines(timeline, words, options, out, false, Live::new(inbox), tell)
}

fn play_lines(
    timeline: &Timeline,
    words: &GuideWords,
    options: &Options,
    out: &mut dyn Write,
    keys: bool,
    mut waiter: Live,
    tell: &mut dyn FnMut(&Told),
) -> io::Result<Played> {
    let player = player(timeline, options)?;
    let mut lines = Plain::new(out, timeline, words, options.look.letters, keys);
    let mut heard = Sounding::new(&mut lines, tones(timeline, options)?);
    run::run(player, &mut heard, &mut waiter, tell)
}

fn tones(timeline: &Timeline, options: &Options) -> io::Result<Option<Tones>> {
    if !options.sound || options.pace != Pace::REAL {
        return Ok(None);
    }
    sound::Player::find()
        .map(|player| Tones::start(player, timeline))
        .transpose()
}

fn player<'t>(timeline: &'t Timeline, options: &Options) -> io::Result<Player<'t>> {
    Player::new(timeline, options.pace).ok_or_else(no_cues)
}

fn no_cues() -> io::Error {
    io::Error::new(
        io::ErrorKind::InvalidInput,
        "The routine has no cues. Choose another routine.",
    )
}

/// Whether somebody reads the lines and can answer on standard input: both are terminals, and this
/// process is in the foreground (one in the background would be stopped by reading). A pipe or a file
/// starts at once.
fn can_be_asked(output: Output) -> bool {
    let shown = match output {
        Output::Standard => io::stdout().is_terminal(),
        Output::LinesToStandardError => io::stderr().is_terminal(),
    };
    let input = io::stdin();
    shown
        && input.is_terminal()
        && rustix::termios::tcgetpgrp(&input).is_ok_and(|group| group == rustix::process::getpgrp())
}

/// Sends a key for each line typed.
fn read_lines(events: Sender<Event>) -> io::Result<()> {
    thread::Builder::new()
        .name("keys".to_owned())
        .spawn(move || {
            for line in io::stdin().lock().lines() {
                let press = line.map_or(pacer::Press::End, |line| plain::key_of_line(&line));
                if events.send(Event::Press(press)).is_err() {
                    return;
                }
            }
        })?;
    Ok(())
}
