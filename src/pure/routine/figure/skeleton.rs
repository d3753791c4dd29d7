//! Forward kinematics: from joint angles to points.
//!
//! The order of turns at hip and shoulder follows the joint coordinate systems of the International
//! Society of Biomechanics (Wu et al. 2002): raising about the right axis of the trunk, then outward
//! about the floating axis, then about the limb's own length.

use super::body;
use super::parts::BodySide;
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
