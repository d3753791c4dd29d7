//! The line figures of the shipped stretches: they stand, they bend as bodies do, they show what the
//! words say, and the contact sheet in the documents is theirs.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use evenfall::pure::region::Region;
use evenfall::pure::routine::figure::sheet::{Entry, sheet};
use evenfall::pure::routine::figure::stance::{Place, reach};
use evenfall::pure::routine::figure::{
    BodySide, Figure, Frame, Layer, Part, Point, Pose, Posture, Stance, Stroke, SurfaceKind, View,
    body, draw, lines, range, svg,
};
use evenfall::pure::routine::{Library, Position, Prop, Side, Stretch};

/// Greatest distance between a support point and its surface, and greatest depth below the floor.
const ONE_PERCENT: f64 = 0.01;

/// Every shipped stretch with its pose.
fn all() -> Vec<(Stretch, Pose)> {
    let stretches = Library::shipped().stretches;
    let with_pose = stretches.into_values().map(|stretch| {
        let pose = stretch.figure().cloned();
        let pose = pose.unwrap_or_else(|| panic!("{} has no figure", stretch.id));
        (stretch, pose)
    });
    with_pose.collect()
}

/// A pose and, where it moves, its other end.
fn ends(pose: &Pose) -> Vec<&Pose> {
    std::iter::once(pose)
        .chain(pose.other_end.as_deref())
        .collect()
}

#[test]
fn all_48_have_a_figure() {
    assert_eq!(all().len(), 48);
}

#[test]
fn what_rests_touches_its_surface() {
    for (stretch, pose) in all() {
        for pose in ends(&pose) {
            let stance = Stance::of(pose);
            for rest in &pose.rests {
                let surface = stance
                    .surfaces
                    .iter()
                    .find(|surface| surface.kind == rest.surface)
                    .expect("a surface for every rest");
                let touching = surface
                    .contacts
                    .iter()
                    .filter(|(point, _)| rest.point.each().contains(point));
                assert!(
                    touching.clone().count() > 0,
                    "{}: {}",
                    stretch.id,
                    rest.point
                );
                for (point, ball) in touching {
                    let at = ball.centre;
                    let gap = match surface.place {
                        Place::Level(height) => at.y - height,
                        Place::Ahead(x, sign) => (x - at.x) * sign,
                        Place::Beside(z, sign) => (z - at.z) * sign,
                    } - ball.radius;
                    assert!(
                        gap.abs() <= ONE_PERCENT,
                        "{}: {point} is {gap:.4} from the {}",
                        stretch.id,
                        surface.kind.id()
                    );
                }
            }
        }
    }
}

#[test]
fn nothing_is_below_the_floor_or_inside_a_wall() {
    for (stretch, pose) in all() {
        for pose in ends(&pose) {
            let stance = Stance::of(pose);
            for (point, ball) in stance.skeleton.all_balls() {
                let low = ball.centre.y - ball.radius;
                assert!(
                    low >= -ONE_PERCENT,
                    "{}: {point} is at {low:.4}",
                    stretch.id
                );
                for surface in &stance.surfaces {
                    if let Place::Ahead(..) | Place::Beside(..) = surface.place
                        && surface.kind != SurfaceKind::Doorway
                    {
                        let gap = surface.gap(&ball);
                        assert!(gap >= -ONE_PERCENT, "{}: {point} {gap:.4}", stretch.id);
                    }
                }
            }
        }
    }
}

/// The same seen on the drawing, where the floor is a line: no stroke of the body is below it.
#[test]
fn no_stroke_is_drawn_below_the_floor() {
    let mut seen = 0;
    for (stretch, pose) in all() {
        if pose.view == View::Above || pose.view_tilt > 0.0 {
            continue;
        }
        seen += 1;
        for stroke in draw(&pose, Side::Right).strokes {
            if !matches!(stroke.layer, Layer::Near | Layer::Far) {
                continue;
            }
            for spot in &stroke.points {
                let low = spot.y - stroke.width / 2.0;
                let part = stroke.part;
                // The nose is a mark on the head and no part that could rest.
                assert!(
                    low >= -ONE_PERCENT || part.is_none(),
                    "{}: {part:?} {low:.4}",
                    stretch.id
                );
            }
        }
    }
    assert!(seen > 25, "only {seen} are seen level");
}

