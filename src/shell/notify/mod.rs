//! Desktop notifications, following the Desktop Notifications Specification.
//!
//! One connection to the bus sends, and hears what comes of it. It is made for what notification servers do
//! in practice:
//!
//! - a server that dies takes every notification along and answers nothing more: its name on the bus is
//!   watched;
//! - a server that hangs answers no call: nothing waits for it. A showing that takes long is left alone as
//!   unconfirmed, and its answer is taken whenever it comes;
//! - an answer can arrive before the id of the notification is known: signals are listened to before
//!   anything is shown, and kept while a showing is under way;
//! - ids start again at 1 with the server: an id counts only together with the server's unique name;
//! - some servers tell the sender of a notification alone what became of it, and some take a notification
//!   away with the connection that sent it: the connection is the same for all of them and stays;
//! - a prompt is due at an instant: what a server can do is asked before, and the call is all that is left.

mod desk;
mod listen;
mod screen;
mod send;

use std::time::Duration;

use tokio::sync::mpsc;

use crate::pure::prompt::{Key, Token};
use crate::pure::words::Words;

use desk::Desk;
pub use screen::{Screen, screen};

const SERVICE: &str = "org.freedesktop.Notifications";
const OBJECT: &str = "/org/freedesktop/Notifications";
/// How long one call to the bus may take before the evening goes on without it.
const PATIENCE: Duration = Duration::from_secs(5);
/// Signals kept for a notification whose id is not known yet.
const KEPT: usize = 64;

/// What the service asks of the desktop.
#[derive(Debug)]
pub enum Job {
    /// Put a notification on the screen.
    Show {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// What it says.
        words: Words,
        /// A notification that may still stand and is then replaced.
        replaces: Option<Token>,
    },
    /// One that was put there by a service before this one: reactions to it count.
    Knows {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// Where it stood when last known.
        token: Token,
    },
    /// Take it off the screen.
    Withdraw {
        /// Which prompt.
        key: Key,
        /// Which of them, if there may be several; else the one that stands.
        token: Option<Token>,
    },
    /// Say something that asks for no answer and is kept nowhere.
    Say {
        /// What.
        words: Words,
    },
}

/// What the desktop reports.
#[derive(Debug)]
pub enum Report {
    /// A showing was taken, or was not.
    Shown {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// Where it stands; the error in words.
        result: Result<Option<Token>, String>,
    },
    /// The person pressed a button, clicked the body, or closed it.
    Reacted {
        /// Which prompt.
        key: Key,
        /// The key of the button; `None` = closed.
        button: Option<String>,
    },
    /// A notification server appeared.
    ServerAppeared,
    /// The notification server went away.
    ServerGone,
    /// At the start nothing on this desktop could show a notification: why, in words.
    NothingShows(String),
}

/// Runs the desktop's side until `jobs` ends.
pub async fn run(mut jobs: mpsc::UnboundedReceiver<Job>, reports: mpsc::UnboundedSender<Report>) {
    let (raw, mut raws) = mpsc::unbounded_channel();
    let mut desk = Desk::new(raw, reports);
    desk.connect().await;
    desk.say_what_is_missing().await;
    loop {
        tokio::select! {
            job = jobs.recv() => match job {
                Some(job) => desk.take(job).await,
                None => break,
            },
            Some(raw) = raws.recv() => desk.notice(raw).await,
        }
    }
}
