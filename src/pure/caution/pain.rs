//! A report of pain: where, what kind, how strong, since when.

use chrono::NaiveDate;

use super::CANNOT_JUDGE;
use super::level::Level;
use super::sign::Sign;
use super::site::Site;
use crate::pure::phrase::long_date;

/// From this level on pain other than soreness is taken as needing care the same day, and soreness gets a
/// word on what would make it an emergency (our own design choice, precautionary).
const STRONG: u8 = 8;

/// What it feels like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Dull muscle soreness.
    Sore,
    /// Stiffness.
    Stiff,
    /// Sharp or stabbing.
    Sharp,
    /// In one point.
    OnePoint,
    /// Burning.
    Burning,
    /// Throbbing.
    Throbbing,
    /// Numb.
    Numb,
    /// Tingling.
    Tingling,
    /// Pressure or tightness.
    Pressure,
    /// Swollen.
    Swelling,
    /// Hot or red.
    Hot,
    /// Gives way.
    GivingWay,
    /// Locks.
    Locking,
    /// At rest or at night.
    AtRest,
    /// In every session again.
    Returning,
    /// A sprain.
    Sprain,
    /// No weight can be put on it.
    NoWeight,
    /// A pop, with swelling or a bruise at once.
    Pop,
    /// Markedly weak.
    MarkedWeakness,
    /// Out of shape.
    Deformed,
    /// Anything else.
    Other,
}

impl Kind {
    /// Every kind with its id and its words.
    pub const ALL: [(&'static str, Self, &'static str); 21] = [
        ("sore", Self::Sore, "dull soreness"),
        ("stiff", Self::Stiff, "stiffness"),
        ("sharp", Self::Sharp, "sharp pain"),
        ("one_point", Self::OnePoint, "pain in one point"),
        ("burning", Self::Burning, "burning pain"),
        ("throbbing", Self::Throbbing, "throbbing pain"),
        ("numb", Self::Numb, "numbness"),
        ("tingling", Self::Tingling, "tingling"),
        ("pressure", Self::Pressure, "pressure or tightness"),
        ("swelling", Self::Swelling, "swelling"),
        ("hot", Self::Hot, "heat or redness"),
        ("giving_way", Self::GivingWay, "giving way"),
        ("locking", Self::Locking, "locking"),
        ("at_rest", Self::AtRest, "pain at rest or at night"),
        (
            "returning",
            Self::Returning,
            "pain that returns in every session",
        ),
        ("sprain", Self::Sprain, "a sprain"),
        (
            "no_weight",
            Self::NoWeight,
            "not being able to put weight on it",
        ),
        ("pop", Self::Pop, "a pop with swelling or a bruise"),
        ("marked_weakness", Self::MarkedWeakness, "marked weakness"),
        ("deformed", Self::Deformed, "a place out of shape"),
        ("other", Self::Other, "pain"),
    ];

    /// The id used in flags.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The kind with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(known, _, _)| *known == id)
            .map(|(_, kind, _)| *kind)
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        Self::ALL[self as usize].2
    }

    fn is_soreness(self) -> bool {
        matches!(self, Self::Sore | Self::Stiff)
    }
}

/// A report of pain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PainReport {
    /// Where.
    pub site: Site,
    /// How strong, 0 (none) to 10.
    pub level: u8,
    /// What it feels like.
    pub kind: Kind,
    /// Since when; the day of the report where nothing was said.
    pub since: NaiveDate,
}

impl PainReport {
    /// The sign it amounts to on a day; `None` where the table has none for it, or nothing hurts.
    pub fn sign(&self, today: NaiveDate) -> Option<Sign> {
        if self.level == 0 {
            return None;
        }
        let days = (today - self.since).num_days();
        if self.site.is_chest() && !self.kind.is_soreness() {
            return Some(Sign::ChestPain);
        }
        match self.kind {
            Kind::Sore | Kind::Stiff if self.site.is_joint() => Some(Sign::JointPain),
            Kind::Sore | Kind::Stiff if days > 7 => Some(Sign::SorenessStays),
            Kind::Sore | Kind::Stiff => Some(Sign::UsualSoreness),
            Kind::Swelling | Kind::Hot if self.site.is_calf() => Some(Sign::OneCalf),
            Kind::Swelling if !self.site.is_joint() && self.level >= STRONG => {
                Some(Sign::SevereMuscle)
            }
            Kind::Sharp | Kind::OnePoint => Some(Sign::SharpPain),
            Kind::Numb | Kind::Tingling => Some(Sign::Numb),
            Kind::GivingWay | Kind::Locking => Some(Sign::JointLocks),
            Kind::AtRest | Kind::Throbbing => Some(Sign::RestPain),
            Kind::Returning => Some(Sign::ComesBack),
            Kind::Sprain if days > 14 => Some(Sign::Sprain),
            Kind::Sprain => Some(Sign::JointPain),
            Kind::NoWeight => Some(Sign::NoWeight),
            Kind::Pop => Some(Sign::Pop),
            Kind::MarkedWeakness => Some(Sign::SevereMuscle),
            Kind::Deformed => Some(Sign::Deformed),
            Kind::Swelling | Kind::Hot | Kind::Burning | Kind::Pressure | Kind::Other => {
                self.site.is_joint().then_some(Sign::JointPain)
            }
        }
    }

