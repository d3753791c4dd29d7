//! The border: `src/pure` reads no clock, does no input or output, and does not know the shell.

use std::fs;
use std::path::{Path, PathBuf};

/// Words that have no business in the core. Doc comments are not read: they may explain.
const FORBIDDEN: &[&str] = &[
    "crate::shell",
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::thread",
    "std::io",
    "std::time::Instant",
    "SystemTime",
    "Utc::now",
    "Local::now",
    "Timestamp::now",
    "Zoned::now",
    "println!",
    "eprintln!",
    "async fn",
    "tokio",
    "rusqlite",
    "zbus",
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("source folder") {
        let path = entry.expect("entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

fn offences(text: &str) -> Vec<(usize, &'static str)> {
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("//") {
            continue;
        }
        found.extend(
            FORBIDDEN
                .iter()
                .filter(|word| line.contains(**word))
                .map(|word| (number + 1, *word)),
        );
    }
    found
}

#[test]
fn the_core_reads_no_clock_and_knows_no_shell() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/pure");
    let mut files = Vec::new();
    sources(&root, &mut files);
    assert!(
        files.len() > 5,
        "the core has moved: only {} files below {}",
        files.len(),
        root.display()
    );
    let mut said = String::new();
    for file in files {
        for (line, word) in offences(&fs::read_to_string(&file).expect("source")) {
            said.push_str(&format!("{}:{line}: {word}\n", file.display()));
        }
    }
    assert!(said.is_empty(), "the core reaches outside:\n{said}");
}

#[test]
fn the_guard_sees_an_offence() {
    assert_eq!(
        offences("let now = Utc::now();\n// Utc::now is named here only\n"),
        [(1, "Utc::now")]
    );
}
