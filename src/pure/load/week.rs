//! Seven days: sum, monotony, strain; and a week against the weeks before it.

/// Seven days of load. What needs all seven days is `None` while one is unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Week {
    /// Sum of the known days, AU.
    pub known_load: f64,
    /// How many days are known.
    pub known_days: usize,
    /// Sum of all seven days, AU.
    pub load: Option<f64>,
    /// A seventh of it.
    pub mean: Option<f64>,
    /// Population standard deviation of the seven days, AU.
    pub spread: Option<f64>,
    /// `mean / spread`; `None` also where all seven days are equal. An explained extra, without a
    /// threshold: with five equal training days and two rest days it can never exceed 1.581.
    pub monotony: Option<f64>,
    /// `load x monotony`, AU.
    pub strain: Option<f64>,
}

/// Sum, monotony and strain of seven days (Foster C 1998). Rest days are days with load 0.
///
/// The abstract says "standard deviation" only; we take that of the population, which is also what the
/// published numbers of an open data set with 24,483 person-days follow (Midoglu C et al. 2024).
pub fn week(days: &[Option<f64>; 7]) -> Week {
    let known: Vec<f64> = days.iter().copied().flatten().collect();
    let known_load = total(known.iter().copied());
    let load = (known.len() == days.len()).then_some(known_load);
    let mean = load.map(|load| load / 7.0);
    let spread = mean.map(|mean| population_spread(&known, mean));
    let monotony = mean
        .zip(spread)
        .and_then(|(mean, spread)| (spread > 0.0).then(|| mean / spread));
    Week {
        known_load,
        known_days: known.len(),
        load,
        mean,
        spread,
        monotony,
        strain: load.zip(monotony).map(|(load, monotony)| load * monotony),
    }
}

/// A sum that is 0 where there is nothing to add. The standard library's sum of no floats is -0.0, which
/// would be printed so.
pub fn total(loads: impl IntoIterator<Item = f64>) -> f64 {
    loads.into_iter().fold(0.0, |sum, load| sum + load)
}

fn population_spread(values: &[f64], mean: f64) -> f64 {
    // Equal values have no spread, even where their mean is rounded.
    if values.windows(2).all(|pair| pair[0] == pair[1]) {
        return 0.0;
    }
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (squares / values.len() as f64).sqrt()
}

/// The highest monotony that `training_days` equal days and rest on the others can reach; nothing for
/// seven, where there is no spread. Moving days around within the week never changes monotony.
pub fn max_monotony(training_days: u32) -> Option<f64> {
    (training_days < 7).then(|| (f64::from(training_days) / f64::from(7 - training_days)).sqrt())
}

/// A week against the weeks before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Mean load of the earlier weeks, AU.
    pub usual: f64,
    /// `this week / usual - 1`.
    pub fraction: f64,
    /// How many earlier weeks went into it, 3 or 4.
    pub weeks: usize,
}

impl Change {
    /// The one sentence about it.
    pub fn sentence(&self) -> String {
        let percent = (self.fraction * 100.0).round();
        let weeks = if self.weeks == 4 { "four" } else { "three" };
        if percent == 0.0 {
            format!("This week's load is the average of your last {weeks} full weeks.")
        } else {
            let side = if percent > 0.0 { "above" } else { "below" };
            format!(
                "This week's load is {} % {side} the average of your last {weeks} full weeks.",
                percent.abs()
            )
        }
    }
}

/// This week, the last entry, against the mean of up to four weeks before it. Weeks with unknown days are
/// `None` and do not count; fewer than three earlier full weeks, or weeks without any load, say nothing.
pub fn change_from_usual(weeks_oldest_first: &[Option<f64>]) -> Option<Change> {
    let (this, earlier) = weeks_oldest_first.split_last()?;
    let this = (*this)?;
    let last_four = &earlier[earlier.len().saturating_sub(4)..];
    let full: Vec<f64> = last_four.iter().copied().flatten().collect();
    if full.len() < 3 {
        return None;
    }
    let usual = full.iter().sum::<f64>() / full.len() as f64;
    (usual > 0.0).then(|| Change {
        usual,
        fraction: this / usual - 1.0,
        weeks: full.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_known_is_printed_as_nought() {
        assert_eq!(format!("{:.0}", week(&[None; 7]).known_load), "0");
    }

    #[test]
    fn equal_days_have_no_monotony_even_where_the_mean_is_rounded() {
        let found = week(&[Some(0.1); 7]);
        assert_eq!(found.spread, Some(0.0));
        assert_eq!(found.monotony, None);
        assert_eq!(found.strain, None);
    }

    #[test]
    fn the_sentence_says_which_side_and_how_much() {
        let weeks = [940.0, 990.0, 1050.0, 620.0, 1320.0].map(Some);
        assert_eq!(
            change_from_usual(&weeks).expect("enough weeks").sentence(),
            "This week's load is 47 % above the average of your last four full weeks."
        );
        assert_eq!(
            change_from_usual(&weeks[..4])
                .expect("three earlier weeks")
                .sentence(),
            "This week's load is 38 % below the average of your last three full weeks."
        );
        assert_eq!(change_from_usual(&weeks[..3]), None);
        assert_eq!(change_from_usual(&[Some(0.0); 5]), None);
        assert_eq!(change_from_usual(&[]), None);
    }
}
