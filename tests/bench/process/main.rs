//! The whole program and its peers, side by side in one run: `cargo bench --bench process -- PART…`
//!
//! Parts: those of [`PARTS`]; none named means all. `tests/bench/install` installs the peers; a peer that
//! is missing is said to be. packaging/doc/benchmarks.md holds the figures and what they mean.

#[path = "../../suite/support/mod.rs"]
#[allow(dead_code)]
mod support;

mod commands;
mod composer;
mod figures;
mod idle;
mod pacing;
mod peers;
mod punctual;
mod rates;
mod readiness;
mod requests;
mod simulated;
mod years;

/// Every part.
const PARTS: [(&str, fn()); 9] = [
    ("idle", idle::run),
    ("punctual", punctual::quiet),
    ("punctual_busy", punctual::busy),
    ("pacing", pacing::run),
    ("commands", commands::run),
    ("readiness", readiness::run),
    ("composer", composer::run),
    ("rates", rates::run),
    ("requests", requests::run),
];

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with('-'))
        .collect();
    for (name, part) in PARTS {
        if wanted.is_empty() || wanted.iter().any(|word| word == name) {
            println!("\n### {name}\n");
            part();
        }
    }
}

/// A whole number from the environment, or the usual one.
fn setting<N: std::str::FromStr>(name: &str, usual: N) -> N {
    let given = std::env::var(name).ok();
    given.and_then(|text| text.parse().ok()).unwrap_or(usual)
}
