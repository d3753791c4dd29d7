//! What a person wants left out: conditions and positions, from a fixed list.
//!
//! The ids stand in `avoid` of the settings and in `leave_out` of a stretch. Breath holds have their
//! own list, because a condition that speaks against holding the breath need not speak against a
//! stretch. Both lists are precautionary common practice and our own design choice, no clinical
//! screening.

use std::fmt;

/// One thing to leave out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Avoid(u8);

struct Entry {
    id: &'static str,
    words: &'static str,
    no_holds: bool,
}

const fn entry(id: &'static str, words: &'static str, no_holds: bool) -> Entry {
    Entry {
        id,
        words,
        no_holds,
    }
}

/// The fixed list. Order is free: ids are what is stored.
const ENTRIES: &[Entry] = &[
    // Breathing: any of these means a pattern without holds.
    entry("holds", "holding the breath", true),
    entry("pregnancy", "pregnancy", true),
    entry(
        "heart_or_circulation_condition",
        "a heart or circulation condition",
        true,
    ),
    entry("high_blood_pressure", "high blood pressure", true),
    entry("lung_condition", "a lung condition", true),
    entry("seizure_disorder", "a seizure disorder", true),
    entry("panic_or_severe_anxiety", "panic or severe anxiety", true),
    entry(
        "glaucoma_or_retinal_problem",
        "glaucoma or a retinal problem",
        true,
    ),
    entry("recent_surgery", "recent surgery", true),
    entry("fainting_history", "a history of fainting", true),
    // Stretches: conditions.
    entry("late_pregnancy", "late pregnancy", true),
    entry("neck_injury", "a neck injury", false),
    entry("arm_tingling", "tingling in an arm", false),
    entry("hand_numbness", "numbness of a hand", false),
    entry("dizziness", "dizziness", false),
    entry("shoulder_instability", "an unstable shoulder", false),
    entry("shoulder_pain", "shoulder pain", false),
    entry("shoulder_dislocation", "a past shoulder dislocation", false),
    entry("elbow_pain", "elbow pain", false),
    entry("wrist_injury", "a wrist injury", false),
    entry("osteoporosis", "osteoporosis of the spine", false),
    entry("back_pain", "acute back pain", false),
    entry("arching_pain", "pain on arching the back", false),
    entry(
        "leg_pain_from_back",
        "leg pain that shoots from the back",
        false,
    ),
    entry("hip_replacement", "a hip replacement", false),
    entry("groin_strain", "a groin strain", false),
    entry("knee_pain", "knee pain", false),
    entry("ankle_pain", "ankle pain or a sprain", false),
    entry("achilles_injury", "an injured Achilles tendon", false),
    entry("foot_injury", "a foot injury", false),
    entry("poor_balance", "poor balance", false),
    entry("reflux", "reflux", false),
    // Positions.
    entry("standing", "standing positions", false),
    entry("kneeling", "kneeling positions", false),
    entry("seated", "seated positions", false),
    entry("lying", "lying positions", false),
];

impl Avoid {
    /// Every id in the order of the list.
    pub fn ids() -> impl Iterator<Item = &'static str> + Clone {
        ENTRIES.iter().map(|entry| entry.id)
    }

    /// The entry with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        ENTRIES
            .iter()
            .position(|entry| entry.id == id)
            .and_then(|at| u8::try_from(at).ok())
            .map(Self)
    }

    /// The id used in files.
    pub fn id(self) -> &'static str {
        ENTRIES[usize::from(self.0)].id
    }

    /// The words for sentences.
    pub fn words(self) -> &'static str {
        ENTRIES[usize::from(self.0)].words
    }

    /// Whether it speaks against patterns with breath holds.
    pub fn rules_out_holds(self) -> bool {
        ENTRIES[usize::from(self.0)].no_holds
    }
}

impl fmt::Display for Avoid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_unique_and_lead_back() {
        let ids: Vec<&str> = Avoid::ids().collect();
        let unique: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len());
        for id in ids {
            assert_eq!(Avoid::from_id(id).map(Avoid::id), Some(id));
        }
    }
}
