//! The real timer of the kernel. Deadlines, and instants of the past, are tried beside its code; here what
//! needs the right to set the clock.

use std::time::Duration;

use evenfall::pure::civil::Instant;
use evenfall::shell::timer::{WallTimer, Woke};
use rustix::time::{ClockId, clock_gettime, clock_settime};

use crate::support::not_tested;

/// The clock is set to what it says, a microsecond or so late: to the kernel that is a clock set like any
/// other (timerfd_create(2), TFD_TIMER_CANCEL_ON_SET), and to everybody else nothing.
#[test]
fn a_clock_set_is_noticed_at_once() {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("runtime");
    runtime.block_on(async {
        let timer = WallTimer::new().expect("timer");
        let tomorrow: Instant = chrono::Utc::now() + chrono::Duration::days(1);
        for deadline in [Some(tomorrow), None] {
            timer.arm(deadline).expect("armed");
            if let Err(error) = clock_settime(ClockId::Realtime, clock_gettime(ClockId::Realtime)) {
                return not_tested(
                    &format!("a clock set ({error})"),
                    "Run it as root where the clock may be set",
                );
            }
            let woke = tokio::time::timeout(Duration::from_secs(5), timer.wait()).await;
            let woke = woke.expect("it is woken by the clock set").expect("wait");
            assert_eq!(woke, Woke::ClockChanged, "{deadline:?}");
        }
    });
}
