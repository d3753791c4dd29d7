//! One stretch: its values, and reading them from a file of `routines/stretches/`.

use std::collections::{BTreeMap, BTreeSet};

use crate::pure::avoid::Avoid;
use crate::pure::complaint::{Complaint, one_of};
use crate::pure::document::{Document, Section};
use crate::pure::region::Region;

use super::figure::Pose;
use super::stretch_figure::StretchFigure;

/// The position of the body, ordered from standing down to the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// On the feet.
    Standing,
    /// On one or both knees, or on all fours.
    Kneeling,
    /// On a chair, the bed or the floor.
    Seated,
    /// On back, side or front.
    Lying,
}

impl Position {
    /// Every position with its id, from standing down.
    pub const ALL: [(&'static str, Self); 4] = [
        ("standing", Self::Standing),
        ("kneeling", Self::Kneeling),
        ("seated", Self::Seated),
        ("lying", Self::Lying),
    ];

    /// The id used in files and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The entry of the avoid list that leaves this position out; the ids are the same.
    pub fn avoid(self) -> Option<Avoid> {
        Avoid::from_id(self.id())
    }
}

/// A thing needed for a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Prop {
    /// A wall or a door.
    Wall,
    /// A chair or the edge of a bed to sit on or to hold.
    Chair,
    /// A strap, belt or towel.
    Strap,
    /// A cushion, pillow or folded towel; where the figure draws none, for the easier version.
    Cushion,
    /// A low step.
    Step,
    /// A bed's edge to lie along.
    BedEdge,
}

impl Prop {
    /// Every prop with its id.
    pub const ALL: [(&'static str, Self); 6] = [
        ("wall", Self::Wall),
        ("chair", Self::Chair),
        ("strap", Self::Strap),
        ("cushion", Self::Cushion),
        ("step", Self::Step),
        ("bed_edge", Self::BedEdge),
    ];

    /// The id used in files and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        match self {
            Self::Wall => "a wall",
            Self::Chair => "a chair",
            Self::Strap => "a strap or towel",
            Self::Cushion => "a cushion or pillow",
            Self::Step => "a low step",
            Self::BedEdge => "the edge of a bed",
        }
    }
}

/// The side a stretch is done on: the side that is stretched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Both at once.
    Both,
}

impl Side {
    /// Every side with its word.
    pub const ALL: [(&'static str, Self); 3] = [
        ("left", Self::Left),
        ("right", Self::Right),
        ("both", Self::Both),
    ];

    /// The word in machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }
}

/// One held position.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Its id, the file's name without the ending.
    pub id: String,
    /// Its name for people.
    pub name: String,
    /// Regions with emphasis 1 to 3.
    pub regions: BTreeMap<Region, u8>,
    /// Where the body is.
    pub position: Position,
    /// Done once for each side.
    pub two_sided: bool,
    /// Shortest and longest hold of one side, seconds.
    pub hold_s: (u32, u32),
    /// How to get into it.
    pub set_up: String,
    /// What it should feel like.
    pub feel: String,
    /// When and how to ease off.
    pub ease_off: String,
    /// An easier version.
    pub easier: String,
    /// Conditions for which it is left out.
    pub leave_out: Vec<Avoid>,
    /// Regions that this position loads or strains beyond those it stretches: pain there rules it out.
    pub loads: Vec<Region>,
    /// Things needed.
    pub props: Vec<Prop>,
    /// Can be done in bed.
    pub bed_friendly: bool,
    /// Its line figure, as the file has it; [`Stretch::figure`] gives its pose.
    pub figure: StretchFigure,
}

/// Hold where nothing else is said, seconds: within the 10 to 30 s of Garber CE et al. 2011,
/// Med Sci Sports Exerc 43:1334-1359.
pub const USUAL_HOLD_S: u32 = 30;

/// Shortest and longest hold a file may name, seconds.
const HOLD_BOUNDS_S: (u32, u32) = (5, 180);

