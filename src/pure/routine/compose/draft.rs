//! A good evening early: from what sells best, bettered by exchanges until none helps (a Lagrangian
//! heuristic: Beasley (1990), Naval Research Logistics 37:151-164, sets out from the same solutions).

use super::problem::{FULL_DOSE, POSITIONS, Problem, REGIONS, points};

/// How many holds are looked at before an evening has to be good enough: a tenth of a second.
const LOOKS: usize = 10_000_000;

/// An evening that is being bettered.
#[derive(Clone)]
pub(super) struct Draft<'p> {
    problem: &'p Problem<'p>,
    /// Points of each dose of each region.
    worth: Vec<[i32; FULL_DOSE + 1]>,
    /// The hold of each stretch, if any.
    chosen: Vec<Option<usize>>,
    doses: [usize; REGIONS],
    /// How many stretches use each position.
    positions: [usize; POSITIONS],
    time: usize,
    value: i32,
    /// Stretches that stay out for now.
    left_out: Vec<usize>,
    /// How many holds may still be looked at.
    looks: usize,
}

/// A change of an evening.
#[derive(Clone, Copy)]
struct Change {
    /// Points afterwards.
    value: i32,
    out: Option<usize>,
    /// Stretch and hold.
    into: Option<(usize, usize)>,
}

impl<'p> Draft<'p> {
    /// The evening without stretches.
    pub fn new(problem: &'p Problem<'p>) -> Self {
        let worth = problem
            .weights
            .map(|weight| std::array::from_fn(|dose| points(weight, dose)));
        Self {
            problem,
            worth: worth.to_vec(),
            chosen: vec![None; problem.candidates.len()],
            doses: [0; REGIONS],
            positions: [0; POSITIONS],
            time: 0,
            value: 0,
            left_out: Vec::new(),
            looks: LOOKS,
        }
    }

    /// Starts again from the picks that fit the time, and exchanges stretches one by one for as long as
    /// that brings more. `false` when those that have to be part of it do not fit.
    pub fn start(&mut self, picks: &[Option<usize>]) -> bool {
        let candidates = &self.problem.candidates;
        for index in 0..candidates.len() {
            if let Some(hold) = self.chosen[index] {
                self.take(index, hold);
            }
        }
        for (index, candidate) in candidates.iter().enumerate() {
            if candidate.forced {
                self.put(index, 0);
            }
        }
        if self.time > self.problem.time {
            return false;
        }
        for (index, pick) in picks.iter().enumerate() {
            if let Some(hold) = *pick
                && self.chosen[index].is_none()
                && self.time_with(index, hold) <= self.problem.time
            {
                self.put(index, hold);
            }
        }
        while self.exchange() {}
        true
    }

    /// Leaves out so many stretches, exchanges the others, and lets those left out in again: with all that
    /// can be left out together, for as long as one of them leads to something better.
    pub fn shake(&mut self, together: usize) {
        while self.shake_once(together) {}
    }

    fn shake_once(&mut self, together: usize) -> bool {
        let chosen: Vec<usize> = (0..self.chosen.len())
            .filter(|index| {
                self.chosen[*index].is_some() && !self.problem.candidates[*index].forced
            })
            .collect();
        for (at, one) in chosen.iter().enumerate() {
            let others = if together > 1 {
                &chosen[at..]
            } else {
                &chosen[at..=at]
            };
            for other in others {
                let mut shaken = self.clone();
                for index in [*one, *other] {
                    if let Some(hold) = shaken.chosen[index] {
                        shaken.take(index, hold);
                        shaken.left_out.push(index);
                    }
                }
                while shaken.exchange() {}
                shaken.left_out.clear();
                while shaken.exchange() {}
                self.looks = shaken.looks;
                if shaken.value > self.value {
                    *self = shaken;
                    return true;
                }
            }
        }
        false
    }

    /// Points, and stretches with their holds in units of the grid.
    pub fn evening(&self) -> (i32, Vec<(usize, usize)>) {
        let candidates = &self.problem.candidates;
        let chosen = self.chosen.iter().enumerate().filter_map(|(index, hold)| {
            hold.map(|hold| (index, candidates[index].holds[hold].units))
        });
        (self.value, chosen.collect())
    }

    fn time_with(&self, index: usize, hold: usize) -> usize {
        let candidate = &self.problem.candidates[index];
        let changing = usize::from(self.positions[candidate.position] == 0);
        self.time + candidate.holds[hold].time + changing
    }

    /// Points that a hold more brings.
    fn gain(&self, index: usize, hold: usize) -> i32 {
        let candidate = &self.problem.candidates[index];
        let hold = &candidate.holds[hold];
        let brought = candidate.regions.iter().map(|(region, emphasis)| {
            let (worth, dose) = (&self.worth[*region], self.doses[*region]);
            let after = dose + emphasis * hold.units;
            worth[after.min(FULL_DOSE)] - worth[dose.min(FULL_DOSE)]
        });
        brought.sum::<i32>() - hold.cost
    }

    fn put(&mut self, index: usize, hold: usize) {
        self.value += self.gain(index, hold);
        self.time = self.time_with(index, hold);
        let candidate = &self.problem.candidates[index];
        self.positions[candidate.position] += 1;
        for (region, emphasis) in &candidate.regions {
            self.doses[*region] += emphasis * candidate.holds[hold].units;
        }
        self.chosen[index] = Some(hold);
    }

    fn take(&mut self, index: usize, hold: usize) {
        let candidate = &self.problem.candidates[index];
        for (region, emphasis) in &candidate.regions {
            self.doses[*region] -= emphasis * candidate.holds[hold].units;
        }
        self.positions[candidate.position] -= 1;
        self.chosen[index] = None;
        // As much less as it would now take more.
        self.time -= self.time_with(index, hold) - self.time;
        self.value -= self.gain(index, hold);
    }

    /// The best stretch to add, if one brings something; only `index` when that is given.
    fn best_addition(&mut self, out: Option<usize>, only: Option<usize>) -> Change {
        let mut best = Change {
            value: self.value,
            out,
            into: None,
        };
        let range = only.map_or(0..self.chosen.len(), |index| index..index + 1);
        for index in range {
            if self.chosen[index].is_some() || self.left_out.contains(&index) {
                continue;
            }
            let holds = self.problem.candidates[index].holds.len();
            self.looks = self.looks.saturating_sub(holds);
            for hold in 0..holds {
                if self.time_with(index, hold) > self.problem.time {
                    break;
                }
                let value = self.value + self.gain(index, hold);
                if value > best.value {
                    (best.value, best.into) = (value, Some((index, hold)));
                }
            }
        }
        best
    }

    /// Makes the best change of one stretch. Whether there was one.
    fn exchange(&mut self) -> bool {
        if self.looks == 0 {
            return false;
        }
        let mut best = self.best_addition(None, None);
        for index in 0..self.chosen.len() {
            let Some(hold) = self.chosen[index] else {
                continue;
            };
            let forced = self.problem.candidates[index].forced;
            self.take(index, hold);
            let change = self.best_addition(Some(index), forced.then_some(index));
            if change.value > best.value && (change.into.is_some() || !forced) {
                best = change;
            }
            self.put(index, hold);
        }
        if best.value <= self.value {
            return false;
        }
        if let Some(index) = best.out
            && let Some(hold) = self.chosen[index]
        {
            self.take(index, hold);
        }
        if let Some((index, hold)) = best.into {
            self.put(index, hold);
        }
        true
    }
}
