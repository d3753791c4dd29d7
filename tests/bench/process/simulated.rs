//! The service's own code in virtual time, as the tests run it.

#[path = "../../suite/simulation/machine.rs"]
#[allow(dead_code)]
mod machine;
#[path = "../../suite/simulation/oracle.rs"]
#[allow(dead_code)]
mod oracle;
#[path = "../../suite/simulation/plans.rs"]
#[allow(dead_code)]
mod plans;
#[path = "../../suite/simulation/sabotage.rs"]
#[allow(dead_code)]
mod sabotage;
#[path = "../../suite/simulation/screen.rs"]
#[allow(dead_code)]
mod screen;
#[path = "../../suite/simulation/weather.rs"]
#[allow(dead_code)]
mod weather;

use machine::Machine;
use weather::Weather;

/// As in the tests: the most reminders that any of the plans has.
const MOST_REMINDERS: u32 = 3;

/// Ten years of evenings with a person and a machine as they mostly are; gives the nights.
pub fn ten_years() -> u64 {
    let start = "2026-01-05T08:00:00Z".parse().expect("an instant");
    let mut machine = Machine::new(1, Weather::FAIR, 6, start);
    machine.run(3653);
    assert!(machine.oracle.violations.is_empty());
    machine.counts.nights
}
