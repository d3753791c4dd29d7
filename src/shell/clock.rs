//! The only place that reads a clock.

use std::time::SystemTime;

use crate::pure::civil::Instant;

/// Tells the instant: the system's, or one that was given for a rehearsal or a test.
pub trait Clock {
    /// Now.
    fn now(&self) -> Instant;
}

/// The system's clock.
#[derive(Clone, Copy, Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> Instant {
        Instant::from(SystemTime::now())
    }
}

/// A clock that stands still.
#[derive(Clone, Copy, Debug)]
pub struct FixedClock(
    /// Where it stands.
    pub Instant,
);

impl Clock for FixedClock {
    fn now(&self) -> Instant {
        self.0
    }
}
