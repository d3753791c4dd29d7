//! Playing a timeline: where a person is in it, at any moment of a clock that only goes forward.
//!
//! The clock is not read here. Every call that depends on time takes `now`, the time since some fixed
//! origin on a monotonic clock; a *position* is time within the routine. The two differ by pauses, by
//! skips and by the pace of a rehearsal. All sums are whole nanoseconds counted from the last anchor,
//! so nothing accumulates: a routine of ten minutes ends where its timeline says, to the nanosecond.

use std::time::Duration;

use super::routine::{Cue, Timeline};

mod trace;

#[cfg(test)]
mod tests;

pub use trace::Trace;

/// Going back within this much of the start of a unit goes to the unit before (our own choice).
const BACK_WITHIN: Duration = Duration::from_secs(3);

/// How fast a routine is played: 1 is real time, 60 plays a minute in a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pace {
    thousandths: u32,
}

impl Pace {
    /// Real time.
    pub const REAL: Self = Self { thousandths: 1000 };

    /// A pace from its factor, kept to three decimals; `None` outside 0.1 to 1000.
    pub fn times(factor: f64) -> Option<Self> {
        if !(0.1..=1000.0).contains(&factor) {
            return None;
        }
        Some(Self {
            thousandths: (factor * 1000.0).round() as u32,
        })
    }

    /// How much of the routine is played in some time on the clock.
    fn played(self, elapsed: Duration) -> Duration {
        from_nanos(elapsed.as_nanos() * u128::from(self.thousandths) / 1000)
    }

    /// The least time on the clock in which that much of the routine is played.
    fn elapsed(self, played: Duration) -> Duration {
        from_nanos((played.as_nanos() * 1000).div_ceil(u128::from(self.thousandths)))
    }
}

fn from_nanos(nanos: u128) -> Duration {
    Duration::from_nanos(u64::try_from(nanos).unwrap_or(u64::MAX))
}

/// What the player is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Not started: the first screen.
    Waiting,
    /// Playing since a moment of the clock, from a position.
    Playing {
        /// The moment of the clock.
        since: Duration,
        /// The position at that moment.
        from: Duration,
    },
    /// Standing still.
    Paused {
        /// The position.
        at: Duration,
    },
    /// Over, by reaching the end or by the person's wish.
    Over {
        /// The position where it ended.
        at: Duration,
    },
}

/// Where a position is within its cue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place<'t> {
    /// The cue's index in the timeline.
    pub index: usize,
    /// The cue.
    pub cue: &'t Cue,
    /// Time since its start.
    pub into: Duration,
    /// Time to its end.
    pub left: Duration,
}

/// How a routine came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Every second of it was played.
    Done,
    /// Less was played.
    Partly,
}

impl Outcome {
    /// The word in records and machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Partly => "partly",
        }
    }
}

/// How far a routine was played. Parts played twice count once, parts skipped do not count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Time played.
    pub played: Duration,
    /// The routine's length.
    pub total: Duration,
    /// Played over total, 0 to 1; 0 for an empty routine.
    pub fraction: f64,
    /// Done or partly.
    pub outcome: Outcome,
}

/// Plays one timeline.
#[derive(Clone, Debug)]
pub struct Player<'t> {
    timeline: &'t Timeline,
    pace: Pace,
    state: State,
    played: Spans,
}

impl<'t> Player<'t> {
    /// A player that waits to be started; `None` for a timeline without cues.
    pub fn new(timeline: &'t Timeline, pace: Pace) -> Option<Self> {
        if timeline.cues.is_empty() {
            return None;
        }
        Some(Self {
            timeline,
            pace,
            state: State::Waiting,
            played: Spans::default(),
        })
    }

