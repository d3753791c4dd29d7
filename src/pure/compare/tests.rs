use proptest::prelude::*;

use super::exact::*;
use super::*;

fn night(text: &str) -> Night {
    Night(text.parse().expect("date"))
}

/// Every arrangement of signs, one by one.
fn enumerated_pairs(differences: &[f64]) -> (u128, u128) {
    let count = differences.len();
    let seen = differences.iter().sum::<f64>().abs() / count as f64;
    let extreme = (0_u32..1 << count)
        .filter(|signs| {
            let sum: f64 = differences
                .iter()
                .enumerate()
                .map(|(at, difference)| {
                    if signs >> at & 1 == 1 {
                        -difference
                    } else {
                        *difference
                    }
                })
                .sum();
            sum.abs() / count as f64 >= seen - 1e-9
        })
        .count();
    (1 << count, extreme as u128)
}

/// Every resample, one by one; gives the means, sorted.
fn enumerated_resamples(values: &[f64]) -> Vec<f64> {
    let count = values.len();
    let mut means: Vec<f64> = (0..count.pow(count as u32))
        .map(|resample| {
            let mut rest = resample;
            let mut sum = 0.0;
            for _ in 0..count {
                sum += values[rest % count];
                rest /= count;
            }
            sum / count as f64
        })
        .collect();
    means.sort_by(f64::total_cmp);
    means
}

fn quantile(sorted: &[f64], permille: usize) -> f64 {
    // The least value whose cumulative share reaches the quantile.
    sorted[(sorted.len() * permille).div_ceil(1000) - 1]
}

#[test]
fn the_order_of_nights_lies_on_the_calendar() {
    // 2026-01-07 is a Wednesday.
    let bits = [false, true, true, false];
    let pairs = draw("2026-01-06".parse().expect("date"), &bits);
    let firsts: Vec<String> = pairs
        .iter()
        .map(|pair| pair.first_night.to_string())
        .collect();
    assert_eq!(
        firsts,
        ["2026-01-07", "2026-01-09", "2026-01-12", "2026-01-14"]
    );
    let letters: String = (7..=15)
        .map(|day| {
            let night = night(&format!("2026-01-{day:02}"));
            arm_on(&pairs, night).map_or('-', Arm::letter)
        })
        .collect();
    assert_eq!(letters, "ABBA-BAAB");
    assert_eq!(last_night(&pairs), Some(night("2026-01-15")));
    assert_eq!(length_days(&pairs), 9);
    let in_order: Vec<Arm> = letters
        .chars()
        .filter(|letter| *letter != '-')
        .map(|letter| if letter == 'A' { Arm::A } else { Arm::B })
        .collect();
    assert_eq!(schedule(&bits), in_order);
    assert_eq!((last_night(&[]), length_days(&[])), (None, 0));
}

#[test]
fn a_pair_with_a_night_missing_is_dropped_and_counted() {
    let pairs = draw("2026-01-05".parse().expect("date"), &[true, false, false]);
    let gathered = gather(&pairs, |night| {
        use chrono::Datelike;
        let day = night.evening().day();
        (day != 8).then_some(f64::from(day))
    });
    assert_eq!(gathered.pairs, [(6.0, 5.0), (9.0, 10.0)]);
    assert_eq!(gathered.dropped, 1);
    assert_eq!(gathered.in_order, [5.0, 6.0, 7.0, 9.0, 10.0]);
    let found = result(Outcome::Freshness, &gathered).expect("two pairs");
    assert_eq!(found.test.mean_difference, 0.0);
    let said = found.sentences("slow", "even");
    assert_eq!(
        said,
        [
            "In your 2 pairs there was no difference on average between slow and even.",
            "The mean difference is 0, with an exact interval at 95 % of -1 to 1.",
            "1 pair was left out because a night has no record.",
            "So few pairs can never appear in fewer than 50 of 100 shuffles.",
        ]
    );
}

#[test]
fn the_result_says_what_was_recorded() {
    let a = [12.0, 15.0, 10.0, 18.0, 11.0, 14.0];
    let b = [20.0, 16.0, 22.0, 19.0, 25.0, 19.0];
    let gathered = Gathered {
        pairs: a.into_iter().zip(b).collect(),
        ..Gathered::default()
    };
    let said = |outcome| {
        let found = result(outcome, &gathered).expect("pairs");
        found
            .sentences("the long evening", "the short one")
            .remove(0)
    };
    assert_eq!(
        said(Outcome::MinutesToFallAsleep),
        "In your 6 pairs the long evening was followed by 6.8 fewer minutes to fall asleep than the short one; a difference this large would appear in 3 of 100 shuffles if the routines did not matter."
    );
    assert!(said(Outcome::SleepQuality).contains("sleep quality rated 6.8 lower"));
    assert_eq!(result(Outcome::Freshness, &Gathered::default()), None);
    assert_eq!(
        too_few_text(5),
        "With 5 pairs of nights even the clearest outcome would appear in 6 of 100 shuffles if the routines did not matter. Plan at least 6 pairs, 12 nights."
    );
    for outcome in Outcome::ALL {
        assert_eq!(Outcome::from_id(outcome.id()), Some(outcome));
    }
    assert_eq!(Outcome::from_id("speed"), None);
}

