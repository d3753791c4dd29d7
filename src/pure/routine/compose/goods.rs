//! The holds in plain rows, and what they sell at most when time has a price, too.

use super::price::SCALE;
use super::problem::{FULL_DOSE, HALF_DOSE, POSITIONS, Problem, REGIONS};
use super::tune::{Standing, Tariff};

/// For each region a number for the first units of dose and one for those beyond half a dose.
pub(super) type Units = [[i32; 2]; REGIONS];

/// The holds of the stretches from a standing on.
pub(super) struct Goods {
    stretches: Vec<Row>,
    holds: Vec<Good>,
    parts: Vec<Part>,
    /// Whether a position is used already.
    is_used: [bool; POSITIONS],
}

/// One stretch.
struct Row {
    forced: bool,
    position: usize,
    /// How many holds it has.
    holds: usize,
    /// How many regions it gives something.
    parts: usize,
}

/// One hold.
struct Good {
    time: i32,
    /// In the scale of bounds.
    cost: i32,
}

/// What a hold gives one region.
struct Part {
    region: usize,
    units: [i32; 2],
}

/// What is sold at most at some prices.
#[derive(Default)]
pub(super) struct Sale {
    /// Points of it, less the rent.
    pub points: i32,
    /// The time it takes, changing positions included.
    pub time: i32,
    /// How much each region is sold at either price.
    pub units: Units,
    /// The hold of each stretch, if any.
    pub picks: Vec<Option<usize>>,
    /// What each hold brings, less the rent for its time, in one row.
    holds: Vec<i32>,
    /// What each stretch brings.
    gains: Vec<i32>,
    /// What the stretches of each position bring together, less the rent for changing into it.
    positions: [i32; POSITIONS],
    /// Whether a position is used whatever it brings: it is already, or a forced stretch has it.
    needed: [bool; POSITIONS],
}

/// What is sold at most with and without one stretch.
pub(super) struct WithAndWithout<'s> {
    /// What each of its holds brings.
    pub holds: &'s [i32],
    /// All else that is sold with any of them.
    pub with: i32,
    /// All that is sold without it.
    pub without: i32,
}

impl Goods {
    /// At prices that change where the worth of a region does, as seen from its dose.
    pub fn new(problem: &Problem, standing: &Standing) -> Self {
        let candidates = &problem.candidates[standing.place..];
        let mut goods = Self {
            stretches: Vec::with_capacity(candidates.len()),
            holds: Vec::with_capacity(8 * candidates.len()),
            parts: Vec::with_capacity(16 * candidates.len()),
            is_used: std::array::from_fn(|position| standing.positions >> position & 1 != 0),
        };
        for candidate in candidates {
            for hold in &candidate.holds {
                for (region, emphasis) in &candidate.regions {
                    let dose = emphasis * hold.units;
                    let before = standing.doses[*region];
                    let first = dose.min(HALF_DOSE.saturating_sub(before));
                    let beyond = dose.min(FULL_DOSE.saturating_sub(before)) - first;
                    goods.parts.push(Part {
                        region: *region,
                        units: [first as i32, beyond as i32],
                    });
                }
                goods.holds.push(Good {
                    time: hold.time as i32,
                    cost: SCALE * hold.cost,
                });
            }
            goods.stretches.push(Row {
                forced: candidate.forced,
                position: candidate.position,
                holds: candidate.holds.len(),
                parts: candidate.regions.len(),
            });
        }
        goods
    }

    /// The least price of time at which nothing is sold any more, when the doses are as dear as can be: none
    /// higher need be tried.
    pub fn dearest_rent(&self, dearest: &Units) -> i32 {
        let mut sale = Sale::default();
        let tariff = Tariff {
            units: *dearest,
            rent: 0,
        };
        self.sell(&tariff, &mut sale);
        let each = self.holds.iter().zip(&sale.holds);
        let rents = each.map(|(hold, points)| points.max(&0) / hold.time.max(1) + 1);
        rents.max().unwrap_or(0)
    }

    /// Each stretch sells its best hold, if that brings more than its time costs, and each position is
    /// used, if its stretches bring more than changing into it does.
    pub fn sell(&self, tariff: &Tariff, sale: &mut Sale) {
        let rent = tariff.rent;
        sale.picks.clear();
        sale.gains.clear();
        sale.holds.clear();
        sale.positions = self.is_used.map(|is_used| if is_used { 0 } else { -rent });
        sale.needed = self.is_used;
        let (mut holds, mut parts) = (self.holds.iter(), self.parts.iter());
        for stretch in &self.stretches {
            let mut best = if stretch.forced { i32::MIN } else { 0 };
            let mut pick = None;
            for (at, hold) in holds.by_ref().take(stretch.holds).enumerate() {
                let mut points = -hold.cost - rent * hold.time;
                for part in parts.by_ref().take(stretch.parts) {
                    let price = &tariff.units[part.region];
                    points += price[0] * part.units[0] + price[1] * part.units[1];
                }
                sale.holds.push(points);
                if points > best {
                    (best, pick) = (points, Some(at));
                }
            }
            sale.picks.push(pick);
            sale.gains.push(best);
            sale.positions[stretch.position] += best;
            sale.needed[stretch.position] |= stretch.forced;
        }
        self.sum(sale);
    }

    /// Adds up what is sold.
    fn sum(&self, sale: &mut Sale) {
        (sale.points, sale.time) = (0, 0);
        let mut is_open = [false; POSITIONS];
        for (at, points) in sale.positions.iter().enumerate() {
            if sale.needed[at] || *points > 0 {
                is_open[at] = true;
                sale.points += points;
                sale.time += i32::from(!self.is_used[at]);
            }
        }
        sale.units = [[0; 2]; REGIONS];
        let (mut hold, mut part) = (0, 0);
        for (stretch, pick) in self.stretches.iter().zip(&mut sale.picks) {
            if !is_open[stretch.position] {
                *pick = None;
            }
            if let Some(pick) = *pick {
                sale.time += self.holds[hold + pick].time;
                for part in &self.parts[part + pick * stretch.parts..][..stretch.parts] {
                    let units = &mut sale.units[part.region];
                    units[0] += part.units[0];
                    units[1] += part.units[1];
                }
            }
            hold += stretch.holds;
            part += stretch.holds * stretch.parts;
        }
    }

    /// For each stretch what is sold at most with each of its holds, and without it.
    pub fn with_and_without<'s>(&self, sale: &'s Sale) -> impl Iterator<Item = WithAndWithout<'s>> {
        let mut holds = &sale.holds[..];
        self.stretches
            .iter()
            .zip(&sale.gains)
            .map(move |(stretch, gain)| {
                let (own, after) = holds.split_at(stretch.holds);
                holds = after;
                let position = sale.positions[stretch.position];
                let needed = sale.needed[stretch.position];
                let now = if needed { position } else { position.max(0) };
                // The others of the position, when it is used.
                let others = sale.points - now + position - gain;
                WithAndWithout {
                    holds: own,
                    with: others,
                    without: if needed {
                        others
                    } else {
                        others.max(sale.points - now)
                    },
                }
            })
    }
}
