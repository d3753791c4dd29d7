//! Waiting for cues: absolute deadlines on the monotonic clock, keys and signals in between, how late
//! each cue was, and noticing that the machine slept.
//!
//! One thread waits, draws and answers; keys and signals come from threads of their own through a
//! channel. Each wait ends at an absolute moment worked out from the routine's start, so lateness of
//! one cue never moves the next.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant as Monotonic, SystemTime};

use chrono::TimeDelta;

use crate::pure::civil::Instant;

/// A gap longer than this between what the clocks did and what they should have done is an
/// interruption: the machine slept, the clock was set, or the program was stopped.
const GAP: Duration = Duration::from_secs(2);

/// Both clocks at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// Time since the guide began, on a clock that never goes back and stands still in suspend.
    pub elapsed: Duration,
    /// The time of day as the machine has it.
    pub wall: Instant,
}

/// A key, by what it is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Press {
    /// Start.
    Enter,
    /// Start, pause, go on.
    Space,
    /// Back to the start of this unit or the one before.
    Back,
    /// On to the next unit.
    Skip,
    /// End and record.
    End,
    /// The list of keys.
    Help,
    /// Scroll up.
    Up,
    /// Scroll down.
    Down,
    /// Draw everything again.
    Redraw,
    /// Any other.
    Other,
}

/// What can come in while waiting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// A key.
    Press(Press),
    /// The terminal has another size.
    Resize,
    /// The person or the system wants the program stopped for a while (SIGTSTP, Ctrl-Z).
    Stop,
    /// The program was continued after a stop that it may not have seen (SIGCONT).
    Continued,
    /// The program has to end (SIGTERM, SIGINT, SIGHUP), or nobody can press a key any more.
    Finish,
}

/// Why a wait ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Woke {
    /// The deadline is here.
    Due,
    /// Something came in before.
    Event(Event),
}

/// Reads the clocks and waits.
pub trait Waiter {
    /// Both clocks now.
    fn read(&self) -> Reading;

    /// Waits for an event, at most until a moment of the monotonic clock.
    fn wait(&mut self, until: Option<Duration>) -> Woke;
}

/// The real clocks and a channel of events.
pub struct Live {
    origin: Monotonic,
    events: Receiver<Event>,
    closed: bool,
}

impl Live {
    /// Waits on the real clocks; events come through `events`. When all its senders are gone, only
    /// deadlines end a wait.
    pub fn new(events: Receiver<Event>) -> Self {
        Self {
            origin: Monotonic::now(),
            events,
            closed: false,
        }
    }
}

impl Waiter for Live {
    fn read(&self) -> Reading {
        Reading {
            elapsed: self.origin.elapsed(),
            wall: SystemTime::now().into(),
        }
    }

    fn wait(&mut self, until: Option<Duration>) -> Woke {
        let Some(until) = until else {
            return Woke::Event(self.events.recv().unwrap_or(Event::Finish));
        };
        loop {
            let left = until.saturating_sub(self.origin.elapsed());
            if self.closed {
                std::thread::sleep(left);
                return Woke::Due;
            }
            match self.events.recv_timeout(left) {
                Ok(event) => return Woke::Event(event),
                Err(RecvTimeoutError::Timeout) => return Woke::Due,
                Err(RecvTimeoutError::Disconnected) => self.closed = true,
            }
        }
    }
}

/// Notices that the clocks did not go on together, or that a wake-up came far too late.
#[derive(Debug)]
pub struct Watch {
    last: Reading,
}

impl Watch {
    /// Starts watching.
    pub fn new(now: Reading) -> Self {
        Self { last: now }
    }

    /// The moment at which the routine has to stand still, if it was interrupted since the last
    /// reading; `due` is when this wake-up was to come at the latest.
    pub fn interrupted(&mut self, now: Reading, due: Option<Duration>) -> Option<Duration> {
        let elapsed = now.elapsed.saturating_sub(self.last.elapsed);
        let wall = now.wall - self.last.wall;
        self.last = now;
        let expected = TimeDelta::from_std(elapsed).unwrap_or(TimeDelta::MAX);
        let apart = (wall - expected).abs() > TimeDelta::from_std(GAP).unwrap_or(TimeDelta::MAX);
        match due {
            Some(due) if now.elapsed > due + GAP => Some(due),
            _ => apart.then_some(now.elapsed),
        }
    }
}

