//! Forward kinematics: from joint angles to points.
//!
//! The order of turns at hip and shoulder follows the joint coordinate systems of the International
//! Society of Biomechanics (Wu et al. 2002): raising about the right axis of the trunk, then outward
//! about the floating axis, then about the limb's own length.

use super::body;
use super::parts::{BodySide, Part, Point};
use super::pose::{Arm, Bend, Leg, Pose, Posture};
use super::space::{Axes, Vector};

/// The points of an arm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmBones {
    /// Shoulder joint.
    pub shoulder: Vector,
    /// Elbow joint.
    pub elbow: Vector,
    /// Wrist joint.
    pub wrist: Vector,
    /// Knuckles.
    pub knuckles: Vector,
    /// Tip of the fingers.
    pub tip: Vector,
    /// Tip of the thumb.
    pub thumb: Vector,
    /// Axes of the upper arm.
    pub upper_axes: Axes,
    /// Axes of the forearm.
    pub fore_axes: Axes,
}

/// The points of a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegBones {
    /// Hip joint.
    pub hip: Vector,
    /// Knee joint.
    pub knee: Vector,
    /// Ankle joint.
    pub ankle: Vector,
    /// Heel.
    pub heel: Vector,
    /// Ball of the foot.
    pub ball: Vector,
    /// Tip of the toes.
    pub toes: Vector,
    /// Axes of the thigh.
    pub thigh_axes: Axes,
    /// Axes of the shank.
    pub shank_axes: Axes,
    /// Axes of the foot.
    pub foot_axes: Axes,
}

/// A place on the spine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertebra {
    /// Where it is.
    pub at: Vector,
    /// How it is turned.
    pub axes: Axes,
    /// Its share of the way from hips to shoulders.
    pub share: f64,
}

impl Vertebra {
    /// The edge of the trunk's core line on one side.
    pub fn flank(&self, side: BodySide) -> Vector {
        self.at + self.axes.right * (side.sign() * body::trunk_half_breadth(self.share))
    }
}

/// Something round that can touch a surface: a centre and its radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// The centre.
    pub centre: Vector,
    /// The radius.
    pub radius: f64,
}

/// A straight piece of the body with its radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// One end.
    pub from: Vector,
    /// The other end.
    pub to: Vector,
    /// Half thickness.
    pub radius: f64,
}

/// All points of the body.
#[derive(Clone, Debug, PartialEq)]
pub struct Skeleton {
    /// From the hips up to the shoulders.
    pub spine: Vec<Vertebra>,
    /// From the shoulders to the base of the skull.
    pub neck: [Vector; 2],
    /// Axes of the lower neck.
    pub neck_axes: Axes,
    /// Centre of the head.
    pub head: Vector,
    /// Axes of the head: its forward is where the nose points.
    pub face: Axes,
    /// Arms, right and left.
    pub arms: [ArmBones; 2],
    /// Legs, right and left.
    pub legs: [LegBones; 2],
}

impl Skeleton {
    /// The skeleton of a pose with the hips at the origin.
    pub fn of(pose: &Pose) -> Self {
        let pelvis = base(pose.posture)
            .turned(pose.turn)
            .pitched(-pose.tilt)
            .leant(pose.lean);
        let spine = spine(pelvis, pose.lumbar, pose.thoracic);
        let top = spine[spine.len() - 1];
        let half = |axes: Axes| bent(axes, pose.neck, 0.5);
        let neck_axes = half(top.axes);
        let face = half(neck_axes);
        let skull = top.at + neck_axes.up * body::NECK;
        let arms = BodySide::BOTH.map(|side| arm(&pose.arms[side.index()], side, &top));
        let legs = BodySide::BOTH.map(|side| leg(&pose.legs[side.index()], side, pelvis));
        Self {
            neck: [top.at, skull],
            neck_axes,
            head: skull + face.at(0.008, body::HEAD_RADIUS, 0.0),
            face,
            spine,
            arms,
            legs,
        }
    }

    /// The same, moved.
    pub fn moved(mut self, by: Vector) -> Self {
        let mut all: Vec<&mut Vector> = self.spine.iter_mut().map(|place| &mut place.at).collect();
        all.extend(&mut self.neck);
        all.push(&mut self.head);
        for arm in &mut self.arms {
            all.extend([
                &mut arm.shoulder,
                &mut arm.elbow,
                &mut arm.wrist,
                &mut arm.knuckles,
                &mut arm.tip,
                &mut arm.thumb,
            ]);
        }
        for leg in &mut self.legs {
            all.extend([
                &mut leg.hip,
                &mut leg.knee,
                &mut leg.ankle,
                &mut leg.heel,
                &mut leg.ball,
                &mut leg.toes,
            ]);
        }
        for point in all {
            *point = *point + by;
        }
        self
    }

    /// Top of the spine.
    pub fn shoulders(&self) -> &Vertebra {
        &self.spine[self.spine.len() - 1]
    }

    /// The vertebra where the lumbar part ends.
    pub fn waist(&self) -> &Vertebra {
        &self.spine[1 + body::SPINE_STEPS]
    }

