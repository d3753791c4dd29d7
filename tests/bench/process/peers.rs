//! What evenfall is measured beside: found where `tests/bench/install` put it, said where it is missing.

use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

/// A child that is killed when dropped.
pub struct Ended(pub Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Whether a program is installed.
pub fn installed(program: &str) -> bool {
    let found = Command::new("sh")
        .args(["-c", &format!("command -v {program}")])
        .output();
    found.is_ok_and(|output| output.status.success())
}

/// The folder of the benches.
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/bench")
}

/// A script of `tests/bench/peers` with the Python that has what it needs.
pub fn python(script: &str) -> Option<Command> {
    let tools = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/target/tools/bench-python/bin/python"
    );
    let python = std::env::var_os("EVENFALL_BENCH_PYTHON")
        .map_or_else(|| PathBuf::from(tools), PathBuf::from);
    python.exists().then(|| {
        let mut command = Command::new(python);
        command.arg(folder().join("peers").join(script));
        command
    })
}

/// A loop that keeps one processor busy.
pub fn busy() -> Ended {
    let child = Command::new("sh")
        .args(["-c", "while :; do :; done"])
        .stdout(Stdio::null())
        .spawn();
    Ended(child.expect("a shell"))
}
