//! The evening's routine: the library of stretches and patterns, composing, and the timeline.

use std::collections::BTreeMap;

use super::avoid::Avoid;
use super::region::Region;

/// The position of the body, ordered from standing down to the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// On the feet.
    Standing,
    /// On one or both knees, or on all fours.
    Kneeling,
    /// On a chair, the bed or the floor.
    Seated,
    /// On back, side or front.
    Lying,
}

impl Position {
    /// Every position with its id, from standing down.
    pub const ALL: [(&'static str, Self); 4] = [
        ("standing", Self::Standing),
        ("kneeling", Self::Kneeling),
        ("seated", Self::Seated),
        ("lying", Self::Lying),
    ];

    /// The id used in files and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }
}

/// A thing needed for a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Prop {
    /// A wall or a door.
    Wall,
    /// A chair or the edge of a bed to sit on.
    Chair,
    /// A strap, belt or towel.
    Strap,
    /// A cushion or folded towel.
    Cushion,
    /// A low step.
    Step,
    /// A bed's edge.
    BedEdge,
}

/// One held position.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Its id, the file's name without the ending.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Regions with emphasis 1 to 3.
    pub regions: BTreeMap<Region, u8>,
    /// Where the body is.
    pub position: Position,
    /// Done once for each side.
    pub two_sided: bool,
    /// Shortest and longest hold of one side, seconds.
    pub hold_s: (u32, u32),
    /// How to get into it.
    pub set_up: String,
    /// What it should feel like.
    pub feel: String,
    /// When and how to ease off.
    pub ease_off: String,
    /// An easier version.
    pub easier: String,
    /// Conditions for which it is left out.
    pub leave_out: Vec<Avoid>,
    /// Regions that this position loads or strains beyond those it stretches: pain there rules it out.
    pub loads: Vec<Region>,
    /// Things needed.
    pub props: Vec<Prop>,
    /// Can be done in bed.
    pub bed_friendly: bool,
}

/// A breathing pattern, milliseconds each.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Inhale; the whole of it where it is taken in two steps.
    pub inhale_ms: u32,
    /// The second, shorter step of a double inhale (part of `inhale_ms`); 0 for one step.
    pub second_inhale_ms: u32,
    /// Hold after the inhale.
    pub hold_ms: u32,
    /// Exhale.
    pub exhale_ms: u32,
    /// Hold after the exhale.
    pub hold_out_ms: u32,
    /// One sentence about it.
    pub about: String,
}

impl Pattern {
    /// Length of one breath.
    pub fn cycle_ms(&self) -> u32 {
        self.inhale_ms + self.hold_ms + self.exhale_ms + self.hold_out_ms
    }

    /// Whether the breath is held anywhere.
    pub fn has_holds(&self) -> bool {
        self.hold_ms > 0 || self.hold_out_ms > 0
    }
}

/// The side a stretch is done on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Both at once.
    Both,
}

impl Side {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Both => "both",
        }
    }
}

/// One held side of a stretch within a routine.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The stretch's id.
    pub stretch: String,
    /// Which side.
    pub side: Side,
    /// Seconds held.
    pub hold_s: u32,
    /// Seconds to get into it before the hold.
    pub change_s: u32,
}

/// What one evening does: stretches, then a pattern for a whole number of breaths.
#[derive(Clone, Debug, PartialEq)]
pub struct Routine {
    /// `composed`, or the id of a coach's evening.
    pub id: String,
    /// Held sides in order.
    pub steps: Vec<Step>,
    /// The pattern.
    pub pattern: Pattern,
    /// How many whole breaths.
    pub cycles: u32,
}

/// What happens at a cue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CueKind {
    /// Get into the next position.
    Move,
    /// Hold the stretch.
    Stretch,
    /// Breathe in.
    Inhale,
    /// Hold with full lungs.
    Hold,
    /// Breathe out.
    Exhale,
    /// Hold with empty lungs.
    HoldOut,
    /// The routine is over.
    End,
}

impl CueKind {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Move => "move",
            Self::Stretch => "stretch",
            Self::Inhale => "inhale",
            Self::Hold => "hold",
            Self::Exhale => "exhale",
            Self::HoldOut => "hold_out",
            Self::End => "end",
        }
    }
}

/// One cue of a [`Timeline`].
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// Offset from the start, milliseconds.
    pub at_ms: u64,
    /// Length, milliseconds; 0 for the end.
    pub for_ms: u64,
    /// What happens.
    pub kind: CueKind,
    /// What is said or shown.
    pub text: String,
    /// Which step of the routine a move or stretch cue belongs to.
    pub step: Option<usize>,
    /// Which breath, counted from 0, a breathing cue belongs to.
    pub breath: Option<u32>,
}

/// A routine compiled to cues that tile the time from 0 to `total_ms` without gap or overlap: the one
/// thing that terminal, page and sound play.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// The routine's id.
    pub id: String,
    /// Length, milliseconds.
    pub total_ms: u64,
    /// Cues in order; the last one is [`CueKind::End`] at `total_ms` with length 0.
    pub cues: Vec<Cue>,
}
