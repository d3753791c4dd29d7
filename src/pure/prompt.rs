//! Prompts: what can be shown, what happened to it, and the state that follows from what happened.
//!
//! Everything that happens to a prompt is an [`Event`]; events are only ever added to the store. The
//! [`Record`] of a prompt is a fold over its events, so a restarted service knows what the one before
//! it knew.

use std::fmt;

use chrono::Duration;
use serde::{Deserialize, Serialize};

use super::civil::{Instant, Night};

/// The kinds of prompts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The evening's routine is about to begin.
    WindDown,
    /// Lights out now.
    LightsOut,
    /// The morning's record.
    Morning,
    /// Today's session as suggested.
    Session,
    /// The look back over the week.
    WeekReview,
    /// The person's own.
    Own,
}

impl Kind {
    /// Every kind with its word in files and machine output, the more pressing first.
    pub const ALL: [(&'static str, Self); 6] = [
        ("wind_down", Self::WindDown),
        ("lights_out", Self::LightsOut),
        ("morning", Self::Morning),
        ("session", Self::Session),
        ("week_review", Self::WeekReview),
        ("own", Self::Own),
    ];

    /// The word in files and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The kind with a word.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(known, _)| *known == id)
            .map(|(_, kind)| *kind)
    }

    /// Whether showing it is all there is to it: nothing is asked, so nothing is left open.
    pub fn only_says(self) -> bool {
        matches!(self, Self::LightsOut | Self::Own)
    }
}

/// Which prompt: one kind for one night. Only a person's own prompts can come several times a night
/// and then have a slot each.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// The kind.
    pub kind: Kind,
    /// The night it belongs to.
    pub night: Night,
    /// Empty but for own prompts: the wall time it was planned for, and what it says.
    pub slot: String,
}

impl Key {
    /// The key of a kind that comes once a night.
    pub fn once(kind: Kind, night: Night) -> Self {
        Self {
            kind,
            night,
            slot: String::new(),
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} of {}", self.kind.id(), self.night)?;
        if self.slot.is_empty() {
            Ok(())
        } else {
            write!(f, " ({})", self.slot)
        }
    }
}

/// The person's answer to a prompt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// The routine, form or page was opened.
    Started,
    /// Not this time.
    NotTonight,
    /// It was done.
    Done,
}

/// A notification as the desktop knows it: ids repeat when the server starts anew, so an id means
/// something only together with the server's unique name on the bus.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Token {
    /// Unique bus name of the server that shows it.
    pub server: String,
    /// Its id there.
    pub id: u32,
}

/// Something that happened to a prompt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum Event {
    /// It is about to be shown for the `showing`-th time. Written before the desktop is asked, so
    /// that a kill in between can never show it twice.
    Showing {
        /// Counted from 1.
        showing: u32,
    },
    /// The desktop took it.
    Shown {
        /// Which showing.
        showing: u32,
        /// Where it stands.
        token: Option<Token>,
    },
    /// The desktop did not take it (no server, no bus, no answer in time).
    NotShown {
        /// Which showing.
        showing: u32,
    },
    /// The person wants it later.
    Later {
        /// When it comes again.
        until: Instant,
    },
    /// The person closed it without an answer.
    Dismissed,
    /// The person answered.
    Answered {
        /// How.
        answer: Answer,
    },
    /// Its time passed.
    Missed,
    /// Its time is not over after all: a clock set back, another zone or an edit brought it back. It
    /// stands again as it stood before it was called missed.
    Reopened,
}

impl Event {
    /// Whether it tells of the screen and of nothing else. That has to survive a killed process, whose
    /// notification goes on standing; it need not survive a power cut, which takes the notification along:
    /// what is forgotten with it is due again.
    pub fn is_about_the_screen_only(&self) -> bool {
        matches!(
            self,
            Self::Showing { .. } | Self::Shown { .. } | Self::NotShown { .. }
        )
    }
}

/// Where a prompt stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Not shown yet, or not taken by the desktop.
    Waiting,
    /// On the screen, or once put there, and without an answer.
    Open {
        /// When it was last put there.
        since: Instant,
        /// The desktop said that it took it.
        confirmed: bool,
        /// Where it stands, if the desktop said so.
        token: Option<Token>,
        /// Closed by the person: only a reminder brings it back.
        dismissed: bool,
    },
    /// Comes again at an instant the person chose.
    Postponed {
        /// That instant.
        until: Instant,
    },
    /// Answered; final but for `started` becoming `done`.
    Answered {
        /// How.
        answer: Answer,
    },
    /// Missed.
    Missed {
        /// When that was noticed.
        noticed: Instant,
        /// How it stood until then.
        before: Box<Standing>,
    },
}

/// What is known of one prompt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// Where it stands.
    pub standing: Standing,
    /// How many showings were begun in all.
    pub showings: u32,
    /// How many of them since the person last said "later": what the reminders count by.
    pub since_later: u32,
    /// The desktop refused the last showing; it is tried again when a server appears.
    pub refused: bool,
    /// The notification that may be left on the screen: by an answer that came while no service ran, or
    /// by a kill before the one in its place was asked for.
    pub left: Option<Token>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            standing: Standing::Waiting,
            showings: 0,
            since_later: 0,
            refused: false,
            left: None,
        }
    }
}