impl Stretch {
    /// Reads a file of `routines/stretches/`; `id` is the file's name without the ending.
    ///
    /// # Errors
    /// Every complaint about the text, in its order.
    pub fn parse(file: &str, id: &str, text: &str) -> Result<Self, Vec<Complaint>> {
        Document::read(file, text, |root| {
            let figure = StretchFigure::read(root);
            read(root, id, figure)
        })
    }

    /// Reads a shipped file without its figure, which is half of the work and seldom looked at: that is
    /// read when it is. A test reads every one of them and checks that it stands.
    ///
    /// # Errors
    /// Every complaint about the rest of the text, in its order.
    pub fn parse_shipped(file: &str, id: &str, text: &'static str) -> Result<Self, Vec<Complaint>> {
        let (words, figure) = StretchFigure::set_aside(text);
        Document::read(file, words, |root| read(root, id, figure))
    }

    /// The pose of its line figure, drawn as done on the right.
    pub fn figure(&self) -> Option<&Pose> {
        self.figure.pose()
    }

    /// The sides in the order they are done.
    pub fn sides(&self) -> &'static [Side] {
        if self.two_sided {
            &[Side::Left, Side::Right]
        } else {
            &[Side::Both]
        }
    }

    /// A hold moved into the range of this stretch, seconds.
    pub fn clamp_hold(&self, seconds: u32) -> u32 {
        seconds.clamp(self.hold_s.0, self.hold_s.1)
    }

    /// The hold where nothing else is said, seconds.
    pub fn usual_hold_s(&self) -> u32 {
        self.clamp_hold(USUAL_HOLD_S)
    }

    /// The entry of a person's avoid list that leaves this stretch out, by condition or position.
    /// What is left out in pregnancy is left out late in it too.
    pub fn left_out_by(&self, avoid: &BTreeSet<Avoid>) -> Option<Avoid> {
        let listed = self.leave_out.iter().copied().chain(self.position.avoid());
        let late = self.leave_out.iter().any(|entry| entry.id() == "pregnancy");
        let late = late.then(|| Avoid::from_id("late_pregnancy")).flatten();
        listed.chain(late).find(|entry| avoid.contains(entry))
    }

    /// Whether it stretches or loads a region; pain there rules the stretch out.
    pub fn touches(&self, region: Region) -> bool {
        self.regions.contains_key(&region) || self.loads.contains(&region)
    }
}

fn read(root: &Section<'_, '_>, id: &str, figure: StretchFigure) -> Option<Stretch> {
    let name = sentence(root, "name", "Calf at the wall, straight knee");
    let position = root.word("position", &Position::ALL);
    if position.is_none() && !root.has("position") {
        let known = one_of(Position::ALL.iter().map(|(id, _)| *id));
        root.missing("position", format!("Write position = one of: {known}"));
    }
    let sides = root.integer("sides", 1..=2);
    if sides.is_none() && !root.has("sides") {
        root.missing(
            "sides",
            "Write sides = 2 if it is done once for each side, else sides = 1",
        );
    }
    let hold_s = hold(root);
    let regions = regions(root);
    let set_up = sentence(root, "set_up", "Stand an arm's length from the wall.");
    let feel = sentence(root, "feel", "A mild pull in the upper calf.");
    let ease_off = sentence(root, "ease_off", "Step in closer if the heel lifts.");
    let easier = sentence(root, "easier", "Do it seated, with a towel.");
    let leave_out = leave_out(root);
    let loads = loads(root, regions.as_ref());
    let props = words(root, "props", &Prop::ALL);
    let bed_friendly = root.boolean("bed_friendly").is_some_and(|flag| flag.value);
    Some(Stretch {
        id: id.to_owned(),
        name: name?,
        regions: regions?,
        position: position?.value,
        two_sided: sides?.value == 2,
        hold_s: hold_s?,
        set_up: set_up?,
        feel: feel?,
        ease_off: ease_off?,
        easier: easier?,
        leave_out,
        loads,
        props,
        bed_friendly,
        figure,
    })
}

