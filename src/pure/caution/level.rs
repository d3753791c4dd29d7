//! How urgent a report is.

/// How urgent a report is. Later ones are more urgent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Usual soreness: train as suggested, ease off if it grows.
    CarryOn,
    /// Book an appointment; leave a body area out of training.
    ClinicianSoon,
    /// Stop training, get medical care today.
    SameDayCare,
    /// Stop, call for help now.
    EmergencyNow,
}

impl Level {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::CarryOn => "carry_on",
            Self::ClinicianSoon => "clinician_soon",
            Self::SameDayCare => "same_day_care",
            Self::EmergencyNow => "emergency_now",
        }
    }

    /// The level with a word.
    pub fn from_id(id: &str) -> Option<Self> {
        let all = [
            Self::CarryOn,
            Self::ClinicianSoon,
            Self::SameDayCare,
            Self::EmergencyNow,
        ];
        all.into_iter().find(|level| level.id() == id)
    }

    /// Whether training may still be suggested.
    pub fn suggest_training(self) -> bool {
        self < Self::SameDayCare
    }

    /// Whether care is due today: then every prompt says it, and no training is suggested.
    pub fn is_urgent(self) -> bool {
        self >= Self::SameDayCare
    }

    /// What to do, in one or two sentences. `emergency_number` is named only if the person set it; `area`
    /// is the body area to leave out of training, if there is one.
    pub fn deed(self, emergency_number: Option<&str>, area: Option<&str>) -> String {
        match (self, area) {
            (Self::CarryOn, _) => {
                "Train as suggested, and ease off if it grows while you do.".to_owned()
            }
            (Self::ClinicianSoon, Some(area)) => format!(
                "Leave the {area} out of training and stretching, and book an appointment with a clinician."
            ),
            (Self::ClinicianSoon, None) => "Book an appointment with a clinician.".to_owned(),
            (Self::SameDayCare, _) => "Stop training and get medical care today.".to_owned(),
            (Self::EmergencyNow, _) => {
                format!("Stop, and call {} now.", number(emergency_number))
            }
        }
    }
}

pub(super) fn number(set: Option<&str>) -> &str {
    set.unwrap_or("your local emergency number")
}