/// How late cues were.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lateness(Vec<Duration>);

impl Lateness {
    /// Takes down one cue: the time from its deadline to the moment when it had been shown.
    pub fn add(&mut self, late: Duration) {
        self.0.push(late);
    }

    /// How many cues were taken down.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// The lateness that this share of the cues (0 to 1) did not exceed: nearest rank, zero for none.
    pub fn quantile(&self, share: f64) -> Duration {
        let mut sorted = self.0.clone();
        sorted.sort_unstable();
        let rank = (share.clamp(0.0, 1.0) * sorted.len() as f64).ceil() as usize;
        sorted
            .get(rank.saturating_sub(1))
            .copied()
            .unwrap_or_default()
    }

    /// Drift: median lateness of the last tenth of the cues less that of the first tenth, in
    /// microseconds. Near zero where deadlines are absolute; growing with the routine's length where
    /// waits add up.
    pub fn drift_us(&self) -> i64 {
        let tenth = self.0.len().div_ceil(10);
        let median = |cues: &[Duration]| {
            let half = Self(cues.to_vec()).quantile(0.5);
            i64::try_from(half.as_micros()).unwrap_or(i64::MAX)
        };
        median(&self.0[self.0.len() - tenth..]) - median(&self.0[..tenth])
    }

    /// One line with the numbers, for measurements.
    pub fn sentence(&self) -> String {
        let [p50, p99, max] = [0.5, 0.99, 1.0].map(|share| self.quantile(share).as_micros());
        format!(
            "{} cues, lateness p50 {p50} us, p99 {p99} us, max {max} us, drift {} us",
            self.count(),
            self.drift_us()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(elapsed_ms: u64, wall_ms: i64) -> Reading {
        let wall = chrono::DateTime::from_timestamp_millis(wall_ms).expect("in range");
        Reading {
            elapsed: Duration::from_millis(elapsed_ms),
            wall,
        }
    }

    #[test]
    fn a_suspend_shows_as_wall_time_running_ahead() {
        let mut watch = Watch::new(reading(0, 0));
        assert_eq!(watch.interrupted(reading(1000, 1000), None), None);
        assert_eq!(
            watch.interrupted(reading(2000, 3900), None),
            None,
            "1.9 s is no suspend"
        );
        let now = reading(3000, 600_000);
        assert_eq!(watch.interrupted(now, None), Some(Duration::from_secs(3)));
        assert_eq!(
            watch.interrupted(reading(4000, 601_000), None),
            None,
            "said once"
        );
        assert!(
            watch.interrupted(reading(5000, 0), None).is_some(),
            "a clock set back"
        );
    }

    #[test]
    fn a_stopped_program_stands_where_it_should_have_woken() {
        let mut watch = Watch::new(reading(0, 0));
        let due = Duration::from_secs(5);
        assert_eq!(watch.interrupted(reading(7000, 7000), Some(due)), None);
        assert_eq!(
            watch.interrupted(reading(90_000, 90_000), Some(due)),
            Some(due)
        );
    }

    #[test]
    fn quantiles_are_nearest_rank_and_drift_compares_the_ends() {
        let mut late = Lateness::default();
        assert_eq!((late.quantile(0.5), late.drift_us()), (Duration::ZERO, 0));
        for us in 1..=100 {
            late.add(Duration::from_micros(us));
        }
        let us = |share| late.quantile(share).as_micros();
        assert_eq!((us(0.0), us(0.5), us(0.99), us(1.0)), (1, 50, 99, 100));
        assert_eq!(late.drift_us(), 95 - 5);
    }

    #[test]
    fn waiting_ends_at_the_deadline_even_when_nobody_can_write_any_more() {
        let (sender, events) = std::sync::mpsc::channel();
        let mut live = Live::new(events);
        sender.send(Event::Resize).expect("open");
        assert_eq!(live.wait(None), Woke::Event(Event::Resize));
        drop(sender);
        let until = live.read().elapsed + Duration::from_millis(5);
        assert_eq!(live.wait(Some(until)), Woke::Due);
        assert!(live.read().elapsed >= until);
        assert_eq!(live.wait(None), Woke::Event(Event::Finish));
    }
}
