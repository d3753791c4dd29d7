//! A pose: joint angles, what rests on what, and where it is seen from.

use super::parts::{BodySide, Point};
use super::stance::SurfaceKind;
use crate::pure::region::Region;

/// Where the pose is seen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum View {
    /// From the right: a standing person faces right.
    Side,
    /// From the left: a standing person faces left.
    OtherSide,
    /// From ahead of a standing person.
    Front,
    /// From behind.
    Back,
    /// From straight above; a person standing would face right.
    Above,
}

impl View {
    /// Every view with its word.
    pub const ALL: [(&'static str, Self); 5] = [
        ("side", Self::Side),
        ("other_side", Self::OtherSide),
        ("front", Self::Front),
        ("back", Self::Back),
        ("above", Self::Above),
    ];
}

/// How the pelvis is turned before tilt, lean and turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Posture {
    /// Head up, facing ahead.
    Upright,
    /// On the back, face up; seen from the side the head is on the left.
    OnBack,
    /// On the front, face down; seen from the side the head is on the right.
    OnFront,
    /// On the left side; seen from the back the face is toward the viewer and the head on the right.
    OnLeftSide,
    /// On the right side; seen from the side the face is toward the viewer and the head on the left.
    OnRightSide,
}

impl Posture {
    /// Every posture with its word.
    pub const ALL: [(&'static str, Self); 5] = [
        ("upright", Self::Upright),
        ("on_back", Self::OnBack),
        ("on_front", Self::OnFront),
        ("on_left_side", Self::OnLeftSide),
        ("on_right_side", Self::OnRightSide),
    ];
}

/// How much of the drawing is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Frame {
    /// The whole body.
    Whole,
    /// From the waist up.
    Bust,
    /// From the seat up.
    Upper,
    /// From the hips down.
    Lower,
}

impl Frame {
    /// Every frame with its word.
    pub const ALL: [(&'static str, Self); 4] = [
        ("whole", Self::Whole),
        ("bust", Self::Bust),
        ("upper", Self::Upper),
        ("lower", Self::Lower),
    ];
}

/// The bend of one part of the spine, degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bend {
    /// Forward.
    pub forward: f64,
    /// To the right.
    pub side: f64,
    /// Turned to the right.
    pub turn: f64,
}

/// The joints of an arm, degrees from hanging at the side with the palm toward the thigh.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Arm {
    /// Raised forward; negative behind the body.
    pub shoulder: f64,
    /// Moved away from the midline; negative across the body.
    pub shoulder_out: f64,
    /// Turned outward about the upper arm; negative inward.
    pub shoulder_turn: f64,
    /// Bent.
    pub elbow: f64,
    /// Palm turned up; negative down.
    pub forearm: f64,
    /// Bent toward the palm; negative toward the back of the hand.
    pub wrist: f64,
    /// Fingers bent toward the palm; negative backward.
    pub fingers: f64,
}

/// The joints of a leg, degrees from standing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Leg {
    /// Thigh raised forward; negative behind the body.
    pub hip: f64,
    /// Thigh moved away from the midline; negative across it.
    pub hip_out: f64,
    /// Thigh turned outward about its length; negative inward.
    pub hip_turn: f64,
    /// Bent.
    pub knee: f64,
    /// Foot drawn toward the shin; negative pointed.
    pub ankle: f64,
    /// Toes bent upward; negative curled.
    pub toes: f64,
}

/// A point that rests on a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// What rests.
    pub point: Point,
    /// On what.
    pub surface: SurfaceKind,
}

/// One part of the body that touches or holds another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// What touches.
    pub point: Point,
    /// What it touches.
    pub at: Point,
}

/// A region drawn in the accent colour, on one side or on both.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Accent {
    /// The region.
    pub region: Region,
    /// The side; `None` for both or for the midline.
    pub side: Option<BodySide>,
}

/// Everything a file says about a figure. Two-sided stretches are drawn as done on the right; the left
/// is the mirror image.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// Where it is seen from.
    pub view: View,
    /// The view swung about the vertical, degrees; positive shows more of the front.
    pub view_turn: f64,
    /// The view raised above the level, degrees; surfaces that are lines seen level become outlines.
    pub view_tilt: f64,
    /// How much is shown.
    pub frame: Frame,
    /// How the pelvis lies.
    pub posture: Posture,
    /// Pelvis tilted forward, degrees.
    pub tilt: f64,
    /// Pelvis leant to the right, degrees.
    pub lean: f64,
    /// Pelvis turned to the right, degrees.
    pub turn: f64,
    /// Lumbar spine.
    pub lumbar: Bend,
    /// Thoracic spine.
    pub thoracic: Bend,
    /// Neck.
    pub neck: Bend,
    /// Arms, right and left.
    pub arms: [Arm; 2],
    /// Legs, right and left.
    pub legs: [Leg; 2],
    /// What rests on what.
    pub rests: Vec<Rest>,
    /// What touches or holds what.
    pub touches: Vec<Touch>,
    /// Where a strap runs.
    pub strap: Vec<Point>,
    /// What is drawn in the accent colour.
    pub accents: Vec<Accent>,
    /// The other end of a movement, drawn faintly.
    pub other_end: Option<Box<Pose>>,
}
