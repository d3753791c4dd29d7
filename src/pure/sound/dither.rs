//! From floating samples to 16 bit, with dither.

/// Largest 16-bit value as a number to scale by.
const FULL_SCALE: f32 = 32_767.0;

/// Adding and taking away this number rounds to a whole one, without a call into the platform's library.
const ROUNDING: f32 = 12_582_912.0;

/// Turns a block of samples (full scale is 1) into 16-bit values with triangular dither of two quantising
/// steps, the usual amount that makes the rounding error independent of the signal (Lipshitz, Wannamaker
/// and Vanderkooy, "Quantization and Dither: A Theoretical Survey", J. Audio Eng. Soc. 40, 1992).
///
/// `first` is the position of the block's first sample in the track: the dither is a function of position
/// and seed alone. A sample of exactly 0 stays 0, so that pauses are silent and there is nothing to hear
/// after the end.
pub fn quantise(block: &[f32], first: u64, seed: u64, into: &mut Vec<i16>) {
    into.clear();
    into.extend(block.iter().zip(first..).map(|(sample, position)| {
        if *sample == 0.0 {
            return 0;
        }
        let value = sample * FULL_SCALE + triangle(position ^ seed);
        ((value.clamp(-FULL_SCALE, FULL_SCALE) + ROUNDING) - ROUNDING) as i16
    }));
}

/// A number between -1 and 1, triangularly distributed, from a counter.
fn triangle(counter: u64) -> f32 {
    let bits = scrambled(counter);
    let low = (bits & 0xff_ffff) as f32;
    let high = (bits >> 40) as f32;
    (low - high) / 16_777_216.0
}

/// The output function of SplitMix64 (Steele, Lea and Flood, "Fast Splittable Pseudorandom Number
/// Generators", 2014), taken at a counter instead of stepped.
fn scrambled(counter: u64) -> u64 {
    let mut bits = counter.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_is_the_published_one() {
        // First outputs of SplitMix64 seeded with 1234567, as listed by Rosetta Code ("Pseudo-random
        // numbers/Splitmix64"); its n-th output is the scrambling of seed + n steps.
        let step = 0x9e37_79b9_7f4a_7c15_u64;
        let inverse = inverse_of(step);
        let at = |n: u64| {
            let state = 1_234_567_u64.wrapping_add(step.wrapping_mul(n));
            scrambled(state.wrapping_mul(inverse).wrapping_sub(1))
        };
        assert_eq!(at(1), 6_457_827_717_110_365_317);
        assert_eq!(at(2), 3_203_168_211_198_807_973);
        assert_eq!(at(3), 9_817_491_932_198_370_423);
    }

    /// Inverse of an odd number modulo 2^64 by Newton's iteration.
    fn inverse_of(odd: u64) -> u64 {
        (0..6).fold(odd, |x, _| {
            x.wrapping_mul(2_u64.wrapping_sub(odd.wrapping_mul(x)))
        })
    }

    #[test]
    fn the_dither_has_the_mean_and_spread_of_a_triangle() {
        let n = 200_000_u64;
        let values: Vec<f64> = (0..n).map(|i| f64::from(triangle(i))).collect();
        let mean = values.iter().sum::<f64>() / n as f64;
        let variance = values.iter().map(|v| v * v).sum::<f64>() / n as f64;
        // Variance of the sum of two uniform numbers of width 1 is 2/12.
        assert!(mean.abs() < 0.005, "{mean}");
        assert!((variance - 1.0 / 6.0).abs() < 0.005, "{variance}");
    }

    #[test]
    fn a_level_below_one_step_survives_on_average() {
        let quarter_step = 0.25 / FULL_SCALE;
        let block = vec![quarter_step; 100_000];
        let mut out = Vec::new();
        quantise(&block, 0, 7, &mut out);
        let mean = out.iter().map(|v| f64::from(*v)).sum::<f64>() / out.len() as f64;
        assert!((mean - 0.25).abs() < 0.02, "{mean}");
    }

    #[test]
    fn silence_stays_silence_and_blocks_do_not_matter() {
        let mut out = Vec::new();
        quantise(&[0.0; 10], 5, 1, &mut out);
        assert_eq!(out, [0; 10]);
        let block: Vec<f32> = (0..100).map(|i| 0.001 * i as f32 + 0.0005).collect();
        let mut whole = Vec::new();
        quantise(&block, 0, 3, &mut whole);
        quantise(&block[40..], 40, 3, &mut out);
        assert_eq!(whole[40..], out[..]);
    }
}
