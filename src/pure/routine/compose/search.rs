//! The search: every evening that could be best, stretch by stretch, and no other.
//!
//! From the empty evening on, each partial evening is continued without the next stretch and with each of
//! its holds. A partial evening is given up when
//!
//! - its bound (see [`super::price`]) does not exceed the best evening known, or
//! - another one has used the same positions, has given the same doses to all regions that can still be
//!   given something, has used no more time and has no fewer points.
//!
//! In each pass through the stretches only the most promising partial evenings are continued at each,
//! more from pass to pass. A drafted evening (see [`super::draft`]) and then the first, narrow passes
//! show which holds and stretches do not matter (see [`super::narrow`]); the passes end when nothing is
//! left to be continued, which proves the evening best, or when the search has become too long, which
//! only happens with libraries many times the shipped one; then the greatest bound of what is left is
//! told, and the evening has been shaken until nothing better fell out. This is dynamic programming
//! with bounds (Morin & Marsten (1976), Operations Research 24:611-627).

mod better;
mod effort;

use super::ahead::Ahead;
use super::order::order;
use super::partial::{Layer, Partial, SKIPPED};
use super::passing::{Best, Passing};
use super::price::{Bounds, SCALE};
use super::problem::{NONE, Problem, REGIONS, points};
use super::tune::{Standing, Tariff};

pub(super) use effort::Effort;

/// How many lists of prices bound together in later passes.
const LISTS: usize = 4;

/// How often the partial evenings are sifted for those that another one beats: sorting costs more than it
/// saves at every place.
const SIFTED_EVERY: usize = 4;

/// The best evening found.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    /// Which candidate with which hold, in units of the grid.
    pub chosen: Vec<(usize, usize)>,
    /// Its points; [`NONE`] when there is no evening.
    pub value: i32,
    /// No evening has more points.
    pub bound: i32,
    /// Partial evenings looked at.
    pub nodes: u64,
    /// Prices that suited the search.
    pub tariff: Tariff,
}

/// The evening of greatest value.
pub(super) fn best(problem: &Problem) -> Found {
    best_above(problem, NONE, Effort::USUAL, None)
}

/// The evening of greatest value, if it has more points than `above`. If not, what is told is `above` and
/// no stretch. Prices that suited a similar search make it quicker.
pub(super) fn best_above(
    problem: &Problem,
    above: i32,
    effort: Effort,
    tariff: Option<&Tariff>,
) -> Found {
    let mut search = Search::new(problem, above, effort);
    if let Some(tariff) = tariff {
        search.tariff = *tariff;
    }
    let mut found = search.run();
    if !found.chosen.is_empty() {
        // When a search ends early, a partial evening may have been bettered after it was continued.
        found.value = problem.value(&found.chosen);
        found.bound = found.bound.max(found.value);
    }
    found
}

/// A search in a problem whose stretches have been put in order.
struct Search<'a> {
    problem: Problem<'a>,
    /// Where each stretch stood before.
    places: Vec<usize>,
    effort: Effort,
    ahead: Ahead,
    /// Prices that suit the empty evening.
    tariff: Tariff,
    best: Found,
    /// No evening better than the best known has more points than this.
    bound: i32,
    /// Partial evenings before the first stretch and after each.
    layers: Vec<Layer>,
    /// How many partial evenings came of each that was continued in the last pass.
    becomes: f64,
    /// Of the lists of prices that bound together.
    tariffs: Vec<Tariff>,
    /// What looked most promising on the way, and what it lacks to have no points but those to come.
    promising: Vec<(Standing, i32)>,
}

impl<'a> Search<'a> {
    fn new(problem: &Problem<'a>, above: i32, effort: Effort) -> Self {
        let places = order(problem);
        let candidates = places
            .iter()
            .map(|place| problem.candidates[*place].clone())
            .collect();
        let problem = Problem {
            candidates,
            ..*problem
        };
        Self {
            ahead: Ahead::new(&problem.candidates),
            tariff: Tariff::worth(&problem.weights),
            problem,
            places,
            effort,
            best: Found {
                value: above,
                ..Found::default()
            },
            bound: i32::MAX,
            layers: Vec::new(),
            becomes: 1.0,
            tariffs: Vec::new(),
            promising: Vec::new(),
        }
    }