#[test]
fn joints_stay_within_their_range_and_bones_keep_their_length() {
    let within = |motions: &[range::Motion], angles: &[f64], id: &str| {
        assert_eq!(motions.len(), angles.len());
        for (motion, angle) in motions.iter().zip(angles) {
            assert!(motion.allows(*angle), "{id}: {} = {angle}", motion.key);
        }
    };
    for (stretch, pose) in all() {
        let id = stretch.id.as_str();
        for pose in ends(&pose) {
            for (bend, motions) in [
                (pose.lumbar, &range::LUMBAR),
                (pose.thoracic, &range::THORACIC),
                (pose.neck, &range::NECK),
            ] {
                within(motions, &[bend.forward, bend.side, bend.turn], id);
            }
            for arm in pose.arms {
                let angles = [
                    arm.shoulder,
                    arm.shoulder_out,
                    arm.shoulder_turn,
                    arm.elbow,
                    arm.forearm,
                    arm.wrist,
                    arm.fingers,
                ];
                within(&range::ARM, &angles, id);
            }
            for leg in pose.legs {
                let angles = [
                    leg.hip,
                    leg.hip_out,
                    leg.hip_turn,
                    leg.knee,
                    leg.ankle,
                    leg.toes,
                ];
                within(&range::LEG, &angles, id);
            }
            let skeleton = Stance::of(pose).skeleton;
            for (arm, leg) in skeleton.arms.iter().zip(&skeleton.legs) {
                for (from, to, length) in [
                    (arm.shoulder, arm.elbow, body::UPPER_ARM),
                    (arm.elbow, arm.wrist, body::FOREARM),
                    (leg.hip, leg.knee, body::THIGH),
                    (leg.knee, leg.ankle, body::SHANK),
                ] {
                    assert!(((from - to).length() - length).abs() < 1e-9, "{id}");
                }
            }
        }
    }
}

#[test]
fn hands_reach_what_they_hold() {
    let mut hands = 0;
    for (stretch, pose) in all() {
        for pose in ends(&pose) {
            let skeleton = Stance::of(pose).skeleton;
            for touch in &pose.touches {
                let away = reach(&skeleton, touch.point, touch.at);
                assert!(
                    away <= 0.02,
                    "{}: {} is {away:.4} from {}",
                    stretch.id,
                    touch.point,
                    touch.at
                );
                hands += usize::from(matches!(touch.point.part, Part::Hand | Part::Fingers));
            }
        }
    }
    assert!(hands > 40, "only {hands} hands hold something");
}

/// The sheet's own rule for what a position looks like.
#[test]
fn the_figure_is_in_the_position_the_file_names() {
    for (stretch, pose) in all() {
        let rests = |part: Part, kinds: &[SurfaceKind]| {
            pose.rests
                .iter()
                .any(|rest| rest.point.part == part && kinds.contains(&rest.surface))
        };
        let ground = [SurfaceKind::Floor, SurfaceKind::Mat, SurfaceKind::Cushion];
        let seat = [
            SurfaceKind::Chair,
            SurfaceKind::Bed,
            SurfaceKind::Mat,
            SurfaceKind::Cushion,
        ];
        let upright = pose.posture == Posture::Upright;
        let feet = rests(Part::Foot, &ground);
        let shown = match stretch.position {
            Position::Standing => upright && feet && !rests(Part::Pelvis, &seat),
            Position::Kneeling => upright && rests(Part::Knee, &ground),
            Position::Seated => upright && rests(Part::Pelvis, &seat),
            Position::Lying => !upright && rests(Part::Pelvis, &seat),
        };
        assert!(shown, "{} is not {}", stretch.id, stretch.position.id());
    }
}

/// What has to be there is drawn, and nothing is drawn that the file does not name; a cushion is a
/// comfort, drawn where it carries something.
#[test]
fn the_figure_shows_the_things_the_file_names() {
    let thing = |kind: SurfaceKind| match kind {
        SurfaceKind::Chair => Some(Prop::Chair),
        SurfaceKind::Bed => Some(Prop::BedEdge),
        SurfaceKind::Step => Some(Prop::Step),
        SurfaceKind::Wall | SurfaceKind::SideWall | SurfaceKind::Doorway => Some(Prop::Wall),
        SurfaceKind::Floor | SurfaceKind::Mat | SurfaceKind::Cushion => None,
    };
    for (stretch, pose) in all() {
        let mut drawn: BTreeSet<Prop> = pose
            .rests
            .iter()
            .filter_map(|rest| thing(rest.surface))
            .collect();
        if !pose.strap.is_empty() {
            drawn.insert(Prop::Strap);
        }
        let mut named: BTreeSet<Prop> = stretch.props.iter().copied().collect();
        named.remove(&Prop::Cushion);
        assert_eq!(drawn, named, "{}", stretch.id);
    }
}

