//! Measures the whole process beside its peers and prints tables in Markdown.
//!
//! `cargo bench --bench process -- PART...` with parts idle, punctual, pacing, commands; all without
//! any. Each part runs its peers in the same run; a peer that is not installed is named as such.

#[path = "../../suite/support/mod.rs"]
#[allow(dead_code)]
mod support;

mod commands;
mod figures;
mod idle;
mod pacing;
mod punctual;

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with('-'))
        .collect();
    let parts: [(&str, fn()); 4] = [
        ("idle", idle::run),
        ("punctual", punctual::run),
        ("pacing", pacing::run),
        ("commands", commands::run),
    ];
    for (name, part) in parts {
        if wanted.is_empty() || wanted.iter().any(|word| word == name) {
            println!("\n### {name}\n");
            part();
        }
    }
}
