//! Putting the body down: what rests where, and what hovers, sinks or does not reach.
//!
//! The floor is at height 0. The lowest of the points said to rest on it is put there; every other
//! surface then is where the body needs it: the seat of a chair under the pelvis, a wall at the hand.
//! So a pose has no coordinates, and what remains to be checked is whether all points of one surface
//! agree, whether the surface is where such a thing can be, and whether anything has sunk.

use super::flesh::Ball;
use super::parts::{Part, Point};
use super::pose::{Pose, Rest};
use super::skeleton::Skeleton;
use super::space::Vector;

/// Points that rest on one surface may differ by this much of stature, and nothing may sink further.
pub const TOLERANCE: f64 = 0.01;
/// What touches is nearer than this, skin to skin.
pub const REACH: f64 = 0.02;

/// What a body rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SurfaceKind {
    /// The floor.
    Floor,
    /// The floor with a mat drawn on it.
    Mat,
    /// A seat.
    Chair,
    /// A bed.
    Bed,
    /// A low step.
    Step,
    /// A cushion or folded towel on the floor.
    Cushion,
    /// A wall ahead or behind.
    Wall,
    /// A wall to one side.
    SideWall,
    /// The two posts of a door.
    Doorway,
}

impl SurfaceKind {
    /// Every kind with its word.
    pub const ALL: [(&'static str, Self); 9] = [
        ("floor", Self::Floor),
        ("mat", Self::Mat),
        ("chair", Self::Chair),
        ("bed", Self::Bed),
        ("step", Self::Step),
        ("cushion", Self::Cushion),
        ("wall", Self::Wall),
        ("side_wall", Self::SideWall),
        ("doorway", Self::Doorway),
    ];

    /// The word in files.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// Least and greatest height of its top above the floor, in units of stature: common sizes of
    /// furniture for a person of 1.75 m, common practice, no source. `None` for upright surfaces.
    fn heights(self) -> Option<(f64, f64)> {
        match self {
            Self::Floor | Self::Mat => Some((0.0, 0.0)),
            Self::Chair => Some((0.20, 0.34)),
            Self::Bed => Some((0.20, 0.40)),
            Self::Step => Some((0.06, 0.30)),
            Self::Cushion => Some((0.01, 0.12)),
            Self::Wall | Self::SideWall | Self::Doorway => None,
        }
    }
}

/// Height of a bed when nothing rests on the floor beside it.
const BED_HEIGHT: f64 = 0.31;

/// Where a surface came to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Level, with its top at this height.
    Level(f64),
    /// Upright across the forward axis at this distance; the sign tells on which side the wall is.
    Ahead(f64, f64),
    /// Upright beside the body at this distance; the sign tells on which side the wall is.
    Beside(f64, f64),
}

/// One surface with the balls that rest on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// What it is.
    pub kind: SurfaceKind,
    /// Where it is.
    pub place: Place,
    /// What rests on it.
    pub contacts: Vec<(Point, Ball)>,
}

impl Surface {
    /// How far a ball is above the surface, in units of stature; negative when sunk into it.
    pub fn gap(&self, ball: &Ball) -> f64 {
        gap(self.place, ball)
    }
}

/// What is wrong with a pose as a whole.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Nothing says what the body rests on.
    NothingRests,
    /// A point said to rest on a surface is above it by this share of stature.
    Hovers(Point, SurfaceKind, f64),
    /// A point is below a surface by this share of stature.
    Sinks(Point, SurfaceKind, f64),
    /// A surface would have to be at this height, which no such thing has.
    WrongHeight(SurfaceKind, f64),
    /// A part is this far from what it is said to touch.
    DoesNotReach(Point, Point, f64),
}

/// A skeleton on its surfaces.
#[derive(Clone, Debug, PartialEq)]
pub struct Stance {
    /// The skeleton, put down.
    pub skeleton: Skeleton,
    /// The surfaces, level ones first.
    pub surfaces: Vec<Surface>,
}

impl Stance {
    /// Puts a pose down. What does not fit is left as it is; see [`Stance::faults`].
    pub fn of(pose: &Pose) -> Self {
        let skeleton = Skeleton::of(pose);
        let lowest = |wanted: fn(SurfaceKind) -> bool| {
            resting(&skeleton, &pose.rests, wanted)
                .iter()
                .map(|(_, ball)| ball.centre.y - ball.radius)
                .fold(f64::INFINITY, f64::min)
        };
        let on_floor = lowest(|kind| matches!(kind, SurfaceKind::Floor | SurfaceKind::Mat));
        let on_bed = lowest(|kind| kind == SurfaceKind::Bed);
        let up = if on_floor.is_finite() {
            -on_floor
        } else if on_bed.is_finite() {
            BED_HEIGHT - on_bed
        } else {
            0.0
        };
        let skeleton = skeleton.moved(Vector::new(0.0, up, 0.0));
        let mut kinds: Vec<SurfaceKind> = pose.rests.iter().map(|rest| rest.surface).collect();
        kinds.sort();
        kinds.dedup();
        let surfaces = kinds
            .into_iter()
            .map(|kind| surface(&skeleton, &pose.rests, kind))
            .collect();
        Self { skeleton, surfaces }
    }

