//! The body as strokes: limbs, trunk and head, ordered by how near they are.

use super::accent::{self, On};
use super::body;
use super::drawing::{Layer, Shape, Stroke};
use super::eye::Eye;
use super::parts::{BodySide, Part, Point};
use super::pose::Accent;
use super::skeleton::{ArmBones, LegBones, Skeleton};
use super::space::Vector;

/// A group of strokes with the depth by which groups are ordered.
struct Group {
    depth: f64,
    strokes: Vec<Stroke>,
}

/// The body from the farthest group of strokes to the nearest, each region that is stretched on its part.
pub(super) fn of_body(skeleton: &Skeleton, accents: &[Accent], eye: &Eye) -> Vec<Stroke> {
    let trunk = trunk(skeleton, eye);
    let arms = BodySide::BOTH.map(|side| arm(skeleton, side, eye));
    let legs = BodySide::BOTH.map(|side| leg(skeleton, side, eye));
    let stripes = accents
        .iter()
        .flat_map(|accent| accent::stripes(skeleton, *accent));
    let mut groups: Vec<Group> = stripes
        .map(|stripe| {
            let own = match stripe.on {
                On::Trunk => trunk.depth,
                On::Arm(side) => arms[side.index()].depth,
                On::Leg(side) => legs[side.index()].depth,
                On::Hip(side) => legs[side.index()].depth.max(trunk.depth),
            };
            let stroke = stripe.stroke(eye);
            let depth = match stroke.layer {
                // Dotted over everything: it shows through.
                Layer::Hidden => f64::INFINITY,
                _ => own + 1e-6,
            };
            Group {
                depth,
                strokes: vec![stroke],
            }
        })
        .collect();
    groups.extend([trunk, head(skeleton, eye)]);
    groups.extend(arms);
    groups.extend(legs);
    groups.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    groups.into_iter().flat_map(|group| group.strokes).collect()
}

fn named(mut stroke: Stroke, part: Part, side: Option<BodySide>) -> Stroke {
    stroke.part = Some(Point { part, side });
    stroke
}

fn trunk(skeleton: &Skeleton, eye: &Eye) -> Group {
    let flank = |side: BodySide| skeleton.spine.iter().map(move |place| place.flank(side));
    let outline: Vec<Vector> = flank(BodySide::Right)
        .chain(flank(BodySide::Left).rev())
        .collect();
    let mut area = eye.line(&outline, 2.0 * body::TRUNK_RADIUS, Layer::Near);
    area.shape = Shape::Area;
    let neck = eye.line(
        &[skeleton.neck[0], skeleton.neck[1], skeleton.head],
        2.0 * body::NECK_RADIUS,
        Layer::Near,
    );
    let middle = skeleton.spine[skeleton.spine.len() / 2].at;
    Group {
        depth: eye.depth(middle),
        strokes: vec![
            named(area, Part::Chest, None),
            named(neck, Part::Neck, None),
        ],
    }
}

fn head(skeleton: &Skeleton, eye: &Eye) -> Group {
    let mut disc = eye.line(&[skeleton.head], 2.0 * body::HEAD_RADIUS, Layer::Near);
    disc.shape = Shape::Disc;
    let mut strokes = vec![named(disc, Part::Head, None)];
    strokes.extend(nose(skeleton, eye));
    Group {
        depth: eye.depth(skeleton.head),
        strokes,
    }
}

/// In profile the nose stands out from the head; from ahead it is a mark on the face; from behind it
/// is not seen.
fn nose(skeleton: &Skeleton, eye: &Eye) -> Option<Stroke> {
    let face = skeleton.face;
    let facing = face.forward.dot(eye.toward);
    let tip = skeleton.head + face.at(body::HEAD_RADIUS + 0.6 * body::NOSE, -0.2 * body::NOSE, 0.0);
    let centre = eye.spot(skeleton.head);
    let spot = eye.spot(tip);
    let out = (spot.x - centre.x).hypot(spot.y - centre.y);
    if out > body::HEAD_RADIUS + 0.1 * body::NOSE {
        let root = skeleton.head + face.at(body::HEAD_RADIUS - body::NOSE, 0.3 * body::NOSE, 0.0);
        Some(eye.line(&[root, tip], body::NOSE, Layer::Near))
    } else if facing > 0.3 {
        let bridge = skeleton.head + face.at(0.9 * body::HEAD_RADIUS, 0.9 * body::NOSE, 0.0);
        let low = skeleton.head + face.at(body::HEAD_RADIUS, -0.7 * body::NOSE, 0.0);
        Some(eye.line(&[bridge, low], 0.6 * body::NOSE, Layer::Gap))
    } else {
        None
    }
}

