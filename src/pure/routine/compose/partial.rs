//! Partial evenings: what is known of an evening up to some stretch, and which of them are worth keeping.

use super::problem::REGIONS;

/// A partial evening.
#[derive(Clone, Copy, Debug)]
pub(super) struct Partial {
    /// What decides how it can go on.
    pub state: State,
    /// Points if it ended here.
    pub value: i32,
    /// No evening that it leads to has more points; in the scale of bounds.
    pub bound: i32,
    /// Index of the partial evening continued, one place before.
    pub parent: u32,
    /// Which hold of the stretch passed last; [`SKIPPED`] for none.
    pub hold: u8,
    /// Has still to be continued.
    pub open: bool,
}

/// In place of a hold: the stretch is not part of the evening.
pub(super) const SKIPPED: u8 = u8::MAX;

impl Partial {
    /// The empty evening before the first stretch.
    pub const EMPTY: Self = Self {
        state: State::EMPTY,
        value: 0,
        bound: i32::MAX,
        parent: 0,
        hold: SKIPPED,
        open: true,
    };

    /// Total order of different partial evenings: the most promising is greatest.
    fn rank(&self) -> (i32, i32, State) {
        (self.bound, self.value, self.state)
    }
}

/// What decides how a partial evening can go on, packed: from the lowest bit on the time used, a dose of
/// six bits for each region that can still be given something, a bit for each position used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct State(u128);

const TIME_BITS: usize = 16;
const DOSE_BITS: usize = 6;
const POSITIONS_AT: usize = TIME_BITS + DOSE_BITS * REGIONS;

impl State {
    /// Nothing done yet.
    pub const EMPTY: Self = Self(0);

    /// Time used.
    pub fn time(self) -> usize {
        self.0 as usize & ((1 << TIME_BITS) - 1)
    }

    /// The same with more time used.
    pub fn later(self, time: usize) -> Self {
        Self(self.0 + time as u128)
    }

    /// Dose of a region.
    pub fn dose(self, region: usize) -> usize {
        (self.0 >> (TIME_BITS + DOSE_BITS * region)) as usize & ((1 << DOSE_BITS) - 1)
    }

    /// The same with another dose of a region.
    pub fn with_dose(self, region: usize, dose: usize) -> Self {
        let at = TIME_BITS + DOSE_BITS * region;
        Self(self.0 & !(((1 << DOSE_BITS) - 1) << at) | (dose as u128) << at)
    }

    /// Positions used, a bit each.
    pub fn positions(self) -> usize {
        (self.0 >> POSITIONS_AT) as usize
    }

    /// The same with one more position used.
    pub fn with_position(self, position: usize) -> Self {
        Self(self.0 | 1 << (POSITIONS_AT + position))
    }

    /// Whether all but the time is the same.
    fn is_like(self, other: Self) -> bool {
        self.0 >> TIME_BITS == other.0 >> TIME_BITS
    }

    fn hash(self) -> u64 {
        let (low, high) = (self.0 as u64, (self.0 >> 64) as u64);
        let mixed = (low ^ high.rotate_left(32)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        (mixed ^ mixed >> 29).wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 16
    }
}

/// Partial evenings of one place, of each state the one with most points.
#[derive(Default)]
pub(super) struct Layer {
    all: Vec<Partial>,
    /// Hash table into `all`.
    slots: Vec<u32>,
    /// Those that have still to be continued.
    open: Vec<u32>,
}

const FREE: u32 = u32::MAX;

impl Layer {
    /// One of them.
    pub fn get(&self, index: u32) -> &Partial {
        &self.all[index as usize]
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Adds one, unless one of the same state has as many points. Says where it is.
    pub fn add(&mut self, one: Partial) -> Option<usize> {
        if 4 * self.all.len() >= 3 * self.slots.len() {
            self.grow();
        }
        let slot = self.slot(one.state);
        let index = self.slots[slot];
        match self.all.get_mut(index as usize) {
            Some(known) if known.value >= one.value => return None,
            Some(known) => {
                if !known.open {
                    self.open.push(index);
                }
                *known = one;
            }
            None => {
                self.slots[slot] = self.all.len() as u32;
                self.open.push(self.all.len() as u32);
                self.all.push(one);
            }
        }
        Some(self.slots[slot] as usize)
    }

    /// The slot of a state: where it is, or where it would be.
    fn slot(&self, state: State) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = state.hash() as usize & mask;
        while self.slots[slot] != FREE && self.all[self.slots[slot] as usize].state != state {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        let size = (2 * self.slots.len()).max(64);
        self.slots.clear();
        self.slots.resize(size, FREE);
        for index in 0..self.all.len() {
            let slot = self.slot(self.all[index].state);
            self.slots[slot] = index as u32;
        }
    }

    /// Takes out the most promising `width` of those to be continued, and forgets those of a bound below
    /// `least`.
    pub fn take_open(&mut self, width: usize, least: i32, taken: &mut Vec<u32>) {
        let all = &mut self.all;
        self.open.retain(|index| {
            let one = &mut all[*index as usize];
            // What is forgotten is no longer open: when the same state is reached with more points, it has
            // to be continued after all.
            one.open = one.bound >= least;
            one.open
        });
        let all = &self.all;
        if self.open.len() > width {
            let rank = |index: &u32| all[*index as usize].rank();
            self.open
                .select_nth_unstable_by(width, |a, b| rank(b).cmp(&rank(a)));
        }
        taken.clear();
        taken.extend(self.open.drain(..width.min(self.open.len())));
        for index in taken {
            self.all[*index as usize].open = false;
        }
    }

    /// Forgets those to be continued that another one of them equals in everything but that it has used
    /// no more time and has no fewer points.
    pub fn sift(&mut self) {
        let all = &mut self.all;
        self.open
            .sort_unstable_by_key(|index| all[*index as usize].state);
        let mut known: Option<(State, i32)> = None;
        self.open.retain(|index| {
            let one = &mut all[*index as usize];
            match known {
                Some((state, value)) if state.is_like(one.state) && value >= one.value => {
                    one.open = false;
                }
                _ => known = Some((one.state, one.value)),
            }
            one.open
        });
    }

    /// The most promising of those to be continued.
    pub fn most_promising(&self) -> Option<Partial> {
        self.open
            .iter()
            .map(|index| self.all[*index as usize])
            .max_by_key(Partial::rank)
    }

    /// The greatest bound of those to be continued.
    pub fn greatest_open_bound(&self) -> Option<i32> {
        self.open
            .iter()
            .map(|index| self.all[*index as usize].bound)
            .max()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_forgotten_is_continued_when_it_turns_out_better() {
        let with = |value, bound| Partial {
            value,
            bound,
            ..Partial::EMPTY
        };
        let mut layer = Layer::default();
        let mut taken = Vec::new();
        layer.add(with(1, 10));
        layer.take_open(8, 11, &mut taken);
        assert!(taken.is_empty());
        layer.add(with(5, 14));
        assert_eq!(layer.greatest_open_bound(), Some(14));
        layer.take_open(8, 11, &mut taken);
        assert_eq!(taken, [0]);
    }
}