    fn run(mut self) -> Found {
        self.note_empty();
        for steps in self.effort.tuning {
            self.tune(steps);
            self.narrow();
        }
        self.start();
        let mut width = self.effort.first_width;
        while self.goes_on() && width < self.effort.lists_from_width {
            let before = self.best.value;
            let bounds = Bounds::new(&self.problem, &self.ahead, &[self.prices()]);
            self.pass(&bounds, width);
            width = self.effort.wider(width);
            if self.goes_on() && self.best.value > before {
                // Less is left to be looked at, and a narrow pass is soon made good.
                self.narrow();
                self.start();
            }
        }
        if self.goes_on() {
            let lists = self.lists();
            let bounds = Bounds::new(&self.problem, &self.ahead, &lists);
            let mut shaken = false;
            while self.goes_on() {
                self.pass(&bounds, width);
                if !shaken && !self.is_settled() && self.best.nodes >= self.effort.shaken_after {
                    self.shake();
                    shaken = true;
                }
                let next = self.effort.wider(width).min(self.affordable());
                if next < self.effort.lists_from_width {
                    // Little would come of what is left.
                    break;
                }
                width = next;
            }
        }
        self.best.bound = self.bound.max(self.best.value);
        self.best.tariff = self.tariff;
        self.best.chosen.sort_unstable();
        self.best
    }

    /// Whether nothing is left that could be better.
    fn is_settled(&self) -> bool {
        self.bound <= self.best.value
    }

    fn goes_on(&self) -> bool {
        !self.is_settled() && self.best.nodes < self.effort.most_nodes
    }

    /// How wide a pass may be to come to its end before the search has to: a bound is told by whole passes.
    fn affordable(&self) -> usize {
        let left = self.effort.most_nodes.saturating_sub(self.best.nodes) as f64;
        let places = self.problem.candidates.len() as f64;
        (0.9 * left / (places * self.becomes)) as usize
    }

    /// The evening without stretches is the first one known.
    fn note_empty(&mut self) {
        if !self
            .problem
            .candidates
            .iter()
            .any(|candidate| candidate.forced)
        {
            self.best.value = self.best.value.max(0);
        }
    }

    /// Begins again with the empty evening.
    fn start(&mut self) {
        self.layers.clear();
        self.layers
            .resize_with(self.problem.candidates.len() + 1, Layer::default);
        self.layers[0].add(Partial::EMPTY);
    }

    /// Goes through all stretches and continues at most `width` partial evenings at each.
    fn pass<const L: usize>(&mut self, bounds: &Bounds<L>, width: usize) {
        let count = self.problem.candidates.len();
        // What ends before a stretch that has to be part of it is no evening.
        let forced = self
            .problem
            .candidates
            .iter()
            .rposition(|candidate| candidate.forced);
        self.promising.clear();
        let mut taken = Vec::new();
        let (nodes, mut continued) = (self.best.nodes, 0);
        for place in 0..count {
            let (before, after) = self.layers.split_at_mut(place + 1);
            let (from, to) = (&mut before[place], &mut after[0]);
            if place % SIFTED_EVERY == SIFTED_EVERY - 1 {
                from.sift();
            }
            from.take_open(width, SCALE * (self.best.value + 1), &mut taken);
            let known = to.len();
            let mut best = Best {
                value: self.best.value,
                index: 0,
            };
            let passing = Passing::new(&self.problem, &self.ahead, bounds, place, self.best.value);
            continued += taken.len();
            for parent in &taken {
                passing.continue_one(from.get(*parent), *parent, to, &mut best);
            }
            self.best.nodes += (to.len() - known) as u64;
            if forced.is_none_or(|last| last <= place) && best.value > self.best.value {
                self.best.chosen = self.trace(place + 1, best.index);
                self.best.value = best.value;
            }
            self.note_promising(place + 1);
            if self.best.nodes >= self.effort.most_nodes {
                break;
            }
        }
        self.becomes = (self.best.nodes - nodes) as f64 / continued.max(1) as f64;
        let open = self.layers[..count]
            .iter()
            .filter_map(Layer::greatest_open_bound)
            .max();
        let open = open.map_or(NONE, |bound| bound.div_euclid(SCALE));
        self.bound = self.bound.min(open);
    }

    /// Notes what looks most promising a quarter, half and three quarters through.
    fn note_promising(&mut self, place: usize) {
        let next = (self.promising.len() + 1) * self.problem.candidates.len() / LISTS;
        if place != next {
            return;
        }
        if let Some(partial) = self.layers[place].most_promising() {
            let doses = std::array::from_fn(|region| partial.state.dose(region));
            let counted =
                (0..REGIONS).map(|region| points(self.problem.weights[region], doses[region]));
            let lacking = counted.sum::<i32>() - partial.value;
            let standing = Standing {
                place,
                time: self.problem.time - partial.state.time(),
                doses,
                positions: partial.state.positions(),
            };
            self.promising.push((standing, lacking));
        }
    }

    /// The stretches of a partial evening, with the holds in units of the grid.
    fn trace(&self, place: usize, mut index: usize) -> Vec<(usize, usize)> {
        let mut chosen = Vec::new();
        for at in (0..place).rev() {
            let partial = self.layers[at + 1].get(index as u32);
            if partial.hold != SKIPPED {
                let hold = &self.problem.candidates[at].holds[usize::from(partial.hold)];
                chosen.push((self.places[at], hold.units));
            }
            index = partial.parent as usize;
        }
        chosen
    }
}
