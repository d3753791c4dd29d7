//! What makes a search quicker between its passes: better prices, better evenings, fewer stretches.

use super::super::draft::Draft;
use super::super::narrow::narrowed;
use super::super::price::{Prices, SCALE};
use super::super::problem::REGIONS;
use super::super::tune::{Standing, Tuning};
use super::{Ahead, LISTS, Search};

impl Search<'_> {
    /// Tunes the prices of the empty evening, which may already show that there is nothing better, and
    /// makes an evening of what sells best.
    pub(super) fn tune(&mut self, steps: usize) {
        if self.is_settled() {
            return;
        }
        let start = Standing::start(&self.problem);
        let mut tuning = Tuning::new(&self.problem, &self.ahead, &start);
        let worth = self.best.value.max(0);
        let Some((tariff, bound)) = tuning.tune(&self.tariff, worth, steps) else {
            self.bound = self.best.value;
            return;
        };
        self.tariff = tariff;
        self.bound = self.bound.min(bound.div_euclid(SCALE));
        if self.is_settled() {
            return;
        }
        tuning.relaxed(&tariff);
        let mut draft = Draft::new(&self.problem);
        if draft.start(&tuning.sale.picks) {
            let evening = draft.evening();
            self.note(evening);
        }
    }

    /// Looks for a better evening in what sells best at each list of prices and around the best one known.
    pub(super) fn shake(&mut self) {
        let mut draft = Draft::new(&self.problem);
        let mut evenings = Vec::new();
        let start = Standing::start(&self.problem);
        let mut tuning = Tuning::new(&self.problem, &self.ahead, &start);
        for tariff in &self.tariffs {
            tuning.relaxed(tariff);
            if draft.start(&tuning.sale.picks) {
                draft.shake(1);
                evenings.push(draft.evening());
            }
        }
        let known = self.places.iter().zip(&self.problem.candidates);
        let known = known.map(|(place, candidate)| {
            let (_, units) = self.best.chosen.iter().find(|(index, _)| index == place)?;
            candidate.holds.iter().position(|hold| hold.units == *units)
        });
        if draft.start(&known.collect::<Vec<_>>()) {
            draft.shake(2);
            evenings.push(draft.evening());
        }
        for evening in evenings {
            self.note(evening);
        }
    }

    /// Notes an evening if it is better than the best one known.
    fn note(&mut self, (value, chosen): (i32, Vec<(usize, usize)>)) {
        if value > self.best.value {
            let chosen = chosen
                .iter()
                .map(|(index, units)| (self.places[*index], *units));
            self.best.chosen = chosen.collect();
            self.best.value = value;
        }
    }

    pub(super) fn prices(&self) -> Prices {
        self.tariff.prices(&[0; REGIONS])
    }

    /// Prices that suit the empty evening and what looked most promising at some places.
    pub(super) fn lists(&mut self) -> [Prices; LISTS] {
        let mut lists = [self.prices(); LISTS];
        self.tariffs = vec![self.tariff];
        for (prices, (standing, lacking)) in lists[1..].iter_mut().zip(&self.promising) {
            let worth = self.best.value + lacking;
            let mut tuning = Tuning::new(&self.problem, &self.ahead, standing);
            if let Some((tariff, _)) = tuning.tune(&self.tariff, worth, self.effort.list_tuning) {
                *prices = tariff.prices(&standing.doses);
                self.tariffs.push(tariff);
            }
        }
        lists
    }

    /// Leaves out what no better evening contains.
    pub(super) fn narrow(&mut self) {
        if self.is_settled() {
            return;
        }
        let Some(narrowed) = narrowed(&self.problem, &self.ahead, &self.tariff, self.best.value)
        else {
            self.bound = self.best.value;
            return;
        };
        self.places = narrowed
            .places
            .iter()
            .map(|place| self.places[*place])
            .collect();
        self.ahead = Ahead::new(&narrowed.problem.candidates);
        self.problem = narrowed.problem;
        for (standing, _) in &mut self.promising {
            standing.place = narrowed
                .places
                .partition_point(|place| *place < standing.place);
        }
    }
}
