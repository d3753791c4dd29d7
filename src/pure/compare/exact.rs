//! Exact tests and intervals for few nights: every arrangement is counted, none is sampled.
//!
//! Arrangements are not listed one by one but counted by the sum they give, which makes 30 pairs as
//! exact as 6. Values are taken in steps of a billionth, in whole numbers, so that sums which are equal
//! compare as equal whatever the order of adding.

use std::collections::HashMap;

/// Steps a unit is divided into.
const STEPS: f64 = 1e9;

/// So many different sums are kept at most; beyond that the exact result is given up.
const MOST_SUMS: usize = 2_000_000;

/// The exact randomisation test of pairs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairedTest {
    /// Mean of A less B.
    pub mean_difference: f64,
    /// Arrangements of signs: 2 to the number of pairs.
    pub arrangements: u128,
    /// Those whose mean difference is at least as far from nothing.
    pub at_least_as_extreme: u128,
    /// Their share, two-sided.
    pub p: f64,
}

/// The exact randomisation test of nights drawn one by one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SplitTest {
    /// Mean of A less mean of B.
    pub difference: f64,
    /// Ways to split the nights in two groups of these sizes.
    pub arrangements: u128,
    /// Those whose difference is at least as far from nothing.
    pub at_least_as_extreme: u128,
    /// Their share, two-sided.
    pub p: f64,
}

/// An interval around a mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Mean of the values.
    pub mean: f64,
    /// Lower end.
    pub lower: f64,
    /// Upper end.
    pub upper: f64,
    /// Level in percent.
    pub percent: u32,
}

fn steps(value: f64) -> Option<i128> {
    let scaled = (value * STEPS).round();
    // Beyond this nobody measures, and sums of many stay far inside the range.
    (scaled.abs() < 1e24).then_some(scaled as i128)
}

fn all_steps(values: impl IntoIterator<Item = f64>) -> Option<Vec<i128>> {
    values.into_iter().map(steps).collect()
}

/// Flips the sign of each pair's difference in all ways and counts the means at least as far from nothing
/// as the one seen. `None` without a pair, with a value that is not finite, with over 100 pairs, or
/// where too many different sums arise.
pub fn paired_test(pairs: &[(f64, f64)]) -> Option<PairedTest> {
    let differences = all_steps(pairs.iter().map(|(a, b)| a - b))?;
    if differences.is_empty() || differences.len() > 100 {
        return None;
    }
    let sums = sums_of_signs(&differences, MOST_SUMS)?;
    let count = differences.len();
    let seen = differences.iter().sum::<i128>().abs();
    let slack = count as i128; // a billionth of a unit in the mean
    let far = |sum: i128| sum.abs() >= seen - slack;
    let at_least_as_extreme = counted(&sums, far);
    let arrangements = 1_u128 << count;
    Some(PairedTest {
        mean_difference: pairs.iter().map(|(a, b)| a - b).sum::<f64>() / count as f64,
        arrangements,
        at_least_as_extreme,
        p: at_least_as_extreme as f64 / arrangements as f64,
    })
}

/// The sums of all arrangements of signs, with how many arrangements give each; `None` for more than
/// `most` different sums.
pub(super) fn sums_of_signs(differences: &[i128], most: usize) -> Option<HashMap<i128, u128>> {
    let mut sums: HashMap<i128, u128> = HashMap::from([(0, 1)]);
    for difference in differences {
        let mut next = HashMap::with_capacity(sums.len() * 2);
        for (sum, count) in sums {
            *next.entry(sum + difference).or_default() += count;
            *next.entry(sum - difference).or_default() += count;
        }
        sums = next;
        if sums.len() > most {
            return None;
        }
    }
    Some(sums)
}

/// Splits all values in two groups of the sizes given, in all ways, and counts the differences of means
/// at least as far from nothing as the one seen. `None` with an empty group, with a value that is not
/// finite, with over 100 values, or where too many different sums arise.
pub fn split_test(a: &[f64], b: &[f64]) -> Option<SplitTest> {
    let values = all_steps(a.iter().chain(b).copied())?;
    let (size_a, size_b, size) = (a.len(), b.len(), values.len());
    if size_a == 0 || size_b == 0 || size > 100 {
        return None;
    }
    let chosen = sums_of_chosen(&values, size_a, MOST_SUMS)?;
    let total: i128 = values.iter().sum();
    // The difference of means, times both sizes: whole again.
    let scaled = |sum_a: i128| sum_a * size as i128 - total * size_a as i128;
    let seen = scaled(values[..size_a].iter().sum()).abs();
    let slack = (size * size_a) as i128;
    let at_least_as_extreme = counted(&chosen, |sum| scaled(sum).abs() >= seen - slack);
    let arrangements = choose(size, size_a);
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    Some(SplitTest {
        difference: mean(a) - mean(b),
        arrangements,
        at_least_as_extreme,
        p: at_least_as_extreme as f64 / arrangements as f64,
    })
}

/// The sums of all choices of `size` of the values, with how many choices give each; `None` for more
/// than `most` different sums.
pub(super) fn sums_of_chosen(
    values: &[i128],
    size: usize,
    most: usize,
) -> Option<HashMap<i128, u128>> {
    let mut by_size: Vec<HashMap<i128, u128>> = vec![HashMap::new(); size + 1];
    by_size[0].insert(0, 1);
    for value in values {
        for taken in (1..=size).rev() {
            let (fewer, more) = by_size.split_at_mut(taken);
            for (sum, count) in &fewer[taken - 1] {
                *more[0].entry(sum + value).or_default() += count;
            }
        }
        if stored(&by_size) > most {
            return None;
        }
    }
    by_size.pop()
}

