//! The signs that can be reported, in our own words.

use super::CANNOT_JUDGE;
use super::level::{Level, number};

macro_rules! signs {
    ($( $(#[$doc:meta])* $name:ident $id:literal $level:ident $area:literal $noticed:literal $question:literal $more:literal; )*) => {
        /// A warning sign, or the soreness that is none.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Sign { $( $(#[$doc])* $name, )* }

        const ENTRIES: &[Entry] = &[ $( Entry {
            sign: Sign::$name, id: $id, level: Level::$level, body_area: $area,
            noticed: $noticed, question: $question, more: $more,
        }, )* ];
    };
}

struct Entry {
    sign: Sign,
    id: &'static str,
    level: Level,
    body_area: bool,
    noticed: &'static str,
    question: &'static str,
    more: &'static str,
}

// One row a sign: name, id, level, whether it belongs to a body area, what was noticed, the question, and
// what is to be said beyond the level's sentence. A macro because enum and table have to stay in step.
signs! {
    /// Chest.
    ChestPain "chest_pain_or_pressure" EmergencyNow false
        "pain, pressure or tightness in the chest"
        "Is there pain, pressure or tightness in the chest, perhaps reaching into the jaw or an arm?" "";
    /// Fainting.
    Fainted "fainted_or_collapsed" EmergencyNow false
        "fainting or collapsing"
        "Did you faint or collapse?" "";
    /// Breath.
    Breathless "severe_breathlessness_at_rest" EmergencyNow false
        "being very short of breath at rest"
        "Are you very short of breath while resting, so that talking is hard?" "";
    /// One side.
    OneSided "one_sided_weakness_or_face_droop_or_slurred_speech" EmergencyNow false
        "weakness on one side, a drooping face or slurred speech"
        "Is one side of the body suddenly weak, the face drooping or speech slurred?"
        "Note the time it began.";
    /// Headache.
    SuddenHeadache "sudden_severe_headache" EmergencyNow false
        "a sudden, very strong headache"
        "Did the strongest headache you know come on within moments?" "";
    /// Seizure.
    Seizure "seizure" EmergencyNow false
        "a seizure"
        "Was there a seizure?" "";
    /// Head, with a sign.
    HeadInjuryWithSign "head_injury_with_warning_sign" EmergencyNow false
        "a knock to the head with a warning sign after it"
        "After a knock to the head: is there neck pain, growing confusion or drowsiness, repeated vomiting, a seizure, weakness or tingling, a growing headache, or a change of sight or hearing?"
        "Do not train until someone qualified has cleared you.";
    /// Limb.
    Deformed "limb_deformity_or_suspected_fracture" EmergencyNow false
        "a limb out of shape, or one that may be broken"
        "Is a limb out of shape, or may a bone be broken?"
        "Keep it still.";
    /// Back.
    BackWithNumbness "back_pain_with_saddle_numbness_or_bladder_bowel_change" EmergencyNow false
        "back pain with numbness between the legs or a change of bladder or bowel"
        "Along with back pain: is it numb between the legs, or have bladder or bowel changed?" "";
    /// Heat.
    Overheated "overheated_and_confused" EmergencyNow false
        "being overheated and confused"
        "Are you very hot and confused or unsteady?"
        "Get into the shade and cool down with water while help is on its way.";
    /// Self-harm.
    SelfHarm "thoughts_of_self_harm" EmergencyNow false
        "thoughts of harming yourself"
        "Are there thoughts of harming yourself?"
        "You need not be alone with this: tell someone near you.";
    /// Throat.
    ThroatSwelling "anaphylaxis_or_throat_swelling" EmergencyNow false
        "a swelling throat, or a strong allergic reaction"
        "Is the throat, tongue or face swelling, or is breathing getting tight after food, a sting or a medicine?" "";
    /// Urine.
    DarkUrine "dark_urine_after_hard_exercise" EmergencyNow false
        "dark urine after hard exercise"
        "After hard exercise: is your urine dark like tea or cola?"
        "Only a blood test can tell what is behind it.";
    /// Muscles.
    SevereMuscle "severe_muscle_swelling_or_marked_weakness" EmergencyNow false
        "strong swelling or marked weakness of muscles after hard exercise"
        "After hard exercise: are muscles strongly swollen, or markedly weaker than they should be?"
        "Only a blood test can tell what is behind it.";
    /// Calf.
    OneCalf "one_calf_swollen_hot_or_red" SameDayCare false
        "one calf that is swollen, hot or red"
        "Is one calf swollen, hot or red?"
        "Do not massage it.";
    /// Weight.
    NoWeight "cannot_bear_weight" SameDayCare false
        "not being able to put weight on a leg"
        "Is it impossible to put your weight on one leg?" "";
    /// Pop.
    Pop "pop_with_immediate_swelling_or_bruise" SameDayCare false
        "a pop with swelling or a bruise at once"
        "Was there a pop, and swelling or a bruise at once?" "";
    /// Joint and fever.
    HotJoint "hot_swollen_joint_with_fever" SameDayCare false
        "a hot, swollen joint with fever"
        "Is a joint hot and swollen, with a fever?" "";
    /// Joint that locks.
    JointLocks "joint_locked_or_giving_way" SameDayCare false
        "a joint that locks or gives way"
        "Does a joint lock, or give way under you?" "";
    /// Head, without a sign.
    HeadInjury "head_injury_without_warning_sign" SameDayCare false
        "a knock to the head"
        "Did you knock your head, without any of the warning signs?"
        "Do not train until someone qualified has cleared you. If you get drowsy, confused or sick, or the headache grows, call for help at once.";
    /// Heart.
    Palpitations "palpitations_with_lightheadedness" SameDayCare false
        "a pounding or irregular heartbeat with light-headedness"
        "Does the heart pound or stumble while you feel light-headed?"
        "If you faint, or the chest hurts, call for help at once.";
    /// Driving.
    SleepyDriving "sleepy_while_driving" SameDayCare false
        "being sleepy at the wheel"
        "Were you close to falling asleep while driving?"
        "Do not drive while you are sleepy.";
    /// Soreness that stays.
    SorenessStays "soreness_longer_than_7_days" ClinicianSoon true
        "soreness for more than 7 days"
        "Has a sore place been sore for more than 7 days?" "";
    /// Joint, tendon, bone.
    JointPain "pain_in_joint_tendon_or_bone" ClinicianSoon true
        "pain in a joint, tendon or bone"
        "Is the pain in a joint, a tendon or a bone rather than in the muscle?" "";
    /// One point.
    SharpPain "sharp_or_one_point_pain" ClinicianSoon true
        "sharp pain, or pain in one point"
        "Is the pain sharp, or can you point at it with one finger?" "";
    /// At rest.
    RestPain "pain_at_rest_or_at_night" ClinicianSoon true
        "pain at rest or at night"
        "Does it hurt at rest or at night?" "";
    /// Numb.
    Numb "numbness_or_tingling" ClinicianSoon true
        "numbness or tingling"
        "Is there numbness or tingling?" "";
    /// Comes back.
    ComesBack "pain_returns_every_session" ClinicianSoon true
        "pain that returns in every session"
        "Does the same pain return in every session?" "";
    /// Sprain.
    Sprain "sprain_not_improving_after_2_weeks" ClinicianSoon true
        "a sprain that is no better after 2 weeks"
        "Is a sprain no better after 2 weeks?" "";
    /// Snoring.
    Snoring "loud_snoring_with_pauses_or_gasping" ClinicianSoon false
        "loud snoring with pauses or gasping"
        "Do you snore loudly most nights, with pauses or gasping, or wake up short of breath?" "";
    /// Insomnia pattern.
    Insomnia "insomnia_3_nights_a_week_3_months" ClinicianSoon false
        "trouble sleeping on three or more nights a week for three months"
        "Has sleep been hard on three or more nights a week for three months, and do the days suffer?"
        "Behavioural therapy for sleep is usually tried first.";
    /// Legs at night.
    RestlessLegs "urge_to_move_legs_at_night" ClinicianSoon false
        "an urge to move the legs at night"
        "Is there an urge to move the legs in the evening or at night?" "";
    /// Dreams.
    ActingDreams "acting_out_dreams" ClinicianSoon false
        "acting out dreams"
        "Do you hit, kick or get up while dreaming?" "";
    /// Unrefreshed.
    Unrefreshed "unrefreshed_despite_enough_sleep" ClinicianSoon false
        "being unrefreshed although there was enough time for sleep"
        "Are you unrefreshed, or very sleepy by day, although there is enough time for sleep?" "";
    /// Mood.
    LowMood "low_mood_most_days_2_weeks" ClinicianSoon false
        "low mood on most days for two weeks"
        "Has your mood been low on most days for two weeks?" "";
    /// Usual soreness.
    UsualSoreness "dull_both_sides_soreness_day_1_to_3" CarryOn false
        "dull soreness of muscles on the days after training"
        "Is it a dull soreness of the muscles, one to three days after training?" "";
}

impl Sign {
    /// Every sign, most urgent first.
    pub fn all() -> impl Iterator<Item = Self> + Clone {
        ENTRIES.iter().map(|entry| entry.sign)
    }

    fn entry(self) -> &'static Entry {
        &ENTRIES[self as usize]
    }

    /// The id used in flags and machine output.
    pub fn id(self) -> &'static str {
        self.entry().id
    }

    /// The sign with an id.
    pub fn from_id(id: &str) -> Option<Self> {
        ENTRIES
            .iter()
            .find(|entry| entry.id == id)
            .map(|entry| entry.sign)
    }

    /// How urgent it is.
    pub fn level(self) -> Level {
        self.entry().level
    }

    /// Whether it belongs to a body area, which then stays out of training.
    pub fn body_area(self) -> bool {
        self.entry().body_area
    }

    /// What was noticed, to go on from "You recorded".
    pub fn noticed(self) -> &'static str {
        self.entry().noticed
    }

    /// The question that finds it.
    pub fn question(self) -> &'static str {
        self.entry().question
    }

    /// What is said beyond the sentence of its level; empty for most.
    pub(super) fn more(self) -> &'static str {
        self.entry().more
    }

    /// What the program says about it. `emergency_number` is named only if the person set it; `area` is
    /// where it is, in words, if the person said so.
    pub fn text(self, emergency_number: Option<&str>, area: Option<&str>) -> String {
        let place = area.map_or(String::new(), |area| format!(" ({area})"));
        let rest_area = self.body_area().then(|| area.unwrap_or("area"));
        let deed = self.level().deed(emergency_number, rest_area);
        let deed = if self == Self::SelfHarm {
            let number = number(emergency_number);
            format!("Call {number} or a crisis line now.")
        } else {
            deed
        };
        let mut text = format!("You recorded {}{place}. {deed}", self.noticed());
        if !self.more().is_empty() {
            text.push(' ');
            text.push_str(self.more());
        }
        format!("{text} {CANNOT_JUDGE}")
    }
}

