//! How much a search does before it ends.

/// How a search widens, and when it ends.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Effort {
    /// How many steps prices are tuned by before the first pass, in two turns: an evening is drafted and
    /// the search narrowed after each.
    pub tuning: [usize; 2],
    /// How many steps each further list of prices is tuned by.
    pub list_tuning: usize,
    /// How many partial evenings the first pass continues at each stretch.
    pub first_width: usize,
    /// How many the second one does.
    pub width: usize,
    /// How many times more each later one does.
    pub widening: usize,
    /// From this width on several lists of prices bound together: they bound better, but cost time.
    pub lists_from_width: usize,
    /// After how many partial evenings the best one is shaken: a proof is far, a better evening may not be.
    pub shaken_after: u64,
    /// How many partial evenings are looked at before the search ends without a proof.
    pub most_nodes: u64,
}

impl Effort {
    /// Far more nodes than the shipped library ever takes; 2 million take about a third of a second and 100 MB.
    pub const USUAL: Self = Self {
        tuning: [30, 60],
        list_tuning: 100,
        first_width: 32,
        width: 256,
        widening: 4,
        lists_from_width: 1024,
        shaken_after: 200_000,
        most_nodes: 2_000_000,
    };

    /// The width of the pass after one of this width.
    pub(super) fn wider(&self, width: usize) -> usize {
        self.width.max(width * self.widening)
    }
}
