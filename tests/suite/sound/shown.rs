//! Small programs put in the place of a player, and waiting for what they do.

use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::time::{Duration, Instant};

/// Writes a shell program.
pub fn program(path: &Path, text: &str) {
    std::fs::write(path, format!("#!/bin/sh\n{text}")).expect("program");
    let mode = std::fs::Permissions::from_mode(0o700);
    std::fs::set_permissions(path, mode).expect("mode");
}

/// Waits for a condition, at most ten seconds.
pub fn eventually(what: &str, mut condition: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !condition() {
        assert!(
            begun.elapsed() < Duration::from_secs(10),
            "waited in vain for {what}"
        );
        std::thread::sleep(Duration::from_millis(10));
    }
}
