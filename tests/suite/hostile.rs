//! Input from others: everything that a person can be handed - settings, blocks, routine files, csv,
//! calendars, archives, requests - changed at random and with intent, hundreds of thousands of times.
//! Nothing may panic, hang, take memory without end, or complain without a place.
//!
//! Each kind is read in a process of its own, so that a stack that overflows or memory that runs out is
//! found too. A failing run prints its seed and leaves the input in `target/hostile`:
//! `EVENFALL_HOSTILE_INPUT=target/hostile/settings-1 cargo test --test suite hostile::settings` repeats it
//! alone. `EVENFALL_HOSTILE_SECONDS=300 EVENFALL_SEED=7` runs longer, and other inputs.

mod archive;
mod change;
mod files;
mod kinds;
mod reading;
mod requests;
mod words;

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use change::Changer;
use kinds::Kind;

/// Processor time that one input may take: a hundred times what is usual, in an unoptimised build.
const MOST_SECONDS: f64 = 5.0;
/// Memory that the process may take for data, octets.
const MOST_MEMORY: u64 = 256 << 20;

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).map_or(usual, |text| text.parse().expect("a number"))
}

/// The folder of inputs that once mattered, or were made to matter.
fn corpus(kind: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/hostile")
        .join(kind);
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("entry").path())
        .collect();
    files.sort();
    files
        .into_iter()
        .map(|path| {
            let name = path.file_name().expect("name").to_string_lossy();
            (name.into_owned(), std::fs::read(&path).expect("corpus"))
        })
        .collect()
}

/// Processor seconds of this thread.
fn used() -> f64 {
    let used = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    used.tv_sec as f64 + used.tv_nsec as f64 / 1e9
}

/// The largest memory this process ever had, in megabytes (proc(5), VmHWM).
fn peak_megabytes() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().split(' ').next()?.parse::<u64>().ok())
        .unwrap_or(0)
        / 1024
}

/// The process that reads: `EVENFALL_HOSTILE_KIND` says what.
#[test]
#[ignore = "the other end of the tests beside it"]
fn reader() {
    let Ok(name) = std::env::var("EVENFALL_HOSTILE_KIND") else {
        return;
    };
    let memory = rustix::process::Rlimit {
        current: Some(MOST_MEMORY),
        maximum: Some(MOST_MEMORY),
    };
    rustix::process::setrlimit(rustix::process::Resource::Data, memory).expect("limit");
    let kind = Kind::of(&name);
    let input = PathBuf::from(std::env::var_os("EVENFALL_HOSTILE_FILE").expect("file"));
    let mut session = Session::new(kind, input);
    if let Some(one) = std::env::var_os("EVENFALL_HOSTILE_INPUT") {
        session.read(&std::fs::read(one).expect("input"));
        return;
    }
    let seconds = number("EVENFALL_HOSTILE_SECONDS", 1) as f64;
    let corpus = corpus(&name);
    for (_, octets) in &corpus {
        session.read(octets);
    }
    for octets in session.kind.grown() {
        session.read(&octets);
    }
    let mut inputs: Vec<Vec<u8>> = corpus.into_iter().map(|(_, octets)| octets).collect();
    for octets in session.kind.good() {
        // What refuses everything would find nothing.
        assert!(session.kind.read(&octets), "a good one is refused");
        inputs.push(octets);
    }
    let mut changer = Changer::new(number("EVENFALL_SEED", 1), inputs, session.kind.words());
    // Counted from here on, and with the making of inputs: reading may take next to nothing.
    let begun = used();
    while used() - begun < seconds {
        session.read(&changer.next());
    }
    println!(
        "HOSTILE {name}: {} inputs, {} of them taken, the slowest in {:.2} s, {} MB at most",
        session.count,
        session.taken,
        session.slowest,
        peak_megabytes()
    );
}

/// What one process did so far.
struct Session {
    kind: Kind,
    input: PathBuf,
    count: u64,
    taken: u64,
    slowest: f64,
}

impl Session {
    fn new(kind: Kind, input: PathBuf) -> Self {
        Self {
            kind,
            input,
            count: 0,
            taken: 0,
            slowest: 0.0,
        }
    }

    fn read(&mut self, octets: &[u8]) {
        // Before it is read: afterwards there may be nobody to tell.
        std::fs::write(&self.input, octets).expect("input kept");
        let begun = used();
        let taken = self.kind.read(octets);
        let seconds = used() - begun;
        assert!(
            seconds < MOST_SECONDS,
            "{seconds:.1} s for {} octets",
            octets.len()
        );
        self.count += 1;
        self.taken += u64::from(taken);
        self.slowest = self.slowest.max(seconds);
    }
}

/// Starts the process for a kind and waits for it; panics with what is needed to repeat a failure.
fn run(kind: &str) {
    let folder = tempfile::tempdir().expect("folder");
    let input = folder.path().join("input");
    let mut child = Command::new(std::env::current_exe().expect("this program"))
        .args(["hostile::reader", "--exact", "--ignored", "--nocapture"])
        .env("EVENFALL_HOSTILE_KIND", kind)
        .env("EVENFALL_HOSTILE_FILE", &input)
        .env("TMPDIR", folder.path())
        .env("RUST_BACKTRACE", "0")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the reader starts");
    let (mut out, mut err) = (
        child.stdout.take().expect("out"),
        child.stderr.take().expect("err"),
    );
    let reading = std::thread::spawn(move || {
        let (mut said, mut errors) = (Vec::new(), Vec::new());
        let _ = out.read_to_end(&mut said);
        let _ = err.read_to_end(&mut errors);
        said.extend(errors);
        String::from_utf8_lossy(&said).into_owned()
    });
    let patience = Duration::from_secs(number("EVENFALL_HOSTILE_SECONDS", 1) * 20 + 240);
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("wait") {
            break Some(status);
        }
        if begun.elapsed() > patience {
            let _ = child.kill();
            let _ = child.wait();
            break None;
        }
        std::thread::sleep(Duration::from_millis(50));
    };
    let said = reading.join().expect("output");
    if status.is_some_and(|status| status.success()) {
        if let Some(line) = said.lines().find_map(|line| line.split("HOSTILE ").nth(1)) {
            println!("{line}");
        }
        return;
    }
    let seed = number("EVENFALL_SEED", 1);
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/hostile");
    std::fs::create_dir_all(&kept).expect("folder");
    let kept = kept.join(format!("{kind}-{seed}"));
    std::fs::copy(&input, &kept).expect("input kept");
    let ended = status.map_or("it hung".to_owned(), |status| status.to_string());
    panic!(
        "{kind}, seed {seed}: {ended}. The input is {}.\n{said}",
        kept.display()
    );
}

/// One test a kind, so that they run beside each other.
macro_rules! kinds {
    ($($kind:ident)*) => { $(
        #[test]
        fn $kind() {
            run(stringify!($kind));
        }
    )* };
}

kinds! { settings block stretch pattern evening mornings sessions shared calendar control stored }