    /// The timeline that is played.
    pub fn timeline(&self) -> &'t Timeline {
        self.timeline
    }

    /// What it is doing.
    pub fn state(&self) -> State {
        self.state
    }

    /// Whether time runs.
    pub fn is_playing(&self) -> bool {
        matches!(self.state, State::Playing { .. })
    }

    /// Whether it is over.
    pub fn is_over(&self) -> bool {
        matches!(self.state, State::Over { .. })
    }

    /// The routine's length.
    pub fn total(&self) -> Duration {
        Duration::from_millis(self.timeline.total_ms)
    }

    /// Starts, or goes on after a pause. Changes nothing while playing or when over.
    pub fn start(&mut self, now: Duration) {
        match self.state {
            State::Waiting => {
                self.state = State::Playing {
                    since: now,
                    from: Duration::ZERO,
                }
            }
            State::Paused { at } => {
                self.state = State::Playing {
                    since: now,
                    from: at,
                }
            }
            State::Playing { .. } | State::Over { .. } => {}
        }
    }

    /// Stands still at the position of `now`. Changes nothing unless playing.
    pub fn pause(&mut self, now: Duration) {
        if self.is_playing() {
            self.move_to(now, self.position(now));
            if let State::Playing { from, .. } = self.state {
                self.state = State::Paused { at: from };
            }
        }
    }

    /// The position at a moment of the clock, never beyond the end.
    pub fn position(&self, now: Duration) -> Duration {
        match self.state {
            State::Waiting => Duration::ZERO,
            State::Playing { since, from } => {
                let played = self.pace.played(now.saturating_sub(since));
                from.saturating_add(played).min(self.total())
            }
            State::Paused { at } | State::Over { at } => at,
        }
    }

    /// The moment of the clock at which a position is reached: an absolute deadline. `None` unless
    /// playing, and for positions already behind the last anchor.
    pub fn deadline(&self, position: Duration) -> Option<Duration> {
        let State::Playing { since, from } = self.state else {
            return None;
        };
        Some(since + self.pace.elapsed(position.checked_sub(from)?))
    }

    /// Ends it when the end is reached; gives the position.
    pub fn tick(&mut self, now: Duration) -> Duration {
        let position = self.position(now);
        if self.is_playing() && position >= self.total() {
            self.end(now);
        }
        position
    }

    /// Ends it where it is.
    pub fn end(&mut self, now: Duration) {
        let at = self.position(now);
        if !self.is_over() {
            self.move_to(now, at);
            self.state = State::Over { at };
        }
    }

    /// Goes to the start of the next unit (a held side with its getting ready, or a breath); from the
    /// last unit it goes to the end. Changes nothing before the start or when over.
    pub fn skip(&mut self, now: Duration) {
        if matches!(self.state, State::Waiting | State::Over { .. }) {
            return;
        }
        let position = self.position(now);
        let next = self
            .units()
            .find(|start| *start > position)
            .unwrap_or(self.total());
        self.move_to(now, next);
        if next >= self.total() {
            self.state = State::Over { at: next };
        }
    }

    /// Goes to the start of this unit, or of the one before when this one has just begun. Changes
    /// nothing before the start or when over.
    pub fn back(&mut self, now: Duration) {
        let position = self.position(now);
        let mut starts: Vec<Duration> = self.units().filter(|start| *start <= position).collect();
        let here = starts.pop().unwrap_or_default();
        let just_begun = position - here < BACK_WITHIN;
        let target = if just_begun {
            starts.pop().unwrap_or(here)
        } else {
            here
        };
        self.move_to(now, target);
    }

    /// The cue at a position: the last one that has begun.
    pub fn place(&self, position: Duration) -> Place<'t> {
        let cues = &self.timeline.cues;
        let begun = cues.partition_point(|cue| starts_at(cue) <= position);
        let index = begun.saturating_sub(1);
        let cue = &cues[index];
        let into = position.saturating_sub(starts_at(cue));
        let left = Duration::from_millis(cue.for_ms).saturating_sub(into);
        Place {
            index,
            cue,
            into,
            left,
        }
    }

    /// How far it was played up to `now`.
    pub fn progress(&self, now: Duration) -> Progress {
        let mut spans = self.played.clone();
        if let State::Playing { from, .. } = self.state {
            spans.add(from, self.position(now));
        }
        let total = self.total();
        let played = spans.sum();
        let fraction = if total.is_zero() {
            0.0
        } else {
            (played.as_secs_f64() / total.as_secs_f64()).min(1.0)
        };
        let done = !total.is_zero() && played.as_secs() >= total.as_secs();
        let outcome = if done { Outcome::Done } else { Outcome::Partly };
        Progress {
            played,
            total,
            fraction,
            outcome,
        }
    }

    /// Keeps what was played so far and anchors at another position.
    fn move_to(&mut self, now: Duration, target: Duration) {
        match self.state {
            State::Playing { from, .. } => {
                self.played.add(from, self.position(now));
                self.state = State::Playing {
                    since: now,
                    from: target,
                };
            }
            State::Paused { .. } => self.state = State::Paused { at: target },
            State::Waiting | State::Over { .. } => {}
        }
    }

    /// Starts of the units, in order: cues of the same step or breath belong together.
    fn units(&self) -> impl Iterator<Item = Duration> {
        let cues = &self.timeline.cues;
        let key = |cue: &Cue| (cue.step, cue.breath);
        (0..cues.len())
            .filter(move |&index| index == 0 || key(&cues[index]) != key(&cues[index - 1]))
            .map(move |index| starts_at(&cues[index]))
    }
}

fn starts_at(cue: &Cue) -> Duration {
    Duration::from_millis(cue.at_ms)
}

/// Stretches of positions, ordered and apart from each other.
#[derive(Clone, Debug, Default)]
struct Spans(Vec<(Duration, Duration)>);

impl Spans {
    fn add(&mut self, from: Duration, to: Duration) {
        if from >= to {
            return;
        }
        self.0.push((from, to));
        self.0.sort_unstable();
        let mut apart: Vec<(Duration, Duration)> = Vec::with_capacity(self.0.len());
        for &(from, to) in &self.0 {
            match apart.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(to),
                _ => apart.push((from, to)),
            }
        }
        self.0 = apart;
    }

    fn sum(&self) -> Duration {
        self.0.iter().map(|(from, to)| *to - *from).sum()
    }
}