#[test]
fn the_accent_lies_on_what_is_stretched_and_on_its_side() {
    for (stretch, pose) in all() {
        let accents: BTreeSet<Region> = pose.accents.iter().map(|accent| accent.region).collect();
        for region in &accents {
            assert!(
                stretch.regions.contains_key(region),
                "{}: {region}",
                stretch.id
            );
        }
        let most = stretch.regions.values().max();
        let foremost = |region: &Region| stretch.regions.get(region) == most;
        assert!(
            accents.iter().any(foremost),
            "{} shows no foremost region",
            stretch.id
        );
        let right = |side: Option<BodySide>| side == Some(BodySide::Right);
        let sided = pose.accents.iter().all(|accent| right(accent.side));
        let unsided = pose.accents.iter().all(|accent| accent.side.is_none());
        assert!(
            if stretch.two_sided { sided } else { unsided },
            "{}",
            stretch.id
        );
        let stripe = |stroke: &Stroke| matches!(stroke.layer, Layer::Accent | Layer::Hidden);
        assert!(
            draw(&pose, Side::Right).strokes.iter().any(stripe),
            "{}",
            stretch.id
        );
    }
}

/// Strokes of the body alone, in thousandths of stature from the middle of the window.
fn silhouette(figure: &Figure) -> Vec<(i64, i64)> {
    let middle = (figure.window.least.x + figure.window.most.x) / 2.0;
    let points = figure
        .strokes
        .iter()
        .filter(|stroke| matches!(stroke.layer, Layer::Near | Layer::Far))
        .flat_map(|stroke| &stroke.points);
    points
        .map(|spot| {
            let round = |length: f64| (length * 1000.0).round() as i64;
            (round(spot.x - middle), round(spot.y))
        })
        .collect()
}

#[test]
fn no_two_stretches_look_alike() {
    let mut seen: BTreeMap<Vec<(i64, i64)>, String> = BTreeMap::new();
    let mut seen_in_braille: BTreeMap<Vec<String>, String> = BTreeMap::new();
    for (stretch, pose) in all() {
        for side in [Side::Right, Side::Left] {
            let figure = draw(&pose, side);
            let shape = silhouette(&figure);
            if let Some(other) = seen.insert(shape, stretch.id.clone()) {
                assert_eq!(other, stretch.id, "the same figure twice");
            }
            let rows = lines::braille(&figure, 28, 12);
            if let Some(other) = seen_in_braille.insert(rows, stretch.id.clone()) {
                assert_eq!(other, stretch.id, "the same figure twice in 28 x 12 cells");
            }
        }
    }
    assert!(seen.len() >= 48);
}

/// Reads XML as far as it is used here: one root, tags closed in order, attributes in quotes, no stray
/// markup in texts. Stands in for a parser, which would be a dependency for one test.
fn well_formed(text: &str) -> Result<(), String> {
    let mut open: Vec<String> = Vec::new();
    let mut rest = text.trim_end();
    let mut roots = 0;
    while !rest.is_empty() {
        let (words, tail) = rest.split_at(rest.find('<').unwrap_or(rest.len()));
        if words.contains('>') || (open.is_empty() && !words.is_empty()) {
            return Err(format!("stray text {words:?}"));
        }
        for piece in words.split('&').skip(1) {
            if !["amp;", "lt;", "gt;", "quot;"]
                .iter()
                .any(|known| piece.starts_with(known))
            {
                return Err(format!("stray & in {words:?}"));
            }
        }
        if tail.is_empty() {
            break;
        }
        let end = tail.find('>').ok_or("a tag without its end")?;
        let tag = &tail[1..end];
        rest = &tail[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            let opened = open.pop().ok_or("closed what was not open")?;
            if opened != name {
                return Err(format!("{name} closes {opened}"));
            }
            continue;
        }
        if open.is_empty() {
            roots += 1;
        }
        let alone = tag.strip_suffix('/');
        let inner = alone.unwrap_or(tag);
        let (name, attributes) = inner.split_once(' ').unwrap_or((inner, ""));
        let mut seen = BTreeSet::new();
        let mut left = attributes.trim();
        while !left.is_empty() {
            let (key, value) = left
                .split_once("=\"")
                .ok_or(format!("attribute in {tag:?}"))?;
            let (_, after) = value.split_once('"').ok_or(format!("quotes in {tag:?}"))?;
            if !seen.insert(key.to_owned()) || key.contains(char::is_whitespace) {
                return Err(format!("attribute {key:?} in {tag:?}"));
            }
            left = after.trim_start();
        }
        if alone.is_none() {
            open.push(name.to_owned());
        }
    }
    if open.is_empty() && roots == 1 {
        Ok(())
    } else {
        Err(format!("{roots} roots, still open: {open:?}"))
    }
}

#[test]
fn the_stand_in_parser_sees_faults() {
    assert_eq!(well_formed("<a b=\"1\"><c/>x &amp; y</a>"), Ok(()));
    for broken in [
        "<a>",
        "<a></b>",
        "<a b=1/>",
        "<a/><a/>",
        "<a>&x</a>",
        "<a b=\"1\" b=\"2\"/>",
        "x",
    ] {
        assert!(well_formed(broken).is_err(), "{broken}");
    }
}

