//! Finding prices that bound well: subgradient steps (Held, Wolfe & Crowder (1974), Mathematical
//! Programming 6:62-88, with the step length of Polyak), each mixed with those before it (Camerini, Fratta
//! & Maffioli (1975), Mathematical Programming Study 3:26-34).
//!
//! While prices are being found, time has a price of its own instead of being shared exactly. Each stretch
//! then decides for itself, which is quicker by as many times as there are units of time, and bounds
//! nearly as well.

use super::ahead::{Ahead, Ends};
use super::bargain::bargain;
use super::goods::{Goods, Sale, Units};
use super::price::{Price, Prices, SCALE};
use super::problem::{FULL_DOSE, HALF_DOSE, Problem, REGIONS};

/// How much of the way so far a step keeps.
const KEPT: f64 = 0.7;

/// How far the price of time moves beside those of doses, which differ by less.
const RENT_MOVES: f64 = 0.3;

/// After so many steps without a better bound they get shorter.
const PATIENCE: usize = 4;

/// How long they are then, as a part of what they were.
const SHORTER: f64 = 0.6;

/// Where a search stands: from which place on, with how much time and which doses.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    /// Place in the order of the stretches.
    pub place: usize,
    /// Time left.
    pub time: usize,
    /// Dose of each region.
    pub doses: [usize; REGIONS],
    /// Positions used, a bit each.
    pub positions: usize,
}

impl Standing {
    /// Before the first stretch.
    pub fn start(problem: &Problem) -> Self {
        Self {
            place: 0,
            time: problem.time,
            doses: [0; REGIONS],
            positions: 0,
        }
    }
}

/// Prices for doses and for time, in the scale of bounds.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tariff {
    /// For each unit up to half a dose, and for each beyond; the latter no more than the former.
    pub units: Units,
    /// For a unit of time.
    pub rent: i32,
}

impl Tariff {
    /// What the doses are worth at most, and time for nothing.
    pub fn worth(weights: &[i32; REGIONS]) -> Self {
        Self {
            units: weights.map(|weight| [2 * SCALE * weight, SCALE * weight]),
            rent: 0,
        }
    }

    /// The prices for doses, as seen from some doses.
    pub fn prices(&self, doses: &[usize; REGIONS]) -> Prices {
        std::array::from_fn(|region| Price {
            first: self.units[region][0],
            beyond: self.units[region][1],
            half: HALF_DOSE.saturating_sub(doses[region]),
            full: FULL_DOSE.saturating_sub(doses[region]),
        })
    }
}

/// A question to find prices for: what can follow on a standing.
pub(super) struct Tuning<'p> {
    weights: &'p [i32; REGIONS],
    doses: [usize; REGIONS],
    time: i32,
    /// What can be sold.
    pub goods: Goods,
    /// Doses with which each region may end.
    pub ends: [Ends; REGIONS],
    /// What is sold at the tariff looked at last.
    pub sale: Sale,
}

impl<'p> Tuning<'p> {
    /// For what can follow on a standing.
    pub fn new(problem: &'p Problem, ahead: &Ahead, standing: &Standing) -> Self {
        let ends = |region: usize| {
            let ends = ahead
                .offers(standing.place, region)
                .ends(standing.doses[region]);
            // The dose of a region that nothing more is given is no longer known.
            if ahead.is_closed(standing.place, region) {
                ends
            } else {
                ends & problem.ends[region]
            }
        };
        Self {
            weights: &problem.weights,
            doses: standing.doses,
            time: standing.time as i32,
            goods: Goods::new(problem, standing),
            ends: std::array::from_fn(ends),
            sale: Sale::default(),
        }
    }

