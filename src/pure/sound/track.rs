//! The samples of a track, block by block.

use crate::pure::routine::Timeline;

use super::score::{Note, score};
use super::{PER_MS, SoundSettings};

/// Samples in a block; the last one of a track may be shorter.
pub const BLOCK: usize = 4096;

/// The level at the very end, as a share of the level of the first two thirds (-5.2 dB). Over the last
/// third the mean level is 3.4 dB lower.
const LAST_LEVEL: f64 = 0.55;

/// The samples of a track, made as they are asked for: a long track needs no more memory than a short one.
#[derive(Clone, Debug)]
pub struct Track<'s> {
    notes: Vec<Note<'s>>,
    total: u64,
    position: u64,
    next_note: usize,
}

/// The track of a timeline: mono, [`RATE`](super::RATE) samples a second, full scale 1, exactly as long as
/// the timeline.
pub fn render<'s>(timeline: &Timeline, settings: &'s SoundSettings) -> Track<'s> {
    Track {
        notes: score(timeline, settings),
        total: timeline.total_ms * PER_MS,
        position: 0,
        next_note: 0,
    }
}

impl Track<'_> {
    /// Leaves out everything before `from_ms`: the track from there on, sample for sample.
    pub fn starting_at(mut self, from_ms: u64) -> Self {
        self.position = (from_ms * PER_MS).min(self.total);
        self
    }

    /// Samples in all, from the timeline's start.
    pub fn total_samples(&self) -> u64 {
        self.total
    }

    /// Position of the next sample.
    pub fn position(&self) -> u64 {
        self.position
    }

    /// Level over the night's track: full for two thirds, then falling, steeper first.
    fn level_at(&self, position: u64) -> f64 {
        let third = self.total / 3;
        let start = self.total - third;
        if position <= start || third == 0 {
            return 1.0;
        }
        let left = (self.total - position.min(self.total)) as f64 / third as f64;
        LAST_LEVEL + (1.0 - LAST_LEVEL) * left * left * left
    }
}

impl Iterator for Track<'_> {
    type Item = Vec<f32>;

    fn next(&mut self) -> Option<Vec<f32>> {
        let first = self.position;
        let end = (first + BLOCK as u64).min(self.total);
        if first >= end {
            return None;
        }
        let mut block = vec![0.0; (end - first) as usize];
        let over = |note: &Note<'_>| note.start + note.samples <= first;
        while self.notes.get(self.next_note).is_some_and(over) {
            self.next_note += 1;
        }
        for note in &self.notes[self.next_note..] {
            if note.start >= end {
                break;
            }
            let begins = note.start.max(first);
            let ends = (note.start + note.samples).min(end);
            let slots = &mut block[(begins - first) as usize..(ends - first) as usize];
            note.fill(begins - note.start, slots);
            if ends > self.total - self.total / 3 {
                for (slot, position) in slots.iter_mut().zip(begins..) {
                    *slot *= self.level_at(position) as f32;
                }
            }
        }
        self.position = end;
        Some(block)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::routine::{Cue, CueKind};

    fn timeline() -> Timeline {
        let kinds = [CueKind::Move, CueKind::Inhale, CueKind::Exhale];
        let cue = |(at_ms, kind)| Cue {
            at_ms,
            for_ms: 700,
            kind,
            text: String::new(),
            step: None,
            breath: None,
        };
        let cues = [0, 700, 1_400].into_iter().zip(kinds).map(cue).collect();
        Timeline {
            id: "short".into(),
            total_ms: 2_100,
            cues,
        }
    }

    #[test]
    fn blocks_add_up_to_the_timeline_and_a_later_start_is_the_same_track() {
        let settings = SoundSettings::default();
        let whole: Vec<f32> = render(&timeline(), &settings).flatten().collect();
        assert_eq!(whole.len(), 2_100 * 48);
        let rest: Vec<f32> = render(&timeline(), &settings)
            .starting_at(900)
            .flatten()
            .collect();
        assert_eq!(whole[900 * 48..], rest[..]);
        assert_eq!(render(&timeline(), &settings).starting_at(9_000).count(), 0);
    }

    #[test]
    fn the_last_third_falls_by_three_to_six_decibels() {
        let settings = SoundSettings::default();
        let track = render(&timeline(), &settings);
        let total = track.total_samples();
        assert_eq!(track.level_at(total * 2 / 3), 1.0);
        let end = 20.0 * track.level_at(total).log10();
        assert!((-6.0..=-3.0).contains(&end), "{end}");
        let steps: Vec<f64> = (0..100).map(|i| track.level_at(total * i / 100)).collect();
        assert!(steps.windows(2).all(|pair| pair[1] <= pair[0]));
    }
}
