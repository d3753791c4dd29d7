//! How late the call of `Notify` comes after the due instant, and how late others are in the same minutes.

mod others;

use std::time::Duration;

use chrono::{DateTime, Utc};

use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::Service;

use super::figures::{Times, head};
use super::peers::{self, Ended};
use others::Others;

/// How many prompts, one a second; `EVENFALL_PROMPTS` changes it. That is also how many lines of its own the
/// settings have, all of which are looked through.
fn prompts() -> u32 {
    super::setting("EVENFALL_PROMPTS", 300)
}

/// Prints the table of a quiet machine.
pub fn quiet() {
    head("lateness, quiet");
    minutes();
}

/// Prints the table of a machine with both processors busy.
pub fn busy() {
    head("lateness, both processors busy");
    let _busy: Vec<Ended> = (0..2).map(|_| peers::busy()).collect();
    minutes();
}

/// One span in which evenfall and all others have something due.
fn minutes() {
    let home = Home::new();
    let begin = Utc::now() + chrono::Duration::seconds(10);
    home.write("settings.toml", &settings(begin));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let span = Duration::from_secs(u64::from(prompts()) + 10);
    let others = Others::start(span);
    std::thread::sleep(span + Duration::from_secs(5));
    let mut times = Times::default();
    for shown in server.shown() {
        let due = shown.body.parse().ok();
        if let Some(due) = due.and_then(|at| DateTime::<Utc>::from_timestamp(at, 0)) {
            times.add_ms(milliseconds(shown.at - due));
        }
    }
    times.row("evenfall: Notify called", None);
    others.rows(&times);
    assert_eq!(times.count(), prompts() as usize, "prompts are missing");
}

/// One own prompt a second.
fn settings(begin: DateTime<Utc>) -> String {
    let mut settings = String::from(
        "timezone = \"UTC\"\n[prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\n[page]\non = false\n",
    );
    for second in 0..prompts() {
        let due = begin + chrono::Duration::seconds(i64::from(second));
        settings.push_str(&format!(
            "[[prompts.own]]\nwhen = \"{}\"\ntext = \"{}\"\n",
            due.format("%S %M %H %d %m *"),
            due.timestamp()
        ));
    }
    settings
}

fn milliseconds(time: chrono::Duration) -> f64 {
    time.num_microseconds().unwrap_or(0) as f64 / 1000.0
}
