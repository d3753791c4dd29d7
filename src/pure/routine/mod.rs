//! The evening's routine: the library of stretches and patterns, composing, and the timeline.
//!
//! - [`stretch`], [`pattern`], [`evening`]: one file each of the library, text to value;
//! - [`library`]: the shipped files and the person's own together; [`embedded`]: the shipped texts;
//! - [`breath`]: the arithmetic of breathing patterns, who holds the breath, the slow lengthening;
//! - [`change`]: another stretch in the place of one, and fitting a time;
//! - [`dose`]: the arithmetic of holds;
//! - [`compose`]: the evening of greatest value for what was trained and what time there is;
//! - [`steps`]: what one evening does; [`timeline`]: the same compiled to cues;
//! - [`figure`]: the line figure of a stretch, from joint angles to strokes;
//! - [`safety`]: the sentences that go with every routine.

pub mod breath;
pub mod change;
pub mod compose;
pub mod dose;
pub mod embedded;
pub mod evening;
pub mod figure;
pub mod library;
pub mod pattern;
pub mod safety;
pub mod steps;
pub mod stretch;
mod stretch_figure;
pub mod timeline;

pub use evening::{Breathing, Evening, EveningStretch};
pub use library::{Kind, Library, LibraryText};
pub use pattern::Pattern;
pub use steps::{Routine, Step, change_s};
pub use stretch::{Position, Prop, Side, Stretch};
pub use stretch_figure::StretchFigure;
pub use timeline::{Cue, CueKind, Timeline};
