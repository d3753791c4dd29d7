//! Where on the body a region lies: the stripe in the accent colour.

use super::body;
use super::drawing::{Eye, Layer, Stroke};
use super::parts::BodySide;
use super::pose::Accent;
use super::skeleton::Skeleton;
use super::space::{Axes, Vector};
use crate::pure::region::Region;

/// Thickness of the stripe.
const WIDTH: f64 = 0.024;

/// The stripes of all accents.
pub(super) fn strokes(skeleton: &Skeleton, accents: &[Accent], eye: &Eye) -> Vec<Stroke> {
    let paths = accents.iter().flat_map(|accent| paths(skeleton, *accent));
    paths
        .map(|path| eye.line(&path, WIDTH, Layer::Accent))
        .collect()
}

fn paths(skeleton: &Skeleton, accent: Accent) -> Vec<Vec<Vector>> {
    let sides: &[BodySide] = match accent.side {
        Some(BodySide::Right) => &BodySide::BOTH[..1],
        Some(BodySide::Left) => &BodySide::BOTH[1..],
        None => &BodySide::BOTH,
    };
    let each =
        |path: &dyn Fn(BodySide) -> Vec<Vector>| sides.iter().map(|side| path(*side)).collect();
    let back = -0.8 * body::TRUNK_RADIUS;
    match accent.region {
        Region::Neck => match accent.side {
            Some(side) => vec![neck(skeleton, 0.0, side.sign() * body::NECK_RADIUS)],
            None => vec![neck(skeleton, -body::NECK_RADIUS, 0.0)],
        },
        Region::UpperBack => match accent.side {
            Some(side) => vec![trunk(skeleton, 0.55..0.96, back, side.sign() * 0.7)],
            None => vec![trunk(skeleton, 0.55..0.96, back, 0.0)],
        },
        Region::LowerBack => match accent.side {
            Some(side) => vec![trunk(skeleton, 0.1..0.6, back, side.sign() * 0.7)],
            None => vec![trunk(skeleton, 0.1..0.6, back, 0.0)],
        },
        Region::Core => match accent.side {
            Some(side) => vec![trunk(skeleton, 0.1..0.85, 0.0, side.sign() * 1.9)],
            None => vec![trunk(skeleton, 0.1..0.75, -back, 0.0)],
        },
        Region::Chest => each(&|side| chest(skeleton, side)),
        Region::Shoulders => each(&|side| shoulder(skeleton, side)),
        Region::UpperArms => each(&|side| {
            let arm = &skeleton.arms[side.index()];
            limb(
                arm.shoulder,
                arm.elbow,
                arm.upper_axes,
                (0.2, 0.9),
                (0.0, 0.0),
            )
        }),
        Region::Forearms => each(&|side| {
            let arm = &skeleton.arms[side.index()];
            limb(arm.elbow, arm.wrist, arm.fore_axes, (0.1, 0.95), (0.0, 0.0))
        }),
        Region::Hips => each(&|side| hip(skeleton, side)),
        Region::Glutes => each(&|side| glutes(skeleton, side)),
        Region::ThighFront => each(&|side| thigh(skeleton, side, (0.7, 0.0))),
        Region::ThighBack => each(&|side| thigh(skeleton, side, (-0.7, 0.0))),
        Region::ThighInner => each(&|side| thigh(skeleton, side, (0.0, -0.7 * side.sign()))),
        Region::Calves => each(&|side| shank(skeleton, side, (0.08, 0.7), -0.7)),
        Region::Shins => each(&|side| shank(skeleton, side, (0.12, 0.95), 0.7)),
        Region::Feet => each(&|side| {
            let leg = &skeleton.legs[side.index()];
            let down = leg.foot_axes.up * (-0.6 * body::FOOT_RADIUS);
            vec![leg.heel + down, leg.ball + down, leg.toes + down]
        }),
    }
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
