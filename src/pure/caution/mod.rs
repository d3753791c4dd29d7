//! Pain and warning signs: what was reported, how urgent it is, and what the program says about it.
//!
//! A precautionary table, not validated and no diagnosis: built on public pages about muscle breakdown
//! after effort (CDC/NIOSH), lists of signs to stop exercise (ACSM), concussion and insomnia, and common
//! first-aid teaching. The worst report counts; from same-day care upward no training is suggested. The
//! texts name no condition, advise no drug, call nothing safe, and defer to clinicians and the local
//! emergency number.

mod level;
mod pain;
mod sign;
mod site;
mod soreness;
mod spare;
mod standing;

pub use level::Level;
pub use pain::{Kind, PainReport};
pub use sign::{Combined, SCREENING, Sign, combine, when_to_stop};
pub use site::Site;
pub use soreness::{LongSoreness, SorenessPicture, long_soreness};
pub use standing::{Caution, Report, Standing, What, standing};

/// The sentence that closes every text here.
pub const CANNOT_JUDGE: &str = "This tool cannot judge injuries or illness.";
