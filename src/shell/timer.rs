//! Waits for an instant of the wall clock.
//!
//! A timer of the runtime counts time awake and sleeps on in a suspended machine. The kernel's
//! real-time timer does neither: it fires at the wall clock's instant, at once if that has passed,
//! and reports when the clock was set or the machine came back from a suspend. Until then the
//! process is not woken at all.

use std::io;

use crate::pure::civil::Instant;

/// Why a wait ended. Either way the caller reads the clock anew: an expiry that falls together with a
/// clock set is reported as the latter only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Woke {
    /// The instant was reached.
    Due,
    /// The clock was set, or the machine was suspended.
    ClockChanged,
}

#[cfg(target_os = "linux")]
mod kernel {
    use rustix::io::Errno;
    use rustix::time::{
        Itimerspec, TimerfdClockId, TimerfdFlags, TimerfdTimerFlags, Timespec, timerfd_create,
        timerfd_settime,
    };

    use super::{Instant, Woke, io};
    use crate::shell::readable::Readable;

    /// The kernel's timer.
    #[derive(Debug)]
    pub struct WallTimer {
        timer: Readable,
    }

    impl WallTimer {
        /// A timer that is not armed.
        pub fn new() -> io::Result<Self> {
            let flags = TimerfdFlags::NONBLOCK | TimerfdFlags::CLOEXEC;
            let timer = timerfd_create(TimerfdClockId::Realtime, flags)?;
            Ok(Self {
                timer: Readable::new(timer)?,
            })
        }

        /// Arms it for an instant; `None` waits for a clock change only.
        pub fn arm(&self, at: Option<Instant>) -> io::Result<()> {
            // All zero would disarm it, and with that also the watch on the clock: a far deadline
            // keeps it.
            let far = 253_402_300_799;
            let seconds = at.map_or(far, |at| at.timestamp().max(1));
            let nanoseconds = at.map_or(0, |at| {
                i64::from(at.timestamp_subsec_nanos().min(999_999_999))
            });
            let value = Timespec {
                tv_sec: seconds,
                tv_nsec: nanoseconds,
            };
            let never = Timespec {
                tv_sec: 0,
                tv_nsec: 0,
            };
            let flags = TimerfdTimerFlags::ABSTIME | TimerfdTimerFlags::CANCEL_ON_SET;
            timerfd_settime(
                self.timer.descriptor(),
                flags,
                &Itimerspec {
                    it_interval: never,
                    it_value: value,
                },
            )?;
            Ok(())
        }

        /// Waits until the instant is reached or the clock changes.
        pub async fn wait(&self) -> io::Result<Woke> {
            self.timer
                .read(
                    |descriptor| match rustix::io::read(descriptor, &mut [0_u8; 8]) {
                        Ok(_) => Ok(Woke::Due),
                        Err(Errno::CANCELED) => Ok(Woke::ClockChanged),
                        Err(error) => Err(error.into()),
                    },
                )
                .await
        }
    }
}

#[cfg(not(target_os = "linux"))]
mod portable {
    use std::cell::Cell;
    use std::time::Duration;

    use super::{Instant, Woke, io};
    use crate::shell::clock::{Clock, SystemClock};

    /// Without the kernel's timer: short naps that compare wall clocks, so that a suspend or a clock
    /// set is noticed within half a minute.
    #[derive(Debug)]
    pub struct WallTimer {
        at: Cell<Option<Instant>>,
    }

    impl WallTimer {
        /// A timer that is not armed.
        pub fn new() -> io::Result<Self> {
            Ok(Self {
                at: Cell::new(None),
            })
        }

        /// Arms it for an instant.
        pub fn arm(&self, at: Option<Instant>) -> io::Result<()> {
            self.at.set(at);
            Ok(())
        }

        /// Waits until the instant is reached.
        pub async fn wait(&self) -> io::Result<Woke> {
            loop {
                let left = self.at.get().map(|at| at - SystemClock.now());
                let Some(left) = left else {
                    std::future::pending::<()>().await;
                    continue;
                };
                let Ok(left) = left.to_std() else {
                    return Ok(Woke::Due);
                };
                tokio::time::sleep(left.min(Duration::from_secs(30))).await;
            }
        }
    }
}

#[cfg(target_os = "linux")]
pub use kernel::WallTimer;
#[cfg(not(target_os = "linux"))]
pub use portable::WallTimer;

#[cfg(test)]
mod tests {
    use chrono::Duration;

    use super::*;
    use crate::shell::clock::{Clock, SystemClock};

    fn run<T>(test: impl Future<Output = T>) -> T {
        tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("runtime")
            .block_on(test)
    }

    #[test]
    fn a_deadline_is_met_and_never_early() {
        run(async {
            let timer = WallTimer::new().expect("timer");
            for _ in 0..5 {
                let at = SystemClock.now() + Duration::milliseconds(30);
                timer.arm(Some(at)).expect("arm");
                assert_eq!(timer.wait().await.expect("wait"), Woke::Due);
                let late = SystemClock.now() - at;
                assert!(late >= Duration::zero(), "early by {late}");
                assert!(late < Duration::seconds(2), "late by {late}");
            }
        });
    }

    #[test]
    fn an_instant_of_the_past_is_due_at_once() {
        run(async {
            let timer = WallTimer::new().expect("timer");
            timer
                .arm(Some(SystemClock.now() - Duration::hours(1)))
                .expect("arm");
            assert_eq!(timer.wait().await.expect("wait"), Woke::Due);
        });
    }

    #[test]
    fn an_unarmed_timer_waits() {
        run(async {
            let timer = WallTimer::new().expect("timer");
            timer.arm(None).expect("arm");
            let waited =
                tokio::time::timeout(std::time::Duration::from_millis(50), timer.wait()).await;
            assert!(waited.is_err(), "it woke without a deadline: {waited:?}");
        });
    }
}
