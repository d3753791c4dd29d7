//! Tests of the figure as a whole: from a file's words to strokes.

use proptest::prelude::*;

use super::*;
use crate::pure::complaint::Complaint;
use crate::pure::document::Document;
use crate::pure::routine::Side;

fn pose(text: &str) -> Result<Pose, Vec<Complaint>> {
    Document::read("pose.toml", text, |root| {
        root.table("figure").and_then(|table| parse_pose(&table))
    })
}

fn said(text: &str) -> String {
    let complaints = pose(text).expect_err("a complaint");
    let lines: Vec<String> = complaints.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

#[test]
fn standing_is_as_high_as_the_table_says() {
    let pose = pose("[figure]\nrest = [\"foot on floor\"]\n").expect("standing");
    let skeleton = Stance::of(&pose).skeleton;
    let top = skeleton.head.y + body::HEAD_RADIUS;
    assert!((top - 1.0).abs() < 1e-9, "{top}");
    assert!((skeleton.legs[0].knee.y - 0.285).abs() < 1e-9);
}

#[test]
fn joints_bend_the_way_bodies_do() {
    let text = "[figure]\nrest = [\"left_foot on floor\"]\nright_leg = { hip = 90, knee = 90 }\nright_arm = { shoulder = 90, elbow = 90 }\n";
    let skeleton = Stance::of(&pose(text).expect("on one leg")).skeleton;
    let leg = skeleton.legs[0];
    assert!(leg.knee.x > leg.hip.x + 0.2 && leg.ankle.y < leg.knee.y - 0.2);
    assert!(leg.toes.x > leg.heel.x);
    let arm = skeleton.arms[0];
    assert!(arm.elbow.x > arm.shoulder.x + 0.15 && arm.wrist.y > arm.elbow.y + 0.1);
    let apart = "[figure]\nrest = [\"foot on floor\"]\nlegs = { hip_out = 30 }\n";
    let skeleton = Stance::of(&pose(apart).expect("legs apart")).skeleton;
    assert!(skeleton.legs[0].ankle.z > 0.2 && skeleton.legs[1].ankle.z < -0.2);
}

#[test]
fn an_angle_no_joint_reaches_is_refused_with_its_place_and_source() {
    let said =
        said("[figure]\nrest = [\"left_foot on floor\"]\nright_leg = { hip = 20, knee = 175 }\n");
    assert!(said.starts_with("pose.toml:3:32: figure.right_leg.knee = 175 is beyond the range of motion. Write degrees from -5 to 160"), "{said}");
    assert!(said.contains("AAOS"), "{said}");
}

#[test]
fn what_hovers_sinks_or_does_not_reach_is_refused() {
    let hovers =
        said("[figure]\nrest = [\"foot on floor\"]\nright_leg = { hip = 20, knee = 20 }\n");
    assert!(
        hovers.contains("figure.rest: right_foot is 1.5 % of stature off the floor"),
        "{hovers}"
    );
    let sinks = said("[figure]\nrest = [\"knee on floor\"]\n");
    assert!(
        sinks.contains("right_foot is") && sinks.contains("inside the floor"),
        "{sinks}"
    );
    let short =
        said("[figure]\nrest = [\"foot on floor\"]\ntouch = [\"right_hand at right_ankle\"]\n");
    assert!(
        short.contains("figure.touch: right_hand is") && short.contains("away from right_ankle"),
        "{short}"
    );
    assert!(said("[figure]\n").contains("nothing rests on anything"));
}

#[test]
fn slips_of_the_pen_are_named() {
    let said = said(
        "[figure]\nrest = [\"foot on flor\", \"kneee on floor\", \"foot\"]\nveiw = \"side\"\naccent = [\"left_calfs\"]\n",
    );
    for part in [
        "Did you mean \"floor\"",
        "Did you mean knee",
        "Write it as \"right_foot on floor\"",
        "Did you mean view",
        "Did you mean \"calves\"",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn a_seat_and_a_wall_stand_where_the_body_needs_them() {
    let text = "[figure]\nrest = [\"foot on floor\", \"pelvis on chair\"]\nlegs = { hip = 90, knee = 90 }\n";
    let stance = Stance::of(&pose(text).expect("seated"));
    let chair = stance
        .surfaces
        .iter()
        .find(|surface| surface.kind == SurfaceKind::Chair)
        .expect("chair");
    let stance::Place::Level(height) = chair.place else {
        panic!("a seat is level")
    };
    assert!(
        (height - (0.285 - body::TRUNK_RADIUS)).abs() < 1e-9,
        "{height}"
    );
    let high = said(
        "[figure]\nrest = [\"foot on floor\", \"pelvis on chair\"]\nlegs = { hip = 20, knee = 20 }\n",
    );
    assert!(high.contains("the chair would be"), "{high}");
}

#[test]
fn the_left_side_is_the_mirror_image() {
    let pose =
        pose("[figure]\nrest = [\"foot on floor\"]\narms = { shoulder = 40 }\n").expect("pose");
    let (right, left) = (draw(&pose, Side::Right), draw(&pose, Side::Left));
    assert_ne!(right, left);
    for (a, b) in right.segments().iter().zip(left.segments()) {
        assert!((a.from.x + b.from.x).abs() < 1e-12 && (a.from.y - b.from.y).abs() < 1e-12);
    }
    let (a, b) = (svg::size(&right), svg::size(&left));
    assert!((a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9);
}

#[test]
fn the_other_end_is_drawn_where_it_differs() {
    let still = "[figure]\nrest = [\"foot on floor\"]\n";
    let moving = format!("{still}[figure.other_end]\nright_arm = {{ shoulder = 90 }}\n");
    let ghosts = |text: &str| {
        let figure = draw(&pose(text).expect("pose"), Side::Right);
        let ghost = |stroke: &&Stroke| stroke.layer == Layer::Ghost;
        figure
            .strokes
            .iter()
            .filter(ghost)
            .map(|stroke| stroke.part.expect("a part").side)
            .collect::<Vec<_>>()
    };
    assert!(ghosts(still).is_empty());
    let sides = ghosts(&moving);
    assert!(!sides.is_empty() && sides.iter().all(|side| *side == Some(BodySide::Right)));
}

#[test]
fn a_name_is_written_so_that_xml_can_hold_it() {
    let pose = pose("[figure]\nrest = [\"foot on floor\"]\n").expect("pose");
    let text = svg::document(&draw(&pose, Side::Right), "Heel & toe <both>");
    assert!(text.contains("<title>Heel &amp; toe &lt;both&gt;</title>"));
    assert!(text.len() < 3000, "{}", text.len());
}

#[test]
fn a_key_nobody_knows_is_refused_in_every_table() {
    let tables = [
        "[figure]\nrest = [\"foot on floor\"]\nsurprise = 1\n",
        "[figure]\nrest = [\"foot on floor\"]\narms = { surprise = 1 }\n",
        "[figure]\nrest = [\"foot on floor\"]\nleft_leg = { surprise = 1 }\n",
        "[figure]\nrest = [\"foot on floor\"]\n[figure.other_end]\nsurprise = 1\n",
        "[figure]\nrest = [\"foot on floor\"]\n[figure.other_end]\nlegs = { surprise = 1 }\n",
    ];
    for text in tables {
        assert!(said(text).contains("surprise is not known"), "{text}");
    }
}

#[test]
fn a_sided_limb_counts_over_both() {
    let text = "[figure]\nrest = [\"foot on floor\"]\narms = { elbow = 30, shoulder = 10 }\nleft_arm = { elbow = 70 }\n";
    let arms = pose(text).expect("pose").arms;
    assert_eq!((arms[0].elbow, arms[1].elbow), (30.0, 70.0));
    assert_eq!((arms[0].shoulder, arms[1].shoulder), (10.0, 10.0));
}

proptest! {
    /// Whatever angles a file names, drawing it gives numbers, and everything said to rest on the floor
    /// ends at or above it.
    #[test]
    fn any_angles_can_be_drawn(
        angles in prop::collection::vec(-180.0..180.0f64, 32),
        posture in 0..Posture::ALL.len(),
        view in 0..View::ALL.len(),
    ) {
        let mut pose = standing();
        pose.posture = Posture::ALL[posture].1;
        pose.view = View::ALL[view].1;
        let mut next = angles.iter().copied();
        let mut take = || next.next().unwrap_or_default();
        (pose.tilt, pose.lean, pose.turn) = (take(), take(), take());
        pose.lumbar = Bend { forward: take(), side: take(), turn: take() };
        pose.neck = Bend { forward: take(), side: take(), turn: take() };
        for arm in &mut pose.arms {
            (arm.shoulder, arm.shoulder_out, arm.shoulder_turn) = (take(), take(), take());
            (arm.elbow, arm.wrist) = (take(), take());
        }
        for leg in &mut pose.legs {
            (leg.hip, leg.hip_out, leg.hip_turn, leg.knee) = (take(), take(), take(), take());
        }
        let figure = draw(&pose, Side::Left);
        for segment in figure.segments() {
            prop_assert!((segment.from.x + segment.from.y + segment.to.x + segment.to.y).is_finite());
        }
        let stance = Stance::of(&pose);
        for surface in &stance.surfaces {
            let gaps = surface.contacts.iter().map(|(_, ball)| surface.gap(ball));
            prop_assert!(gaps.fold(f64::INFINITY, f64::min).abs() < 1e-9);
        }
        prop_assert_eq!(lines::braille(&figure, 30, 12).len(), 12);
        prop_assert_eq!(lines::ascii(&figure, 30, 12).len(), 12);
    }
}

/// A person standing, with something in every list.
fn standing() -> Pose {
    pose("[figure]\nrest = [\"foot on floor\"]\nstrap = [\"right_hand\", \"right_ball\"]\naccent = [\"calves\", \"right_core\", \"glutes\"]\n")
        .expect("standing")
}