    /// How urgent it is on a day.
    pub fn urgency(&self, today: NaiveDate) -> Level {
        if self.level == 0 {
            return Level::CarryOn;
        }
        // What the table does not name is not usual soreness either.
        let by_sign = self.sign(today).map_or(Level::ClinicianSoon, Sign::level);
        if self.level >= STRONG && !self.kind.is_soreness() {
            by_sign.max(Level::SameDayCare)
        } else {
            by_sign
        }
    }

    /// Whether it is pain other than usual soreness, which speaks against loading the place.
    pub fn is_pain(&self, today: NaiveDate) -> bool {
        let only_sore = [Some(Sign::UsualSoreness), Some(Sign::SorenessStays)];
        self.level > 0 && !only_sore.contains(&self.sign(today))
    }

    /// What the program says about it; the emergency number is named only if the person set it.
    pub fn text(&self, today: NaiveDate, emergency_number: Option<&str>) -> String {
        let place = self.site.words();
        let urgency = self.urgency(today);
        let mut text = format!(
            "You recorded {} ({place}), {} of 10, since {}. {}",
            self.kind.words(),
            self.level,
            long_date(self.since),
            urgency.deed(emergency_number, Some(&place))
        );
        for more in self.more(today) {
            text.push(' ');
            text.push_str(more);
        }
        format!("{text} {CANNOT_JUDGE}")
    }

    fn more(&self, today: NaiveDate) -> impl Iterator<Item = &'static str> {
        let of_sign = self.sign(today).map_or("", Sign::more);
        let strong_soreness = self.kind.is_soreness() && self.level >= STRONG;
        let muscle = strong_soreness.then_some(
            "If your urine turns dark like tea or cola, or the muscles swell strongly or turn markedly weak, that is an emergency.",
        );
        let nerve = self.site.is_lower_back() && !self.kind.is_soreness();
        let back = nerve.then_some(
            "If it gets numb between the legs, or bladder or bowel change, that is an emergency.",
        );
        let chest = (self.site.is_chest() && !self.kind.is_soreness()).then_some(
            "Soreness of the chest muscles after training is recorded as the kind `sore`.",
        );
        [
            (!of_sign.is_empty()).then_some(of_sign),
            muscle,
            back,
            chest,
        ]
        .into_iter()
        .flatten()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("date")
    }

    fn report(site: &str, kind: Kind, level: u8) -> PainReport {
        PainReport {
            site: Site::from_id(site).expect("site"),
            level,
            kind,
            since: date(1),
        }
    }

    #[test]
    fn ids_are_in_the_order_of_the_kinds() {
        for (index, (id, kind, _)) in Kind::ALL.into_iter().enumerate() {
            assert_eq!(kind as usize, index);
            assert_eq!(kind.id(), id);
            assert_eq!(Kind::from_id(id), Some(kind));
        }
    }

    #[test]
    fn usual_soreness_carries_on_until_it_stays() {
        let sore = report("calves", Kind::Sore, 5);
        assert_eq!(sore.urgency(date(3)), Level::CarryOn);
        assert_eq!(sore.urgency(date(8)), Level::CarryOn);
        assert_eq!(sore.sign(date(9)), Some(Sign::SorenessStays));
        assert!(!sore.is_pain(date(9)));
        let joint = report("knee_left", Kind::Sore, 3);
        assert_eq!(joint.urgency(date(2)), Level::ClinicianSoon);
        assert!(joint.is_pain(date(2)));
    }

    #[test]
    fn the_kind_and_the_place_decide_together() {
        for (site, kind, level, expected) in [
            ("chest", Kind::Sore, 4, Level::CarryOn),
            ("chest", Kind::Pressure, 1, Level::EmergencyNow),
            ("calf_right", Kind::Swelling, 2, Level::SameDayCare),
            ("thigh_front_left", Kind::Swelling, 3, Level::ClinicianSoon),
            ("thigh_front_left", Kind::Swelling, 8, Level::EmergencyNow),
            ("knee_left", Kind::GivingWay, 2, Level::SameDayCare),
            ("knee_left", Kind::Sharp, 4, Level::ClinicianSoon),
            ("knee_left", Kind::Sharp, 8, Level::SameDayCare),
            ("shin_left", Kind::Burning, 3, Level::ClinicianSoon),
            ("ankle_left", Kind::Deformed, 3, Level::EmergencyNow),
            ("ankle_left", Kind::Sharp, 0, Level::CarryOn),
        ] {
            assert_eq!(
                report(site, kind, level).urgency(date(2)),
                expected,
                "{site} {kind:?} {level}"
            );
        }
        let sprain = report("ankle_left", Kind::Sprain, 3);
        assert_eq!(sprain.sign(date(15)), Some(Sign::JointPain));
        assert_eq!(sprain.sign(date(16)), Some(Sign::Sprain));
    }

    #[test]
    fn stronger_is_never_less_urgent() {
        for id in Site::ids() {
            for (_, kind, _) in Kind::ALL {
                let mut before = Level::CarryOn;
                for level in 0..=10 {
                    let now = report(&id, kind, level).urgency(date(2));
                    assert!(now >= before, "{id} {kind:?} {level}");
                    before = now;
                }
            }
        }
    }
}
