//! Signals as events, and stopping oneself.

use std::io;
use std::sync::mpsc::Sender;
use std::thread;

use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
use signal_hook::iterator::{Handle, Signals};

use super::pacer::Event;

/// Sends an event for each signal until dropped. After that the signals stay caught and do nothing:
/// what was done is being recorded then.
pub struct Listening(Handle);

impl Listening {
    /// Catches SIGTERM, SIGINT and SIGHUP, and SIGTSTP and SIGCONT too where `stops` is set.
    ///
    /// # Errors
    /// Where the system refuses a handler.
    pub fn start(events: Sender<Event>, stops: bool) -> io::Result<Self> {
        let mut wanted = vec![SIGTERM, SIGINT, SIGHUP];
        if stops {
            wanted.extend([SIGTSTP, SIGCONT]);
        }
        let mut signals = Signals::new(wanted)?;
        let handle = signals.handle();
        thread::Builder::new()
            .name("signals".to_owned())
            .spawn(move || {
                for signal in signals.forever() {
                    let event = match signal {
                        SIGTSTP => Event::Stop,
                        SIGCONT => Event::Continued,
                        _ => Event::Finish,
                    };
                    if events.send(event).is_err() {
                        return;
                    }
                }
            })?;
        Ok(Self(handle))
    }
}

impl Drop for Listening {
    fn drop(&mut self) {
        self.0.close();
    }
}

/// Stops this process until it is continued. The leader of a session is not stopped: it has no shell
/// that could continue it, and the terminal would hang for good.
pub fn stop_here() -> io::Result<()> {
    if rustix::process::getsid(None).ok() == Some(rustix::process::getpid()) {
        return Ok(());
    }
    signal_hook::low_level::emulate_default_handler(SIGTSTP)
}
