//! What regions can still be given by the stretches ahead.

use super::problem::{Candidate, FULL_DOSE, REGIONS};

/// Amounts a region can still be given, one bit each; the last bit stands for a full dose and more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offers(u128);

/// Doses with which a region can end, one bit each; that of a full dose stands for more, too.
pub(super) type Ends = u64;

/// Any dose.
pub(super) const ANY_END: Ends = (1 << (FULL_DOSE + 1)) - 1;

impl Offers {
    const NOTHING: Self = Self(1);
    const LESS_THAN_FULL: u128 = (1 << FULL_DOSE) - 1;

    /// With one more stretch ahead, of this emphasis on the region.
    fn with(self, candidate: &Candidate, emphasis: usize) -> Self {
        let skipped = if candidate.forced { 0 } else { self.0 };
        // No hold gives more than a full dose, so that no bit is lost.
        let given = candidate
            .holds
            .iter()
            .map(|hold| self.0 << (hold.units * emphasis));
        let all = given.fold(skipped, |all, more| all | more);
        let full = u128::from(all > Self::LESS_THAN_FULL) << FULL_DOSE;
        Self(all & Self::LESS_THAN_FULL | full)
    }

    /// The doses that a region with some dose can end with.
    pub fn ends(self, dose: usize) -> Ends {
        let all = self.0 << dose;
        let full = u128::from(all > Self::LESS_THAN_FULL) << FULL_DOSE;
        (all & Self::LESS_THAN_FULL | full) as Ends
    }

    /// The amounts, least first.
    pub fn amounts(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let amount = left.trailing_zeros() as usize;
            left &= left.wrapping_sub(1);
            (amount <= FULL_DOSE).then_some(amount)
        })
    }
}

/// What regions can still be given before each stretch in order, and after the last.
pub(super) struct Ahead {
    /// Different offers of any region, in the order in which the stretches are passed from the last.
    offers: Vec<(usize, Offers)>,
    /// For each place in the order, which of them holds for each region.
    at: Vec<[u16; REGIONS]>,
}

impl Ahead {
    /// Goes through the stretches from the last to the first.
    pub fn new(candidates: &[Candidate]) -> Self {
        let mut offers: Vec<(usize, Offers)> = (0..REGIONS)
            .map(|region| (region, Offers::NOTHING))
            .collect();
        let mut now: [u16; REGIONS] = std::array::from_fn(|region| region as u16);
        let mut at = vec![now];
        for candidate in candidates.iter().rev() {
            for (region, emphasis) in &candidate.regions {
                let known = offers[usize::from(now[*region])].1;
                let more = known.with(candidate, *emphasis);
                if more != known {
                    now[*region] = offers.len() as u16;
                    offers.push((*region, more));
                }
            }
            at.push(now);
        }
        at.reverse();
        Self { offers, at }
    }

    /// Every different offer with its region.
    pub fn all(&self) -> &[(usize, Offers)] {
        &self.offers
    }

    /// Which of [`Ahead::all`] holds for a region from a place on.
    pub fn index(&self, place: usize, region: usize) -> usize {
        usize::from(self.at[place][region])
    }

    /// What a region can still be given from a place on.
    pub fn offers(&self, place: usize, region: usize) -> Offers {
        self.offers[self.index(place, region)].1
    }

    /// Whether no stretch from this place on gives a region anything.
    pub fn is_closed(&self, place: usize, region: usize) -> bool {
        self.offers(place, region) == Offers::NOTHING
    }
}
