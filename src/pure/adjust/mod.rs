//! The session as suggested: the plan, less what the morning speaks against.
//!
//! Volume is cut before effort, the list of exercises stays, nothing is ever above the plan and missed
//! work is never made up. Adjusting to how one feels is common practice and does no worse on average; the
//! factors and caps are our own design choice, between the cut of 41 to 60 % of volume before
//! competitions (Bosquet L et al. 2007, Med Sci Sports Exerc 39:1358-1365) and coaches' lighter weeks
//! (Bell L et al. 2022).

mod dose;
mod move_back;
mod part;

pub use dose::{Dose, DosedPart, Suggestion, suggest};
pub use move_back::{MoveBack, Why, move_back};
pub use part::{
    IntervalTotals, adjusted, easier_intervals, effort_cap, interval_totals, reps_in_reserve,
    scaled_count, volume_factor, words_of,
};
