//! The arithmetic of breathing patterns, who holds the breath, and the slow lengthening.

use std::collections::BTreeSet;
use std::time::Duration;

use crate::pure::avoid::Avoid;

use super::library::Library;
use super::pattern::Pattern;
use super::safety::ASK_CLINICIAN;
use super::timeline::CueKind;

/// Shortest breathing part where there is time for it, milliseconds.
pub const LEAST_BREATHING_MS: u64 = 120_000;

/// The pattern used where nothing else is allowed or known.
pub const PLAIN_PATTERN: &str = "longer_out_4_6";

/// The figures of a pattern, and how many of its breaths fit a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cadence {
    /// One breath, seconds.
    pub cycle_s: f64,
    /// Breaths a minute.
    pub breaths_per_min: f64,
    /// Breaths a second.
    pub frequency_hz: f64,
    /// Inhale over exhale.
    pub inhale_to_exhale: f64,
    /// Share of the exhale in a breath.
    pub exhale_fraction: f64,
    /// Share of both holds in a breath.
    pub hold_fraction: f64,
    /// Whole breaths within the time.
    pub full_cycles: u32,
    /// Their length, seconds.
    pub full_cycles_s: f64,
    /// Whole breaths nearest to the time, which may run over it.
    pub nearest_cycles: u32,
    /// Their length, seconds.
    pub nearest_cycles_s: f64,
}

/// The figures of a pattern for a time in milliseconds.
pub fn cadence(pattern: &Pattern, session_ms: u64) -> Cadence {
    let cycle_ms = u64::from(pattern.cycle_ms()).max(1);
    let cycle_s = cycle_ms as f64 / 1000.0;
    let full_cycles = whole(session_ms / cycle_ms);
    let nearest_cycles = whole((session_ms + cycle_ms / 2) / cycle_ms);
    let share = |part_ms: u32| f64::from(part_ms) / cycle_ms as f64;
    Cadence {
        cycle_s,
        breaths_per_min: 60.0 / cycle_s,
        frequency_hz: 1.0 / cycle_s,
        inhale_to_exhale: f64::from(pattern.inhale_ms) / f64::from(pattern.exhale_ms),
        exhale_fraction: share(pattern.exhale_ms),
        hold_fraction: share(pattern.hold_ms + pattern.hold_out_ms),
        full_cycles,
        full_cycles_s: f64::from(full_cycles) * cycle_s,
        nearest_cycles,
        nearest_cycles_s: f64::from(nearest_cycles) * cycle_s,
    }
}

fn whole(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Inhale and exhale in seconds for a rate (breaths a minute, above 0) and the exhale's length over
/// the inhale's.
pub fn from_rate(breaths_per_min: f64, exhale_over_inhale: f64) -> (f64, f64) {
    let cycle_s = 60.0 / breaths_per_min;
    let inhale_s = cycle_s / (1.0 + exhale_over_inhale);
    (inhale_s, cycle_s - inhale_s)
}

/// The rate, breaths a minute, of somebody who pressed a key at every in-breath, from the instants of
/// the presses since some start. `None` with fewer than three, or outside 4 to 40 a minute: that was
/// not breathing at rest. The middle of the lengths is taken, so that one missed press does no harm.
pub fn rate_of(presses: &[Duration]) -> Option<f64> {
    let mut lengths: Vec<Duration> = presses
        .windows(2)
        .map(|pair| pair[1].saturating_sub(pair[0]))
        .collect();
    if lengths.len() < 2 {
        return None;
    }
    lengths.sort();
    let (low, high) = (lengths[(lengths.len() - 1) / 2], lengths[lengths.len() / 2]);
    let rate = 120.0 / (low + high).as_secs_f64();
    (4.0..=40.0).contains(&rate).then_some(rate)
}

/// How many whole breaths close a time of `left_ms` milliseconds.
///
/// As many as fit; but where at least two minutes are left, never fewer than two minutes of them, so
/// the last breath may then run over by less than its own length.
pub fn cycles_for(pattern: &Pattern, left_ms: u64) -> u32 {
    let cycle_ms = u64::from(pattern.cycle_ms()).max(1);
    let fitting = left_ms / cycle_ms;
    if left_ms >= LEAST_BREATHING_MS {
        whole(fitting.max(LEAST_BREATHING_MS.div_ceil(cycle_ms)))
    } else {
        whole(fitting)
    }
}

/// The time to keep free so that at least two minutes of whole breaths fit, milliseconds.
pub fn least_breathing_ms(pattern: &Pattern) -> u64 {
    let cycle_ms = u64::from(pattern.cycle_ms()).max(1);
    LEAST_BREATHING_MS.div_ceil(cycle_ms) * cycle_ms
}

/// Where in a pattern a moment falls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Phase {
    /// Which breath, counted from 0.
    pub breath: u64,
    /// Inhale, hold, exhale or hold with empty lungs.
    pub kind: CueKind,
    /// Since the phase began, milliseconds.
    pub into_ms: u32,
    /// Until it ends, milliseconds.
    pub left_ms: u32,
}