/// What several reported signs mean together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Combined {
    /// The most urgent level.
    pub level: Level,
    /// Whether training may be suggested.
    pub suggest_training: bool,
    /// Whether the affected area stays out of training.
    pub pause_area: bool,
}

/// The worst of several signs counts.
pub fn combine(signs: &[Sign]) -> Combined {
    let level = signs
        .iter()
        .map(|sign| sign.level())
        .max()
        .unwrap_or(Level::CarryOn);
    Combined {
        level,
        suggest_training: level.suggest_training(),
        pause_area: !level.suggest_training() || signs.iter().any(|sign| sign.body_area()),
    }
}

/// Said once before the first session, in setup and in `today`. In line with common pre-exercise
/// screening (from memory, after the ACSM's).
pub const SCREENING: &str = "Before your first session: ask a clinician first if a disease of heart, lungs, metabolism or kidneys is known, if you get chest pain, dizziness, fainting or unusual breathlessness on effort, if you are pregnant, had surgery recently, or were inactive for long and plan hard training. This tool cannot judge injuries or illness.";

/// When to stop in the middle of a session; `emergency_number` is named only if the person set it.
///
/// The signs follow the ACSM's list of reasons to stop exercise.
pub fn when_to_stop(emergency_number: Option<&str>) -> String {
    format!(
        "Stop training at once on pain in the chest, jaw or arm, dizziness, fainting, a pounding or irregular heartbeat, or breathlessness that makes talking hard. If it does not pass at once, call {}. {CANNOT_JUDGE}",
        number(emergency_number)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_names_and_most_urgent_first() {
        for (index, entry) in ENTRIES.iter().enumerate() {
            assert_eq!(entry.sign as usize, index, "{}", entry.id);
            assert_eq!(Sign::from_id(entry.id), Some(entry.sign));
        }
        assert!(
            ENTRIES
                .windows(2)
                .all(|pair| pair[0].level >= pair[1].level)
        );
    }

    #[test]
    fn the_emergency_number_is_named_only_if_set() {
        let text = Sign::ChestPain.text(None, None);
        assert!(
            text.contains("call your local emergency number now"),
            "{text}"
        );
        let text = Sign::ChestPain.text(Some("112"), None);
        assert!(text.contains("call 112 now"), "{text}");
    }

    #[test]
    fn a_body_area_stays_out_and_the_rest_does_not() {
        let text = Sign::Numb.text(None, Some("left forearm"));
        assert!(
            text.contains("Leave the left forearm out of training"),
            "{text}"
        );
        assert!(!Sign::Snoring.text(None, None).contains("out of training"));
    }
}