impl Record {
    /// Adds what happened at an instant.
    pub fn apply(&mut self, at: Instant, event: &Event) {
        match event {
            Event::Showing { showing } => {
                if *showing > self.showings {
                    self.showings = *showing;
                    self.since_later += 1;
                }
                self.refused = false;
                // What was put off or not shown was taken away; what stood open is replaced.
                if !matches!(self.standing, Standing::Open { .. }) {
                    self.left = None;
                }
                self.standing = Standing::Open {
                    since: at,
                    confirmed: false,
                    token: None,
                    dismissed: false,
                };
            }
            Event::Shown { token: shown, .. } => {
                if let Standing::Open {
                    confirmed, token, ..
                } = &mut self.standing
                {
                    *confirmed = true;
                    *token = shown.clone();
                    self.left = shown.clone();
                }
            }
            Event::NotShown { .. } => {
                if matches!(
                    self.standing,
                    Standing::Open {
                        confirmed: false,
                        ..
                    }
                ) {
                    self.standing = Standing::Waiting;
                    self.refused = true;
                    self.since_later = self.since_later.saturating_sub(1);
                }
            }
            Event::Later { until } => {
                self.standing = Standing::Postponed { until: *until };
                self.since_later = 0;
            }
            Event::Dismissed => {
                if let Standing::Open {
                    confirmed,
                    dismissed,
                    token,
                    ..
                } = &mut self.standing
                {
                    // What was closed was there.
                    *confirmed = true;
                    *dismissed = true;
                    *token = None;
                    self.left = None;
                }
            }
            Event::Answered { answer } => {
                // "Done" is the last word: a late "not tonight" from an old popup does not undo it.
                if !matches!(
                    self.standing,
                    Standing::Answered {
                        answer: Answer::Done
                    }
                ) {
                    self.standing = Standing::Answered { answer: *answer };
                }
            }
            Event::Missed => self.miss(at),
            Event::Reopened => self.reopen(),
        }
    }

    fn miss(&mut self, noticed: Instant) {
        if matches!(self.standing, Standing::Missed { .. }) {
            return;
        }
        self.left = None;
        let before = Box::new(std::mem::replace(&mut self.standing, Standing::Waiting));
        self.standing = Standing::Missed { noticed, before };
    }

    fn reopen(&mut self) {
        let Standing::Missed { before, .. } = &self.standing else {
            return;
        };
        self.standing = (**before).clone();
        // Calling it missed took it off the screen.
        if let Standing::Open { token, .. } = &mut self.standing {
            *token = None;
        }
    }

    /// The record that follows from events in order.
    pub fn of<'e>(events: impl IntoIterator<Item = (Instant, &'e Event)>) -> Self {
        let mut record = Self::default();
        for (at, event) in events {
            record.apply(at, event);
        }
        record
    }

    /// Whether it waits for an answer, on the screen or put off.
    pub fn waits(&self) -> bool {
        matches!(
            self.standing,
            Standing::Open { .. } | Standing::Postponed { .. }
        )
    }

    /// Whether it stands on a screen as far as anybody knows: put there, taken by the desktop, not
    /// closed and not answered.
    pub fn stands(&self) -> bool {
        matches!(
            self.standing,
            Standing::Open {
                confirmed: true,
                dismissed: false,
                ..
            }
        )
    }

    /// The notification of it that may stand on the screen: the newest that the desktop told of. Nothing
    /// where the person closed it.
    pub fn notification(&self) -> Option<&Token> {
        match &self.standing {
            Standing::Open {
                dismissed: false,
                token,
                ..
            } => token.as_ref().or(self.left.as_ref()),
            _ => None,
        }
    }

    /// Whether nothing more is to come.
    pub fn is_settled(&self) -> bool {
        matches!(
            self.standing,
            Standing::Answered { .. } | Standing::Missed { .. }
        )
    }

    /// When it is to be shown (again), given when it is due and the minutes of its reminders.
    /// `None` while nothing more is to come.
    ///
    /// Never before it is due: a flight west or an edit can move that behind a reminder or behind what
    /// the person asked for, and the plan counts.
    pub fn next_showing(&self, due_at: Instant, remind: &[u32]) -> Option<Instant> {
        self.wanted_showing(due_at, remind).map(|at| at.max(due_at))
    }

    fn wanted_showing(&self, due_at: Instant, remind: &[u32]) -> Option<Instant> {
        match &self.standing {
            Standing::Waiting => Some(due_at),
            Standing::Postponed { until } => Some(*until),
            Standing::Open {
                since, confirmed, ..
            } => {
                let reminder =
                    usize::try_from(self.since_later.saturating_sub(1)).unwrap_or(usize::MAX);
                match remind.get(reminder) {
                    Some(minutes) => Some(*since + Duration::minutes(i64::from(*minutes))),
                    // Killed between asking the desktop and its answer: nobody knows whether the
                    // person saw it. One more showing a little later, as a reminder would be.
                    None if !confirmed && self.since_later <= 1 => {
                        Some(*since + Duration::minutes(2))
                    }
                    None => None,
                }
            }
            Standing::Answered { .. } | Standing::Missed { .. } => None,
        }
    }
}