    /// What can touch a surface at a point of the body.
    pub fn balls(&self, point: Point) -> Vec<Ball> {
        match point.part {
            Part::Head => vec![ball(self.head, body::HEAD_RADIUS)],
            Part::Neck => vec![ball(self.neck[0], body::NECK_RADIUS)],
            Part::Chest => self
                .spine
                .iter()
                .filter(|place| place.share > 0.7)
                .flat_map(trunk_balls)
                .collect(),
            Part::Waist => trunk_balls(self.waist()).to_vec(),
            Part::Pelvis => self.spine[..2].iter().flat_map(trunk_balls).collect(),
            _ => point
                .sides()
                .iter()
                .flat_map(|side| self.limb_balls(point.part, *side))
                .collect(),
        }
    }

    fn limb_balls(&self, part: Part, side: BodySide) -> Vec<Ball> {
        let (arm, leg) = (&self.arms[side.index()], &self.legs[side.index()]);
        let hand = |at| ball(at, body::HAND_RADIUS);
        let foot = |at| ball(at, body::FOOT_RADIUS);
        match part {
            Part::Shoulder => vec![ball(arm.shoulder, body::UPPER_ARM_RADIUS)],
            Part::Elbow => vec![ball(arm.elbow, body::UPPER_ARM_RADIUS)],
            Part::Forearm => vec![
                ball(arm.elbow, body::UPPER_ARM_RADIUS),
                ball(arm.wrist, body::FOREARM_RADIUS),
            ],
            Part::UpperArm => vec![
                ball(arm.shoulder, body::UPPER_ARM_RADIUS),
                ball(arm.elbow, body::UPPER_ARM_RADIUS),
            ],
            Part::Wrist => vec![ball(arm.wrist, body::FOREARM_RADIUS)],
            Part::Hand => vec![hand(arm.knuckles)],
            Part::Fingers => vec![hand(arm.tip)],
            Part::Hip => vec![ball(leg.hip, body::THIGH_RADIUS)],
            Part::Thigh => vec![
                ball(leg.hip, body::THIGH_RADIUS),
                ball(leg.knee, body::THIGH_RADIUS),
            ],
            Part::Knee => vec![ball(leg.knee, body::SHANK_RADIUS)],
            Part::Shin => vec![
                ball(leg.knee, body::SHANK_RADIUS),
                ball(leg.ankle, body::SHANK_RADIUS),
            ],
            Part::Ankle => vec![ball(leg.ankle, body::SHANK_RADIUS)],
            Part::Heel => vec![foot(leg.heel)],
            Part::Ball => vec![foot(leg.ball)],
            Part::Toes => vec![foot(leg.toes)],
            Part::Foot => vec![foot(leg.heel), foot(leg.ball)],
            Part::Head | Part::Neck | Part::Chest | Part::Waist | Part::Pelvis => Vec::new(),
        }
    }

    /// The straight pieces that make up a part, for reaching it with a hand.
    pub fn pieces(&self, point: Point) -> Vec<Piece> {
        point
            .sides()
            .iter()
            .flat_map(|side| self.pieces_of(point.part, *side))
            .collect()
    }

    fn pieces_of(&self, part: Part, side: BodySide) -> Vec<Piece> {
        let (arm, leg) = (&self.arms[side.index()], &self.legs[side.index()]);
        let piece = |from, to, radius| vec![Piece { from, to, radius }];
        match part {
            Part::UpperArm => piece(arm.shoulder, arm.elbow, body::UPPER_ARM_RADIUS),
            Part::Forearm => piece(arm.elbow, arm.wrist, body::FOREARM_RADIUS),
            Part::Hand => piece(arm.wrist, arm.tip, body::HAND_RADIUS),
            Part::Fingers => piece(arm.knuckles, arm.tip, body::HAND_RADIUS),
            Part::Thigh => piece(leg.hip, leg.knee, body::THIGH_RADIUS),
            Part::Shin => piece(leg.knee, leg.ankle, body::SHANK_RADIUS),
            Part::Foot => piece(leg.heel, leg.ball, body::FOOT_RADIUS),
            Part::Toes => piece(leg.ball, leg.toes, body::FOOT_RADIUS),
            Part::Chest => self
                .spine
                .windows(2)
                .filter(|pair| pair[0].share > 0.45)
                .flat_map(|pair| {
                    piece(pair[0].flank(side), pair[1].flank(side), body::TRUNK_RADIUS)
                })
                .collect(),
            _ => self
                .balls(Point {
                    part,
                    side: Some(side),
                })
                .iter()
                .flat_map(|ball| piece(ball.centre, ball.centre, ball.radius))
                .collect(),
        }
    }

    /// Everything that could sink into a surface.
    pub fn all_balls(&self) -> Vec<(Point, Ball)> {
        let mut all: Vec<(Point, Ball)> = Vec::new();
        let sides = |part: Part| {
            let paired = Part::PAIRED.iter().any(|(_, known)| *known == part);
            if paired {
                vec![Some(BodySide::Right), Some(BodySide::Left)]
            } else {
                vec![None]
            }
        };
        for (_, part) in Part::MIDLINE.iter().chain(&Part::PAIRED) {
            for side in sides(*part) {
                let point = Point { part: *part, side };
                all.extend(self.balls(point).into_iter().map(|ball| (point, ball)));
            }
        }
        all
    }
}