    /// Everything that hovers, sinks, does not fit or does not reach.
    pub fn faults(&self, pose: &Pose) -> Vec<Fault> {
        if pose.rests.is_empty() {
            return vec![Fault::NothingRests];
        }
        let mut faults = Vec::new();
        for surface in &self.surfaces {
            for (point, ball) in &surface.contacts {
                let gap = surface.gap(ball);
                if gap > TOLERANCE {
                    faults.push(Fault::Hovers(*point, surface.kind, gap));
                }
            }
            if let (Place::Level(height), Some((least, most))) =
                (surface.place, surface.kind.heights())
                && (height < least - 1e-9 || height > most + 1e-9)
            {
                faults.push(Fault::WrongHeight(surface.kind, height));
            }
        }
        faults.extend(self.sunk());
        for touch in &pose.touches {
            let away = reach(&self.skeleton, touch.point, touch.at);
            if away > REACH {
                faults.push(Fault::DoesNotReach(touch.point, touch.at, away));
            }
        }
        faults
    }

    /// What has sunk into the floor or a wall.
    fn sunk(&self) -> Vec<Fault> {
        let floor = Surface {
            kind: SurfaceKind::Floor,
            place: Place::Level(0.0),
            contacts: Vec::new(),
        };
        let solid = self
            .surfaces
            .iter()
            .filter(|surface| matches!(surface.kind, SurfaceKind::Wall | SurfaceKind::SideWall));
        let mut faults: Vec<Fault> = Vec::new();
        for surface in solid.chain([&floor]) {
            for (point, ball) in self.skeleton.all_balls() {
                let gap = surface.gap(&ball);
                let known = faults.iter().any(
                    |fault| matches!(fault, Fault::Sinks(at, kind, _) if *at == point && *kind == surface.kind),
                );
                if gap < -TOLERANCE && !known {
                    faults.push(Fault::Sinks(point, surface.kind, -gap));
                }
            }
        }
        faults
    }
}

/// How far one part is from another, skin to skin; 0 where they touch or overlap.
pub fn reach(skeleton: &Skeleton, point: Point, at: Point) -> f64 {
    let mut least = f64::INFINITY;
    for own in skeleton.pieces(point) {
        for step in 0..=8 {
            let place = own.from.towards(own.to, f64::from(step) / 8.0);
            for other in skeleton.pieces(at) {
                let away = place.distance_to_piece(other.from, other.to);
                least = least.min(away - own.radius - other.radius);
            }
        }
    }
    least.max(0.0)
}

fn resting(
    skeleton: &Skeleton,
    rests: &[Rest],
    wanted: impl Fn(SurfaceKind) -> bool,
) -> Vec<(Point, Ball)> {
    let mut found = Vec::new();
    for rest in rests.iter().filter(|rest| wanted(rest.surface)) {
        for point in rest.point.each() {
            let balls = skeleton.balls(point).into_iter();
            found.extend(balls.map(|ball| (point, ball)));
        }
    }
    found
}

fn gap(place: Place, ball: &Ball) -> f64 {
    match place {
        Place::Level(height) => ball.centre.y - ball.radius - height,
        Place::Ahead(at, sign) => (at - ball.centre.x) * sign - ball.radius,
        Place::Beside(at, sign) => (at - ball.centre.z) * sign - ball.radius,
    }
}

fn surface(skeleton: &Skeleton, rests: &[Rest], kind: SurfaceKind) -> Surface {
    let all = resting(skeleton, rests, |surface| surface == kind);
    let place = match kind {
        SurfaceKind::Floor | SurfaceKind::Mat => Place::Level(0.0),
        SurfaceKind::Wall | SurfaceKind::SideWall | SurfaceKind::Doorway => {
            upright(skeleton, &all, kind)
        }
        _ => Place::Level(
            all.iter()
                .map(|(_, ball)| ball.centre.y - ball.radius)
                .fold(f64::INFINITY, f64::min),
        ),
    };
    Surface {
        kind,
        place,
        contacts: nearest_of_trunk(place, all),
    }
}

/// A wall stands where the outermost resting point is, on the side of the body where they are.
fn upright(skeleton: &Skeleton, contacts: &[(Point, Ball)], kind: SurfaceKind) -> Place {
    let centre = skeleton.spine[0].at;
    let count = contacts.len().max(1) as f64;
    let mean = contacts
        .iter()
        .fold(Vector::default(), |sum, (_, ball)| sum + ball.centre)
        * (1.0 / count)
        - centre;
    let ahead = kind != SurfaceKind::SideWall;
    let sign = if ahead { mean.x } else { mean.z }.signum();
    let outermost = contacts
        .iter()
        .map(|(_, ball)| {
            let along = if ahead { ball.centre.x } else { ball.centre.z };
            along * sign + ball.radius
        })
        .fold(f64::NEG_INFINITY, f64::max);
    if ahead {
        Place::Ahead(outermost * sign, sign)
    } else {
        Place::Beside(outermost * sign, sign)
    }
}

/// Keeps one ball of each trunk part, the one nearest to the surface: where a trunk touches depends on
/// how it lies. Limbs keep all of theirs.
fn nearest_of_trunk(place: Place, all: Vec<(Point, Ball)>) -> Vec<(Point, Ball)> {
    let mut kept: Vec<(Point, Ball)> = Vec::new();
    for (point, ball) in all {
        let trunk = matches!(point.part, Part::Chest | Part::Waist | Part::Pelvis);
        match kept.iter_mut().find(|(known, _)| trunk && *known == point) {
            Some((_, nearest)) if gap(place, &ball) < gap(place, nearest) => *nearest = ball,
            Some(_) => {}
            None => kept.push((point, ball)),
        }
    }
    kept
}
