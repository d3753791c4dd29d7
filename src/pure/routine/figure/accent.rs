//! Where on the body a region lies: the stripe in the accent colour.

use super::body;
use super::drawing::{Layer, Stroke};
use super::eye::Eye;
use super::parts::BodySide;
use super::pose::Accent;
use super::skeleton::Skeleton;
use super::space::{Axes, Vector};
use crate::pure::region::Region;

/// Thickness of the stripe.
const WIDTH: f64 = 0.024;

/// What a stripe lies on: it is drawn just over it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum On {
    /// The trunk or the neck.
    Trunk,
    /// An arm.
    Arm(BodySide),
    /// A leg.
    Leg(BodySide),
    /// A leg and the trunk above it.
    Hip(BodySide),
}

/// A stripe in space.
pub(super) struct Stripe {
    /// What it lies on.
    pub(super) on: On,
    /// Away from the body where it lies; no length for a stripe along the middle.
    pub(super) outward: Vector,
    /// Its course.
    pub(super) path: Vec<Vector>,
}

impl Stripe {
    /// The stripe as drawn: hidden when it is on the side turned away.
    pub(super) fn stroke(&self, eye: &Eye) -> Stroke {
        if eye.depth(self.outward) < -0.5 {
            eye.line(&self.path, 0.55 * WIDTH, Layer::Hidden)
        } else {
            eye.line(&self.path, WIDTH, Layer::Accent)
        }
    }
}

/// The stripes of an accent.
pub(super) fn stripes(skeleton: &Skeleton, accent: Accent) -> Vec<Stripe> {
    let sides: &[BodySide] = match accent.side {
        Some(BodySide::Right) => &BodySide::BOTH[..1],
        Some(BodySide::Left) => &BodySide::BOTH[1..],
        None => &BodySide::BOTH,
    };
    match accent.region {
        Region::Neck | Region::UpperBack | Region::LowerBack | Region::Core => {
            vec![midline(skeleton, accent)]
        }
        region => sides
            .iter()
            .map(|side| paired(skeleton, region, *side))
            .collect(),
    }
}

fn midline(skeleton: &Skeleton, accent: Accent) -> Stripe {
    let depth = 0.8 * body::TRUNK_RADIUS;
    let beside = accent.side.map_or(0.0, BodySide::sign);
    let waist = skeleton.waist().axes;
    let high = skeleton.shoulders().axes;
    let (outward, path) = match accent.region {
        Region::Neck if beside == 0.0 => (
            skeleton.neck_axes.forward * -1.0,
            neck(skeleton, -body::NECK_RADIUS, 0.0),
        ),
        Region::Neck => (
            Vector::default(),
            neck(skeleton, 0.0, beside * body::NECK_RADIUS),
        ),
        Region::UpperBack => (
            high.forward * -1.0,
            trunk(skeleton, 0.55..0.96, -depth, beside * 0.7),
        ),
        Region::LowerBack => (
            waist.forward * -1.0,
            trunk(skeleton, 0.1..0.6, -depth, beside * 0.7),
        ),
        _ if beside == 0.0 => (waist.forward, trunk(skeleton, 0.1..0.75, depth, 0.0)),
        _ => (
            waist.right * beside,
            trunk(skeleton, 0.1..0.85, 0.0, beside * 1.9),
        ),
    };
    Stripe {
        on: On::Trunk,
        outward,
        path,
    }
}

fn paired(skeleton: &Skeleton, region: Region, side: BodySide) -> Stripe {
    let arm = &skeleton.arms[side.index()];
    let leg = &skeleton.legs[side.index()];
    let middle = Vector::default();
    let pelvis = skeleton.spine[0].axes;
    let (on, outward, path) = match region {
        Region::Chest => (
            On::Trunk,
            skeleton.shoulders().axes.forward,
            chest(skeleton, side),
        ),
        Region::Shoulders => (On::Arm(side), middle, shoulder(skeleton, side)),
        Region::UpperArms => (
            On::Arm(side),
            middle,
            limb(
                arm.shoulder,
                arm.elbow,
                arm.upper_axes,
                (0.2, 0.9),
                (0.0, 0.0),
            ),
        ),
        Region::Forearms => (
            On::Arm(side),
            middle,
            limb(arm.elbow, arm.wrist, arm.fore_axes, (0.1, 0.95), (0.0, 0.0)),
        ),
        Region::Hips => (On::Hip(side), pelvis.forward, hip(skeleton, side)),
        Region::Glutes => (On::Hip(side), pelvis.forward * -1.0, glutes(skeleton, side)),
        Region::ThighFront => (
            On::Leg(side),
            leg.thigh_axes.forward,
            thigh(skeleton, side, (0.7, 0.0)),
        ),
        Region::ThighBack => (
            On::Leg(side),
            leg.thigh_axes.forward * -1.0,
            thigh(skeleton, side, (-0.7, 0.0)),
        ),
        Region::ThighInner => (
            On::Leg(side),
            leg.thigh_axes.right * -side.sign(),
            thigh(skeleton, side, (0.0, -0.7 * side.sign())),
        ),
        Region::Calves => (
            On::Leg(side),
            leg.shank_axes.forward * -1.0,
            shank(skeleton, side, (0.08, 0.7), -0.7),
        ),
        Region::Shins => (
            On::Leg(side),
            leg.shank_axes.forward,
            shank(skeleton, side, (0.12, 0.95), 0.7),
        ),
        _ => {
            let down = leg.foot_axes.up * (-0.6 * body::FOOT_RADIUS);
            let sole = [leg.heel, leg.ball, leg.toes].map(|at| at + down);
            (On::Leg(side), middle, sole.to_vec())
        }
    };
    Stripe { on, outward, path }
}

