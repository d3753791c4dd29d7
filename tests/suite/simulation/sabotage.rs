//! A service made wrong on purpose: what the oracle does not notice it does not hold.

use evenfall::pure::civil::Instant;
use evenfall::pure::prompt::{Event, Key};
use evenfall::pure::step::{Action, Input};

use super::weather::Weather;

/// What the service is made to do wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sabotage {
    /// It shows and writes nothing down.
    Forgets,
    /// It shows before it writes down.
    ShowsFirst,
    /// It shows everything twice.
    ShowsTwice,
    /// It writes down and shows nothing.
    ShowsNothing,
    /// It shows a prompt an hour and a half late.
    ShowsLate,
    /// It leaves on the screen what was answered.
    LeavesStanding,
    /// It leaves on the screen what a slow server took after the person had answered.
    LeavesWhatComesLate,
    /// It takes a showing that nobody confirmed for one although the clock was ahead.
    StaysUnconfirmed,
    /// It wakes forty minutes late.
    Oversleeps,
    /// It wants to wake in the past.
    WakesInThePast,
    /// It never wakes again.
    NeverWakes,
}

impl Sabotage {
    /// Every kind.
    pub const ALL: [Self; 11] = [
        Self::Forgets,
        Self::ShowsFirst,
        Self::ShowsTwice,
        Self::ShowsNothing,
        Self::ShowsLate,
        Self::LeavesStanding,
        Self::LeavesWhatComesLate,
        Self::StaysUnconfirmed,
        Self::Oversleeps,
        Self::WakesInThePast,
        Self::NeverWakes,
    ];

    /// When it has to show.
    pub fn weather(self) -> Weather {
        match self {
            Self::LeavesWhatComesLate => Weather::HUNG_AND_IMPATIENT,
            Self::StaysUnconfirmed => Weather::CUT_OFF_BY_A_WRONG_CLOCK,
            _ => Weather::CALM,
        }
    }

    /// Whether the service is to remember what was written instead of what it decided.
    pub fn goes_by_the_store(self) -> bool {
        self == Self::StaysUnconfirmed
    }

    /// What becomes of the actions of a step; `held` are those held back.
    pub fn apply(
        self,
        now: Instant,
        input: &Input,
        actions: Vec<Action>,
        held: &mut Vec<Action>,
    ) -> Vec<Action> {
        match (self, input) {
            (Self::LeavesWhatComesLate, Input::ShowResult { key, .. }) if !key.kind.only_says() => {
                return without_late_withdrawal(key, actions);
            }
            (Self::StaysUnconfirmed, Input::ShowResult { .. }) => return actions,
            (Self::StaysUnconfirmed, _) => return without_undoing(actions),
            _ => {}
        }
        let by = |minutes| chrono::Duration::minutes(minutes);
        let mut done = match self {
            Self::ShowsLate => {
                let over = |action: &Action| matches!(action, Action::Show { due, .. } if now - due.due_at > by(90));
                held.extract_if(.., |action| over(action)).collect()
            }
            _ => Vec::new(),
        };
        for action in actions {
            match (self, action) {
                (Self::Forgets, Action::Record { .. })
                | (Self::ShowsNothing, Action::Show { .. })
                | (Self::LeavesStanding, Action::Withdraw { .. })
                | (Self::NeverWakes, Action::WakeAt(_)) => {}
                (Self::ShowsLate, action @ Action::Show { .. }) => held.push(action),
                (Self::ShowsTwice, action @ Action::Show { .. }) => {
                    done.extend([action.clone(), action]);
                }
                (Self::ShowsFirst, action @ Action::Show { .. }) => done.insert(0, action),
                (Self::Oversleeps, Action::WakeAt(at)) => done.push(Action::WakeAt(at + by(40))),
                (Self::WakesInThePast, Action::WakeAt(_)) => {
                    done.push(Action::WakeAt(now - by(1)));
                }
                (_, action) => done.push(action),
            }
        }
        done
    }
}

/// A step told that a showing was taken, without taking it away where it is not written down as taken.
fn without_late_withdrawal(key: &Key, mut actions: Vec<Action>) -> Vec<Action> {
    let taken = |(of, event): &(Key, Event)| of == key && matches!(event, Event::Shown { .. });
    let stands = actions
        .iter()
        .any(|action| matches!(action, Action::Record { events } if events.iter().any(taken)));
    actions.retain(|action| {
        stands || !matches!(action, Action::Withdraw { key: of, .. } if of == key)
    });
    actions
}

/// A step in which no showing is undone, and nothing follows from its having been undone.
fn without_undoing(mut actions: Vec<Action>) -> Vec<Action> {
    let undone: Vec<Key> = actions
        .iter()
        .flat_map(|action| match action {
            Action::Record { events } => events.as_slice(),
            _ => &[],
        })
        .filter(|(_, event)| matches!(event, Event::NotShown { .. }))
        .map(|(key, _)| key.clone())
        .collect();
    for action in &mut actions {
        if let Action::Record { events } = action {
            events.retain(|(key, event)| {
                !undone.contains(key)
                    || !matches!(event, Event::NotShown { .. } | Event::Showing { .. })
            });
        }
    }
    actions.retain(|action| match action {
        Action::Record { events } => !events.is_empty(),
        Action::Show { due, .. } => !undone.contains(&due.key),
        Action::Withdraw { key, .. } => !undone.contains(key),
        _ => true,
    });
    actions
}
