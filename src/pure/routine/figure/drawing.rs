//! The figure as flat strokes, seen from one side, in the order in which they cover each other.

use super::eye::Eye;
use super::furniture;
use super::parts::Point;
use super::pose::{Frame, Pose};
use super::stance::Stance;
use super::strokes;
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
    /// The region that is stretched, where it lies on the side turned away from the viewer.
    Hidden,
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

/// Draws a pose; for the left side it is mirrored.
pub fn draw(pose: &Pose, side: Side) -> Figure {
    let stance = Stance::of(pose);
    let eye = Eye::of(pose);
    let body = strokes::of_body(&stance.skeleton, &pose.accents, &eye);
    let ghost = pose
        .other_end
        .as_ref()
        .map(|other| strokes::of_other_end(&body, &Stance::of(other).skeleton, &eye))
        .unwrap_or_default();
    let strap = strokes::of_strap(&stance.skeleton, &pose.strap, &eye);
    let mut all = furniture::strokes(&stance, &eye);
    all.extend(ghost);
    all.extend(body);
    all.extend(strap);
    let window = window(&all, pose, &eye.spot(stance.skeleton.spine[0].at));
    let mut figure = Figure {
        strokes: all,
        window,
    };
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

/// The least window that shows the frame, with a margin.
fn window(strokes: &[Stroke], pose: &Pose, hips: &Spot) -> Window {
    const MARGIN: f64 = 0.03;
    let shown = |spot: &Spot| match pose.frame {
        Frame::Whole => true,
        Frame::Bust => spot.y > hips.y + 0.10,
        Frame::Upper => spot.y > hips.y - 0.05,
        Frame::Lower => spot.y < hips.y + 0.05,
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
