//! The breath as a trace: lung volume over time, worked out from the cues.

use std::f64::consts::PI;
use std::time::Duration;

use crate::pure::routine::{CueKind, Timeline};

/// Lung volume over the time of a timeline, from 0 (after the exhale) to 1 (after the inhale).
///
/// Rising and falling follow a raised cosine, so that flow starts and ends gently in every cue; holds
/// are level. A breath taken in two steps rises in each by its share of the inhale's time. The shape
/// is our own choice, it is a guide for the eye and no measurement.
#[derive(Clone, Debug)]
pub struct Trace {
    pieces: Vec<Piece>,
}

#[derive(Clone, Copy, Debug)]
struct Piece {
    start: Duration,
    length: Duration,
    from: f64,
    to: f64,
}

impl Trace {
    /// The trace of a timeline whose inhales end in a second, shorter step of `second_inhale` (zero
    /// for one step); empty where nothing is breathed.
    pub fn of(timeline: &Timeline, second_inhale: Duration) -> Self {
        let mut trace = Self { pieces: Vec::new() };
        let mut level = 0.0;
        for cue in &timeline.cues {
            let start = Duration::from_millis(cue.at_ms);
            let length = Duration::from_millis(cue.for_ms);
            let target = match cue.kind {
                CueKind::Inhale => 1.0,
                CueKind::Exhale => 0.0,
                CueKind::Hold | CueKind::HoldOut => level,
                CueKind::Move | CueKind::Stretch | CueKind::End => continue,
            };
            let steps = cue.kind == CueKind::Inhale && !second_inhale.is_zero();
            match length
                .checked_sub(second_inhale)
                .filter(|first| steps && !first.is_zero())
            {
                Some(first) => {
                    let share = first.as_secs_f64() / length.as_secs_f64();
                    let middle = level + (target - level) * share;
                    trace.add(start, first, level, middle);
                    trace.add(start + first, second_inhale, middle, target);
                }
                None => trace.add(start, length, level, target),
            }
            level = target;
        }
        trace
    }

    fn add(&mut self, start: Duration, length: Duration, from: f64, to: f64) {
        self.pieces.push(Piece {
            start,
            length,
            from,
            to,
        });
    }

    /// Lung volume at a position, 0 to 1; `None` where nothing is breathed.
    pub fn volume(&self, position: Duration) -> Option<f64> {
        let begun = self.pieces.partition_point(|piece| piece.start <= position);
        let piece = self.pieces.get(begun.checked_sub(1)?)?;
        let into = position - piece.start;
        // The last moment of a piece belongs to it, so that the trace is closed at its end.
        (into <= piece.length).then(|| piece.volume(into))
    }

    /// Volumes for a picture of `count` columns, `step` apart, in which the column `now_column` shows
    /// `position`. The columns lie on whole multiples of `step`, so that a scrolling picture moves by
    /// whole columns and its shape does not shimmer.
    pub fn window(
        &self,
        position: Duration,
        step: Duration,
        now_column: usize,
        count: usize,
    ) -> Vec<Option<f64>> {
        let step_ns = step.as_nanos().max(1);
        let now = position.as_nanos() / step_ns;
        let at = |column: usize| {
            let index = (now + column as u128).checked_sub(now_column as u128)?;
            let nanos = u64::try_from(index * step_ns).ok()?;
            self.volume(Duration::from_nanos(nanos))
        };
        (0..count).map(at).collect()
    }
}

impl Piece {
    fn volume(&self, into: Duration) -> f64 {
        if self.length.is_zero() {
            return self.to;
        }
        let share = into.as_secs_f64() / self.length.as_secs_f64();
        let eased = (1.0 - (PI * share).cos()) / 2.0;
        (self.from + (self.to - self.from) * eased).clamp(0.0, 1.0)
    }
}
