//! How far sleep fell short of what was wanted, over the last nights.
//!
//! There is no validated balance of sleep owed, so none is kept: a mean and a count are given, no
//! running total (our own design choice). That loss adds up over days is known (Van Dongen HPA et al.
//! 2003, Sleep 26:117-126; Belenky G et al. 2003, Journal of Sleep Research 12:1-12).

/// So many of the last known nights are looked at (our own design choice).
pub const NIGHTS: usize = 7;

/// Shortfall over some nights; seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shortfall {
    /// Nights with a record.
    pub nights: usize,
    /// Mean of wanted less slept; negative if more was slept.
    pub mean_s: f64,
    /// Nights with less than wanted.
    pub short_nights: usize,
    /// What the short nights lack, together.
    pub short_sum_s: i64,
    /// Wanted less slept, all nights together.
    pub signed_sum_s: i64,
}

/// The shortfall over the last [`NIGHTS`] known nights. `asleep_s` are seconds asleep in the order of
/// the nights, `None` for a night without a record; `need_s` is what was wanted each night. `None`
/// without a known night.
pub fn shortfall(asleep_s: &[Option<i64>], need_s: i64) -> Option<Shortfall> {
    let lacks: Vec<i64> = asleep_s
        .iter()
        .rev()
        .flatten()
        .take(NIGHTS)
        .map(|asleep| need_s - asleep)
        .collect();
    if lacks.is_empty() {
        return None;
    }
    let signed_sum_s: i64 = lacks.iter().sum();
    let short = lacks.iter().copied().filter(|lack| *lack > 0);
    Some(Shortfall {
        nights: lacks.len(),
        mean_s: signed_sum_s as f64 / lacks.len() as f64,
        short_nights: short.clone().count(),
        short_sum_s: short.sum(),
        signed_sum_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_seven_known_nights_count() {
        let mut nights = vec![Some(0), Some(0)];
        nights.extend([None; 3]);
        nights.extend([Some(25_200); 6]);
        nights.push(None);
        let found = shortfall(&nights, 27_000).expect("known nights");
        assert_eq!((found.nights, found.short_nights), (7, 7));
        assert_eq!(found.signed_sum_s, 27_000 + 6 * 1800);
    }

    #[test]
    fn a_night_of_exactly_the_need_is_not_short() {
        let found = shortfall(&[Some(27_000)], 27_000).expect("known night");
        assert_eq!((found.short_nights, found.short_sum_s), (0, 0));
        assert_eq!(shortfall(&[None, None], 27_000), None);
        assert_eq!(shortfall(&[], 27_000), None);
    }
}
