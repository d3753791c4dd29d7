//! One breathing pattern: its values, and reading them from a file of `routines/patterns/`.

use crate::pure::complaint::Complaint;
use crate::pure::document::{Document, Section};

use super::stretch::sentence;

/// A breathing pattern, milliseconds each.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Inhale; the whole of it where it is taken in two steps.
    pub inhale_ms: u32,
    /// The second, shorter step of a double inhale (part of `inhale_ms`); 0 for one step.
    pub second_inhale_ms: u32,
    /// Hold after the inhale.
    pub hold_ms: u32,
    /// Exhale.
    pub exhale_ms: u32,
    /// Hold after the exhale.
    pub hold_out_ms: u32,
    /// One sentence about it.
    pub about: String,
}

/// Longest hold, seconds. Holds raise the blood pressure; the limit is our own design choice.
pub const LONGEST_HOLD_S: f64 = 7.0;

/// Shortest breath, milliseconds: 15 a minute. Fast deep breathing has no place before sleep (our own
/// design choice).
pub const SHORTEST_CYCLE_MS: u32 = 4_000;

impl Pattern {
    /// Reads a file of `routines/patterns/`; `id` is the file's name without the ending.
    ///
    /// # Errors
    /// Every complaint about the text, in its order.
    pub fn parse(file: &str, id: &str, text: &str) -> Result<Self, Vec<Complaint>> {
        Document::read(file, text, |root| read(root, id))
    }

    /// Length of one breath.
    pub fn cycle_ms(&self) -> u32 {
        self.inhale_ms + self.hold_ms + self.exhale_ms + self.hold_out_ms
    }

    /// Whether the breath is held anywhere.
    pub fn has_holds(&self) -> bool {
        self.hold_ms > 0 || self.hold_out_ms > 0
    }
}

fn read(root: &Section<'_, '_>, id: &str) -> Option<Pattern> {
    let name = sentence(root, "name", "Longer out-breath, 4 and 6");
    let about = sentence(root, "about", "The out-breath is half as long again.");
    let inhale = seconds(root, "inhale", 1.0, 12.0, true);
    let second = seconds(root, "second_inhale", 0.0, 4.0, false);
    let hold = seconds(root, "hold", 0.0, LONGEST_HOLD_S, false);
    let exhale = seconds(root, "exhale", 1.0, 16.0, true);
    let hold_out = seconds(root, "hold_out", 0.0, LONGEST_HOLD_S, false);
    let pattern = Pattern {
        id: id.to_owned(),
        name: name?,
        inhale_ms: inhale? + second?,
        second_inhale_ms: second?,
        hold_ms: hold?,
        exhale_ms: exhale?,
        hold_out_ms: hold_out?,
        about: about?,
    };
    if pattern.cycle_ms() < SHORTEST_CYCLE_MS {
        root.complain(
            &root.place("exhale"),
            "one breath is shorter than 4 seconds",
            "Lengthen inhale or exhale: at most 15 breaths a minute",
        );
    }
    Some(pattern)
}

/// Seconds of the file as milliseconds; a key that need not be there is 0 without it.
fn seconds(root: &Section<'_, '_>, key: &str, least: f64, most: f64, needed: bool) -> Option<u32> {
    if !root.has(key) {
        if needed {
            root.missing(key, format!("Write its seconds, for example {key} = 4"));
            return None;
        }
        return Some(0);
    }
    let written = root.number(key, least..=most)?;
    Some((written.value * 1000.0).round() as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(body: &str) -> Result<Pattern, Vec<String>> {
        let text = format!("name = \"A name\"\nabout = \"A sentence.\"\n{body}\n");
        Pattern::parse("p.toml", "p", &text)
            .map_err(|complaints| complaints.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn seconds_become_milliseconds() {
        let pattern = parse("inhale = 5.5\nexhale = 5.5").expect("reads");
        assert_eq!((pattern.inhale_ms, pattern.exhale_ms), (5_500, 5_500));
        assert_eq!(pattern.cycle_ms(), 11_000);
        assert!(!pattern.has_holds());
    }

    #[test]
    fn a_double_inhale_counts_both_steps() {
        let pattern = parse("inhale = 2\nsecond_inhale = 1\nexhale = 6").expect("reads");
        assert_eq!(
            (pattern.inhale_ms, pattern.second_inhale_ms),
            (3_000, 1_000)
        );
        assert_eq!(pattern.cycle_ms(), 9_000);
    }

    #[test]
    fn holds_end_at_seven_seconds() {
        assert!(parse("inhale = 4\nhold = 7\nexhale = 8").is_ok());
        for key in ["hold", "hold_out"] {
            let said =
                parse(&format!("inhale = 4\n{key} = 7.5\nexhale = 8")).expect_err("too long");
            assert_eq!(said.len(), 1);
            assert!(said[0].starts_with("p.toml:4:"), "{said:?}");
            assert!(said[0].ends_with("Write a number from 0 to 7."), "{said:?}");
        }
    }

    #[test]
    fn fast_breathing_and_missing_steps_are_refused() {
        let said = parse("inhale = 1\nexhale = 1").expect_err("too fast");
        assert!(
            said[0].starts_with("p.toml:4:1: one breath is shorter"),
            "{said:?}"
        );
        let said = parse("inhale = 4").expect_err("no exhale");
        assert!(said[0].contains("exhale is missing"), "{said:?}");
    }
}
