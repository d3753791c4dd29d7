//! Which sound each cue of a timeline has.

use crate::pure::routine::{Cue, CueKind, Timeline};

use super::{Clip, PER_MS, SoundSettings, tone};

/// Cues shorter than this stay silent: a rehearsal at high speed would crackle. Our own choice.
const SHORTEST_MS: u64 = 40;
/// Silence kept between the end of a spoken sentence and the next cue.
const AFTER_SPEECH_MS: u64 = 100;

/// Silence between two spoken sentences.
const BETWEEN_SENTENCES_MS: u64 = 350;

/// One sound of a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Note<'s> {
    /// First sample.
    pub start: u64,
    /// Samples until the next cue.
    pub samples: u64,
    /// What sounds.
    pub sound: Sound<'s>,
}

/// The sounds of a track. Volumes are those of the lungs, 0 empty and 1 full.
#[derive(Clone, Debug, PartialEq)]
pub enum Sound<'s> {
    /// A tone that rises or falls.
    Breath {
        /// Volume at the start.
        from: f64,
        /// Volume at the end.
        to: f64,
    },
    /// A level, quieter tone.
    Hold {
        /// The volume held.
        volume: f64,
    },
    /// The bell that changes the stretch.
    Bell,
    /// The lower bell: the hold begins.
    Settle,
    /// Spoken sentences, one after the other.
    Spoken(&'s [Clip]),
}

impl Note<'_> {
    /// Writes the samples from `offset` after the note's start on into a row of slots.
    pub(super) fn fill(&self, offset: u64, slots: &mut [f32]) {
        let length = tone::seconds(self.samples);
        match self.sound {
            Sound::Breath { from, to } => sampled(offset, slots, tone::breath(length, from, to)),
            Sound::Hold { volume } => sampled(offset, slots, tone::hold(length, volume)),
            Sound::Bell => sampled(offset, slots, tone::bell(length)),
            Sound::Settle => sampled(offset, slots, tone::settle(length)),
            Sound::Spoken(clips) => speech(clips, offset, slots),
        }
    }
}

/// The values of a function of time at the sample positions.
fn sampled(offset: u64, slots: &mut [f32], wave: impl Fn(f64) -> f64) {
    for (slot, position) in slots.iter_mut().zip(offset..) {
        *slot = wave(tone::seconds(position)) as f32;
    }
}

/// Sentences one after the other, from `offset` samples after the start of the first.
fn speech(clips: &[Clip], offset: u64, slots: &mut [f32]) {
    let end = offset + slots.len() as u64;
    let mut start = 0;
    for clip in clips {
        let from = start.max(offset);
        if from < end {
            clip.fill(from - start, &mut slots[(from - offset) as usize..]);
        }
        start += (clip.milliseconds() + BETWEEN_SENTENCES_MS) * PER_MS;
    }
}

/// The notes of a timeline in order; one for each cue that sounds.
pub fn score<'s>(timeline: &Timeline, settings: &'s SoundSettings) -> Vec<Note<'s>> {
    let volumes = volumes(&timeline.cues);
    let sounding = timeline.cues.iter().zip(volumes);
    sounding
        .filter_map(|(cue, (from, to))| {
            if cue.for_ms < SHORTEST_MS {
                return None;
            }
            let spoken = || {
                let clips = settings.spoken.get(&cue.text)?;
                let said = fitting(clips, cue.for_ms);
                (!said.is_empty()).then_some(Sound::Spoken(said))
            };
            let sound = match cue.kind {
                CueKind::Move => spoken().unwrap_or(Sound::Bell),
                CueKind::Stretch => spoken().unwrap_or(Sound::Settle),
                CueKind::Inhale | CueKind::Exhale => Sound::Breath { from, to },
                CueKind::Hold | CueKind::HoldOut => Sound::Hold { volume: to },
                CueKind::End => return None,
            };
            Some(Note {
                start: cue.at_ms * PER_MS,
                samples: cue.for_ms * PER_MS,
                sound,
            })
        })
        .collect()
}

/// As many sentences, from the first on, as can be said in time.
fn fitting(clips: &[Clip], for_ms: u64) -> &[Clip] {
    let mut end = AFTER_SPEECH_MS;
    let fits = clips.iter().take_while(|clip| {
        end += clip.milliseconds();
        let fits = end <= for_ms;
        end += BETWEEN_SENTENCES_MS;
        fits
    });
    let count = fits.count();
    &clips[..count]
}

/// Lung volume at the start and end of each cue. A breath taken in several steps shares the rise among
/// them by their lengths.
fn volumes(cues: &[Cue]) -> Vec<(f64, f64)> {
    let mut volumes = Vec::with_capacity(cues.len());
    for run in cues.chunk_by(|a, b| a.kind == b.kind) {
        let total: u64 = run.iter().map(|cue| cue.for_ms).sum();
        let mut done = 0;
        for cue in run {
            let from = share(done, total);
            done += cue.for_ms;
            let to = share(done, total);
            volumes.push(match cue.kind {
                CueKind::Inhale => (from, to),
                CueKind::Exhale => (1.0 - from, 1.0 - to),
                CueKind::Hold => (1.0, 1.0),
                _ => (0.0, 0.0),
            });
        }
    }
    volumes
}

fn share(part: u64, whole: u64) -> f64 {
    if whole == 0 {
        0.0
    } else {
        part as f64 / whole as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cue(at_ms: u64, for_ms: u64, kind: CueKind) -> Cue {
        Cue {
            at_ms,
            for_ms,
            kind,
            text: String::new(),
            step: None,
            breath: None,
        }
    }

    #[test]
    fn a_double_inhale_shares_the_rise_and_short_cues_are_silent() {
        let timeline = Timeline {
            id: "test".into(),
            total_ms: 9_020,
            cues: vec![
                cue(0, 3_000, CueKind::Inhale),
                cue(3_000, 1_000, CueKind::Inhale),
                cue(4_000, 5_000, CueKind::Exhale),
                cue(9_000, 20, CueKind::Move),
                cue(9_020, 0, CueKind::End),
            ],
        };
        let settings = SoundSettings::default();
        let notes = score(&timeline, &settings);
        let sounds: Vec<_> = notes.iter().map(|note| note.sound.clone()).collect();
        assert_eq!(
            sounds,
            [
                Sound::Breath {
                    from: 0.0,
                    to: 0.75
                },
                Sound::Breath {
                    from: 0.75,
                    to: 1.0
                },
                Sound::Breath { from: 1.0, to: 0.0 },
            ]
        );
        assert_eq!(notes[1].start, 3 * 48_000);
    }
}
