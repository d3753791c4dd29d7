//! Leaving out of the search what no better evening contains, and taking as given what each contains.
//!
//! A hold can go when even the bound of the evenings that contain it does not exceed the best evening
//! known; a stretch is part of each better evening when the bound of those without it does not; and a
//! region does not end with a dose when the bound of the evenings that give it just that does not
//! (reduced-cost fixing: Dantzig, Fulkerson & Johnson (1954), Operations Research 2:393-410).

use super::ahead::Ahead;
use super::bargain::{bargain, ends_of_at_least};
use super::price::SCALE;
use super::problem::{Candidate, Problem};
use super::tune::{Standing, Tariff, Tuning};

/// A question with what matters for an evening better than the best one known.
pub(super) struct Narrowed<'a> {
    /// What is left of it.
    pub problem: Problem<'a>,
    /// Where each remaining stretch stood before.
    pub places: Vec<usize>,
}

impl<'a> Narrowed<'a> {
    fn nothing_of(problem: &Problem<'a>) -> Self {
        Self {
            problem: Problem {
                candidates: Vec::with_capacity(problem.candidates.len()),
                ..*problem
            },
            places: Vec::with_capacity(problem.candidates.len()),
        }
    }

    /// Keeps some holds of a stretch. Whether an evening is still possible.
    fn keep(
        &mut self,
        place: usize,
        candidate: &Candidate<'a>,
        forced: bool,
        is_kept: impl Fn(usize) -> bool,
    ) -> bool {
        let mut kept = candidate.clone();
        let mut holds = 0..;
        kept.holds.retain(|_| holds.next().is_some_and(&is_kept));
        kept.forced |= forced;
        if kept.holds.is_empty() {
            return !kept.forced;
        }
        self.problem.candidates.push(kept);
        self.places.push(place);
        true
    }
}

/// The same question with what matters for an evening of more than `above` points, as far as a tariff
/// tells. `None`: there is no such evening.
pub(super) fn narrowed<'a>(
    problem: &Problem<'a>,
    ahead: &Ahead,
    tariff: &Tariff,
    above: i32,
) -> Option<Narrowed<'a>> {
    let mut tuning = Tuning::new(problem, ahead, &Standing::start(problem));
    let (bound, _) = tuning.relaxed(tariff)?;
    let least = SCALE * (above + 1);
    if bound < least {
        return None;
    }
    let bought = bound - tuning.sale.points;
    let mut narrowed = Narrowed::nothing_of(problem);
    let all = tuning
        .goods
        .with_and_without(&tuning.sale)
        .zip(&problem.candidates);
    for (place, (sold, candidate)) in all.enumerate() {
        let forced = bought + sold.without < least;
        let is_kept = |hold: usize| bought + sold.with + sold.holds[hold] >= least;
        if !narrowed.keep(place, candidate, forced, is_kept) {
            return None;
        }
    }
    for (region, ends) in narrowed.problem.ends.iter_mut().enumerate() {
        let price = tariff.units[region];
        let (most, _) = bargain(problem.weights[region], price, tuning.ends[region], 0)?;
        *ends &= ends_of_at_least(problem.weights[region], price, most - (bound - least));
    }
    Some(narrowed)
}