#[test]
fn values_no_exact_test_can_be_done_on_give_none() {
    assert_eq!(paired_test(&[]), None);
    assert_eq!(paired_test(&[(f64::NAN, 1.0)]), None);
    assert_eq!(paired_test(&[(f64::INFINITY, 1.0)]), None);
    assert_eq!(paired_test(&[(1.0, 2.0); 101]), None);
    assert_eq!(split_test(&[], &[1.0]), None);
    assert_eq!(split_test(&[1.0], &[]), None);
    assert_eq!(bootstrap_interval(&[], 95), None);
    assert_eq!(bootstrap_interval(&[f64::NAN], 95), None);
    assert_eq!(bootstrap_interval(&[1.0], 101), None);
}

#[test]
fn too_many_different_sums_are_given_up() {
    // 40 values that share no step.
    let unlike: Vec<i128> = (1..=40_u32)
        .map(|at| (f64::from(at).sqrt() * 1e9) as i128)
        .collect();
    assert_eq!(sums_of_signs(&unlike, 3000), None);
    assert_eq!(sums_of_chosen(&unlike, 20, 3000), None);
    assert_eq!(resampled_sums(&unlike, 3000), None);
    assert_eq!(
        sums_of_signs(&unlike[..8], 3000).map(|sums| sums.len()),
        Some(256)
    );
    assert_eq!(
        sums_of_chosen(&unlike[..8], 4, 3000).map(|sums| sums.len()),
        Some(70)
    );
    assert_eq!(
        resampled_sums(&unlike[..4], 3000).map(|sums| sums.len()),
        Some(35)
    );
}

#[test]
fn many_pairs_of_whole_minutes_are_still_exact() {
    let pairs: Vec<(f64, f64)> = (0..60).map(|at| (f64::from(at % 7), 0.0)).collect();
    let found = paired_test(&pairs).expect("exact");
    assert_eq!(found.arrangements, 1 << 60);
    // Only all plus and all minus, and the signs of the nine pairs without a difference are free.
    assert_eq!(found.at_least_as_extreme, 2 << 9);
    let differences: Vec<f64> = pairs.iter().map(|(a, _)| *a).collect();
    let interval = bootstrap_interval(&differences, 95).expect("exact");
    assert!(interval.lower < interval.mean && interval.mean < interval.upper);
    // Close to the normal approximation of the same mean, 1.96 standard errors either way.
    let variance = differences
        .iter()
        .map(|d| (d - interval.mean).powi(2))
        .sum::<f64>()
        / 60.0;
    let reach = 1.96 * (variance / 60.0).sqrt();
    assert!((interval.upper - interval.mean - reach).abs() < 0.05);
    assert!((interval.mean - interval.lower - reach).abs() < 0.05);
}

fn ratings(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(
        (-40_i32..40).prop_map(|tenth| f64::from(tenth) / 10.0),
        count,
    )
}

proptest! {
    #[test]
    fn counting_by_sums_is_the_same_as_listing(differences in ratings(1..11)) {
        let pairs: Vec<(f64, f64)> = differences.iter().map(|d| (*d, 0.0)).collect();
        let found = paired_test(&pairs).expect("exact");
        prop_assert_eq!((found.arrangements, found.at_least_as_extreme), enumerated_pairs(&differences));
    }

    #[test]
    fn any_real_differences_too(differences in prop::collection::vec(-60.0..60.0_f64, 1..11)) {
        let pairs: Vec<(f64, f64)> = differences.iter().map(|d| (*d, 0.0)).collect();
        let found = paired_test(&pairs).expect("exact");
        prop_assert_eq!((found.arrangements, found.at_least_as_extreme), enumerated_pairs(&differences));
    }

    #[test]
    fn the_interval_is_the_same_as_from_a_list_of_all_resamples(values in ratings(1..6)) {
        let all = enumerated_resamples(&values);
        let found = bootstrap_interval(&values, 95).expect("exact");
        prop_assert!((found.lower - quantile(&all, 25)).abs() < 1e-9);
        prop_assert!((found.upper - quantile(&all, 975)).abs() < 1e-9);
        let wide = bootstrap_interval(&values, 100).expect("exact");
        prop_assert!((wide.upper - all[all.len() - 1]).abs() < 1e-9);
    }

    #[test]
    fn swapping_the_arms_turns_the_sign_only(a in ratings(3..7), b in ratings(3..7)) {
        let (one, other) = (split_test(&a, &b).expect("exact"), split_test(&b, &a).expect("exact"));
        prop_assert_eq!(one.at_least_as_extreme, other.at_least_as_extreme);
        prop_assert!((one.difference + other.difference).abs() < 1e-12);
        prop_assert!(one.p > 0.0 && one.p <= 1.0);
    }

    /// A share is never under what so many pairs can give, and two nights never under a half.
    #[test]
    fn no_share_is_under_the_smallest(differences in ratings(1..13)) {
        let pairs: Vec<(f64, f64)> = differences.iter().map(|d| (0.0, *d)).collect();
        let found = paired_test(&pairs).expect("exact");
        prop_assert!(found.p >= smallest_p_of_pairs(pairs.len()));
    }
}

// The first numbers of SplitMix64 from 0, from memory: e220a8397b1dcdaf, 6e789e6aa1b965f4,
// 06c45d188009454f, f88bb8a8724c81ec, 1b39896a51a8749b.
#[test]
fn a_seed_gives_the_highest_bits_of_its_sequence() {
    assert_eq!(bits_from_seed(0, 5), [true, false, false, true, false]);
    let many = bits_from_seed(2026, 10_000);
    let swapped = many.iter().filter(|bit| **bit).count();
    // Four standard deviations around a half.
    assert!((4800..=5200).contains(&swapped), "{swapped}");
}
