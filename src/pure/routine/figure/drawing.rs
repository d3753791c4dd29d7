//! The figure as flat strokes, seen from one side, in the order in which they cover each other.

use super::accent;
use super::body;
use super::furniture;
use super::parts::{BodySide, Part, Point};
use super::pose::{Frame, Pose, View};
use super::skeleton::{ArmBones, LegBones, Skeleton};
use super::space::Vector;
use super::stance::Stance;
use crate::pure::routine::Side;

/// A point of the drawing: x to the right, y up, in units of stature; the floor is at 0.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spot {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// What a stroke belongs to; renderers choose its colour by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Floor, mat, chair, bed, step, wall.
    Surface,
    /// The other end of a movement.
    Ghost,
    /// A strap.
    Prop,
    /// Limbs on the far side.
    Far,
    /// The body.
    Near,
    /// Ground showing between a limb and what it crosses, and the nose seen from ahead.
    Gap,
    /// The region that is stretched.
    Accent,
}

/// How a stroke is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// A line through the points.
    Line,
    /// A filled outline.
    Area,
    /// A round spot as wide as the stroke.
    Disc,
}

/// A line, an outline or a spot.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Its points.
    pub points: Vec<Spot>,
    /// Its thickness.
    pub width: f64,
    /// How it is drawn.
    pub shape: Shape,
    /// What it belongs to.
    pub layer: Layer,
    /// Which part of the body it is, if it is one.
    pub part: Option<Point>,
}

/// A straight piece of the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// One end.
    pub from: Spot,
    /// The other end.
    pub to: Spot,
    /// What it belongs to.
    pub layer: Layer,
    /// Which part of the body it is, if it is one.
    pub part: Option<Point>,
}

/// The part of the plane that is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Lower left corner.
    pub least: Spot,
    /// Upper right corner.
    pub most: Spot,
}

/// A drawing of a pose.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Strokes, the first ones covered by the later ones.
    pub strokes: Vec<Stroke>,
    /// What is shown of them.
    pub window: Window,
}

impl Figure {
    /// The strokes as straight pieces; spots are left out, see [`Figure::head`].
    pub fn segments(&self) -> Vec<Segment> {
        let lines = self
            .strokes
            .iter()
            .filter(|stroke| stroke.shape != Shape::Disc);
        lines
            .flat_map(|stroke| {
                stroke.points.windows(2).map(|ends| Segment {
                    from: ends[0],
                    to: ends[1],
                    layer: stroke.layer,
                    part: stroke.part,
                })
            })
            .collect()
    }

    /// Centre and radius of the head.
    pub fn head(&self) -> Option<(Spot, f64)> {
        let head = self
            .strokes
            .iter()
            .find(|stroke| stroke.shape == Shape::Disc)?;
        Some((*head.points.first()?, head.width / 2.0))
    }
}

/// The eye: where right, up and toward the viewer are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    right: Vector,
    up: Vector,
    toward: Vector,
}

impl Eye {
    fn of(pose: &Pose) -> Self {
        let (x, y, z) = (
            Vector::new(1.0, 0.0, 0.0),
            Vector::new(0.0, 1.0, 0.0),
            Vector::new(0.0, 0.0, 1.0),
        );
        let (toward, swung) = match pose.view {
            View::Side => (z, x),
            View::OtherSide => (z * -1.0, x),
            View::Front => (x, z),
            View::Back => (x * -1.0, z),
            View::Above => {
                return Self {
                    right: x,
                    up: z * -1.0,
                    toward: y,
                };
            }
        };
        let (sin, cos) = pose.view_turn.to_radians().sin_cos();
        let toward = toward * cos + swung * sin;
        Self {
            right: Vector::new(toward.z, 0.0, -toward.x),
            up: y,
            toward,
        }
    }

    /// Where a point is on the drawing.
    pub(super) fn spot(&self, at: Vector) -> Spot {
        Spot {
            x: at.dot(self.right),
            y: at.dot(self.up),
        }
    }

    /// How near a point is: greater is nearer to the viewer.
    pub(super) fn depth(&self, at: Vector) -> f64 {
        at.dot(self.toward)
    }

