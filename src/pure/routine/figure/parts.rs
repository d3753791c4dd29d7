//! Names for the points of the body, as files write them.

use std::fmt;

/// One half of the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BodySide {
    /// The right half.
    Right,
    /// The left half.
    Left,
}

impl BodySide {
    /// Both halves, right first.
    pub const BOTH: [Self; 2] = [Self::Right, Self::Left];

    /// 1 on the right, -1 on the left: the sign of the right axis.
    pub fn sign(self) -> f64 {
        match self {
            Self::Right => 1.0,
            Self::Left => -1.0,
        }
    }

    /// Its place in arrays that hold right and left.
    pub fn index(self) -> usize {
        self as usize
    }

    /// The word in files.
    pub fn id(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }
}

/// A part of the body that can rest, be held or be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The head.
    Head,
    /// The neck.
    Neck,
    /// The trunk between the shoulders.
    Chest,
    /// The trunk at the waist.
    Waist,
    /// The pelvis; on a chair, the seat bones.
    Pelvis,
    /// The point of a shoulder.
    Shoulder,
    /// Shoulder to elbow.
    UpperArm,
    /// The elbow.
    Elbow,
    /// Elbow to wrist.
    Forearm,
    /// The wrist.
    Wrist,
    /// Palm and fingers.
    Hand,
    /// The fingers alone.
    Fingers,
    /// The outside of the hip.
    Hip,
    /// Hip to knee.
    Thigh,
    /// The knee.
    Knee,
    /// Knee to ankle.
    Shin,
    /// The ankle.
    Ankle,
    /// The heel.
    Heel,
    /// The ball of the foot.
    Ball,
    /// The toes.
    Toes,
    /// The sole, from heel to ball.
    Foot,
}

impl Part {
    /// Parts of the midline with their words in files.
    pub const MIDLINE: [(&'static str, Self); 5] = [
        ("head", Self::Head),
        ("neck", Self::Neck),
        ("chest", Self::Chest),
        ("waist", Self::Waist),
        ("pelvis", Self::Pelvis),
    ];

    /// Parts there are two of, with their words in files.
    pub const PAIRED: [(&'static str, Self); 16] = [
        ("shoulder", Self::Shoulder),
        ("upper_arm", Self::UpperArm),
        ("elbow", Self::Elbow),
        ("forearm", Self::Forearm),
        ("wrist", Self::Wrist),
        ("hand", Self::Hand),
        ("fingers", Self::Fingers),
        ("hip", Self::Hip),
        ("thigh", Self::Thigh),
        ("knee", Self::Knee),
        ("shin", Self::Shin),
        ("ankle", Self::Ankle),
        ("heel", Self::Heel),
        ("ball", Self::Ball),
        ("toes", Self::Toes),
        ("foot", Self::Foot),
    ];

    /// The word in files.
    pub fn id(self) -> &'static str {
        Self::MIDLINE
            .iter()
            .chain(&Self::PAIRED)
            .find(|(_, part)| *part == self)
            .map_or("", |(word, _)| word)
    }
}

/// A part, on one side or, where there are two and no side is named, on both.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// The part.
    pub part: Part,
    /// The side; `None` for the midline or for both sides.
    pub side: Option<BodySide>,
}

impl Point {
    /// Reads `head`, `right_knee`, or `knee` for both knees.
    pub fn from_id(id: &str) -> Option<Self> {
        let (side, word) = split_side(id);
        let among = |words: &[(&str, Part)]| {
            words
                .iter()
                .find(|(known, _)| *known == word)
                .map(|(_, part)| *part)
        };
        let part =
            among(&Part::PAIRED).or_else(|| among(&Part::MIDLINE).filter(|_| side.is_none()))?;
        Some(Self { part, side })
    }

    /// Every word that [`Point::from_id`] reads, without the sides.
    pub fn words() -> impl Iterator<Item = &'static str> + Clone {
        Part::MIDLINE
            .iter()
            .chain(&Part::PAIRED)
            .map(|(word, _)| *word)
    }

    /// Whether there are two of it.
    pub fn is_paired(self) -> bool {
        Part::PAIRED.iter().any(|(_, part)| *part == self.part)
    }

    /// The same, one entry a side.
    pub fn each(self) -> Vec<Self> {
        if !self.is_paired() {
            return vec![self];
        }
        let sides = self.sides().iter();
        sides
            .map(|side| Self {
                side: Some(*side),
                ..self
            })
            .collect()
    }

    /// The sides it stands for.
    pub fn sides(self) -> &'static [BodySide] {
        match self.side {
            Some(BodySide::Right) => &BodySide::BOTH[..1],
            Some(BodySide::Left) => &BodySide::BOTH[1..],
            None => &BodySide::BOTH,
        }
    }
}

impl fmt::Display for Point {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.side {
            Some(side) => write!(f, "{}_{}", side.id(), self.part.id()),
            None => f.write_str(self.part.id()),
        }
    }
}

/// Takes `right_` or `left_` off a word.
pub fn split_side(id: &str) -> (Option<BodySide>, &str) {
    for side in BodySide::BOTH {
        if let Some(word) = id
            .strip_prefix(side.id())
            .and_then(|rest| rest.strip_prefix('_'))
        {
            return (Some(side), word);
        }
    }
    (None, id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_back_to_themselves() {
        for word in Point::words() {
            let point = Point::from_id(word).expect(word);
            assert_eq!(point.to_string(), word);
            let sided = format!("left_{word}");
            match Point::from_id(&sided) {
                Some(point) => assert_eq!(point.to_string(), sided),
                None => assert!(Part::MIDLINE.iter().any(|(midline, _)| *midline == word)),
            }
        }
        assert_eq!(Point::from_id("right_head"), None);
    }
}
