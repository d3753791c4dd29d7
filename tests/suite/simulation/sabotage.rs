//! A service made wrong on purpose: what the oracle does not notice it does not hold.

use evenfall::pure::civil::Instant;
use evenfall::pure::step::Action;

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
    /// It wakes forty minutes late.
    Oversleeps,
    /// It wants to wake in the past.
    WakesInThePast,
    /// It never wakes again.
    NeverWakes,
}

impl Sabotage {
    /// Every kind.
    pub const ALL: [Self; 9] = [
        Self::Forgets,
        Self::ShowsFirst,
        Self::ShowsTwice,
        Self::ShowsNothing,
        Self::ShowsLate,
        Self::LeavesStanding,
        Self::Oversleeps,
        Self::WakesInThePast,
        Self::NeverWakes,
    ];

    /// What becomes of the actions of a step; `held` are those held back.
    pub fn apply(self, now: Instant, actions: Vec<Action>, held: &mut Vec<Action>) -> Vec<Action> {
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
