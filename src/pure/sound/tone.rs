//! The waveforms. Times are in seconds from the start of the note, frequencies in hertz, amplitudes as a
//! share of full scale.

use super::RATE;

/// Pitch with empty lungs.
pub(super) const LOW: f64 = 220.0;
/// Pitch with full lungs, a fifth above [`LOW`]: its third harmonic, 990 Hz, is the highest in the track.
pub(super) const HIGH: f64 = 330.0;

/// Amplitude of a breath tone at its fullest.
const BREATH_LEVEL: f64 = 0.040;
/// A hold is quieter than a breath by this factor (5 dB): nothing moves.
const HOLD_SHARE: f64 = 0.56;
/// Amplitude of the bell's start.
const BELL_LEVEL: f64 = 0.072;
/// Amplitude of the start of the lower bell.
const SETTLE_LEVEL: f64 = 0.060;

/// Length of the ramp at the start of a breath tone: short enough to be on time, long enough not to click
/// and to leave the first millisecond of a track silent.
const ATTACK: f64 = 0.008;
/// The same for the bells, which are louder at once.
const STRIKE: f64 = 0.010;
/// Level reached at the end of the attack; the rest of the way is a slow swell.
const ATTACK_SHARE: f64 = 0.6;
/// Silence left at the end of a breathing phase, so that the next one has an audible beginning.
const GAP: f64 = 0.08;
/// Longest a bell rings.
const BELL_SECONDS: f64 = 3.5;
/// Longest the lower bell rings.
const SETTLE_SECONDS: f64 = 2.5;

/// Adding and taking away this number rounds to a whole one, without a call into the platform's library.
const ROUNDING: f64 = 6_755_399_441_055_744.0;

/// Sine of `turns` full circles, with an error below 1e-7. The platform's own sine may differ in the last
/// bit from machine to machine; additions and multiplications do not.
#[inline]
pub(super) fn sine(turns: f64) -> f64 {
    let nearest = turns - ((turns + ROUNDING) - ROUNDING);
    let folded = if nearest.abs() > 0.25 {
        0.5_f64.copysign(nearest) - nearest
    } else {
        nearest
    };
    quarter(folded)
}

/// Sine of `turns` within a quarter of a circle, by its power series.
#[inline]
fn quarter(turns: f64) -> f64 {
    let x = turns * std::f64::consts::TAU;
    let xx = x * x;
    let tail = -1.0 / 5040.0 + xx * (1.0 / 362_880.0 - xx * (1.0 / 39_916_800.0));
    x * (1.0 + xx * (-1.0 / 6.0 + xx * (1.0 / 120.0 + xx * tail)))
}

/// Raised cosine: 0 at 0, 1 at 1, level at both ends.
#[inline]
pub(super) fn ramp(share: f64) -> f64 {
    if share >= 1.0 {
        return 1.0;
    }
    let half = quarter(share.max(0.0) * 0.25);
    half * half
}

/// A tone that follows the lungs from volume `from` to volume `to` (0 empty, 1 full) in `length` seconds,
/// as a function of time.
pub(super) fn breath(length: f64, from: f64, to: f64) -> impl Fn(f64) -> f64 {
    let envelope = phase_envelope(length);
    let turns = glide(length, from, to);
    move |time| BREATH_LEVEL * envelope(time) * voiced(turns(time))
}

/// A level tone at one lung volume, as a function of time.
pub(super) fn hold(length: f64, volume: f64) -> impl Fn(f64) -> f64 {
    let envelope = phase_envelope(length);
    let pitch = pitch(volume);
    move |time| BREATH_LEVEL * HOLD_SHARE * envelope(time) * voiced(pitch * time)
}

/// The bell that changes the stretch, as a function of time.
pub(super) fn bell(length: f64) -> impl Fn(f64) -> f64 {
    let ringing = ringing(length.min(BELL_SECONDS));
    move |time| {
        let ring = ringing(time);
        let body = sine(392.0 * time);
        let upper = ring * (0.30 * sine(784.0 * time) + 0.12 * ring * sine(941.0 * time));
        BELL_LEVEL * strike(time) * ring * (body + upper) * (1.0 / 1.42)
    }
}