/// The phase at a time since the first breath began. Phases are half-open: at the instant one ends,
/// the next has begun. `None` for a pattern of no length.
pub fn phase_at(pattern: &Pattern, at_ms: u64) -> Option<Phase> {
    let cycle_ms = u64::from(pattern.cycle_ms());
    let breath = at_ms.checked_div(cycle_ms)?;
    let mut into_ms = u32::try_from(at_ms % cycle_ms).ok()?;
    for (kind, length_ms) in [
        (CueKind::Inhale, pattern.inhale_ms),
        (CueKind::Hold, pattern.hold_ms),
        (CueKind::Exhale, pattern.exhale_ms),
        (CueKind::HoldOut, pattern.hold_out_ms),
    ] {
        if into_ms < length_ms {
            return Some(Phase {
                breath,
                kind,
                into_ms,
                left_ms: length_ms - into_ms,
            });
        }
        into_ms -= length_ms;
    }
    None
}

/// The entry of a person's avoid list that speaks against the holds of a pattern; `None` where the
/// pattern has no holds or nothing speaks against them.
pub fn hold_blocked_by(pattern: &Pattern, avoid: &BTreeSet<Avoid>) -> Option<Avoid> {
    let mut flags = avoid.iter().copied();
    flags.find(|flag| pattern.has_holds() && flag.rules_out_holds())
}

/// The pattern without holds that stands in for others: 4 s in, 6 s out.
///
/// A person's own file may replace the shipped one; if it has holds, the plain values count.
pub fn plain_pattern(library: &Library) -> Pattern {
    let shipped = library.patterns.get(PLAIN_PATTERN);
    match shipped.filter(|pattern| !pattern.has_holds()) {
        Some(pattern) => pattern.clone(),
        None => Pattern {
            id: PLAIN_PATTERN.to_owned(),
            name: "Longer out-breath, 4 and 6".to_owned(),
            inhale_ms: 4_000,
            second_inhale_ms: 0,
            hold_ms: 0,
            exhale_ms: 6_000,
            hold_out_ms: 0,
            about: "The out-breath is half as long again as the in-breath.".to_owned(),
        },
    }
}

