//! Quantiles and tables.

use std::time::Duration;

/// Milliseconds, sorted when asked for quantiles.
#[derive(Default)]
pub struct Times(Vec<f64>);

impl Times {
    /// Adds a length.
    pub fn add(&mut self, time: Duration) {
        self.add_ms(time.as_secs_f64() * 1000.0);
    }

    /// Adds milliseconds.
    pub fn add_ms(&mut self, ms: f64) {
        self.0.push(ms);
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// How many are above a limit.
    pub fn above(&self, ms: f64) -> usize {
        self.0.iter().filter(|time| **time > ms).count()
    }

    /// The value below which a share of all lies.
    pub fn quantile(&self, share: f64) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort_by(f64::total_cmp);
        let last = sorted.len().saturating_sub(1);
        sorted
            .get((share * last as f64).round() as usize)
            .copied()
            .unwrap_or(f64::NAN)
    }

    /// A row: name, count, p50, p99, max in milliseconds, ratio of p50 to another's.
    pub fn row(&self, name: &str, beside: Option<&Self>) {
        let ratio = beside.map_or(String::new(), |other| {
            format!("{:.2}", self.quantile(0.5) / other.quantile(0.5))
        });
        println!(
            "| {name} | {} | {:.3} | {:.3} | {:.3} | {ratio} |",
            self.count(),
            self.quantile(0.5),
            self.quantile(0.99),
            self.quantile(1.0)
        );
    }
}

/// The head of a table of [`Times::row`].
pub fn head(what: &str) {
    println!("| {what} | n | p50 ms | p99 ms | max ms | p50 ratio |\n|---|---|---|---|---|---|");
}
