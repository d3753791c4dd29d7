//! The sentences that go with every routine.
//!
//! Sources: holds raise the blood pressure and straining may cause fainting (reviews of breath
//! holding); stretching changes soreness too little to matter (Herbert RD et al. 2011, Cochrane
//! CD004577). What is said about them is our own design choice, precautionary and no screening.

/// The stop rule, shown with every breathing part.
pub const STOP_RULE: &str =
    "Breathe normally and stop if you feel dizzy, tingling, short of breath or anxious.";

/// How to breathe.
pub const BREATHING: &str = "Breathe gently, without straining and not deeper than is comfortable. \
Sit or lie down for it, never in water, while standing or while driving.";

/// How to stretch.
pub const STRETCHING: &str = "Go to a mild pull and no further. \
Never stretch into pain, a fresh injury, numbness or tingling.";

/// What stretching does and does not do for soreness.
pub const SORENESS: &str =
    "Stretching will not take soreness away; many people find it pleasant before bed.";

/// What may be said of an evening's effect.
pub const SETTLE: &str = "A quiet few minutes may help you settle.";

/// What the tool cannot do.
pub const LIMITS: &str = "This tool cannot judge injuries or illness.";

/// What follows where breath holds were left out.
pub const ASK_CLINICIAN: &str = "Ask your clinician before you hold your breath.";

/// Everything that belongs on the first screen of a routine, in order.
pub const FIRST_SCREEN: [&str; 4] = [STRETCHING, BREATHING, STOP_RULE, LIMITS];
