//! Measuring sound by means of its own: nothing here is shared with the code that makes it.

/// Below this a sample counts as silence (-62 dBFS).
const FLOOR: f64 = 0.0008;
/// A sound begins when this many samples before it were silent (15 ms).
const QUIET: usize = 720;

/// Times in ms at which sound begins after silence.
pub fn onsets(samples: &[f64]) -> Vec<f64> {
    let mut found = Vec::new();
    let mut silent = QUIET;
    for (position, sample) in samples.iter().enumerate() {
        if sample.abs() < FLOOR {
            silent += 1;
            continue;
        }
        if silent >= QUIET {
            found.push(position as f64 / 48.0);
        }
        silent = 0;
    }
    found
}

/// Root mean square.
pub fn rms(samples: &[f64]) -> f64 {
    (samples.iter().map(|s| s * s).sum::<f64>() / samples.len() as f64).sqrt()
}

/// Pitch in Hz in steps of 150 ms, from the times between upward crossings of zero, as long as the tone is
/// well above the dither.
pub fn pitch_course(samples: &[f64]) -> Vec<f64> {
    samples
        .chunks_exact(7_200)
        .filter(|part| rms(part) > 0.002)
        .map(|part| {
            let crossings: Vec<f64> = part
                .windows(2)
                .enumerate()
                .filter(|(_, pair)| pair[0] < 0.0 && pair[1] >= 0.0)
                .map(|(i, pair)| i as f64 + pair[0] / (pair[0] - pair[1]))
                .collect();
            let periods = crossings.len() as f64 - 1.0;
            48_000.0 * periods / (crossings[crossings.len() - 1] - crossings[0])
        })
        .collect()
}

/// What is left above about 1.1 kHz: four first-order high-pass filters in a row would be too soft, so a
/// windowed-sinc filter of 961 taps (transition about 250 Hz wide with a Blackman window) is used.
pub fn above_1100_hz(samples: &[f64]) -> Vec<f64> {
    let half = 480_i32;
    let cut = 1_200.0 / 48_000.0;
    let taps: Vec<f64> = (-half..=half)
        .map(|i| {
            let x = f64::from(i);
            let share = (x / f64::from(half) + 1.0) / 2.0;
            let turn = std::f64::consts::TAU * share;
            let window = 0.42 - 0.5 * turn.cos() + 0.08 * (2.0 * turn).cos();
            let low = if i == 0 {
                2.0 * cut
            } else {
                (std::f64::consts::TAU * cut * x).sin() / (std::f64::consts::PI * x)
            };
            let pass = if i == 0 { 1.0 } else { 0.0 };
            pass - low * window
        })
        .collect();
    // Every seventh output is enough for a level.
    samples
        .windows(taps.len())
        .step_by(7)
        .map(|part| part.iter().zip(&taps).map(|(s, t)| s * t).sum())
        .collect()
}
