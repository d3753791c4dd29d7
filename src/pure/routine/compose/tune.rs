//! Finding prices that bound well: subgradient steps (Held, Wolfe & Crowder (1974), Mathematical
//! Programming 6:62-88, with the step length of Polyak).

use super::ahead::{Ahead, Offers};
use super::price::{IMPOSSIBLE, Price, Prices, SCALE, sold};
use super::problem::{FULL_DOSE, HALF_DOSE, Problem, REGIONS, points};

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

/// Improves prices for one standing, and says what they bound it by, in the scale of bounds. `worth` is what the evening from there on has to bring to be as good
/// as the best one known, points, the benefit of the doses so far included. The time that new positions
/// take is not looked at: it hardly moves the prices.
pub(super) fn tune(
    problem: &Problem,
    ahead: &Ahead,
    standing: &Standing,
    worth: i32,
    start: &Prices,
    steps: usize,
) -> (Prices, i32) {
    let mut prices = Moving::new(problem, standing, start);
    let mut best = (i32::MAX, prices.whole());
    let (mut length, mut idle) = (1.0, 0);
    let mut table = Vec::new();
    for _ in 0..steps {
        let whole = prices.whole();
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
        let square: f64 = gradient
            .iter()
            .flatten()
            .map(|one| f64::from(one * one))
            .sum();
        let gap = f64::from(bound - SCALE * worth);
        if square == 0.0 || gap <= 0.0 {
            break;
        }
        prices.step(length * gap / square, &gradient);
    }
    (best.1, best.0)
}

/// Prices on the way, with fractions.
struct Moving {
    /// For the first units and for those beyond.
    each: [[f64; 2]; REGIONS],
    start: Prices,
    dearest: [f64; REGIONS],
}

impl Moving {
    /// The price lists change where the worth of a region does, as seen from its dose.
    fn new(problem: &Problem, standing: &Standing, start: &Prices) -> Self {
        let start: Prices = std::array::from_fn(|region| Price {
            half: HALF_DOSE.saturating_sub(standing.doses[region]),
            full: FULL_DOSE.saturating_sub(standing.doses[region]),
            ..start[region]
        });
        Self {
            each: start.map(|price| [f64::from(price.first), f64::from(price.beyond)]),
            start,
            dearest: problem.weights.map(|weight| f64::from(2 * SCALE * weight)),
        }
    }

    fn whole(&self) -> Prices {
        std::array::from_fn(|region| Price {
            first: self.each[region][0].round() as i32,
            beyond: self.each[region][1].round() as i32,
            ..self.start[region]
        })
    }

    fn step(&mut self, length: f64, gradient: &[[i32; 2]; REGIONS]) {
        let regions = self.each.iter_mut().zip(&self.dearest).zip(gradient);
        for ((price, dearest), gradient) in regions {
            for (price, gradient) in price.iter_mut().zip(gradient) {
                *price = (*price - length * f64::from(*gradient)).clamp(0.0, *dearest);
            }
            // The list has to stay concave.
            if price[1] > price[0] {
                *price = [(price[0] + price[1]) / 2.0; 2];
            }
        }
    }
}

/// The bound at a standing, and sold less bought in each region, of the first units and of those beyond.
fn relaxed(
    problem: &Problem,
    ahead: &Ahead,
    standing: &Standing,
    prices: &Prices,
    table: &mut Vec<i32>,
) -> (i32, [[i32; 2]; REGIONS]) {
    fill(problem, standing, prices, table);
    let mut bound = table[standing.time];
    let mut difference = sales(problem, standing, prices, table);
    for (region, sold) in difference.iter_mut().enumerate() {
        let offers = ahead.offers(standing.place, region);
        let dose = standing.doses[region];
        let wish = sold.iter().sum::<i32>() as usize;
        let (points, amount) = bargain(problem.weights[region], dose, prices[region], offers, wish);
        bound += points;
        for (sold, bought) in sold.iter_mut().zip(parts(prices[region], amount)) {
            *sold -= bought;
        }
    }
    (bound, difference)
}

/// The best bargain of a region with a dose at a price: its points and the amount bought.
/// Of equal ones the one nearest to a wish.
fn bargain(weight: i32, dose: usize, price: Price, offers: Offers, wish: usize) -> (i32, usize) {
    let bargains = offers.amounts().map(|amount| {
        (
            SCALE * points(weight, dose + amount) - price.paid(amount),
            amount,
        )
    });
    bargains
        .max_by_key(|(points, amount)| (*points, usize::MAX - amount.abs_diff(wish)))
        .unwrap_or((0, 0))
}

/// How much of a dose from one stretch is paid at the first price and how much beyond.
fn parts(price: Price, dose: usize) -> [i32; 2] {
    let first = dose.min(price.half);
    [first as i32, (dose.min(price.full) - first) as i32]
}

/// The knapsack of the stretches from a standing on: a row for each place, by time left.
fn fill(problem: &Problem, standing: &Standing, prices: &Prices, table: &mut Vec<i32>) {
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
                for (best, rest) in row[hold.time..].iter_mut().zip(&after[..times]) {
                    *best = (*best).max(rest + points);
                }
            }
        }
    }
}

/// What the best knapsack sells to each region.
fn sales(
    problem: &Problem,
    standing: &Standing,
    prices: &Prices,
    table: &[i32],
) -> [[i32; 2]; REGIONS] {
    let times = standing.time + 1;
    let mut sales = [[0; 2]; REGIONS];
    let mut time = standing.time;
    for (at, candidate) in problem.candidates[standing.place..].iter().enumerate() {
        let here = table[at * times + time];
        let next = &table[(at + 1) * times..];
        if !candidate.forced && here == next[time] {
            continue;
        }
        let taken = candidate.holds.iter().enumerate().find(|(index, hold)| {
            hold.time <= time && here == next[time - hold.time] + sold(prices, candidate, *index)
        });
        if let Some((_, hold)) = taken {
            time -= hold.time;
            for (region, emphasis) in &candidate.regions {
                for (sold, part) in sales[*region]
                    .iter_mut()
                    .zip(parts(prices[*region], emphasis * hold.units))
                {
                    *sold += part;
                }
            }
        }
    }
    sales
}
