//! What the body rests on, drawn: each thing as a few straight lines in space, seen like the body.

use super::drawing::{Layer, Shape, Spot, Stroke};
use super::eye::Eye;
use super::flesh::Ball;
use super::parts::BodySide;
use super::space::Vector;
use super::stance::{Place, Stance, Surface, SurfaceKind};

/// Thickness of thin lines.
const THIN: f64 = 0.010;
/// Thickness of seats, mats and bed tops.
const THICK: f64 = 0.018;

/// All surfaces of a stance. The floor is always drawn, but not where the view looks down.
pub(super) fn strokes(stance: &Stance, eye: &Eye) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = stance
        .surfaces
        .iter()
        .flat_map(|surface| draw(surface, stance, eye))
        .collect();
    if !eye.looks_down() {
        strokes.push(floor(stance, &strokes, eye));
    }
    strokes
}

fn line(eye: &Eye, points: &[Vector], width: f64) -> Stroke {
    eye.line(points, width, Layer::Surface)
}

/// Least and greatest coordinates of what rests on a surface.
fn rested(surface: &Surface) -> (Vector, Vector) {
    extent(surface.contacts.iter().map(|(_, ball)| ball))
}

/// Least and greatest coordinates of some balls' centres.
fn extent<'b>(balls: impl Iterator<Item = &'b Ball>) -> (Vector, Vector) {
    let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut least = Vector::new(high, high, high);
    let mut most = Vector::new(low, low, low);
    for ball in balls {
        let at = ball.centre;
        least = Vector::new(least.x.min(at.x), least.y.min(at.y), least.z.min(at.z));
        most = Vector::new(most.x.max(at.x), most.y.max(at.y), most.z.max(at.z));
    }
    (least, most)
}

/// The floor: a level line a little longer than what stands on it.
fn floor(stance: &Stance, others: &[Stroke], eye: &Eye) -> Stroke {
    let body = stance.skeleton.all_balls();
    let spots = body.iter().map(|(_, ball)| eye.spot(ball.centre).x);
    let furniture = others.iter().flat_map(|stroke| &stroke.points);
    let all = spots.chain(furniture.map(|spot| spot.x));
    let (least, most) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), x| {
        (least.min(x), most.max(x))
    });
    let y = -THIN / 2.0;
    Stroke {
        points: vec![Spot { x: least - 0.04, y }, Spot { x: most + 0.04, y }],
        width: THIN,
        shape: Shape::Line,
        layer: Layer::Surface,
        part: None,
    }
}

fn draw(surface: &Surface, stance: &Stance, eye: &Eye) -> Vec<Stroke> {
    match (surface.kind, surface.place) {
        (SurfaceKind::Mat, _) => mat(stance, eye),
        (SurfaceKind::Chair, Place::Level(height)) => chair(stance, height, eye),
        (SurfaceKind::Bed, Place::Level(height)) => bed(surface, height, eye),
        (SurfaceKind::Step, Place::Level(height)) => step(surface, height, eye),
        (SurfaceKind::Cushion, Place::Level(height)) => cushion(surface, height, eye),
        (SurfaceKind::Wall | SurfaceKind::SideWall, place) => wall(surface, place, eye),
        (SurfaceKind::Doorway, place) => doorway(surface, place, eye),
        _ => Vec::new(),
    }
}

fn corners(least: Vector, most: Vector, y: f64) -> [Vector; 4] {
    [
        Vector::new(least.x, y, least.z),
        Vector::new(most.x, y, least.z),
        Vector::new(most.x, y, most.z),
        Vector::new(least.x, y, most.z),
    ]
}

/// A mat under the whole body: a thick line, or an outline where the view looks down.
fn mat(stance: &Stance, eye: &Eye) -> Vec<Stroke> {
    let all = stance.skeleton.all_balls();
    let (least, most) = extent(all.iter().map(|(_, ball)| ball));
    let margin = Vector::new(0.04, 0.0, 0.06);
    outline(eye, least - margin, most + margin, 0.0)
}

/// A level sheet: an outline where the view looks down, else a thick line just below its top.
fn outline(eye: &Eye, least: Vector, most: Vector, y: f64) -> Vec<Stroke> {
    if eye.looks_down() {
        let [a, b, c, d] = corners(least, most, y);
        vec![line(eye, &[a, b, c, d, a], THIN)]
    } else {
        let y = y - THICK / 2.0;
        vec![line(eye, &corners(least, most, y), THICK)]
    }
}

