//! Upper bounds by prices: what is left of the evening can bring at most so much.
//!
//! Regions and stretches are taken apart by a price for a unit of dose in each region (Lagrangian
//! relaxation): the stretches sell their doses at these prices and share the time exactly, as in a
//! knapsack; each region buys the amount that suits it best out of the sums that the stretches ahead can
//! make up at all. Whatever the prices, selling and buying together bring at least as much as any real
//! evening, because in a real evening both amounts are the same. Good prices are found by subgradient
//! steps (Held, Wolfe & Crowder (1974), Mathematical Programming 6:62-88).

use super::problem::{Candidate, FULL_DOSE, Problem, REGIONS, benefit};

/// Bounds are kept in sixty-fourths of a point, so that prices need no fractions.
pub(super) const SCALE: i32 = 64;

/// How many sets of positions there are.
pub(super) const SETS: usize = 16;

/// A price of a unit of dose in each region.
pub(super) type Prices = [i32; REGIONS];

/// What a region brings with each dose it may have, when it buys at its price.
pub(super) type Buying = [i32; FULL_DOSE + 1];

/// Amounts a region can still be given, one bit each. More than two full doses never help: leaving out
/// one stretch, which gives one at most, still leaves a full one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offers(u128);

impl Offers {
    const NOTHING: Self = Self(1);
    const KEPT: u128 = (1 << (2 * FULL_DOSE + 1)) - 1;

    /// With one more stretch ahead, of this emphasis on the region.
    fn with(self, candidate: &Candidate, emphasis: usize) -> Self {
        let skipped = if candidate.forced { 0 } else { self.0 };
        let given = candidate
            .holds
            .iter()
            .fold(skipped, |all, hold| all | self.0 << (hold.units * emphasis));
        Self(given & Self::KEPT)
    }

    fn amounts(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let amount = left.trailing_zeros() as usize;
            left &= left.wrapping_sub(1);
            (amount < 128).then_some(amount)
        })
    }
}

/// What regions can still be given before each stretch in order, and after the last.
pub(super) struct Ahead {
    /// Different offers of any region, in the order in which the stretches are passed from the last.
    offers: Vec<(usize, Offers)>,
    /// For each place in the order, which of them holds for each region.
    at: Vec<[u16; REGIONS]>,
}

impl Ahead {
    /// Goes through the stretches from the last to the first.
    pub fn new(candidates: &[Candidate]) -> Self {
        let mut offers: Vec<(usize, Offers)> = (0..REGIONS)
            .map(|region| (region, Offers::NOTHING))
            .collect();
        let mut now: [u16; REGIONS] = std::array::from_fn(|region| region as u16);
        let mut at = vec![now];
        for candidate in candidates.iter().rev() {
            for (region, emphasis) in &candidate.regions {
                let more = offers[usize::from(now[*region])]
                    .1
                    .with(candidate, *emphasis);
                now[*region] = offers.len() as u16;
                offers.push((*region, more));
            }
            at.push(now);
        }
        at.reverse();
        Self { offers, at }
    }

    /// What a region can still be given from a place in the order.
    fn offers(&self, place: usize, region: usize) -> Offers {
        self.offers[usize::from(self.at[place][region])].1
    }

    /// Whether no stretch from this place on gives a region anything.
    pub fn is_closed(&self, place: usize, region: usize) -> bool {
        self.offers(place, region) == Offers::NOTHING
    }
}

/// The best bargain of a region with a dose at a price: its points and the amount bought.
fn bargain(weight: i32, dose: usize, price: i32, offers: Offers) -> (i32, usize) {
    let mut best = (i32::MIN, 0);
    for amount in offers.amounts() {
        let points = SCALE * weight * benefit(dose + amount) - price * amount as i32;
        if points > best.0 {
            best = (points, amount);
        }
    }
    best
}

/// What a hold brings when its doses are sold.
fn sold(prices: &Prices, candidate: &Candidate, hold: usize) -> i32 {
    let hold = &candidate.holds[hold];
    let per_unit: i32 = candidate
        .regions
        .iter()
        .map(|(region, emphasis)| prices[*region] * *emphasis as i32)
        .sum();
    per_unit * hold.units as i32 - SCALE * hold.cost
}

/// The bounds that one set of prices gives, at every place in the order.
pub(super) struct Bounds {
    times: usize,
    selling: Vec<i32>,
    buying: Vec<Buying>,
}

impl Bounds {
    /// Works out the tables.
    pub fn new(problem: &Problem, ahead: &Ahead, prices: &Prices) -> Self {
        let times = problem.time + 1;
        let width = SETS * times;
        let count = problem.candidates.len();
        let mut selling = vec![0; (count + 1) * width];
        for (place, candidate) in problem.candidates.iter().enumerate().rev() {
            let (before, after) = selling.split_at_mut((place + 1) * width);
            sell(
                prices,
                candidate,
                times,
                &mut before[place * width..],
                &after[..width],
            );
        }
        let buying = ahead
            .offers
            .iter()
            .map(|(region, offers)| {
                let weight = problem.weights[*region];
                std::array::from_fn(|dose| bargain(weight, dose, prices[*region], *offers).0)
            })
            .collect();
        Self {
            times,
            selling,
            buying,
        }
    }

