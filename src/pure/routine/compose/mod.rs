//! Composing an evening: which stretches, how long, in which order, so that the time at hand does most.
//!
//! # What is made greatest
//!
//! All figures are whole numbers, so that equal is equal and the same question gets the same answer.
//!
//! - A hold counts for a region in proportion to the stretch's emphasis on it: a third, two thirds or
//!   the whole. A stretch for two sides is always done on both for the same time, and gives its region
//!   (either side of it) the hold of one side. The **dose** of a region is counted in fifteenths of a
//!   hold minute over three, that is in units of 5 s at emphasis 1: 15 s at emphasis 3 are 9 units,
//!   a full minute is [`FULL_DOSE`] = 36 units.
//! - The **benefit** of a dose is concave: 2 points a unit up to half a minute, 1 point up to a full
//!   minute, nothing beyond. Holds of 10 to 30 s and about 60 s in all for each exercise are what Garber
//!   CE et al. (2011), Med Sci Sports Exerc 43:1334-1359 advise; the slopes are our own design choice.
//! - The **weight** of a region is 16 times its emphasis in today's training (the greatest emphasis where
//!   several sessions name it) and 4 where it was not trained. With nothing trained every region weighs
//!   16: a gentle round of the whole body. Soreness 3 halves the weight, soreness 4 quarters it.
//! - A stretch **costs** 40 points, so that one that adds next to nothing is left out and its time goes to
//!   breathing; a point for every 5 s it takes, changing included; and, where it was used on one of the
//!   last two evenings, a quarter (yesterday) or an eighth (the evening before) of what it would bring
//!   alone, so that another one for the same region goes first.
//!
//! ```text
//! value = sum over regions (weight * benefit(dose))
//!       - sum over chosen stretches (40 + time / 5 s + repetition) - number of positions used
//! ```
//!
//! It is made greatest over all sets of permitted stretches with a permitted hold each, whose time fits:
//! each held side takes its hold and 5 s to change, and each position used takes 5 s more, because getting
//! into it takes 10 s. The breathing keeps two minutes, in whole breaths; what is left goes to it.
//!
//! # What is permitted
//!
//! Never a stretch that stretches or loads a painful region, that is left out for something the person
//! avoids, whose position is avoided, or whose props are not at hand. Holds are multiples of 5 s from 15 s
//! to 60 s within the file's range. Soreness 2 in a region it stretches, a rest day or a gentle evening
//! cap its hold at 30 s (or at the shortest the file knows); soreness 3 or 4 allow the shortest only.
//!
//! The search is exact; [`search`] says how.

mod price;
mod problem;
mod search;
mod sequence;
mod why;

use std::collections::{BTreeMap, BTreeSet};

use super::{Pattern, Prop, Routine, Stretch};
use crate::pure::avoid::Avoid;
use crate::pure::region::Region;

use problem::Problem;
pub use problem::{FULL_DOSE, benefit};

/// With this many seconds or fewer, the evening is breathing only.
pub const BREATHING_ONLY_S: u32 = 180;

/// Seconds that breathing keeps when there are stretches too.
pub const BREATHING_KEEPS_S: u32 = 120;

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
    /// No evening can have more points than this; equal to `value` when `proven`.
    pub bound: i64,
    /// Whether nothing better exists.
    pub proven: bool,
    /// Partial evenings looked at.
    pub nodes: u64,
    /// Seconds of dose a region gets, thirds rounded down; regions that get some.
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
    composition.runner_up = search::second(&problem, &found);
    composition
}
