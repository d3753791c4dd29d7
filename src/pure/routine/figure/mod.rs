//! The line figure of a stretch: joint angles in, lines out.
//!
//! A pose in a file names joint angles and says which points of the body rest on which surface. From
//! that follow, in this order:
//!
//! 1. [`Pose`]: the angles, each within the range of motion of [`range`];
//! 2. [`Skeleton`]: forward kinematics over the segment lengths of [`body`], in three dimensions;
//! 3. [`Stance`]: the skeleton put down on its surfaces, with a fault for every point that hovers or
//!    sinks and for every hand that does not reach what it holds;
//! 4. [`Figure`]: the same seen from one side, as flat strokes in units of stature;
//! 5. [`svg`] for page and documents, [`lines`] and [`letters`] for the terminal, [`sheet`] for many
//!    figures on one page.
//!
//! Body axes, right-handed: X points forward, Y up, Z to the right of a person standing upright. All
//! lengths are in units of stature, all angles in degrees.

mod accent;
pub mod body;
pub mod drawing;
mod eye;
pub mod flesh;
mod furniture;
pub mod letters;
pub mod lines;
pub mod parts;
pub mod pose;
pub mod range;
pub mod reading;
pub mod sheet;
pub mod skeleton;
mod space;
pub mod stance;
mod strokes;
pub mod svg;

pub use drawing::{Figure, Layer, Segment, Shape, Spot, Stroke, draw};
pub use parts::{BodySide, Part, Point};
pub use pose::{Arm, Bend, Frame, Leg, Pose, Posture, Touch, View};
pub use reading::{parse_pose, read_pose};
pub use skeleton::Skeleton;
pub use space::{Axes, Vector};
pub use stance::{Fault, Stance, SurfaceKind};

#[cfg(test)]
mod tests;
