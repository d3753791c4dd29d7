//! Composing an evening: which stretches, how long, in which order, so that the time at hand does most.
//!
//! # What is made greatest
//!
//! All figures are whole numbers, so that equal is equal and the same question gets the same answer.
//!
//! - A hold counts for a region by the stretch's emphasis on it: a third of it, two thirds or the whole.
//!   The **dose** of a region is counted in units of 5 s at emphasis 1, so that 30 s at emphasis 3 are 18
//!   units and a minute is 36. A two-sided stretch is always done on both sides for the same time and
//!   counts once, because each side of the region gets one hold.
//! - The **benefit** of a dose is concave: 2 points a unit up to 18 units, 1 point from there to 36,
//!   nothing beyond. Holds of 10 to 30 s and about 60 s in all for an exercise are the advice of Garber CE
//!   et al. (2011), Med Sci Sports Exerc 43:1334-1359; the slopes are our own design choice, as is all
//!   that follows.
//! - The **weight** of a region is 16 times its emphasis in today's training, and 4 where it was not
//!   trained. When nothing was trained every region weighs 16: a gentle round of the whole body. Soreness
//!   3 halves the weight, soreness 4 quarters it (rounded down).
//! - A stretch **costs** 40 points, so that one that adds next to nothing is left out and its time goes to
//!   breathing; a point for every 5 s that it takes, changing included; and, where it was used yesterday
//!   or the evening before, a quarter or an eighth (rounded down) of the points that its doses would bring
//!   alone, so that another stretch for the same region goes first.
//!
//! ```text
//! value = sum over regions (weight * benefit(dose))
//!       - sum over chosen stretches (40 + sides * (hold + 5 s) / 5 s + repetition)
//! ```
//!
//! It is made greatest over all sets of permitted stretches with a permitted hold each that fit the time:
//! each held side takes its hold and 5 s to change, and each position used takes 5 s more, because getting
//! into it takes 10 s. The breathing keeps two minutes, in whole breaths; whole breaths fill what is left.
//!
//! # What is permitted
//!
//! Never a stretch that stretches or loads a painful region, that is left out for something the person
//! avoids, whose position is avoided, or whose props are not at hand. A gentle evening has seated and
//! lying positions only. Holds are multiples of 5 s from 15 s to 60 s within the file's range. Soreness 2
//! in a region that the stretch is for, a rest day and a gentle evening cap it at 30 s (or at the shortest
//! hold of the file, if that is longer); soreness 3 or 4 allow the shortest hold only.
//!
//! The search is exact; its file says how. The shipped library takes half a millisecond as a rule, a few at
//! most.

mod ahead;
mod bargain;
mod draft;
mod goods;
mod lanes;
mod memory;
mod narrow;
mod order;
mod partial;
mod passing;
mod price;
mod problem;
mod runner_up;
mod search;
mod sequence;
#[cfg(test)]
mod tests;
mod tune;
mod why;

use std::collections::{BTreeMap, BTreeSet};

use super::{Pattern, Prop, Routine, Stretch};
use crate::pure::avoid::Avoid;
use crate::pure::region::Region;

pub use memory::Memory;

use problem::Problem;

/// With this many seconds or fewer, the evening is breathing only.
pub const BREATHING_ONLY_S: u32 = 180;

/// What an evening is composed for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Request {
    /// Regions trained today with emphasis 1 to 3, all sessions together; empty on a rest day.
    pub trained: BTreeMap<Region, u8>,
    /// How sore a region is, 0 (not at all) to 4.
    pub soreness: BTreeMap<Region, u8>,
    /// Regions that hurt: nothing that stretches or loads them.
    pub painful: BTreeSet<Region>,
    /// Conditions and positions to leave out.
    pub avoid: BTreeSet<Avoid>,
    /// Seconds at hand for stretches and breathing together.
    pub seconds: u32,
    /// Stretches of the last two evenings, by id, with how many evenings ago (1 or 2).
    pub recent: BTreeMap<String, u8>,
    /// Seated and lying positions with short holds only, as after a late hard session.
    pub gentle: bool,
    /// Only what can be done in bed.
    pub bed_only: bool,
    /// The props at hand; `None` when everything is.
    pub props: Option<BTreeSet<Prop>>,
}

/// A composed evening and how it came about.
#[derive(Clone, Debug, PartialEq)]
pub struct Composition {
    /// The routine: held sides in order, then whole breaths.
    pub routine: Routine,
    /// What the objective comes to, points.
    pub value: i64,
    /// No evening has more points than this; equal to `value` when `proven`.
    pub bound: i64,
    /// Whether nothing better exists.
    pub proven: bool,
    /// Partial evenings looked at.
    pub nodes: u64,
    /// Dose of each region that gets some, in seconds at full emphasis, rounded down.
    pub dose_s: BTreeMap<Region, u32>,
    /// Why these stretches, one sentence.
    pub why: String,
    /// The best evening with a different set of stretches, where it was asked for and one exists.
    pub runner_up: Option<RunnerUp>,
}

/// The best evening with a different set of stretches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunnerUp {
    /// Its points.
    pub value: i64,
    /// Its stretches, by id.
    pub stretches: Vec<String>,
    /// Whether no other set of stretches has more points.
    pub proven: bool,
}

/// Composes the evening of greatest value. The order of `stretches` does not matter; ids are unique.
pub fn compose(request: &Request, stretches: &[Stretch], pattern: &Pattern) -> Composition {
    let problem = Problem::new(request, stretches, pattern);
    let found = search::best(&problem);
    sequence::composition(request, &problem, &found, pattern)
}

/// As [`compose`], and says what the best evening with a different set of stretches would be.
pub fn compose_with_runner_up(
    request: &Request,
    stretches: &[Stretch],
    pattern: &Pattern,
) -> Composition {
    let problem = Problem::new(request, stretches, pattern);
    let found = search::best(&problem);
    let mut composition = sequence::composition(request, &problem, &found, pattern);
    composition.runner_up = runner_up::runner_up(&problem, &found);
    composition
}