    /// The bound at a tariff, and sold less bought in each region, of the first units and of those beyond.
    /// `None` when a region cannot end as it would have to.
    pub fn relaxed(&mut self, tariff: &Tariff) -> Option<(i32, Units)> {
        self.goods.sell(tariff, &mut self.sale);
        let mut bound = tariff.rent * self.time + self.sale.points;
        let mut difference = self.sale.units;
        for (region, sold) in difference.iter_mut().enumerate() {
            let price = tariff.units[region];
            let before = self.doses[region] as i32;
            let wish = before + sold[0] + sold[1];
            let (points, end) = bargain(self.weights[region], price, self.ends[region], wish)?;
            let [from, to] = [before, end].map(|dose| dose.min(HALF_DOSE as i32));
            // What is there already is not paid.
            bound += points + price[0] * from + price[1] * (before - from);
            sold[0] -= to - from;
            sold[1] -= (end - to) - (before - from);
        }
        Some((bound, difference))
    }

    /// Improves a tariff, and says what it bounds by, in the scale of bounds. `worth` is what the evening
    /// from there on has to bring to be as good as the best one known, points, the benefit of the doses so
    /// far included. `None` when there is no evening.
    pub fn tune(&mut self, start: &Tariff, worth: i32, steps: usize) -> Option<(Tariff, i32)> {
        let dearest = self.weights.map(|weight| [2 * SCALE * weight; 2]);
        let mut moving = Moving::new(start, &dearest, self.goods.dearest_rent(&dearest));
        let mut best = (*start, i32::MAX);
        let (mut length, mut idle) = (1.0, 0);
        for _ in 0..steps {
            let tariff = moving.whole();
            let (bound, difference) = self.relaxed(&tariff)?;
            if bound < best.1 {
                best = (tariff, bound);
                idle = 0;
            } else {
                idle += 1;
                if idle == PATIENCE {
                    (length, idle) = (length * SHORTER, 0);
                }
            }
            let gap = f64::from(bound - SCALE * worth);
            let time_left = self.time - self.sale.time;
            if gap <= 0.0 || !moving.step(length * gap, &difference, time_left) {
                break;
            }
        }
        Some(best)
    }
}

/// A tariff on the way, with fractions.
struct Moving {
    units: [[f64; 2]; REGIONS],
    rent: f64,
    dearest: [f64; REGIONS],
    dearest_rent: f64,
    way: [[f64; 2]; REGIONS],
    rent_way: f64,
}

impl Moving {
    fn new(start: &Tariff, dearest: &Units, dearest_rent: i32) -> Self {
        Self {
            units: start.units.map(|price| price.map(f64::from)),
            rent: f64::from(start.rent),
            dearest: dearest.map(|[first, _]| f64::from(first)),
            dearest_rent: f64::from(dearest_rent),
            way: [[0.0; 2]; REGIONS],
            rent_way: 0.0,
        }
    }

    fn whole(&self) -> Tariff {
        let whole = |price: f64| (price + 0.5) as i32;
        Tariff {
            units: self.units.map(|price| price.map(whole)),
            rent: whole(self.rent),
        }
    }

    /// Moves so far against the differences: what is sold more than bought gets cheaper. Whether there was
    /// a way to go.
    fn step(&mut self, far: f64, difference: &Units, time_left: i32) -> bool {
        let mut square = 0.0;
        let differences = difference.iter().flatten();
        for (way, difference) in self.way.iter_mut().flatten().zip(differences) {
            *way = f64::from(*difference) + KEPT * *way;
            square += *way * *way;
        }
        self.rent_way = f64::from(time_left) + KEPT * self.rent_way;
        square += RENT_MOVES * self.rent_way * self.rent_way;
        if square == 0.0 {
            return false;
        }
        let length = far / square;
        self.rent -= length * RENT_MOVES * self.rent_way;
        self.rent = self.rent.clamp(0.0, self.dearest_rent);
        let regions = self.units.iter_mut().zip(&self.dearest).zip(&self.way);
        for ((price, dearest), way) in regions {
            for (price, way) in price.iter_mut().zip(way) {
                *price = (*price - length * way).clamp(0.0, *dearest);
            }
            // The list has to stay concave.
            if price[1] > price[0] {
                *price = [(price[0] + price[1]) / 2.0; 2];
            }
        }
        true
    }
}
