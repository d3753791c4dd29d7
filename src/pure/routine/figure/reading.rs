//! Reading the `[figure]` table of a stretch file.

use std::ops::RangeInclusive;

use super::parts::{BodySide, Point, split_side};
use super::pose::{Accent, Arm, Bend, Frame, Leg, Pose, Posture, Rest, Touch, View};
use super::range::{self, Motion};
use super::stance::{Fault, Stance, SurfaceKind};
use crate::pure::complaint::{nearest, one_of};
use crate::pure::document::{Placed, Section};
use crate::pure::region::Region;

/// Reads a pose and checks that it stands: every fault becomes a complaint with its place. `None` when
/// there was any.
pub fn parse_pose(section: &Section<'_, '_>) -> Option<Pose> {
    let before = section.complaint_count();
    let pose = read_pose(section)?;
    complain_of(section, "", &pose);
    if let Some(other_end) = &pose.other_end {
        complain_of(section, "other end: ", other_end);
    }
    (section.complaint_count() == before).then_some(pose)
}

/// Reads a pose without checking how it stands. `None` when any value is wrong.
pub fn read_pose(section: &Section<'_, '_>) -> Option<Pose> {
    let before = section.complaint_count();
    let mut pose = Pose {
        view: word(section, "view", &View::ALL, View::Side),
        view_turn: 0.0,
        view_tilt: 0.0,
        frame: word(section, "frame", &Frame::ALL, Frame::Whole),
        posture: word(section, "posture", &Posture::ALL, Posture::Upright),
        tilt: 0.0,
        lean: 0.0,
        turn: 0.0,
        lumbar: Bend::default(),
        thoracic: Bend::default(),
        neck: Bend::default(),
        arms: [Arm::default(); 2],
        legs: [Leg::default(); 2],
        rests: rests(section),
        touches: touches(section),
        strap: points(section, "strap"),
        accents: accents(section),
        other_end: None,
    };
    attitude(section, "view_turn", -60.0..=60.0, &mut pose.view_turn);
    attitude(section, "view_tilt", 0.0..=60.0, &mut pose.view_tilt);
    angles(section, &mut pose);
    pose.other_end = section.table("other_end").map(|table| {
        let mut other = pose.clone();
        angles(&table, &mut other);
        if table.has("rest") {
            other.rests = rests(&table);
        }
        if table.has("touch") {
            other.touches = touches(&table);
        }
        table.finish();
        Box::new(other)
    });
    section.finish();
    (section.complaint_count() == before).then_some(pose)
}