/// The pattern a person gets who asked for `wanted`, and the words for it if it is another one.
///
/// Patterns with holds are opt-in: `holds_ok` is the answer to the one-time question. Any entry of
/// `avoid` that speaks against holds replaces them all the same (our own design choice).
pub fn pattern_for(
    avoid: &BTreeSet<Avoid>,
    holds_ok: bool,
    wanted: &str,
    library: &Library,
) -> (Pattern, Option<String>) {
    let plain = plain_pattern(library);
    let Some(pattern) = library.patterns.get(wanted) else {
        let note = format!(
            "There is no breathing pattern \"{wanted}\"; {} instead.",
            in_words(&plain)
        );
        return (plain, Some(note));
    };
    if let Some(flag) = hold_blocked_by(pattern, avoid) {
        let because = match flag.id() {
            "holds" => "you prefer not to hold your breath".to_owned(),
            _ => format!("you listed {}", flag.words()),
        };
        let note = format!(
            "\"{}\" holds the breath and {because}; {} instead. {ASK_CLINICIAN}",
            pattern.name,
            in_words(&plain)
        );
        return (plain, Some(note));
    }
    if pattern.has_holds() && !holds_ok {
        let note = format!(
            "\"{}\" holds the breath, and the question about holds is not answered yet; {} instead.",
            pattern.name,
            in_words(&plain)
        );
        return (plain, Some(note));
    }
    (pattern.clone(), None)
}

/// A pattern in words: `4 s in, 7 s held, 8 s out`.
pub fn in_words(pattern: &Pattern) -> String {
    let seconds = |ms: u32| format!("{} s", f64::from(ms) / 1000.0);
    let mut parts = vec![format!("{} in", seconds(pattern.inhale_ms))];
    if pattern.second_inhale_ms > 0 {
        let first_ms = pattern.inhale_ms - pattern.second_inhale_ms;
        parts = vec![format!(
            "{} and {} in",
            seconds(first_ms),
            seconds(pattern.second_inhale_ms)
        )];
    }
    if pattern.hold_ms > 0 {
        parts.push(format!("{} held", seconds(pattern.hold_ms)));
    }
    parts.push(format!("{} out", seconds(pattern.exhale_ms)));
    if pattern.hold_out_ms > 0 {
        parts.push(format!("{} held", seconds(pattern.hold_out_ms)));
    }
    parts.join(", ")
}

/// How much each phase moves toward its target an evening, milliseconds.
const STEP_MS: u32 = 500;

/// In-breath and out-breath of the first evening where the person's rate is not known, milliseconds.
const FIRST_EVENING_MS: u32 = 4_000;

/// Rates taken as said, breaths a minute; what lies outside is moved to the border.
const RATES: (f64, f64) = (4.0, 24.0);

/// A pattern on its way: the first evening breathes at the person's own rate (breaths a minute, in
/// and out alike; 4 s and 4 s where it is not known), then the out-breath grows by half a second an
/// evening until the target is reached. The in-breath and the holds move along at the same pace, so
/// that no evening asks for more than half a second more of anything (our own design choice).
pub fn progressed(target: &Pattern, own_rate: Option<f64>, evenings_done: u32) -> Pattern {
    let start_ms = own_rate
        .filter(|rate| rate.is_finite())
        .map_or(FIRST_EVENING_MS, |rate| {
            let (inhale_s, _) = from_rate(rate.clamp(RATES.0, RATES.1), 1.0);
            // Tenths of a second: finer than anyone paces.
            (inhale_s * 10.0).round() as u32 * 100
        });
    let reach_ms = STEP_MS.saturating_mul(evenings_done);
    let toward = |from: u32, to: u32| {
        if from < to {
            from.saturating_add(reach_ms).min(to)
        } else {
            from.saturating_sub(reach_ms).max(to)
        }
    };
    // Whoever breathes more slowly than the target needs no way down from it.
    let exhale_ms = toward(start_ms.min(target.exhale_ms), target.exhale_ms);
    let inhale_ms = toward(start_ms.min(target.inhale_ms), target.inhale_ms);
    let second = u64::from(target.second_inhale_ms) * u64::from(inhale_ms);
    Pattern {
        inhale_ms,
        second_inhale_ms: whole(second / u64::from(target.inhale_ms.max(1))),
        hold_ms: toward(0, target.hold_ms),
        exhale_ms,
        hold_out_ms: toward(0, target.hold_out_ms),
        ..target.clone()
    }
}

#[cfg(test)]
mod tests;