/// A stripe along a straight piece, between two shares of it, moved off its middle.
fn limb(from: Vector, to: Vector, axes: Axes, span: (f64, f64), off: (f64, f64)) -> Vec<Vector> {
    let off = axes.at(off.0, 0.0, off.1);
    vec![
        from.towards(to, span.0) + off,
        from.towards(to, span.1) + off,
    ]
}

fn neck(skeleton: &Skeleton, forward: f64, right: f64) -> Vec<Vector> {
    let off = skeleton.neck_axes.at(forward, 0.0, right);
    let [low, skull] = skeleton.neck;
    vec![
        low - skeleton.neck_axes.up * 0.01 + off * 1.5,
        skull + skeleton.face.up * 0.01 + off * 1.1,
    ]
}

/// Along the spine between two shares of the trunk; `right` in half breadths.
fn trunk(
    skeleton: &Skeleton,
    shares: std::ops::Range<f64>,
    forward: f64,
    right: f64,
) -> Vec<Vector> {
    skeleton
        .spine
        .iter()
        .filter(|place| shares.contains(&place.share))
        .map(|place| {
            let breadth = body::trunk_half_breadth(place.share);
            place.at + place.axes.at(forward, 0.0, right * breadth)
        })
        .collect()
}

fn chest(skeleton: &Skeleton, side: BodySide) -> Vec<Vector> {
    let high = &skeleton.spine[skeleton.spine.len() - 2];
    let front = |right: f64, up: f64| {
        high.at
            + high
                .axes
                .at(0.8 * body::TRUNK_RADIUS, up, right * side.sign())
    };
    let arm = &skeleton.arms[side.index()];
    vec![
        front(0.02, -0.03),
        front(0.07, 0.0),
        arm.shoulder.towards(arm.elbow, 0.12),
    ]
}

fn shoulder(skeleton: &Skeleton, side: BodySide) -> Vec<Vector> {
    let arm = &skeleton.arms[side.index()];
    let out = arm.upper_axes.at(
        -0.3 * body::UPPER_ARM_RADIUS,
        0.0,
        0.6 * side.sign() * body::UPPER_ARM_RADIUS,
    );
    vec![
        skeleton.shoulders().at.towards(arm.shoulder, 0.6),
        arm.shoulder + out,
        arm.shoulder.towards(arm.elbow, 0.45) + out,
    ]
}

fn hip(skeleton: &Skeleton, side: BodySide) -> Vec<Vector> {
    let leg = &skeleton.legs[side.index()];
    let pelvis = &skeleton.spine[1];
    let out = side.sign();
    let at = |axes: Axes, by: f64| axes.at(0.8 * by, 0.0, 0.6 * out * by);
    vec![
        pelvis.at + pelvis.axes.right * (0.03 * out) + at(pelvis.axes, body::TRUNK_RADIUS),
        leg.hip + at(pelvis.axes, body::TRUNK_RADIUS),
        leg.hip.towards(leg.knee, 0.35) + at(leg.thigh_axes, body::THIGH_RADIUS),
    ]
}

fn glutes(skeleton: &Skeleton, side: BodySide) -> Vec<Vector> {
    let leg = &skeleton.legs[side.index()];
    let pelvis = &skeleton.spine[1];
    let hips = &skeleton.spine[0];
    let out = side.sign() * 0.03;
    vec![
        pelvis.at + pelvis.axes.at(-0.8 * body::TRUNK_RADIUS, 0.0, out),
        hips.at + pelvis.axes.at(-0.9 * body::TRUNK_RADIUS, -0.01, out),
        leg.hip.towards(leg.knee, 0.25) - leg.thigh_axes.forward * (0.9 * body::THIGH_RADIUS),
    ]
}

fn thigh(skeleton: &Skeleton, side: BodySide, off: (f64, f64)) -> Vec<Vector> {
    let leg = &skeleton.legs[side.index()];
    let off = (off.0 * body::THIGH_RADIUS, off.1 * body::THIGH_RADIUS);
    limb(leg.hip, leg.knee, leg.thigh_axes, (0.15, 0.9), off)
}

fn shank(skeleton: &Skeleton, side: BodySide, span: (f64, f64), forward: f64) -> Vec<Vector> {
    let leg = &skeleton.legs[side.index()];
    let off = (forward * body::SHANK_RADIUS, 0.0);
    limb(leg.knee, leg.ankle, leg.shank_axes, span, off)
}