fn word<T: Copy>(
    section: &Section<'_, '_>,
    key: &str,
    words: &[(&'static str, T)],
    otherwise: T,
) -> T {
    section
        .word(key, words)
        .map_or(otherwise, |found| found.value)
}

/// An angle that is no joint's, so that only its size is bounded.
fn attitude(section: &Section<'_, '_>, key: &str, bounds: RangeInclusive<f64>, into: &mut f64) {
    if let Some(found) = section.number(key, bounds) {
        *into = found.value;
    }
}

/// Reads every angle that is written; the others stay as they are.
fn angles(section: &Section<'_, '_>, pose: &mut Pose) {
    attitude(section, "tilt", -135.0..=135.0, &mut pose.tilt);
    attitude(section, "lean", -90.0..=90.0, &mut pose.lean);
    attitude(section, "turn", -180.0..=180.0, &mut pose.turn);
    spine(section, &range::LUMBAR, &mut pose.lumbar);
    spine(section, &range::THORACIC, &mut pose.thoracic);
    spine(section, &range::NECK, &mut pose.neck);
    let limbs: [(&str, &str, &[BodySide]); 3] = [
        ("arms", "legs", &BodySide::BOTH),
        ("right_arm", "right_leg", &BodySide::BOTH[..1]),
        ("left_arm", "left_leg", &BodySide::BOTH[1..]),
    ];
    for (arm, leg, sides) in limbs {
        if let Some(table) = section.table(arm) {
            for side in sides {
                let arm = &mut pose.arms[side.index()];
                joint(&table, &range::ARM, &mut arm_angles(arm));
            }
            table.finish();
        }
        if let Some(table) = section.table(leg) {
            for side in sides {
                let leg = &mut pose.legs[side.index()];
                joint(&table, &range::LEG, &mut leg_angles(leg));
            }
            table.finish();
        }
    }
}

fn spine(section: &Section<'_, '_>, motions: &[Motion], bend: &mut Bend) {
    let mut into = [&mut bend.forward, &mut bend.side, &mut bend.turn];
    joint(section, motions, &mut into);
}

fn arm_angles(arm: &mut Arm) -> [&mut f64; 7] {
    [
        &mut arm.shoulder,
        &mut arm.shoulder_out,
        &mut arm.shoulder_turn,
        &mut arm.elbow,
        &mut arm.forearm,
        &mut arm.wrist,
        &mut arm.fingers,
    ]
}

fn leg_angles(leg: &mut Leg) -> [&mut f64; 6] {
    [
        &mut leg.hip,
        &mut leg.hip_out,
        &mut leg.hip_turn,
        &mut leg.knee,
        &mut leg.ankle,
        &mut leg.toes,
    ]
}

/// Reads the motions of one joint or limb and refuses what no joint does.
fn joint(section: &Section<'_, '_>, motions: &[Motion], into: &mut [&mut f64]) {
    for (motion, into) in motions.iter().zip(into) {
        let Some(found) = section.number(motion.key, -360.0..=360.0) else {
            continue;
        };
        if motion.allows(found.value) {
            **into = found.value;
        } else {
            section.complain(
                &found.span,
                format!(
                    "{} = {} is beyond the range of motion",
                    section.name_of(motion.key),
                    found.value
                ),
                format!("Write degrees from {motion}"),
            );
        }
    }
}

fn points(section: &Section<'_, '_>, key: &str) -> Vec<Point> {
    let written = section.texts(key).unwrap_or_default();
    written
        .iter()
        .filter_map(|text| point(section, key, &text.value, text))
        .collect()
}

fn point(section: &Section<'_, '_>, key: &str, word: &str, text: &Placed<String>) -> Option<Point> {
    let found = Point::from_id(word);
    if found.is_none() {
        let words = Point::words();
        let (_, bare) = split_side(word);
        let known = one_of(words.clone());
        let instead = match nearest(bare, words) {
            Some(near) => format!(
                "Did you mean {near}? Known, with right_ or left_ before those there are two of: {known}"
            ),
            None => format!(
                "Write one of these, with right_ or left_ before those there are two of: {known}"
            ),
        };
        section.complain(
            &text.span,
            format!(
                "{}: \"{word}\" is no point of the body",
                section.name_of(key)
            ),
            instead,
        );
    }
    found
}

/// Splits `right_foot on floor` at its middle word.
fn split<'t>(
    section: &Section<'_, '_>,
    key: &str,
    middle: &str,
    example: &str,
    text: &'t Placed<String>,
) -> Option<(&'t str, &'t str)> {
    let halves = text.value.split_once(&format!(" {middle} "));
    if halves.is_none() {
        section.complain(
            &text.span,
            format!(
                "{}: \"{}\" is not understood",
                section.name_of(key),
                text.value
            ),
            format!("Write it as \"{example}\""),
        );
    }
    halves.map(|(first, second)| (first.trim(), second.trim()))
}

fn rests(section: &Section<'_, '_>) -> Vec<Rest> {
    let mut rests = Vec::new();
    for text in section.texts("rest").unwrap_or_default() {
        let Some((what, on)) = split(section, "rest", "on", "right_foot on floor", &text) else {
            continue;
        };
        let on = Placed {
            value: on.to_owned(),
            span: text.span.clone(),
        };
        let surface = section.known_word(&section.name_of("rest"), &on, &SurfaceKind::ALL);
        let point = point(section, "rest", what, &text);
        if let (Some(point), Some(surface)) = (point, surface) {
            rests.push(Rest { point, surface });
        }
    }
    rests
}

/// `right_hand at left_knee`; without sides each side touches its own.
fn touches(section: &Section<'_, '_>) -> Vec<Touch> {
    let mut touches = Vec::new();
    for text in section.texts("touch").unwrap_or_default() {
        let Some((what, at)) = split(section, "touch", "at", "right_hand at left_knee", &text)
        else {
            continue;
        };
        let what = point(section, "touch", what, &text);
        let at = point(section, "touch", at, &text);
        if let (Some(what), Some(at)) = (what, at) {
            let own = |found: Point| match at.side {
                None if at.is_paired() && what.side.is_none() => Point {
                    side: found.side,
                    ..at
                },
                _ => at,
            };
            touches.extend(what.each().into_iter().map(|point| Touch {
                point,
                at: own(point),
            }));
        }
    }
    touches
}

fn accents(section: &Section<'_, '_>) -> Vec<Accent> {
    let mut accents = Vec::new();
    for text in section.texts("accent").unwrap_or_default() {
        let (side, word) = split_side(&text.value);
        let bare = Placed {
            value: word.to_owned(),
            span: text.span.clone(),
        };
        let name = section.name_of("accent");
        if let Some(region) = section.known_word(&name, &bare, &Region::ALL) {
            accents.push(Accent { region, side });
        }
    }
    accents
}

/// Puts the pose down and says what does not fit.
fn complain_of(section: &Section<'_, '_>, prefix: &str, pose: &Pose) {
    for fault in Stance::of(pose).faults(pose) {
        let (key, what, instead) = words(&fault);
        section.complain(
            &section.place(key),
            format!("{}: {prefix}{what}", section.name_of(key)),
            instead,
        );
    }
}

fn words(fault: &Fault) -> (&'static str, String, String) {
    let percent = |share: &f64| format!("{:.1} % of stature", share * 100.0);
    match fault {
        Fault::NothingRests => (
            "rest",
            "nothing rests on anything".to_owned(),
            "Name the points that rest and their surfaces, for example rest = [\"foot on floor\"]"
                .to_owned(),
        ),
        Fault::Hovers(point, surface, gap) => (
            "rest",
            format!("{point} is {} off the {}", percent(gap), surface.id()),
            "Change the angles between it and the point that touches, or leave it out of rest"
                .to_owned(),
        ),
        Fault::Sinks(point, surface, gap) => (
            "rest",
            format!("{point} is {} inside the {}", percent(gap), surface.id()),
            "Change the angles that lead to it, or name it in rest so that the body is put down on it"
                .to_owned(),
        ),
        Fault::WrongHeight(surface, height) => (
            "rest",
            format!("the {} would be {} high", surface.id(), percent(height)),
            "Change the angles so that it has the height of such a thing".to_owned(),
        ),
        Fault::DoesNotReach(point, at, away) => (
            "touch",
            format!("{point} is {} away from {at}", percent(away)),
            "Change the angles on the way to either until they meet".to_owned(),
        ),
    }
}
