//! The sound of a routine: a [`Timeline`] turned into a quiet track to follow with closed eyes.
//!
//! Every cue that begins something has one soft sound, starting on the sample of its time:
//!
//! | cue | sound |
//! |---|---|
//! | move | a small bell, or the spoken sentence |
//! | stretch | a lower, softer bell, or the spoken sentence |
//! | inhale | a tone that rises through the whole in-breath |
//! | hold | the same tone, level and quieter |
//! | exhale | a tone that falls through the whole out-breath |
//! | hold_out | the low tone, level and quieter |
//! | end | nothing: the track ends in silence |
//!
//! The pitch follows the volume of the lungs. All samples come from additions and multiplications in a
//! fixed order and from a counted dither, so the same timeline gives the same octets everywhere.
//!
//! [`Timeline`]: super::routine::Timeline

mod dither;
mod score;
mod spoken;
mod tone;
mod track;
pub mod vtt;

pub use dither::quantise;
pub use score::{Note, Sound, score};
pub use spoken::{Clip, NotSpeech, clip, sentences};
pub use track::{BLOCK, Track, render};

use std::collections::BTreeMap;

/// Samples a second of every track.
pub const RATE: u32 = 48_000;

/// Samples in a millisecond.
pub const PER_MS: u64 = RATE as u64 / 1000;

/// What can be chosen about a track.
#[derive(Clone, Debug, Default)]
pub struct SoundSettings {
    /// The sentences of a cue's text ([`sentences`]), spoken, by that text. A move or stretch cue whose text
    /// is found here is spoken in place of its bell: as many of its sentences, from the first on, as fit.
    pub spoken: BTreeMap<String, Vec<Clip>>,
    /// Seed of the dither; any value is as good as another.
    pub seed: u64,
}