fn counted(sums: &HashMap<i128, u128>, keep: impl Fn(i128) -> bool) -> u128 {
    sums.iter()
        .filter(|(sum, _)| keep(**sum))
        .map(|(_, count)| count)
        .sum()
}

/// Ways to choose `taken` of `count`.
fn choose(count: usize, taken: usize) -> u128 {
    (0..taken.min(count - taken) as u128).fold(1, |ways, at| ways * (count as u128 - at) / (at + 1))
}

/// The least two-sided share that so many pairs can give.
pub fn smallest_p_of_pairs(pairs: usize) -> f64 {
    2_f64.powi(1 - i32::try_from(pairs.max(1)).unwrap_or(i32::MAX))
}

/// The least two-sided share that two groups of `per_arm` nights can give. Up to 60 in a group.
pub fn smallest_p_of_split(per_arm: usize) -> f64 {
    match per_arm {
        0 => 1.0,
        _ => 2.0 / choose(2 * per_arm.min(60), per_arm.min(60)) as f64,
    }
}

/// The exact bootstrap interval of a mean: of all resamples of the values with replacement, as many as
/// there are values, the least mean whose cumulative share reaches each end (no interpolation).
///
/// Up to 100 values; `None` for none, for a value that is not finite, or where too many different sums
/// arise (over about 12 values that are all different and share no common step).
pub fn bootstrap_interval(values: &[f64], percent: u32) -> Option<Interval> {
    let whole = all_steps(values.iter().copied())?;
    let count = whole.len();
    if count == 0 || count > 100 || percent > 100 {
        return None;
    }
    let mut sums: Vec<(i128, f64)> = resampled_sums(&whole, MOST_SUMS)?.into_iter().collect();
    sums.sort_unstable_by_key(|(sum, _)| *sum);
    let total: f64 = sums.iter().map(|(_, ways)| ways).sum();
    let at_share = |share: f64| {
        // Ways are whole numbers, but in shares of them the last digits are lost.
        let enough = total * share * (1.0 - 1e-12);
        let mut ways_so_far = 0.0;
        let found = sums.iter().find(|(_, ways)| {
            ways_so_far += ways;
            ways_so_far >= enough
        });
        found
            .or(sums.last())
            .map(|(sum, _)| *sum as f64 / STEPS / count as f64)
    };
    let outside = f64::from(100 - percent) / 200.0;
    Some(Interval {
        mean: values.iter().sum::<f64>() / count as f64,
        lower: at_share(outside)?,
        upper: at_share(1.0 - outside)?,
        percent,
    })
}

/// The sums of all resamples, with how many of them give each: value by value, by how many times it is
/// drawn. Ways are whole numbers, exact up to 13 values and to 16 digits beyond. `None` for more than
/// `most` different sums.
pub(super) fn resampled_sums(values: &[i128], most: usize) -> Option<HashMap<i128, f64>> {
    let count = values.len();
    let different = with_multiplicity(values);
    let mut by_drawn: Vec<HashMap<i128, f64>> = vec![HashMap::new(); count + 1];
    by_drawn[0].insert(0, 1.0);
    for (at, (value, times)) in different.iter().enumerate() {
        let last = at + 1 == different.len();
        let mut next: Vec<HashMap<i128, f64>> = vec![HashMap::new(); count + 1];
        for (drawn, sums) in by_drawn.iter().enumerate() {
            let least = if last { count - drawn } else { 0 };
            for more in least..=count - drawn {
                let places = choose(count - drawn, more) as f64;
                let ways_each = places * times.powi(i32::try_from(more).unwrap_or(0));
                let added = value * more as i128;
                for (sum, ways) in sums {
                    *next[drawn + more].entry(sum + added).or_default() += ways * ways_each;
                }
                if stored(&next) > most {
                    return None;
                }
            }
        }
        by_drawn = next;
    }
    by_drawn.pop()
}

/// The different values, each with how often it occurs.
fn with_multiplicity(values: &[i128]) -> Vec<(i128, f64)> {
    let mut different: Vec<(i128, f64)> = Vec::new();
    let mut sorted = values.to_vec();
    sorted.sort_unstable();
    for value in sorted {
        match different.last_mut() {
            Some((same, times)) if *same == value => *times += 1.0,
            _ => different.push((value, 1.0)),
        }
    }
    different
}

fn stored<T>(maps: &[HashMap<i128, T>]) -> usize {
    maps.iter().map(HashMap::len).sum()
}

/// Autocorrelation of neighbouring values: `sum c_t c_(t+1) / sum c_t^2`, with c the distance from the
/// mean. `None` for fewer than two values or where all are the same.
pub fn lag1_autocorrelation(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let centred: Vec<f64> = values.iter().map(|value| value - mean).collect();
    let squares: f64 = centred.iter().map(|value| value * value).sum();
    let largest = values
        .iter()
        .fold(0.0_f64, |most, value| most.max(value.abs()));
    // What rounding of the mean leaves of equal values.
    if squares <= (1e-12 * largest).powi(2) * values.len() as f64 {
        return None;
    }
    let products: f64 = centred.windows(2).map(|pair| pair[0] * pair[1]).sum();
    Some(products / squares)
}

/// The rough 95 % band of an autocorrelation around 0 for so many values: `1.96 / sqrt(n)`.
pub fn rough_band(count: usize) -> f64 {
    1.96 / (count as f64).sqrt()
}