/// The lower bell that says: now stay. A function of time.
pub(super) fn settle(length: f64) -> impl Fn(f64) -> f64 {
    let ringing = ringing(length.min(SETTLE_SECONDS));
    move |time| {
        let ring = ringing(time);
        let body = sine(262.0 * time) + 0.25 * ring * sine(524.0 * time);
        SETTLE_LEVEL * strike(time) * ring * body * (1.0 / 1.25)
    }
}

/// Sample positions as seconds.
#[inline]
pub(super) fn seconds(samples: u64) -> f64 {
    samples as f64 * (1.0 / RATE as f64)
}

fn pitch(volume: f64) -> f64 {
    LOW + (HIGH - LOW) * volume
}

/// Turns made by a tone whose pitch moves between two volumes along a raised cosine: it leaves and arrives
/// level, as the flow of a calm breath does. The integral of the pitch over time.
fn glide(length: f64, from: f64, to: f64) -> impl Fn(f64) -> f64 {
    let (start, span) = (pitch(from), pitch(to) - pitch(from));
    let half_turn = 0.5 / length;
    let depth = length / std::f64::consts::TAU;
    move |time| start * time + span * (time * 0.5 - depth * sine(time * half_turn))
}

/// A soft timbre: the fundamental with two weak harmonics, so that small loudspeakers carry it.
#[inline]
fn voiced(turns: f64) -> f64 {
    let s = sine(turns);
    let c = sine(turns + 0.25);
    let second = 2.0 * s * c;
    let third = s * (3.0 - 4.0 * s * s);
    (s + 0.18 * second + 0.06 * third) * (1.0 / 1.1)
}

#[inline]
fn attack(time: f64) -> f64 {
    ramp(time * (1.0 / ATTACK))
}

#[inline]
fn strike(time: f64) -> f64 {
    ramp(time * (1.0 / STRIKE))
}

/// Loudness over a breathing phase: a short start, a slow swell, a slow fall to silence before the next.
fn phase_envelope(length: f64) -> impl Fn(f64) -> f64 {
    let sounding = length - GAP.min(length * 0.1);
    let (per_swell, per_fall) = (1.0 / (length * 0.35), 1.0 / (length * 0.3).min(0.6));
    move |time| {
        let swell = ATTACK_SHARE + (1.0 - ATTACK_SHARE) * ramp(time * per_swell);
        attack(time) * swell * ramp((sounding - time) * per_fall)
    }
}

/// A decay to exactly nothing at `length`.
fn ringing(length: f64) -> impl Fn(f64) -> f64 {
    let per_length = 1.0 / length;
    move |time| {
        let left = (1.0 - time * per_length).max(0.0);
        left * left * left
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sine_is_the_sine() {
        for i in -4000..4000 {
            let turns = f64::from(i) * 0.000_731;
            let expected = (turns * std::f64::consts::TAU).sin();
            assert!((sine(turns) - expected).abs() < 1e-7, "{turns}");
        }
    }

    #[test]
    fn the_glide_covers_the_mean_pitch() {
        // Over the whole phase the mean of a raised-cosine glide is the middle of its ends.
        let turns = glide(4.0, 0.0, 1.0)(4.0);
        assert!((turns - 4.0 * 275.0).abs() < 1e-4, "{turns}");
    }

    #[test]
    fn a_phase_begins_and_ends_in_silence() {
        for length in [0.5, 1.0, 4.0, 8.0] {
            assert_eq!(breath(length, 0.0, 1.0)(0.0), 0.0);
            let last = breath(length, 0.0, 1.0)(length - 0.001);
            assert!(last.abs() < 1e-9, "{length}: {last}");
        }
        assert_eq!(bell(5.0)(3.6), 0.0);
        assert_eq!(settle(1.0)(1.01), 0.0);
    }
}
