//! The morning's record and its arithmetic: how long in bed, how long asleep, which share of it.
//!
//! A person says what a clock showed ([`DiaryEntry`]); [`DiaryEntry::resolve`] turns that into instants
//! ([`Times`]) in a zone, or into questions ([`Refusal`]) that name the two values that do not fit.
//! Everything after that is elapsed time between instants, so a night with a clock change has its true
//! length. Ratings and sore regions join the times in a [`Morning`].
//!
//! The items follow the Consensus Sleep Diary (Carney CE et al. 2012, Sleep 35(2):287-302; items from
//! memory), in our own words. Missing is not zero: what was not said stays unknown.

mod answers;
mod entry;
mod measures;
mod moment;
mod morning;
mod quality;
mod reading;
mod refusal;

pub use answers::{Answered, Answers};
pub use entry::{Diary, DiaryEntry, attach};
pub use measures::{Measures, Times, efficiency_percent};
pub use moment::{BadMoment, Moment, time_as_typed};
pub use morning::{Item, Morning, Ratings, parse_sore_in};
pub use quality::{
    Indicator, LONG_WAKE_MIN, awakenings_indicator, efficiency_indicator, insomnia_weeks,
    long_wake_nights, mention_sleep_help, onset_indicator, waso_indicator,
};
pub use refusal::{Field, Refusal};
