//! Passing one stretch: a partial evening is continued without it and with each of its holds.

use super::ahead::Ahead;
use super::lanes::{Lanes, add};
use super::partial::{Layer, Partial, SKIPPED};
use super::price::{Bounds, Buying, SCALE, SETS};
use super::problem::{Candidate, FULL_DOSE, NONE, Problem, REGIONS, points};

/// Passing one stretch, with its tables at hand.
pub(super) struct Passing<'s, const L: usize> {
    candidate: &'s Candidate<'s>,
    /// Time for all stretches.
    time: usize,
    /// The least bound worth going on with.
    least: i32,
    regions: Vec<Touched<'s, L>>,
    /// The other regions that can still be given something.
    others: Vec<Other<'s, L>>,
    /// What the stretches after it sell, for each set of positions used, by time left.
    selling: [&'s [Lanes<L>]; SETS],
}

/// A region of the stretch.
struct Touched<'s, const L: usize> {
    region: usize,
    emphasis: usize,
    weight: i32,
    /// What it brings more at most from the next stretch on.
    buying: &'s Buying<L>,
    /// No later stretch gives it anything.
    closes: bool,
}

/// A region that the stretch does nothing for.
struct Other<'s, const L: usize> {
    region: usize,
    buying: &'s Buying<L>,
}

/// The best of some partial evenings of a layer.
#[derive(Clone, Copy, Debug)]
pub(super) struct Best {
    /// Its points.
    pub value: i32,
    /// Its index.
    pub index: usize,
}

impl<'s, const L: usize> Passing<'s, L> {
    /// For evenings of more than `above` points.
    pub fn new(
        problem: &'s Problem<'_>,
        ahead: &'s Ahead,
        bounds: &'s Bounds<L>,
        place: usize,
        above: i32,
    ) -> Self {
        let candidate = &problem.candidates[place];
        let touched = candidate.regions.iter().map(|(region, emphasis)| Touched {
            region: *region,
            emphasis: *emphasis,
            weight: problem.weights[*region],
            buying: bounds.buying(ahead, place + 1, *region),
            closes: ahead.is_closed(place + 1, *region),
        });
        let is_touched = |region: usize| candidate.regions.iter().any(|(one, _)| *one == region);
        let others =
            (0..REGIONS).filter(|region| !is_touched(*region) && !ahead.is_closed(place, *region));
        Self {
            candidate,
            time: problem.time,
            least: SCALE * (above + 1),
            regions: touched.collect(),
            others: others
                .map(|region| Other {
                    region,
                    buying: bounds.buying(ahead, place, region),
                })
                .collect(),
            selling: std::array::from_fn(|positions| bounds.selling(place + 1, positions)),
        }
    }

    /// Adds to a layer what a partial evening can become, except what leads nowhere, and keeps track of
    /// the best.
    ///
    /// A hold that brings no more points now than a shorter one, or than none, never will: whatever
    /// follows, the benefit of a dose is concave, and the shorter one leaves more time.
    pub fn continue_one(&self, from: &Partial, parent: u32, to: &mut Layer, best: &mut Best) {
        let mut bought = [0; L];
        for other in &self.others {
            add(&mut bought, &other.buying[from.state.dose(other.region)]);
        }
        let mut doses = [0; REGIONS];
        // What the evening has without what the doses of the stretch's regions bring.
        let mut others = from.value;
        for (dose, touched) in doses.iter_mut().zip(&self.regions) {
            *dose = from.state.dose(touched.region) as u8;
            others -= points(touched.weight, usize::from(*dose));
        }
        let mut most = NONE;
        if !self.candidate.forced {
            most = from.value;
            let without = Partial {
                parent,
                hold: SKIPPED,
                open: true,
                ..*from
            };
            self.add(without, &bought, &doses, to, best);
        }
        let state = from.state.with_position(self.candidate.position);
        let new_position = usize::from(state != from.state);
        for (index, hold) in self.candidate.holds.iter().enumerate() {
            let state = state.later(hold.time + new_position);
            if state.time() > self.time {
                break;
            }
            let mut value = others - hold.cost;
            let mut after = doses;
            for (dose, touched) in after.iter_mut().zip(&self.regions) {
                let more = usize::from(*dose) + touched.emphasis * hold.units;
                *dose = more.min(FULL_DOSE) as u8;
                value += points(touched.weight, more);
            }
            if value > most {
                most = value;
                let with = Partial {
                    state,
                    value,
                    bound: 0,
                    parent,
                    hold: index as u8,
                    open: true,
                };
                self.add(with, &bought, &after, to, best);
            }
        }
    }

    /// Adds one with these doses of the stretch's regions when its bound is high enough.
    fn add(
        &self,
        mut one: Partial,
        bought: &Lanes<L>,
        doses: &[u8; REGIONS],
        to: &mut Layer,
        best: &mut Best,
    ) {
        let mut sums = self.selling[one.state.positions()][self.time - one.state.time()];
        add(&mut sums, bought);
        for (dose, touched) in doses.iter().zip(&self.regions) {
            add(&mut sums, &touched.buying[usize::from(*dose)]);
        }
        one.bound = SCALE * one.value + sums.into_iter().min().unwrap_or(i32::MAX);
        if one.bound < self.least {
            return;
        }
        for (dose, touched) in doses.iter().zip(&self.regions) {
            // A region that is settled must not tell evenings apart any more.
            let dose = if touched.closes { 0 } else { *dose };
            one.state = one.state.with_dose(touched.region, usize::from(dose));
        }
        if let Some(index) = to.add(one)
            && one.value > best.value
        {
            *best = Best {
                value: one.value,
                index,
            };
        }
    }
}
