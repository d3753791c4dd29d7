//! Acute and chronic load, for those who know the numbers from elsewhere.
//!
//! They are computed and not acted on: an identical week repeated for years moves the ratio of the
//! weighted means between 0.75 and 1.15 within every week.

/// How much the newest day counts in the exponentially weighted mean over `days` days: `2 / (days + 1)`
/// (Williams S et al. 2017, Br J Sports Med 51(3):209-210).
pub fn ewma_weight(days: u32) -> f64 {
    2.0 / (f64::from(days) + 1.0)
}

/// The exponentially weighted mean on every day, started with the first day's load (Williams S et al.
/// 2017; the same as pandas' `ewm(span=days, adjust=False)`).
pub fn ewma(daily: &[f64], days: u32) -> Vec<f64> {
    let weight = ewma_weight(days);
    daily
        .iter()
        .scan(None, |mean, load| {
            let next = mean.map_or(*load, |mean: f64| weight * load + (1.0 - weight) * mean);
            *mean = Some(next);
            *mean
        })
        .collect()
}

/// Acute and chronic load on the last day of a series without gaps, AU.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AcuteChronic {
    /// Mean of the last 7 days.
    pub acute: Option<f64>,
    /// Mean of the last 28 days.
    pub chronic: Option<f64>,
    /// `acute / chronic`; both hold the last week, so it can never exceed 4.
    pub ratio: Option<f64>,
    /// Mean of the 21 days before the last 7.
    pub uncoupled: Option<f64>,
    /// `acute / uncoupled`.
    pub ratio_uncoupled: Option<f64>,
    /// Weighted mean over 7 days.
    pub ewma_7: Option<f64>,
    /// Weighted mean over 28 days.
    pub ewma_28: Option<f64>,
    /// Their ratio.
    pub ratio_ewma: Option<f64>,
}

/// Computes all of them. The means need their days; a ratio needs a denominator above 0.
pub fn acute_chronic(daily: &[f64]) -> AcuteChronic {
    let last = |count: usize| {
        daily
            .len()
            .checked_sub(count)
            .map(|from| mean(&daily[from..]))
    };
    let acute = last(7);
    let chronic = last(28);
    let uncoupled = daily
        .len()
        .checked_sub(28)
        .map(|from| mean(&daily[from..daily.len() - 7]));
    let ewma_7 = ewma(daily, 7).last().copied();
    let ewma_28 = ewma(daily, 28).last().copied();
    AcuteChronic {
        acute,
        chronic,
        ratio: ratio(acute, chronic),
        uncoupled,
        ratio_uncoupled: ratio(acute, uncoupled),
        ewma_7,
        ewma_28,
        ratio_ewma: ratio(ewma_7, ewma_28),
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn ratio(part: Option<f64>, whole: Option<f64>) -> Option<f64> {
    part.zip(whole)
        .and_then(|(part, whole)| (whole > 0.0).then(|| part / whole))
}
