//! Upper bounds by prices: what is left of the evening can bring at most so much.
//!
//! Regions and stretches are taken apart by a price for a unit of dose in each region (Lagrangian
//! relaxation): the stretches sell their doses at these prices and share the time exactly, as in a
//! knapsack; each region buys the amount that suits it best out of the sums that the stretches ahead can
//! make up at all. Whatever the prices, selling and buying together bring at least as much as any real
//! evening, because in a real evening both amounts are the same.

use super::ahead::{Ahead, Ends, Offers};
use super::lanes::{Lanes, raise};
use super::problem::{Candidate, FULL_DOSE, POSITIONS, Problem, REGIONS, points};

/// Bounds are kept in sixty-fourths of a point, so that prices need no fractions.
pub(super) const SCALE: i32 = 64;

/// How many sets of positions there are.
pub(super) const SETS: usize = 1 << POSITIONS;

/// What is paid for a dose: concave, because a region has less and less use for more of it. Where a dose
/// comes from several stretches each sells its part from the start of the price list, so they are never
/// paid less than one stretch would be for all of it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Price {
    /// For each unit up to `half`.
    pub first: i32,
    /// For each unit from there up to `full`; no more than `first`.
    pub beyond: i32,
    /// Where the price changes.
    pub half: usize,
    /// Where it ends.
    pub full: usize,
}

impl Price {
    /// For a dose from one stretch.
    pub fn paid(self, dose: usize) -> i32 {
        let first = dose.min(self.half);
        let beyond = dose.min(self.full) - first;
        self.first * first as i32 + self.beyond * beyond as i32
    }
}

/// A price list for each region.
pub(super) type Prices = [Price; REGIONS];

/// What a region brings at most beyond what it has with each dose.
pub(super) type Buying<const L: usize> = [Lanes<L>; FULL_DOSE + 1];

/// A sum that no evening reaches: stands for "not possible" in a table.
pub(super) const IMPOSSIBLE: i32 = i32::MIN / 32;

/// What a hold brings when its doses are sold.
pub(super) fn sold(prices: &Prices, candidate: &Candidate, hold: usize) -> i32 {
    let hold = &candidate.holds[hold];
    let paid = candidate
        .regions
        .iter()
        .map(|(region, emphasis)| prices[*region].paid(emphasis * hold.units));
    paid.sum::<i32>() - SCALE * hold.cost
}

/// The bounds that several lists of prices give, at every place in the order.
pub(super) struct Bounds<const L: usize> {
    times: usize,
    selling: Vec<Lanes<L>>,
    buying: Vec<Buying<L>>,
}

impl<const L: usize> Bounds<L> {
    /// Works out the tables.
    pub fn new(problem: &Problem, ahead: &Ahead, prices: &[Prices; L]) -> Self {
        let times = problem.time + 1;
        let width = SETS * times;
        let count = problem.candidates.len();
        let mut selling = vec![[0; L]; (count + 1) * width];
        for (place, candidate) in problem.candidates.iter().enumerate().rev() {
            let (before, after) = selling.split_at_mut((place + 1) * width);
            let row = &mut before[place * width..];
            sell(prices, candidate, times, row, &after[..width]);
        }
        let buying = ahead.all().iter().map(|(region, offers)| {
            let prices = prices.map(|prices| prices[*region]);
            let (weight, ends) = (problem.weights[*region], problem.ends[*region]);
            buy(weight, &prices, *offers, ends)
        });
        Self {
            times,
            selling,
            buying: buying.collect(),
        }
    }

    /// What the stretches from a place on sell at most with these positions used, by time left.
    pub fn selling(&self, place: usize, positions: usize) -> &[Lanes<L>] {
        &self.selling[(place * SETS + positions) * self.times..][..self.times]
    }

    /// What a region brings more at most from a place on, for each dose.
    pub fn buying(&self, ahead: &Ahead, place: usize, region: usize) -> &Buying<L> {
        &self.buying[ahead.index(place, region)]
    }
}

/// What a region brings at most with each dose, when it may add one of these amounts at its price and
/// end with one of these doses.
fn buy<const L: usize>(weight: i32, prices: &[Price; L], offers: Offers, ends: Ends) -> Buying<L> {
    let worth: [Lanes<L>; 2 * FULL_DOSE + 1] = std::array::from_fn(|dose| {
        let may_end = ends >> dose.min(FULL_DOSE) & 1 != 0;
        [if may_end {
            SCALE * points(weight, dose)
        } else {
            IMPOSSIBLE
        }; L]
    });
    let mut best = [[IMPOSSIBLE; L]; FULL_DOSE + 1];
    for amount in offers.amounts() {
        let paid = prices.map(|price| -price.paid(amount));
        raise(&mut best, &worth[amount..][..FULL_DOSE + 1], paid);
    }
    for (dose, best) in best.iter_mut().enumerate() {
        *best = best.map(|best| best - SCALE * points(weight, dose));
    }
    best
}

/// One row of the table: with one more stretch ahead.
fn sell<const L: usize>(
    prices: &[Prices; L],
    candidate: &Candidate,
    times: usize,
    row: &mut [Lanes<L>],
    next: &[Lanes<L>],
) {
    // What a hold has to bring to be worth its time: more than any shorter one, and than none.
    let mut most = if candidate.forced {
        row.fill([IMPOSSIBLE; L]);
        [i32::MIN; L]
    } else {
        row.copy_from_slice(next);
        [0; L]
    };
    for (index, hold) in candidate.holds.iter().enumerate() {
        let points = prices.map(|prices| sold(&prices, candidate, index));
        if points
            .iter()
            .zip(&most)
            .all(|(points, most)| points <= most)
        {
            continue;
        }
        most = std::array::from_fn(|list| most[list].max(points[list]));
        for positions in 0..SETS {
            let with = positions | 1 << candidate.position;
            let time = hold.time + usize::from(with != positions);
            if time < times {
                let to = &mut row[positions * times + time..(positions + 1) * times];
                raise(to, &next[with * times..(with + 1) * times - time], points);
            }
        }
    }
}