fn ball(centre: Vector, radius: f64) -> Ball {
    Ball { centre, radius }
}

fn trunk_balls(place: &Vertebra) -> [Ball; 2] {
    BodySide::BOTH.map(|side| ball(place.flank(side), body::TRUNK_RADIUS))
}

fn base(posture: Posture) -> Axes {
    let from = |forward: Vector, up: Vector, right: Vector| Axes { forward, up, right };
    let (x, y, z) = (
        Vector::new(1.0, 0.0, 0.0),
        Vector::new(0.0, 1.0, 0.0),
        Vector::new(0.0, 0.0, 1.0),
    );
    match posture {
        Posture::Upright => Axes::UPRIGHT,
        Posture::OnBack => from(y, x * -1.0, z),
        Posture::OnFront => from(y * -1.0, x, z),
        Posture::OnLeftSide => from(z * -1.0, x * -1.0, y),
        Posture::OnRightSide => from(z, x * -1.0, y * -1.0),
    }
}

/// Axes bent by a share of a bend.
fn bent(axes: Axes, bend: Bend, share: f64) -> Axes {
    axes.turned(bend.turn * share)
        .pitched(-bend.forward * share)
        .leant(bend.side * share)
}

/// Pelvis, lumbar and thoracic part, each bending evenly along its length.
fn spine(pelvis: Axes, lumbar: Bend, thoracic: Bend) -> Vec<Vertebra> {
    let mut length = body::PELVIS;
    let mut last = Vertebra {
        at: Vector::default(),
        axes: pelvis,
        share: 0.0,
    };
    let mut spine = vec![last];
    let mut step = |axes: Axes, by: f64, length: f64| {
        last = Vertebra {
            at: last.at + axes.up * by,
            axes,
            share: length / body::TRUNK,
        };
        spine.push(last);
    };
    step(pelvis, body::PELVIS, length);
    let mut axes = pelvis;
    for (part, bend) in [(body::LUMBAR, lumbar), (body::THORACIC, thoracic)] {
        let by = part / body::SPINE_STEPS as f64;
        for _ in 0..body::SPINE_STEPS {
            axes = bent(axes, bend, 1.0 / body::SPINE_STEPS as f64);
            length += by;
            step(axes, by, length);
        }
    }
    spine
}

fn arm(angles: &Arm, side: BodySide, top: &Vertebra) -> ArmBones {
    let sign = side.sign();
    let upper_axes = top
        .axes
        .pitched(angles.shoulder)
        .leant(-sign * angles.shoulder_out)
        .turned(sign * angles.shoulder_turn);
    // The shoulder blade follows a raised arm upward.
    let raised = (upper_axes.up * -1.0).dot(top.axes.up).max(0.0) * body::GIRDLE_RISE;
    let shoulder = top.at
        + top.axes.at(
            0.0,
            raised - body::SHOULDER_DROP,
            sign * body::SHOULDER_OFFSET,
        );
    let elbow = shoulder - upper_axes.up * body::UPPER_ARM;
    let fore_axes = upper_axes.pitched(angles.elbow);
    let wrist = elbow - fore_axes.up * body::FOREARM;
    let palm = fore_axes
        .turned(-sign * (90.0 - angles.forearm))
        .pitched(angles.wrist);
    let knuckles = wrist - palm.up * body::PALM;
    let fingers = palm.pitched(angles.fingers);
    let tip = knuckles - fingers.up * (body::HAND - body::PALM);
    let thumb = wrist
        + palm.at(
            0.3 * body::THUMB,
            -0.5 * body::PALM - 0.3 * body::THUMB,
            sign * body::THUMB,
        );
    ArmBones {
        shoulder,
        elbow,
        wrist,
        knuckles,
        tip,
        thumb,
        upper_axes,
        fore_axes,
    }
}

fn leg(angles: &Leg, side: BodySide, pelvis: Axes) -> LegBones {
    let sign = side.sign();
    let hip = pelvis.right * (sign * body::HIP_OFFSET);
    let thigh_axes = pelvis
        .pitched(angles.hip)
        .leant(-sign * angles.hip_out)
        .turned(sign * angles.hip_turn);
    let knee = hip - thigh_axes.up * body::THIGH;
    let shank_axes = thigh_axes.pitched(-angles.knee);
    let ankle = knee - shank_axes.up * body::SHANK;
    let foot_axes = shank_axes.pitched(angles.ankle);
    let sole = body::FOOT_RADIUS - body::ANKLE_HEIGHT;
    let ball = ankle + foot_axes.at(body::BALL_AHEAD, sole, 0.0);
    let toes = foot_axes.pitched(angles.toes).forward * (body::TOES_AHEAD - body::BALL_AHEAD);
    LegBones {
        hip,
        knee,
        ankle,
        heel: ankle + foot_axes.at(-body::HEEL_BACK, sole, 0.0),
        ball,
        toes: ball + toes,
        thigh_axes,
        shank_axes,
        foot_axes,
    }
}