/// Seat and four legs, with a back behind the person.
fn chair(stance: &Stance, height: f64, eye: &Eye) -> Vec<Stroke> {
    let hips = stance.skeleton.spine[0];
    let ahead = hips.axes.right;
    // Forward of the seat: level, at right angles to the person's right.
    let forward = Vector::new(-ahead.z, 0.0, ahead.x) * -1.0;
    let forward = forward * (1.0 / forward.length().max(1e-9));
    let beside = Vector::new(-forward.z, 0.0, forward.x);
    let corner = |along: f64, across: f64, y: f64| {
        Vector::new(hips.at.x, y, hips.at.z) + forward * along + beside * across
    };
    let (back, front, half) = (-0.085, 0.13, 0.125);
    let y = height - THICK / 2.0;
    let mut strokes = vec![line(
        eye,
        &[
            corner(back, -half, y),
            corner(front, -half, y),
            corner(front, half, y),
            corner(back, half, y),
        ],
        THICK,
    )];
    for (along, across) in [(back, -half), (front, -half), (front, half), (back, half)] {
        strokes.push(line(
            eye,
            &[corner(along, across, y), corner(along, across, 0.0)],
            THIN,
        ));
    }
    strokes
}

fn bed(surface: &Surface, height: f64, eye: &Eye) -> Vec<Stroke> {
    let (least, most) = rested(surface);
    let least = least - Vector::new(0.10, 0.0, 0.20);
    let most = most + Vector::new(0.03, 0.0, 0.20);
    if eye.looks_down() {
        return outline(eye, least, most, height);
    }
    let mut strokes = outline(eye, least, most, height);
    let low = height - 0.12;
    let mattress: Vec<Vector> = corners(least, most, low).to_vec();
    strokes.push(line(eye, &mattress, THIN));
    for x in [least.x, most.x] {
        for z in [least.z, most.z] {
            let foot = x + if x == least.x { 0.02 } else { -0.02 };
            strokes.push(line(
                eye,
                &[Vector::new(x, height, z), Vector::new(x, low, z)],
                THIN,
            ));
            strokes.push(line(
                eye,
                &[Vector::new(foot, low, z), Vector::new(foot, 0.0, z)],
                THIN,
            ));
        }
    }
    strokes
}

fn step(surface: &Surface, height: f64, eye: &Eye) -> Vec<Stroke> {
    let (least, most) = rested(surface);
    let margin = Vector::new(0.08, 0.0, 0.08);
    let [a, b, c, d] = corners(least - margin, most + margin, height - THIN / 2.0);
    let mut strokes = vec![line(eye, &[a, b, c, d, a], THIN)];
    for corner in [a, b, c, d] {
        strokes.push(line(
            eye,
            &[corner, Vector::new(corner.x, 0.0, corner.z)],
            THIN,
        ));
    }
    strokes
}

/// Rounded pads between the floor and what rests on them, one for each side of the body.
fn cushion(surface: &Surface, height: f64, eye: &Eye) -> Vec<Stroke> {
    let mut strokes = Vec::new();
    for side in [None, Some(BodySide::Right), Some(BodySide::Left)] {
        let own = surface
            .contacts
            .iter()
            .filter(|(point, _)| point.side == side);
        if own.clone().next().is_none() {
            continue;
        }
        let (least, most) = extent(own.map(|(_, ball)| ball));
        let half = Vector::new(0.05, 0.0, 0.05);
        let (least, most) = (least - half, most + half);
        if eye.looks_down() {
            strokes.extend(outline(eye, least, most, height));
        } else {
            strokes.push(line(eye, &corners(least, most, height / 2.0), height));
        }
    }
    strokes
}

fn wall(surface: &Surface, place: Place, eye: &Eye) -> Vec<Stroke> {
    let (least, most) = rested(surface);
    let top = (most.y + 0.15).max(0.6);
    let foot = |y: f64| match place {
        Place::Beside(z, sign) => Vector::new(least.x, y, z + sign * THICK / 2.0),
        Place::Ahead(x, sign) => Vector::new(x + sign * THICK / 2.0, y, least.z),
        Place::Level(_) => Vector::default(),
    };
    if eye.looks_down() {
        let along = |z: f64| Vector::new(foot(0.0).x, 0.0, z);
        return vec![line(
            eye,
            &[along(least.z - 0.2), along(most.z + 0.2)],
            THICK,
        )];
    }
    vec![line(eye, &[foot(0.0), foot(top)], THICK)]
}

/// Two posts, each beside what rests on it, and the beam above.
fn doorway(surface: &Surface, place: Place, eye: &Eye) -> Vec<Stroke> {
    let Place::Ahead(at, sign) = place else {
        return Vec::new();
    };
    let (least, most) = rested(surface);
    let x = at + sign * THICK;
    let top = (most.y + 0.10).max(1.12);
    let (left, right) = (least.z, most.z);
    vec![line(
        eye,
        &[
            Vector::new(x, 0.0, left),
            Vector::new(x, top, left),
            Vector::new(x, top, right),
            Vector::new(x, 0.0, right),
        ],
        2.0 * THICK,
    )]
}
