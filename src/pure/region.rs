//! Muscle groups, the one vocabulary for what was trained, stretched, sore or hurt.

use std::fmt;

/// A muscle group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Region {
    /// Neck.
    Neck,
    /// Shoulders.
    Shoulders,
    /// Chest.
    Chest,
    /// Upper back.
    UpperBack,
    /// Lower back.
    LowerBack,
    /// Trunk muscles at the front and the sides.
    Core,
    /// Upper arms, front and back.
    UpperArms,
    /// Forearms and hands.
    Forearms,
    /// Hip flexors and outer hip.
    Hips,
    /// Seat muscles.
    Glutes,
    /// Front of the thigh.
    ThighFront,
    /// Back of the thigh.
    ThighBack,
    /// Inner thigh.
    ThighInner,
    /// Calves.
    Calves,
    /// Shins.
    Shins,
    /// Feet.
    Feet,
}

impl Region {
    /// Every region with its id, from head to foot.
    pub const ALL: [(&'static str, Self); 16] = [
        ("neck", Self::Neck),
        ("shoulders", Self::Shoulders),
        ("chest", Self::Chest),
        ("upper_back", Self::UpperBack),
        ("lower_back", Self::LowerBack),
        ("core", Self::Core),
        ("upper_arms", Self::UpperArms),
        ("forearms", Self::Forearms),
        ("hips", Self::Hips),
        ("glutes", Self::Glutes),
        ("thigh_front", Self::ThighFront),
        ("thigh_back", Self::ThighBack),
        ("thigh_inner", Self::ThighInner),
        ("calves", Self::Calves),
        ("shins", Self::Shins),
        ("feet", Self::Feet),
    ];

    /// The id used in files, flags and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The region with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(known, _)| *known == id)
            .map(|(_, region)| *region)
    }

    /// The words for sentences: `upper back`, `front of the thighs`.
    pub fn words(self) -> &'static str {
        match self {
            Self::ThighFront => "front of the thighs",
            Self::ThighBack => "back of the thighs",
            Self::ThighInner => "inner thighs",
            Self::UpperBack => "upper back",
            Self::LowerBack => "lower back",
            Self::UpperArms => "upper arms",
            other => other.id(),
        }
    }
}

impl fmt::Display for Region {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_leads_back_to_its_region() {
        for (index, (id, region)) in Region::ALL.into_iter().enumerate() {
            assert_eq!(region as usize, index);
            assert_eq!(region.id(), id);
            assert_eq!(Region::from_id(id), Some(region));
        }
    }
}
