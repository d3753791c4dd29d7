//! What the tests share: running the program as its user would.

pub mod bus;
pub mod chance;
pub mod service;
pub mod typed;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;

use tempfile::TempDir;

/// The program: the one built along, or the one that `EVENFALL_PROGRAM` names.
pub fn program() -> PathBuf {
    let named = std::env::var_os("EVENFALL_PROGRAM").map(PathBuf::from);
    named.unwrap_or_else(|| PathBuf::from(env!("CARGO_BIN_EXE_evenfall")))
}

/// A home of its own for one test, removed at the end.
pub struct Home {
    folder: TempDir,
}

impl Home {
    /// An empty home.
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().expect("temporary folder"),
        }
    }

    /// Its folder.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Writes a file of the person.
    pub fn write(&self, name: &str, text: &str) -> &Self {
        let path = self.path().join(name);
        std::fs::create_dir_all(path.parent().expect("parent")).expect("folder");
        std::fs::write(path, text).expect("write");
        self
    }

    /// The program on this home, at a given moment (`at` as `--at` takes it; empty = the real clock).
    pub fn command(&self, at: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(program());
        command.arg("--home").arg(self.path());
        if !at.is_empty() {
            command.args(["--at", at]);
        }
        command
            .args(arguments)
            .env_remove("EVENFALL_HOME")
            .env("TZ", "UTC");
        command
    }

    /// Runs it to its end.
    pub fn run(&self, at: &str, arguments: &[&str]) -> Said {
        Said::of(
            self.command(at, arguments)
                .output()
                .expect("the program starts"),
        )
    }

    /// Runs it to its end; it has to succeed.
    pub fn done(&self, at: &str, arguments: &[&str]) -> Said {
        let said = self.run(at, arguments);
        assert_eq!(said.code, 0, "{arguments:?} failed: {}", said.err);
        said
    }

    /// Runs it with `--json` and reads what it printed; it has to succeed.
    pub fn json(&self, at: &str, arguments: &[&str]) -> serde_json::Value {
        let mut all = vec!["--json"];
        all.extend(arguments);
        let said = self.done(at, &all);
        serde_json::from_str(&said.out)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {}", said.out))
    }
}

/// What a run of the program said.
#[derive(Debug)]
pub struct Said {
    /// Exit status.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Said {
    fn of(output: Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).expect("text on standard output"),
            err: String::from_utf8(output.stderr).expect("text on standard error"),
        }
    }
}

/// Waits until `look` gives something; fails after a generous time with what was waited for.
pub fn eventually<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let begun = std::time::Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(30),
            "waited in vain for {what}"
        );
        std::thread::sleep(Duration::from_millis(10));
    }
}

/// Says that a test could not be made and what would make it possible. It goes past the test runner, which
/// keeps to itself what a passing test prints.
pub fn not_tested(what: &str, how: &str) {
    use std::io::Write;
    let line = format!("NOT TESTED: {what}. {how}, or run tests/run, which does it.\n");
    std::io::stderr()
        .write_all(line.as_bytes())
        .expect("standard error");
}
