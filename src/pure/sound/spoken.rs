//! Spoken sentences made fit for a track: at the track's rate, without lead-in, at the level of the tones.

use std::fmt;

use ebur128::{Channel, EbuR128, Mode};

use super::{RATE, tone};

/// Highest short-term loudness of speech, LUFS. The range for a bedroom, -30 to -27, is our own choice,
/// below the -23 LUFS of EBU R 128, which is meant for listening by day.
const SHORT_TERM: f64 = -29.0;
/// Highest momentary loudness, LUFS, so that one short word is not shouted to fill three seconds.
const MOMENTARY: f64 = -26.0;
/// Highest true peak, dBTP; a margin of 3 dB to the track's limit of -9.
const PEAK: f64 = -12.0;
/// What counts as sound when the lead-in is cut off: this share of the clip's highest sample (-34 dB).
const AUDIBLE: f32 = 0.02;
/// Ramps at the cut ends, samples: 4 ms in, 10 ms out.
const RAMP_IN: usize = 192;
/// See [`RAMP_IN`].
const RAMP_OUT: usize = 480;
/// Half width of the resampling filter, in samples of the slower of the two rates.
const REACH: i64 = 16;

/// Speech ready to be placed at a cue.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    samples: Vec<f32>,
}

impl Clip {
    /// Length rounded up to whole milliseconds.
    pub fn milliseconds(&self) -> u64 {
        (self.samples.len() as u64).div_ceil(super::PER_MS)
    }

    /// Copies the samples from `offset` on; what lies after the end is left as it is.
    pub(super) fn fill(&self, offset: u64, slots: &mut [f32]) {
        let from = usize::try_from(offset).unwrap_or(usize::MAX);
        let rest = self.samples.get(from..).unwrap_or_default();
        for (slot, sample) in slots.iter_mut().zip(rest) {
            *slot = *sample;
        }
    }
}

/// The sentences of a text.
pub fn sentences(text: &str) -> Vec<&str> {
    let ends = |(at, mark): (usize, char)| {
        let after = at + mark.len_utf8();
        let closes = matches!(mark, '.' | '?' | '!' | ';');
        (closes && text[after..].starts_with(char::is_whitespace)).then_some(after)
    };
    let cuts: Vec<usize> = text.char_indices().filter_map(ends).collect();
    let starts = std::iter::once(0).chain(cuts.iter().copied());
    let ends = cuts.iter().copied().chain(std::iter::once(text.len()));
    starts
        .zip(ends)
        .map(|(start, end)| text[start..end].trim())
        .filter(|sentence| !sentence.is_empty())
        .collect()
}

/// Samples that hold no speech, or are at a rate nobody speaks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotSpeech;

impl fmt::Display for NotSpeech {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the speech synthesiser gave no audible speech")
    }
}

impl std::error::Error for NotSpeech {}

/// Prepares mono speech at `rate` samples a second (full scale 1).
///
/// # Errors
/// When nothing in it can be heard or the rate is not within 8 to 192 kHz.
pub fn clip(samples: &[f32], rate: u32) -> Result<Clip, NotSpeech> {
    if !(8_000..=192_000).contains(&rate) {
        return Err(NotSpeech);
    }
    let mut samples = trimmed(&resampled(samples, rate));
    if samples.is_empty() {
        return Err(NotSpeech);
    }
    let gain = level(&samples).ok_or(NotSpeech)?;
    for sample in &mut samples {
        *sample *= gain;
    }
    Ok(Clip { samples })
}

/// The same sound at the track's rate, by a sinc filter under a raised-cosine window.
fn resampled(samples: &[f32], rate: u32) -> Vec<f32> {
    let (from, to) = (u64::from(rate), u64::from(RATE));
    if from == to {
        return samples.to_vec();
    }
    // Cut-off as a share of the source's own rate; below its half when the track is the slower one.
    let cut = (to as f64 / from as f64).min(1.0);
    let reach = REACH as f64 / cut;
    let count = samples.len() as u64 * to / from;
    let at = |index: i64| {
        usize::try_from(index)
            .ok()
            .and_then(|i| samples.get(i))
            .map_or(0.0, |s| f64::from(*s))
    };
    let value = |n: u64| {
        let centre = (n * from) as f64 / to as f64;
        let first = (centre - reach).ceil() as i64;
        let last = (centre + reach).floor() as i64;
        let sum: f64 = (first..=last)
            .map(|i| {
                let distance = i as f64 - centre;
                at(i) * cut * sinc(distance * cut) * tone::ramp(1.0 - (distance / reach).abs())
            })
            .sum();
        sum as f32
    };
    (0..count).map(value).collect()
}

