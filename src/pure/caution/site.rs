//! Where it hurts: joints and muscle groups, by side where there are two.

use std::fmt;

use crate::pure::region::Region;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Side {
    Unsaid,
    Left,
    Right,
}

/// A place on the body, by its id: `knee_left`, `lower_back`, `calves`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Site {
    place: u8,
    side: Side,
}

struct Place {
    id: &'static str,
    words: &'static str,
    sided: bool,
    joint: bool,
    regions: &'static [Region],
}

const fn place(
    id: &'static str,
    words: &'static str,
    sided: bool,
    joint: bool,
    regions: &'static [Region],
) -> Place {
    Place {
        id,
        words,
        sided,
        joint,
        regions,
    }
}

use Region::{
    Calves, Chest, Core, Feet, Forearms, Glutes, Hips, LowerBack, Neck, Shins, Shoulders,
    ThighBack, ThighFront, ThighInner, UpperArms, UpperBack,
};

/// From head to foot. A joint's regions are the muscle groups that cross it and so load it when they
/// work (plain anatomy, common practice, no source); a muscle's is its own group.
const PLACES: &[Place] = &[
    place("jaw", "jaw", false, true, &[]),
    place("neck", "neck", false, false, &[Neck]),
    place(
        "shoulder",
        "shoulder",
        true,
        true,
        &[Shoulders, Chest, UpperBack, UpperArms],
    ),
    place("shoulders", "shoulders", false, false, &[Shoulders]),
    place("chest", "chest", false, false, &[Chest]),
    place("ribs", "ribs", true, true, &[Chest, Core]),
    place("upper_back", "upper back", false, false, &[UpperBack]),
    place("lower_back", "lower back", false, false, &[LowerBack, Core]),
    place("core", "belly and sides", false, false, &[Core]),
    place("upper_arm", "upper arm", true, false, &[UpperArms]),
    place("upper_arms", "upper arms", false, false, &[UpperArms]),
    place("elbow", "elbow", true, true, &[UpperArms, Forearms]),
    place("forearm", "forearm", true, false, &[Forearms]),
    place("forearms", "forearms", false, false, &[Forearms]),
    place("wrist", "wrist", true, true, &[Forearms]),
    place("hand", "hand", true, true, &[Forearms]),
    place(
        "hip",
        "hip",
        true,
        true,
        &[Hips, Glutes, ThighFront, ThighBack, ThighInner],
    ),
    place("hips", "hips", false, false, &[Hips]),
    place("groin", "groin", true, true, &[ThighInner, Hips]),
    place("glute", "seat muscle", true, false, &[Glutes]),
    place("glutes", "seat muscles", false, false, &[Glutes]),
    place(
        "thigh_front",
        "front of the thigh",
        true,
        false,
        &[ThighFront],
    ),
    place("thigh_back", "back of the thigh", true, false, &[ThighBack]),
    place("thigh_inner", "inner thigh", true, false, &[ThighInner]),
    place(
        "knee",
        "knee",
        true,
        true,
        &[ThighFront, ThighBack, ThighInner, Calves],
    ),
    place("calf", "calf", true, false, &[Calves]),
    place("calves", "calves", false, false, &[Calves]),
    place("shin", "shin", true, false, &[Shins]),
    place("shins", "shins", false, false, &[Shins]),
    place("ankle", "ankle", true, true, &[Calves, Shins, Feet]),
    place("heel", "heel", true, true, &[Calves, Feet]),
    place("foot", "foot", true, false, &[Feet]),
    place("feet", "feet", false, false, &[Feet]),
];

impl Site {
    /// Every id: each place, and its left and right where there are two.
    pub fn ids() -> impl Iterator<Item = String> {
        PLACES.iter().flat_map(|place| {
            let sides: &[&str] = if place.sided {
                &["", "_left", "_right"]
            } else {
                &[""]
            };
            sides.iter().map(move |side| format!("{}{side}", place.id))
        })
    }

    /// The site with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        let (base, side) = if let Some(base) = id.strip_suffix("_left") {
            (base, Side::Left)
        } else if let Some(base) = id.strip_suffix("_right") {
            (base, Side::Right)
        } else {
            (id, Side::Unsaid)
        };
        let at = PLACES
            .iter()
            .position(|place| place.id == base && (place.sided || side == Side::Unsaid))?;
        Some(Self {
            place: u8::try_from(at).ok()?,
            side,
        })
    }

    fn place(self) -> &'static Place {
        &PLACES[usize::from(self.place)]
    }

    /// The words for sentences: `left knee`, `lower back`.
    pub fn words(self) -> String {
        match self.side {
            Side::Unsaid => self.place().words.to_owned(),
            Side::Left => format!("left {}", self.place().words),
            Side::Right => format!("right {}", self.place().words),
        }
    }

    /// Whether left or right was not said.
    pub fn is_without_side(self) -> bool {
        self.side == Side::Unsaid
    }

    /// Whether both are the same place, sides aside.
    pub fn is_same_place(self, other: Self) -> bool {
        self.place == other.place
    }

    /// Whether it is a joint, or bone without much muscle, rather than a muscle.
    pub fn is_joint(self) -> bool {
        self.place().joint
    }

    /// The regions to spare while it hurts.
    pub fn regions(self) -> &'static [Region] {
        self.place().regions
    }

    /// The id of the place without its side.
    pub(super) fn base(self) -> &'static str {
        self.place().id
    }

    pub(super) fn is_calf(self) -> bool {
        matches!(self.place().id, "calf" | "calves")
    }

    pub(super) fn is_chest(self) -> bool {
        matches!(self.place().id, "chest" | "ribs")
    }

    pub(super) fn is_lower_back(self) -> bool {
        self.place().id == "lower_back"
    }
}

impl fmt::Display for Site {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.place().id)?;
        match self.side {
            Side::Unsaid => Ok(()),
            Side::Left => f.write_str("_left"),
            Side::Right => f.write_str("_right"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_leads_back_to_its_site() {
        let mut count = 0;
        for id in Site::ids() {
            assert_eq!(Site::from_id(&id).expect("known").to_string(), id);
            count += 1;
        }
        assert!(count > 60, "{count}");
        assert_eq!(Site::from_id("calves_left"), None);
        assert_eq!(Site::from_id("elbows"), None);
    }

    #[test]
    fn every_region_is_a_site_that_spares_at_least_itself() {
        for (id, region) in Region::ALL {
            let site = Site::from_id(id).unwrap_or_else(|| panic!("{id} is no site"));
            assert!(site.regions().contains(&region), "{id}");
        }
    }
}