    /// Whether it looks straight down.
    pub(super) fn is_above(&self) -> bool {
        self.toward.y > 0.5
    }

    pub(super) fn line(&self, points: &[Vector], width: f64, layer: Layer) -> Stroke {
        Stroke {
            points: points.iter().map(|point| self.spot(*point)).collect(),
            width,
            shape: Shape::Line,
            layer,
            part: None,
        }
    }
}

/// Draws a pose; for the left side it is mirrored.
pub fn draw(pose: &Pose, side: Side) -> Figure {
    let stance = Stance::of(pose);
    let eye = Eye::of(pose);
    let body = body_strokes(&stance.skeleton, &eye);
    let ghost = pose
        .other_end
        .as_ref()
        .map(|other| ghost_strokes(&body, &Stance::of(other).skeleton, &eye))
        .unwrap_or_default();
    let strap = strap_stroke(&stance.skeleton, &pose.strap, &eye);
    let accents = accent::strokes(&stance.skeleton, &pose.accents, &eye);
    let mut strokes = furniture::strokes(&stance, &eye);
    strokes.extend(ghost);
    strokes.extend(body);
    strokes.extend(strap);
    strokes.extend(accents);
    let window = window(&strokes, pose, &eye.spot(stance.skeleton.spine[0].at));
    let mut figure = Figure { strokes, window };
    if side == Side::Left {
        mirror(&mut figure);
    }
    figure
}

fn mirror(figure: &mut Figure) {
    for spot in figure
        .strokes
        .iter_mut()
        .flat_map(|stroke| &mut stroke.points)
    {
        spot.x = -spot.x;
    }
    let Window { least, most } = figure.window;
    figure.window.least.x = -most.x;
    figure.window.most.x = -least.x;
}

/// A group of strokes with the depth by which groups are ordered.
struct Group {
    depth: f64,
    strokes: Vec<Stroke>,
}

fn body_strokes(skeleton: &Skeleton, eye: &Eye) -> Vec<Stroke> {
    let mut groups = vec![trunk(skeleton, eye), head(skeleton, eye)];
    for side in BodySide::BOTH {
        groups.push(arm(skeleton, side, eye));
        groups.push(leg(skeleton, side, eye));
    }
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
    if right.dot(eye.toward) * side.sign() < -0.6 {
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
    eye.line(&points, width + 0.020, Layer::Gap)
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
fn ghost_strokes(body: &[Stroke], other: &Skeleton, eye: &Eye) -> Vec<Stroke> {
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
    let moved = body_strokes(other, eye)
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

fn strap_stroke(skeleton: &Skeleton, strap: &[Point], eye: &Eye) -> Option<Stroke> {
    let points: Vec<Vector> = strap
        .iter()
        .flat_map(|point| skeleton.balls(*point).into_iter().map(|ball| ball.centre))
        .collect();
    (points.len() > 1).then(|| eye.line(&points, 0.012, Layer::Prop))
}

/// The least window that shows the frame, with a margin.
fn window(strokes: &[Stroke], pose: &Pose, hips: &Spot) -> Window {
    const MARGIN: f64 = 0.03;
    let shown = |spot: &Spot| match pose.frame {
        Frame::Whole => true,
        Frame::Upper => spot.y > hips.y - 0.02,
        Frame::Lower => spot.y < hips.y + 0.02,
    };
    let mut least = Spot {
        x: f64::INFINITY,
        y: f64::INFINITY,
    };
    let mut most = Spot {
        x: f64::NEG_INFINITY,
        y: f64::NEG_INFINITY,
    };
    let whole = pose.frame == Frame::Whole;
    for stroke in strokes {
        let half = stroke.width / 2.0;
        if stroke.layer == Layer::Gap || (stroke.layer == Layer::Surface && !whole) {
            continue;
        }
        for spot in stroke.points.iter().filter(|spot| shown(spot)) {
            least.x = least.x.min(spot.x - half);
            least.y = least.y.min(spot.y - half);
            most.x = most.x.max(spot.x + half);
            most.y = most.y.max(spot.y + half);
        }
    }
    least.x -= MARGIN;
    least.y -= MARGIN;
    most.x += MARGIN;
    most.y += MARGIN;
    Window { least, most }
}
