//! Leaving out of the search what no better evening contains, and taking as given what each contains.
//!
//! A hold can go when even the bound of the evenings that contain it does not exceed the best evening
//! known; a stretch is part of each better evening when the bound of those without it does not
//! (reduced-cost fixing: Dantzig, Fulkerson & Johnson (1954), Operations Research 2:393-410).

use super::ahead::Ahead;
use super::price::{Bounds, IMPOSSIBLE, Prices, SCALE, SETS, sold};
use super::problem::{Candidate, Problem, REGIONS};

/// The same question with what matters for an evening of more than `above` points, and where each
/// remaining stretch stood before. `None`: there is no such evening.
pub(super) fn narrowed<'a>(
    problem: &Problem<'a>,
    ahead: &Ahead,
    prices: &Prices,
    bounds: &Bounds<1>,
    above: i32,
) -> Option<(Problem<'a>, Vec<usize>)> {
    let bought: i32 = (0..REGIONS)
        .map(|region| bounds.buying(ahead, 0, region)[0][0])
        .sum();
    let exceeds = |sold: i32| (bought + sold).div_euclid(SCALE) > above;
    let times = problem.time + 1;
    let mut sold_before = vec![IMPOSSIBLE; SETS * times];
    sold_before[problem.time] = 0;
    let mut candidates = Vec::new();
    let mut places = Vec::new();
    for (place, candidate) in problem.candidates.iter().enumerate() {
        let table = Between {
            place,
            candidate,
            bounds,
            times,
            sold_before: &sold_before,
        };
        let mut kept = candidate.clone();
        kept.holds = (0..candidate.holds.len())
            .filter(|hold| exceeds(table.with(*hold, sold(prices, candidate, *hold))))
            .map(|hold| candidate.holds[hold].clone())
            .collect();
        kept.forced = candidate.forced || !exceeds(table.without());
        sold_before = table.after(prices);
        if !kept.holds.is_empty() {
            candidates.push(kept);
            places.push(place);
        } else if kept.forced {
            return None;
        }
    }
    Some((
        Problem {
            candidates,
            ..*problem
        },
        places,
    ))
}

/// One stretch between what is sold before it and what is sold after it.
struct Between<'p> {
    place: usize,
    candidate: &'p Candidate<'p>,
    bounds: &'p Bounds<1>,
    times: usize,
    /// The most that is sold before it, by positions used and time left.
    sold_before: &'p [i32],
}

impl Between<'_> {
    /// The most that is sold in all without the stretch.
    fn without(&self) -> i32 {
        let sums = self
            .sold_before
            .chunks_exact(self.times)
            .enumerate()
            .flat_map(|(positions, before)| {
                let after = self.bounds.selling(self.place + 1, positions);
                before
                    .iter()
                    .zip(after)
                    .map(|(before, [after])| before + after)
            });
        sums.max().unwrap_or(IMPOSSIBLE)
    }

    /// The most that is sold in all with one of its holds, which brings `points`.
    fn with(&self, hold: usize, points: i32) -> i32 {
        let sums = self
            .sold_before
            .chunks_exact(self.times)
            .enumerate()
            .flat_map(|(positions, before)| {
                let (with, time) = self.moved(positions, hold);
                let after = self.bounds.selling(self.place + 1, with);
                before
                    .iter()
                    .skip(time)
                    .zip(after)
                    .map(|(before, [after])| before + after)
            });
        sums.max().map_or(IMPOSSIBLE, |sum| sum + points)
    }

    /// Positions after a hold and the time it takes.
    fn moved(&self, positions: usize, hold: usize) -> (usize, usize) {
        let with = positions | 1 << self.candidate.position;
        (
            with,
            self.candidate.holds[hold].time + usize::from(with != positions),
        )
    }

    /// The most that is sold up to and with the stretch.
    fn after(&self, prices: &Prices) -> Vec<i32> {
        let mut sold_after = if self.candidate.forced {
            vec![IMPOSSIBLE; self.sold_before.len()]
        } else {
            self.sold_before.to_vec()
        };
        for hold in 0..self.candidate.holds.len() {
            let points = sold(prices, self.candidate, hold);
            for positions in 0..SETS {
                let (with, time) = self.moved(positions, hold);
                let from = &self.sold_before[positions * self.times..][..self.times];
                let to = &mut sold_after[with * self.times..][..self.times];
                for (best, before) in to.iter_mut().zip(from.iter().skip(time)) {
                    *best = (*best).max(before + points);
                }
            }
        }
        sold_after
    }
}