/// A text that has to be there and may not be blank.
pub(super) fn sentence(section: &Section<'_, '_>, key: &str, example: &str) -> Option<String> {
    if !section.has(key) {
        section.missing(
            key,
            format!("Write it in quotes, for example {key} = \"{example}\""),
        );
        return None;
    }
    let written = section.text(key, example)?;
    if written.value.trim().is_empty() {
        section.complain(
            &written.span,
            format!("{} is empty", section.name_of(key)),
            format!("Write it in quotes, for example {key} = \"{example}\""),
        );
        return None;
    }
    Some(written.value.trim().to_owned())
}

fn hold(root: &Section<'_, '_>) -> Option<(u32, u32)> {
    let (least, most) = HOLD_BOUNDS_S;
    let instead = format!(
        "Write the shortest and the longest hold of one side in whole seconds from {least} to {most}, for example hold = [15, 30]"
    );
    if !root.has("hold") {
        root.missing("hold", instead);
        return None;
    }
    // Bounds are checked here and not entry by entry: one complaint is enough for one range.
    let written = root.numbers("hold", f64::MIN..=f64::MAX)?;
    let fits = |seconds: f64| {
        seconds.fract() == 0.0 && (f64::from(least)..=f64::from(most)).contains(&seconds)
    };
    match written.as_slice() {
        [low, high] if fits(low.value) && fits(high.value) && low.value <= high.value => {
            Some((low.value as u32, high.value as u32))
        }
        _ => {
            root.complain(&root.place("hold"), "hold is no range of seconds", instead);
            None
        }
    }
}

fn regions(root: &Section<'_, '_>) -> Option<BTreeMap<Region, u8>> {
    let instead = "Name what is stretched, emphasis 1 to 3, for example regions = { calves = 3 }";
    if !root.has("regions") {
        root.missing("regions", instead);
        return None;
    }
    let table = root.table("regions")?;
    let mut regions = BTreeMap::new();
    let keys = table.other_keys();
    if keys.is_empty() {
        root.complain(&root.place("regions"), "regions is empty", instead);
    }
    for key in keys {
        let emphasis = table.integer(&key.value, 1..=3);
        if let Some(region) = table.known_word("regions", &key, &Region::ALL)
            && let Some(emphasis) = emphasis
        {
            regions.insert(region, u8::try_from(emphasis.value).unwrap_or(1));
        }
    }
    Some(regions)
}

