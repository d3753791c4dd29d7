//! Training load: what a session weighed, what a week adds up to, how it compares with the weeks before.
//!
//! Load is session RPE (0 to 10, for the whole session) times minutes, in arbitrary units (AU): Foster C
//! 1998, Med Sci Sports Exerc 30(7):1164-1168; Foster C et al. 2001, J Strength Cond Res 15(1):109-115.
//! The same AU can be short and hard or long and easy; very short interval work gives tiny loads although
//! it is very hard. Nothing here predicts injury, and no threshold is drawn: dividing a part by its own
//! whole relates the two without cause (Lolli L et al. 2019, Br J Sports Med 53:921-922), and such ratios
//! predicted no better with real than with random denominators (Impellizzeri FM et al. 2021, Sports Med).

mod days;
mod done;
mod effort;
mod parts;
mod series;
mod week;

pub use days::{DayLoads, DayNumbers};
pub use done::{
    PartDone, TrainingDone, WeekBest, bests_by_week, check_minutes, check_rpe, parse_reps,
    session_load,
};
pub use effort::effort_words;
pub use parts::assign_parts;
pub use series::{AcuteChronic, acute_chronic, ewma, ewma_weight};
pub use week::{Change, Week, change_from_usual, max_monotony, total, week};
