//! What the service does to the desktop, behind a trait so that it can be run without one.

use tokio::sync::mpsc;

use crate::pure::prompt::{Key, Token};
use crate::pure::words::Words;
use crate::shell::notify::Job;

/// The desktop as the service sees it. Nothing here waits: what becomes of a showing is reported
/// later, as an input.
pub trait Desk {
    /// Puts a notification on the screen.
    fn show(&mut self, key: Key, showing: u32, words: Words, replaces: Option<Token>);
    /// A notification that a service before this one put on the screen and that may still stand: what
    /// the person does with it counts.
    fn knows(&mut self, key: Key, showing: u32, token: Option<Token>);
    /// Takes one off the screen.
    fn withdraw(&mut self, key: Key, token: Option<Token>);
    /// Says something that asks for no answer.
    fn say(&mut self, words: Words);
}

/// The real desktop, by way of the task that talks to the bus.
#[derive(Debug)]
pub struct BusDesk(
    /// Where the jobs go.
    pub mpsc::UnboundedSender<Job>,
);

impl Desk for BusDesk {
    fn show(&mut self, key: Key, showing: u32, words: Words, replaces: Option<Token>) {
        let _ = self.0.send(Job::Show {
            key,
            showing,
            words,
            replaces,
        });
    }

    fn knows(&mut self, key: Key, showing: u32, token: Option<Token>) {
        if let Some(token) = token {
            let _ = self.0.send(Job::Knows {
                key,
                showing,
                token,
            });
        }
    }

    fn withdraw(&mut self, key: Key, token: Option<Token>) {
        let _ = self.0.send(Job::Withdraw { key, token });
    }

    fn say(&mut self, words: Words) {
        let _ = self.0.send(Job::Say { words });
    }
}
