//! What a region buys at a price for the first units and one for those beyond.

use super::ahead::Ends;
use super::price::SCALE;
use super::problem::{FULL_DOSE, HALF_DOSE};

/// The best end for a region without a dose: its points and its dose. Of equal ones that nearest to a
/// wish. `None` when there is no end at all.
///
/// Worth and price both change at half a dose and are straight elsewhere, so that only the least and the
/// greatest end on either side of it can be best, or any end where the two are equal.
pub(super) fn bargain(weight: i32, price: [i32; 2], ends: Ends, wish: i32) -> Option<(i32, i32)> {
    let slopes = slopes(weight, price);
    let halves = [
        ends & up_to(HALF_DOSE),
        ends & !up_to(HALF_DOSE) | ends & 1 << HALF_DOSE,
    ];
    let mut best: Option<(i32, i32)> = None;
    for (half, slope) in halves.into_iter().zip(slopes) {
        if half == 0 {
            continue;
        }
        let dose = match slope {
            0 => nearest(half, wish),
            1.. => half.ilog2() as i32,
            _ => half.trailing_zeros() as i32,
        };
        let points = points(slopes, dose);
        let is_better = best.is_none_or(|(most, other)| {
            let nearer = (dose - wish).abs() < (other - wish).abs();
            points > most || points == most && nearer
        });
        if is_better {
            best = Some((points, dose));
        }
    }
    best
}

/// The ends that bring a region at least so many points.
pub(super) fn ends_of_at_least(weight: i32, price: [i32; 2], least: i32) -> Ends {
    let slopes = slopes(weight, price);
    (0..=FULL_DOSE)
        .filter(|dose| points(slopes, *dose as i32) >= least)
        .fold(0, |ends, dose| ends | 1 << dose)
}

/// What a unit brings more than it costs, up to half a dose and beyond.
fn slopes(weight: i32, price: [i32; 2]) -> [i32; 2] {
    [2 * SCALE * weight - price[0], SCALE * weight - price[1]]
}

fn points(slopes: [i32; 2], dose: i32) -> i32 {
    let first = dose.min(HALF_DOSE as i32);
    slopes[0] * first + slopes[1] * (dose - first)
}

/// The bits up to one.
fn up_to(bit: usize) -> Ends {
    (2 << bit) - 1
}

/// The end nearest to a wish, the lower one of two.
fn nearest(ends: Ends, wish: i32) -> i32 {
    let wish = wish.clamp(0, FULL_DOSE as i32);
    let low = ends & up_to(wish as usize);
    let high = ends & !up_to(wish as usize);
    if low == 0 {
        return high.trailing_zeros() as i32;
    }
    let low = low.ilog2() as i32;
    let next = high.trailing_zeros() as i32;
    if high == 0 || wish - low <= next - wish {
        low
    } else {
        next
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::problem::points as worth;
    use super::*;

    proptest! {
        #[test]
        fn no_end_is_better_and_none_as_good_is_nearer(
            weight in 0_i32..50,
            price in (0_i32..6400, 0_i32..6400),
            ends in 0_u64..1 << (FULL_DOSE + 1),
            is_worth in any::<(bool, bool)>(),
            wish in 0_i32..80,
        ) {
            // Prices at which every dose brings the same are common: they are where tuning starts.
            let first = if is_worth.0 { 2 * SCALE * weight } else { price.0 };
            let beyond = if is_worth.1 { SCALE * weight } else { price.1 };
            let brings = |dose: usize| {
                let half = dose.min(HALF_DOSE) as i32;
                SCALE * worth(weight, dose) - first * half - beyond * (dose as i32 - half)
            };
            let possible = (0..=FULL_DOSE).filter(|dose| ends >> dose & 1 != 0);
            let best = possible
                .map(|dose| (brings(dose), -(dose as i32 - wish).abs()))
                .max();
            let found = bargain(weight, [first, beyond], ends, wish);
            prop_assert_eq!(found.map(|(points, dose)| (points, -(dose - wish).abs())), best);
            if let Some((points, dose)) = found {
                prop_assert!(ends >> dose & 1 != 0);
                let at_least = ends_of_at_least(weight, [first, beyond], points);
                for dose in 0..=FULL_DOSE {
                    prop_assert_eq!(at_least >> dose & 1 != 0, brings(dose) >= points);
                }
            }
        }
    }
}
