//! The decisions of the service: `(state, plan, now, input) -> actions`.
//!
//! The service itself only waits and carries actions out, in the order given. Everything that decides
//! whether, when and how often something is shown is here, so that years of evenings with every kind
//! of misfortune can be run in a test in seconds.
//!
//! How a prompt is never shown twice and never lost:
//!
//! - [`Action::Record`] of [`Event::Showing`] comes before [`Action::Show`]. Killed in between, the
//!   restarted service finds a showing that nobody confirmed; it does not repeat it, but a reminder (or
//!   one follow-up two minutes later) comes, as it would have come anyway for an unanswered prompt.
//! - What is due is looked up from where the last look ended, so a long sleep skips nothing; what lies
//!   outside its window by then is recorded as missed, not shown.
//! - Late prompts come one at a time, a minute apart; so does what has to go on a new screen.
//! - What the desktop refuses waits until it takes something again; what is held back waits its turn.
//! - Missed is not for ever: where a clock set back, another zone or an edit puts the end of a prompt's
//!   window into the future again, it stands again as it stood before.

mod rules;

use std::collections::{BTreeMap, BTreeSet};

use super::agenda::{Due, Plan};
use super::civil::Instant;
use super::prompt::{Answer, Event, Key, Record, Token};

/// What the service knows between two steps.
#[derive(Clone, Debug, Default)]
pub struct Service {
    /// Every prompt of the recent nights that anything happened to.
    pub records: BTreeMap<Key, Record>,
    /// From where prompts that come once a night are still to be looked up.
    once_from: Option<Instant>,
    /// From where the person's own prompts are still to be looked up.
    own_from: Option<Instant>,
    /// What was due before this instant and left no trace is not called missed.
    promised_from: Option<Instant>,
    /// Prompts that stand open and whose screen is gone: put there once more when there is one.
    off_screen: BTreeSet<Key>,
    /// The desktop took nothing when it was last asked.
    desk_refuses: bool,
    /// Something late waits for its turn.
    holds_back: bool,
    /// When something was last put on the screen.
    last_shown: Option<Instant>,
    /// The instant of the last step, to notice a clock set back.
    last_step: Option<Instant>,
}

/// What reaches the service.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// The service starts.
    Started {
        /// When a service first started for this store; `None` = now. Nothing due before it was promised.
        since: Option<Instant>,
        /// When the service before this one last wrote anything, if it ever did.
        known_until: Option<Instant>,
    },
    /// The timer fired, or the clock or the zone changed.
    Woke,
    /// Settings, block or records changed; the new plan is in the call.
    Reloaded,
    /// The desktop took a showing, or did not.
    ShowResult {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// Where it stands; `Err` = not taken.
        result: Result<Option<Token>, ()>,
    },
    /// The person reacted to a notification, or by a command.
    Reply {
        /// Which prompt.
        key: Key,
        /// How.
        reply: Reply,
    },
    /// A notification server appeared on the bus.
    ServerAppeared,
    /// The notification server went away, and every notification with it.
    ServerGone,
}

/// A reaction of the person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reply {
    /// Begin: the routine, the form, the page.
    Start,
    /// Again in so many minutes.
    Later {
        /// Minutes, at least 1.
        minutes: u32,
    },
    /// Not this time.
    NotTonight,
    /// The morning was as usual.
    AsUsual,
    /// Closed without an answer.
    Dismiss,
    /// It was done (the guide says so).
    Done,
}

/// What the shell is to do, in order.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Write events to the store, all or none of them, before the next action. A kill after it takes none
    /// of them; what is not [about the screen only](Event::is_about_the_screen_only) survives a power
    /// cut too.
    Record {
        /// What happened to which prompt, in order.
        events: Vec<(Key, Event)>,
    },
    /// Put a notification on the screen.
    Show {
        /// The prompt, with its text.
        due: Due,
        /// Which showing, from 1.
        showing: u32,
        /// A notification of it that may still stand and is then replaced.
        replaces: Option<Token>,
    },
    /// Take a notification off the screen.
    Withdraw {
        /// Of which prompt.
        key: Key,
        /// Where it stood when last known.
        token: Option<Token>,
    },
    /// Open what the prompt is about: the guide, the morning's form, today, the week.
    Open {
        /// Which prompt.
        key: Key,
    },
    /// Record a morning as usual, with the planned times, marked as estimated.
    RecordUsualMorning {
        /// Which prompt.
        key: Key,
    },
    /// Wait until then at most.
    WakeAt(
        /// Always later than the step's instant.
        Instant,
    ),
}

impl Service {
    /// A service that remembers what its store remembers.
    pub fn remembering(records: BTreeMap<Key, Record>) -> Self {
        Self {
            records,
            ..Self::default()
        }
    }

    /// One decision: what is to be done, and until when to wait.
    pub fn step(&mut self, plan: &Plan, now: Instant, input: Input) -> Vec<Action> {
        let mut actions = self.act(plan, now, input);
        actions.extend(self.wake(plan, now).map(Action::WakeAt));
        actions
    }

    /// The first half of [`Self::step`]: what is to be done.
    pub fn act(&mut self, plan: &Plan, now: Instant, input: Input) -> Vec<Action> {
        rules::act(self, plan, now, input)
    }

    /// The second half of [`Self::step`], for whoever wants the screen to have a prompt before the next one
    /// is looked for: until when to wait after the step of an instant, always later than it.
    pub fn wake(&self, plan: &Plan, now: Instant) -> Option<Instant> {
        rules::wake(self, plan, now)
    }

    /// Applies a reply and nothing else, for a command while no service runs: it has no screen, so it
    /// may not use up the showing of whatever else is due.
    pub fn answer(&mut self, plan: &Plan, now: Instant, key: &Key, reply: Reply) -> Vec<Action> {
        rules::answer(self, plan, now, key, reply)
    }

    /// The prompt a bare command (`later`, `not-tonight`) answers: the one put on the screen last.
    pub fn standing(&self) -> Option<&Key> {
        rules::standing(self)
    }
}

/// The answer that a reply leaves in the store, if any.
pub fn answer_of(reply: Reply) -> Option<Answer> {
    match reply {
        Reply::Start => Some(Answer::Started),
        Reply::NotTonight => Some(Answer::NotTonight),
        Reply::AsUsual | Reply::Done => Some(Answer::Done),
        Reply::Later { .. } | Reply::Dismiss => None,
    }
}

#[cfg(test)]
mod tests;
