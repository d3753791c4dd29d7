//! Numbers by chance that a seed repeats: SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable
//! pseudorandom number generators").

/// A stream of numbers.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The stream of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From 0 up to below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.next() % end.max(1)
    }

    /// From `low` to `high`, both included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from(high - low + 1).expect("low <= high");
        low + i64::try_from(self.below(span)).expect("small")
    }

    /// From `low` to `high`, each order of magnitude as likely as the next.
    pub fn spread(&mut self, low: i64, high: i64) -> i64 {
        let doublings = (high / low.max(1)).max(1).ilog2();
        let top = low << self.below(u64::from(doublings) + 1);
        self.between(low, top.max(low).min(high))
    }

    /// True in so many of a hundred times.
    pub fn percent(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }

    /// True once in `n` times.
    pub fn one_in(&mut self, n: u64) -> bool {
        n > 0 && self.below(n) == 0
    }

    /// One of a list.
    pub fn pick<'l, T>(&mut self, list: &'l [T]) -> &'l T {
        let place = self.below(list.len() as u64);
        &list[usize::try_from(place).expect("small")]
    }
}