fn sinc(x: f64) -> f64 {
    if x.abs() < 1e-9 {
        1.0
    } else {
        tone::sine(x / 2.0) / (std::f64::consts::PI * x)
    }
}

/// Without the silence around it, faded at the cut ends.
fn trimmed(samples: &[f32]) -> Vec<f32> {
    let peak = samples.iter().fold(0.0_f32, |peak, s| peak.max(s.abs()));
    let audible = |s: &f32| s.abs() > AUDIBLE * peak;
    let ends = (
        samples.iter().position(audible),
        samples.iter().rposition(audible),
    );
    let (Some(first), Some(last)) = ends else {
        return Vec::new();
    };
    let end = (last + 1 + RAMP_OUT).min(samples.len());
    let mut cut = samples[first..end].to_vec();
    for (i, sample) in cut.iter_mut().take(RAMP_IN).enumerate() {
        *sample *= tone::ramp(i as f64 / RAMP_IN as f64) as f32;
    }
    for (i, sample) in cut.iter_mut().rev().take(RAMP_OUT).enumerate() {
        *sample *= tone::ramp(i as f64 / RAMP_OUT as f64) as f32;
    }
    cut
}

/// The factor that brings speech to the levels above, measured after ITU-R BS.1770 and EBU Tech 3341.
fn level(samples: &[f32]) -> Option<f32> {
    let mut meter = EbuR128::new(1, RATE, Mode::M | Mode::S | Mode::TRUE_PEAK).ok()?;
    meter.set_channel(0, Channel::DualMono).ok()?;
    let mut short_term = f64::NEG_INFINITY;
    let mut momentary = f64::NEG_INFINITY;
    // Three seconds of silence after it, so that a short clip fills the three-second window.
    let silence = vec![0.0; 3 * RATE as usize];
    for step in samples.chunks(480).chain(silence.chunks(480)) {
        meter.add_frames_f32(step).ok()?;
        short_term = short_term.max(meter.loudness_shortterm().ok()?);
        momentary = momentary.max(meter.loudness_momentary().ok()?);
    }
    let peak = 20.0 * meter.true_peak(0).ok()?.log10();
    let gain = (SHORT_TERM - short_term)
        .min(MOMENTARY - momentary)
        .min(PEAK - peak);
    gain.is_finite().then(|| 10_f64.powf(gain / 20.0) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A second of silence, then half a second of a 500 Hz tone, then silence.
    fn recording(rate: u32, amplitude: f64) -> Vec<f32> {
        let rate = f64::from(rate);
        let value = |i: u32| {
            let time = f64::from(i) / rate;
            let sounding = (1.0..1.5).contains(&time);
            let tone = (time * 500.0 * std::f64::consts::TAU).sin();
            if sounding {
                (amplitude * tone) as f32
            } else {
                0.0
            }
        };
        (0..(2.0 * rate) as u32).map(value).collect()
    }

    #[test]
    fn the_lead_in_is_cut_off_and_the_level_does_not_depend_on_the_recording() {
        let loud = clip(&recording(22_050, 0.9), 22_050).expect("speech");
        let soft = clip(&recording(48_000, 0.03), 48_000).expect("speech");
        for made in [&loud, &soft] {
            let length = made.milliseconds();
            assert!((495..=520).contains(&length), "{length}");
            let first = made.samples[..240].iter().any(|s| s.abs() > 0.001);
            assert!(first, "nothing within 5 ms");
        }
        let peak = |c: &Clip| c.samples.iter().fold(0.0_f32, |p, s| p.max(s.abs()));
        assert!((peak(&loud) / peak(&soft) - 1.0).abs() < 0.02);
    }

    #[test]
    fn resampling_keeps_the_waveform() {
        let from = recording(22_050, 0.5);
        let to = resampled(&from, 22_050);
        let expected = recording(48_000, 0.5);
        let worst = (53_000..67_000)
            .map(|i| (to[i] - expected[i]).abs())
            .fold(0.0_f32, f32::max);
        assert!(worst < 0.002, "{worst}");
    }

    #[test]
    fn a_text_is_cut_into_its_sentences() {
        let text = "Calf, left side. Stand 1.5 m from a wall; lean in.";
        assert_eq!(
            sentences(text),
            ["Calf, left side.", "Stand 1.5 m from a wall;", "lean in."]
        );
        assert_eq!(sentences("One only"), ["One only"]);
        assert!(sentences(" \n").is_empty());
    }

    #[test]
    fn silence_is_not_speech() {
        assert_eq!(clip(&[0.0; 1000], 22_050), Err(NotSpeech));
        assert_eq!(clip(&[], 22_050), Err(NotSpeech));
        assert_eq!(clip(&[0.1; 1000], 100), Err(NotSpeech));
    }
}
