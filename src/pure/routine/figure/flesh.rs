//! The body's thickness: what of it can touch a surface or another part.

use super::body;
use super::parts::{BodySide, Part, Point};
use super::skeleton::{Skeleton, Vertebra};
use super::space::Vector;

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

impl Skeleton {
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
            Part::Hand => [(arm.wrist, arm.knuckles), (arm.knuckles, arm.tip)]
                .map(|(from, to)| Piece {
                    from,
                    to,
                    radius: body::HAND_RADIUS,
                })
                .to_vec(),
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
        for (_, part) in Part::MIDLINE.iter().chain(&Part::PAIRED) {
            let both = Point {
                part: *part,
                side: None,
            };
            for point in both.each() {
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
