//! Counts the person's own breaths: a press of the space bar at every in-breath, for half a minute.

use std::time::{Duration, Instant};

use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};

use super::ask::can_ask;
use super::lines::say;
use crate::pure::routine::breath::rate_of;
use crate::shell::failure::Failure;

/// How long breaths are counted.
const COUNTED: Duration = Duration::from_secs(30);

/// Counts, and gives breaths a minute to one decimal.
pub fn breaths_per_min() -> Result<f64, Failure> {
    if !can_ask() {
        return Err(Failure::wrong(
            "Counting needs a terminal. Write the rate instead: breaths_per_min = 12 under [evening] in settings.toml.",
        ));
    }
    say(
        "Sit quietly and breathe as you do. Press the space bar at every in-breath, for 30 seconds; q stops.",
    );
    let trouble = |error: std::io::Error| {
        Failure::failed(format!(
            "The terminal cannot be read: {error}. Nothing was written."
        ))
    };
    enable_raw_mode().map_err(trouble)?;
    let presses = presses();
    let _ = disable_raw_mode();
    println!();
    let presses = presses.map_err(trouble)?;
    let rate = rate_of(&presses).ok_or_else(|| {
        Failure::failed(format!(
            "{} presses in half a minute give no rate of breathing at rest. Try again, one press at every in-breath.",
            presses.len()
        ))
    })?;
    Ok((rate * 10.0).round() / 10.0)
}

fn presses() -> std::io::Result<Vec<Duration>> {
    let begun = Instant::now();
    let mut presses = Vec::new();
    loop {
        let left = COUNTED.saturating_sub(begun.elapsed());
        if left.is_zero() || !event::poll(left)? {
            return Ok(presses);
        }
        let Event::Key(KeyEvent {
            code,
            modifiers,
            kind: KeyEventKind::Press,
            ..
        }) = event::read()?
        else {
            continue;
        };
        match code {
            KeyCode::Char(' ') => {
                presses.push(begun.elapsed());
                print!(".");
                std::io::Write::flush(&mut std::io::stdout())?;
            }
            KeyCode::Char('q') | KeyCode::Esc => return Ok(Vec::new()),
            KeyCode::Char('c') if modifiers.contains(KeyModifiers::CONTROL) => {
                return Ok(Vec::new());
            }
            _ => {}
        }
    }
}