    /// What the stretches from a place on sell at most, with these positions used and this time left.
    pub fn selling(&self, place: usize, positions: usize, time: usize) -> i32 {
        self.selling[(place * SETS + positions) * self.times + time]
    }

    /// What a region brings at most from a place on, for each dose.
    pub fn buying(&self, ahead: &Ahead, place: usize, region: usize) -> &Buying {
        &self.buying[usize::from(ahead.at[place][region])]
    }
}

/// A sum that no evening reaches: stands for "not possible" in a table.
const IMPOSSIBLE: i32 = i32::MIN / 4;

/// One row of the table: with one more stretch ahead.
fn sell(prices: &Prices, candidate: &Candidate, times: usize, row: &mut [i32], next: &[i32]) {
    if candidate.forced {
        row[..next.len()].fill(IMPOSSIBLE);
    } else {
        row[..next.len()].copy_from_slice(next);
    }
    for (index, hold) in candidate.holds.iter().enumerate() {
        let points = sold(prices, candidate, index);
        if points <= 0 && !candidate.forced {
            continue;
        }
        for positions in 0..SETS {
            let with = positions | 1 << candidate.position;
            let time = hold.time + usize::from(with != positions);
            if time >= times {
                continue;
            }
            let to = &mut row[positions * times + time..(positions + 1) * times];
            let from = &next[with * times..(with + 1) * times - time];
            for (best, rest) in to.iter_mut().zip(from) {
                *best = (*best).max(rest + points);
            }
        }
    }
}

/// Where a search stands: from which place on, with how much time and which doses.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    /// Place in the order of the stretches.
    pub place: usize,
    /// Time left.
    pub time: usize,
    /// Dose of each region.
    pub doses: [usize; REGIONS],
}

/// Improves prices for one standing. `worth` is what the evening from there on is known to bring,
/// in points with the benefit of the doses so far. The time that new positions take is not looked at.
pub(super) fn tune(
    problem: &Problem,
    ahead: &Ahead,
    standing: &Standing,
    worth: i32,
    start: &Prices,
    steps: usize,
) -> Prices {
    let mut prices = start.map(f64::from);
    let mut best = (i32::MAX, *start);
    let (mut length, mut idle) = (1.0, 0);
    let mut table = Vec::new();
    for _ in 0..steps {
        let whole = prices.map(|price| price.round() as i32);
        let (bound, gradient) = relaxed(problem, ahead, standing, &whole, &mut table);
        if bound < best.0 {
            best = (bound, whole);
            idle = 0;
        } else {
            idle += 1;
            if idle == 4 {
                (length, idle) = (length * 0.6, 0);
            }
        }
        let square: f64 = gradient.iter().map(|one| f64::from(one * one)).sum();
        let gap = f64::from(bound - SCALE * worth);
        if square == 0.0 || gap <= 0.0 {
            break;
        }
        for (region, price) in prices.iter_mut().enumerate() {
            let dearest = f64::from(2 * SCALE * problem.weights[region]);
            let step = length * gap * f64::from(gradient[region]) / square;
            *price = (*price - step).clamp(0.0, dearest);
        }
    }
    best.1
}

/// The bound at a standing, and sold less bought in each region.
fn relaxed(
    problem: &Problem,
    ahead: &Ahead,
    standing: &Standing,
    prices: &Prices,
    table: &mut Vec<i32>,
) -> (i32, [i32; REGIONS]) {
    let rest = &problem.candidates[standing.place..];
    let times = standing.time + 1;
    table.clear();
    table.resize((rest.len() + 1) * times, 0);
    for (at, candidate) in rest.iter().enumerate().rev() {
        let (before, after) = table.split_at_mut((at + 1) * times);
        let row = &mut before[at * times..];
        if candidate.forced {
            row.fill(IMPOSSIBLE);
        } else {
            row.copy_from_slice(&after[..times]);
        }
        for (index, hold) in candidate.holds.iter().enumerate() {
            let points = sold(prices, candidate, index);
            if (points > 0 || candidate.forced) && hold.time < times {
                for (best, rest) in row[hold.time..].iter_mut().zip(&after[..]) {
                    *best = (*best).max(rest + points);
                }
            }
        }
    }
    let mut bound = table[standing.time];
    let mut gradient = [0; REGIONS];
    let mut time = standing.time;
    for (at, candidate) in rest.iter().enumerate() {
        let here = table[at * times + time];
        if !candidate.forced && here == table[(at + 1) * times + time] {
            continue;
        }
        let taken = candidate.holds.iter().enumerate().find(|(index, hold)| {
            hold.time <= time
                && here
                    == table[(at + 1) * times + time - hold.time] + sold(prices, candidate, *index)
        });
        if let Some((_, hold)) = taken {
            time -= hold.time;
            for (region, emphasis) in &candidate.regions {
                gradient[*region] += (emphasis * hold.units) as i32;
            }
        }
    }
    for (region, sold) in gradient.iter_mut().enumerate() {
        let offers = ahead.offers(standing.place, region);
        let dose = standing.doses[region];
        let (points, amount) = bargain(problem.weights[region], dose, prices[region], offers);
        bound += points;
        *sold -= amount as i32;
    }
    (bound, gradient)
}