#[test]
fn svg_is_well_formed_small_and_says_its_name_and_side() {
    for (stretch, pose) in all() {
        for side in stretch.sides() {
            let title = svg::title(&stretch.name, *side);
            assert_eq!(title.ends_with(" side"), stretch.two_sided, "{title}");
            let text = svg::document(&draw(&pose, *side), &title);
            well_formed(&text).unwrap_or_else(|fault| panic!("{}: {fault}", stretch.id));
            assert!(text.len() <= 3000, "{}: {} bytes", stretch.id, text.len());
            assert!(text.contains(&format!("<title>{}</title>", svg::escaped(&title))));
            assert!(!text.contains("href") && !text.contains("NaN") && !text.contains("inf"));
        }
    }
}

#[test]
fn the_window_holds_the_whole_figure() {
    for (stretch, pose) in all() {
        if pose.frame != Frame::Whole {
            continue;
        }
        let figure = draw(&pose, Side::Right);
        let window = figure.window;
        for stroke in figure
            .strokes
            .iter()
            .filter(|stroke| stroke.layer != Layer::Gap)
        {
            let half = stroke.width / 2.0;
            for spot in &stroke.points {
                let inside = spot.x - half >= window.least.x
                    && spot.x + half <= window.most.x
                    && spot.y - half >= window.least.y
                    && spot.y + half <= window.most.y;
                assert!(inside, "{}", stretch.id);
            }
        }
    }
}

#[test]
fn terminals_show_every_figure_within_its_cells() {
    for (stretch, pose) in all() {
        let figure = draw(&pose, Side::Right);
        let braille = lines::braille(&figure, 40, 16);
        let letters = lines::ascii(&figure, 40, 16);
        for (rows, blank) in [(&braille, '\u{2800}'), (&letters, ' ')] {
            assert_eq!(rows.len(), 16, "{}", stretch.id);
            assert!(
                rows.iter().all(|row| row.chars().count() <= 40),
                "{}",
                stretch.id
            );
            let marks = rows
                .iter()
                .flat_map(|row| row.chars())
                .filter(|letter| *letter != blank);
            assert!(marks.count() > 40, "{} is hardly seen", stretch.id);
        }
        assert!(letters.concat().is_ascii(), "{}", stretch.id);
    }
}

/// The page for coaches says what files may say: every word, and every range as it is checked.
#[test]
fn the_format_page_explains_every_word_of_a_figure() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("packaging/doc/routine-files.md");
    let page = fs::read_to_string(path).expect("the format page");
    let words = (View::ALL.iter().map(|(word, _)| *word))
        .chain(Frame::ALL.iter().map(|(word, _)| *word))
        .chain(Posture::ALL.iter().map(|(word, _)| *word))
        .chain(SurfaceKind::ALL.iter().map(|(word, _)| *word))
        .chain(Point::words());
    for word in words {
        assert!(
            page.contains(&format!("`{word}`")),
            "{word} is not on the page"
        );
    }
    let spine = [range::LUMBAR, range::THORACIC, range::NECK].concat();
    for (of, motions) in [
        ("spine", spine),
        ("arm", range::ARM.to_vec()),
        ("leg", range::LEG.to_vec()),
    ] {
        for motion in motions {
            let row = format!(
                "| {of} | `{}` | {} | {} to {} | {} to {} |",
                motion.key,
                motion.means,
                motion.least,
                motion.most,
                motion.least - motion.passive_less,
                motion.most + motion.passive_more
            );
            assert!(page.contains(&row), "no row {row}");
        }
    }
}

fn contact_sheet() -> String {
    let entries: Vec<Entry> = all()
        .iter()
        .map(|(stretch, pose)| Entry {
            name: stretch.name.clone(),
            note: if stretch.two_sided { "right side" } else { "" }.to_owned(),
            figure: draw(pose, Side::Right),
        })
        .collect();
    sheet(&entries, 6)
}

fn contact_sheet_path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("packaging/doc/figures.svg")
}

#[test]
fn the_contact_sheet_is_current() {
    let kept = fs::read_to_string(contact_sheet_path()).expect("packaging/doc/figures.svg");
    let drawn = contact_sheet();
    well_formed(&drawn).expect("well formed");
    assert!(
        kept == drawn,
        "figures have changed; write the sheet anew with: cargo test --test suite write_the_contact_sheet -- --ignored, then look at it"
    );
}

/// Writes what [`the_contact_sheet_is_current`] compares with. A picture of it for readers without a
/// browser is made from the file by hand: see DEVELOPERS.md.
#[test]
#[ignore = "writes packaging/doc/figures.svg"]
fn write_the_contact_sheet() {
    fs::write(contact_sheet_path(), contact_sheet()).expect("written");
}