fn leave_out(root: &Section<'_, '_>) -> Vec<Avoid> {
    let known: Vec<(&'static str, Avoid)> = Avoid::ids()
        .filter_map(|id| Avoid::from_id(id).map(|entry| (id, entry)))
        .collect();
    words(root, "leave_out", &known)
}

fn loads(root: &Section<'_, '_>, stretched: Option<&BTreeMap<Region, u8>>) -> Vec<Region> {
    let loads = words(root, "loads", &Region::ALL);
    let twice = loads
        .iter()
        .find(|region| stretched.is_some_and(|regions| regions.contains_key(region)));
    if let Some(region) = twice {
        root.complain(
            &root.place("loads"),
            format!("loads names {region}, which is in regions already"),
            "Name only regions that are loaded without being stretched",
        );
    }
    loads
}

/// A list of known words, each once; nothing written is an empty list.
fn words<T: Copy + PartialEq>(
    root: &Section<'_, '_>,
    key: &str,
    known: &[(&'static str, T)],
) -> Vec<T> {
    let mut found = Vec::new();
    for written in root.texts(key).unwrap_or_default() {
        let Some(value) = root.known_word(key, &written, known) else {
            continue;
        };
        if found.contains(&value) {
            let what = format!("{key} names {} twice", written.value);
            root.complain(&written.span, what, "Remove one of the two");
        } else {
            found.push(value);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: &str = r#"
name = "Calf at the wall"
position = "standing"
sides = 2
hold = [15, 45]
regions = { calves = 3 }
set_up = "Stand facing a wall."
feel = "A mild pull."
ease_off = "Step in."
easier = "Sit down."
leave_out = ["achilles_injury"]
loads = ["feet"]
props = ["wall"]

[figure]
view = "side"
rest = ["foot on floor"]
"#;

    fn said(text: &str) -> Vec<String> {
        let complaints = Stretch::parse("s.toml", "calf", text).expect_err("should be refused");
        complaints.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_whole_file_is_read() {
        let stretch = Stretch::parse("s.toml", "calf", WHOLE).expect("reads");
        assert_eq!(stretch.id, "calf");
        assert_eq!(stretch.hold_s, (15, 45));
        assert_eq!(stretch.regions.get(&Region::Calves), Some(&3));
        assert_eq!(stretch.sides(), [Side::Left, Side::Right]);
        assert_eq!(stretch.usual_hold_s(), 30);
        assert!(!stretch.bed_friendly);
        assert!(stretch.figure().is_some());
        assert!(stretch.touches(Region::Feet) && stretch.touches(Region::Calves));
        assert!(!stretch.touches(Region::Neck));
    }

    #[test]
    fn every_fault_is_named_with_its_place() {
        let text = WHOLE
            .replace("standing", "standng")
            .replace("sides = 2", "sides = 3")
            .replace("[15, 45]", "[45, 15]")
            .replace("calves = 3", "calve = 3, feet = 9")
            .replace("easier = \"Sit down.\"", "surprise = 1")
            .replace("achilles_injury", "achiles_injury");
        let said = said(&text).join("\n");
        for start in [
            "s.toml:3:12: position: \"standng\" is not known. Did you mean \"standing\"?",
            "s.toml:4:9: sides = 3 is out of range.",
            "s.toml:5:1: hold is no range of seconds.",
            "s.toml:6:13: regions: \"calve\" is not known. Did you mean \"calves\"?",
            "s.toml:6:31: regions.feet = 9 is out of range.",
            "s.toml:10:1: surprise is not known.",
            "s.toml:1:1: easier is missing. Write it in quotes",
            "s.toml:11:14: leave_out: \"achiles_injury\" is not known. Did you mean \"achilles_injury\"?",
        ] {
            assert!(said.contains(start), "no complaint {start} in\n{said}");
        }
    }

    #[test]
    fn a_hold_that_is_no_range_is_refused() {
        for hold in [
            "[45, 15]",
            "[20]",
            "[10, 20, 30]",
            "[15.5, 30]",
            "[1, 30]",
            "30",
        ] {
            let said = said(&WHOLE.replace("[15, 45]", hold));
            assert_eq!(said.len(), 1, "{hold}: {said:?}");
            assert!(said[0].starts_with("s.toml:5:"), "{hold}: {said:?}");
        }
    }

    #[test]
    fn a_region_is_stretched_or_loaded_not_both() {
        let said = said(&WHOLE.replace("[\"feet\"]", "[\"calves\"]"));
        assert!(said[0].contains("loads names calves"), "{said:?}");
    }

    #[test]
    fn conditions_and_positions_leave_it_out() {
        let stretch = Stretch::parse("s.toml", "calf", WHOLE).expect("reads");
        let avoid = |id: &str| BTreeSet::from([Avoid::from_id(id).expect("known")]);
        let by = |id: &str| stretch.left_out_by(&avoid(id)).map(Avoid::id);
        assert_eq!(by("achilles_injury"), Some("achilles_injury"));
        assert_eq!(by("standing"), Some("standing"));
        assert_eq!(by("kneeling"), None);
        for (_, position) in Position::ALL {
            assert!(position.avoid().is_some(), "{position:?} can be avoided");
        }
    }
}