/// Whether a limb on this side hangs on the far side of the body.
fn layer_of(side: BodySide, right: Vector, eye: &Eye) -> Layer {
    if right.dot(eye.toward) * side.sign() < -0.85 {
        Layer::Far
    } else {
        Layer::Near
    }
}

/// Ground along a limb, so that it stands off from what it crosses; it begins a little way from the
/// trunk so that the limb does not look cut off.
fn gap(points: &[Vector], width: f64, eye: &Eye) -> Stroke {
    let mut points = points.to_vec();
    points[0] = points[0].towards(points[1], 0.45);
    eye.line(&points, width + 0.016, Layer::Gap)
}

fn arm(skeleton: &Skeleton, side: BodySide, eye: &Eye) -> Group {
    let ArmBones {
        shoulder,
        elbow,
        wrist,
        knuckles,
        tip,
        thumb,
        ..
    } = skeleton.arms[side.index()];
    let layer = layer_of(side, skeleton.shoulders().axes.right, eye);
    let stroke = |points: &[Vector], radius: f64, part| {
        named(eye.line(points, 2.0 * radius, layer), part, Some(side))
    };
    let thumb_root = wrist.towards(knuckles, 0.3);
    let depth = [elbow, wrist, knuckles].map(|at| eye.depth(at));
    Group {
        depth: depth.iter().sum::<f64>() / 3.0,
        strokes: vec![
            gap(
                &[shoulder, elbow, wrist, knuckles],
                2.0 * body::FOREARM_RADIUS,
                eye,
            ),
            stroke(&[shoulder, elbow], body::UPPER_ARM_RADIUS, Part::UpperArm),
            stroke(&[elbow, wrist], body::FOREARM_RADIUS, Part::Forearm),
            stroke(&[thumb_root, thumb], 0.5 * body::HAND_RADIUS, Part::Hand),
            stroke(&[wrist, knuckles, tip], body::HAND_RADIUS, Part::Hand),
        ],
    }
}

fn leg(skeleton: &Skeleton, side: BodySide, eye: &Eye) -> Group {
    let LegBones {
        hip,
        knee,
        ankle,
        heel,
        ball,
        toes,
        ..
    } = skeleton.legs[side.index()];
    let layer = layer_of(side, skeleton.spine[0].axes.right, eye);
    let stroke = |points: &[Vector], radius: f64, part| {
        named(eye.line(points, 2.0 * radius, layer), part, Some(side))
    };
    let depth = [knee, ankle].map(|at| eye.depth(at));
    Group {
        depth: depth.iter().sum::<f64>() / 2.0,
        strokes: vec![
            gap(&[hip, knee, ankle], 2.0 * body::SHANK_RADIUS, eye),
            stroke(&[hip, knee], body::THIGH_RADIUS, Part::Thigh),
            stroke(&[knee, ankle], body::SHANK_RADIUS, Part::Shin),
            stroke(&[heel, ball, toes], body::FOOT_RADIUS, Part::Foot),
        ],
    }
}

/// Those strokes of the other end of a movement that are somewhere else, drawn thin.
pub(super) fn of_other_end(body: &[Stroke], other: &Skeleton, eye: &Eye) -> Vec<Stroke> {
    let same = |stroke: &Stroke| {
        body.iter().any(|known| {
            known.part == stroke.part
                && known.points.len() == stroke.points.len()
                && known
                    .points
                    .iter()
                    .zip(&stroke.points)
                    .all(|(a, b)| (a.x - b.x).hypot(a.y - b.y) < 0.02)
        })
    };
    let spine: Vec<Vector> = other.spine.iter().map(|place| place.at).collect();
    let moved = of_body(other, &[], eye)
        .into_iter()
        .filter(|stroke| stroke.layer != Layer::Gap && !same(stroke))
        .map(|stroke| match stroke.shape {
            Shape::Area => named(eye.line(&spine, 0.0, Layer::Ghost), Part::Chest, None),
            _ => stroke,
        });
    moved
        .map(|mut stroke| {
            stroke.layer = Layer::Ghost;
            if stroke.shape == Shape::Line {
                stroke.width = 0.012;
            }
            stroke
        })
        .collect()
}

/// A strap from point to point.
pub(super) fn of_strap(skeleton: &Skeleton, strap: &[Point], eye: &Eye) -> Option<Stroke> {
    let points: Vec<Vector> = strap
        .iter()
        .flat_map(|point| skeleton.balls(*point).into_iter().map(|ball| ball.centre))
        .collect();
    (points.len() > 1).then(|| eye.line(&points, 0.012, Layer::Prop))
}
