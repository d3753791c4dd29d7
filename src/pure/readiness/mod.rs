//! Readiness: how this morning's ratings compare with the person's own usual ones.
//!
//! The unit is the person's usual day-to-day spread; 0 is as usual, negative is lower. [`history`] and
//! [`for_day`] give the [`Score`], [`assess`] adds the guards and gives the [`Band`], [`reasons`] says
//! why in sentences.
//!
//! The score is our own design: weights rounded from a non-negative least-squares fit on open data of 25
//! people (Midoglu C et al. 2024, Sci Data 11, doi 10.1038/s41597-024-03386-x), confirmed on others.
//! It is a hint, cheap to refuse: on that data half of the lowered mornings were also rated low by the
//! person. It does not predict performance, injury or next-day soreness, and never raises
//! training above the plan.

mod band;
mod memory;
mod score;
mod words;

pub use band::{Band, Conditions, Guard, Readiness, assess, band_of};
pub use memory::usual_level;
pub use score::{ItemPart, RatedMorning, Score, for_day, history, weight};
pub use words::{number_line, place_on_line, reasons, score_in_words};
