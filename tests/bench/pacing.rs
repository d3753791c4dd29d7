//! How late the guide's cues are: plays an evening of about MINUTES (first argument, else 1) in plain
//! lines, in real time, and prints the lateness of its cues, from the deadline to the moment the line
//! had been written.
//!
//! `cargo bench --bench pacing -- 10`

use std::time::Instant;

use evenfall::pure::routine::{Library, Routine, Timeline};
use evenfall::shell::guide::{self, GuideWords, Options};

fn main() {
    // Cargo adds `--bench`; only a number is ours.
    let minutes = std::env::args()
        .find_map(|argument| argument.parse::<u32>().ok())
        .unwrap_or(1);
    let library = Library::shipped();
    let pattern = library.patterns["longer_out_4_6"].clone();
    let cycles = minutes * 60_000 / pattern.cycle_ms();
    let routine = Routine {
        id: "pacing".to_owned(),
        steps: Vec::new(),
        pattern,
        cycles,
    };
    let timeline = Timeline::compile(&routine, &library);
    let words = GuideWords::of("Pacing", &routine, &library);

    let options = Options {
        plain: true,
        ..Options::default()
    };
    let begun = Instant::now();
    let played = guide::play_plain(
        &timeline,
        &words,
        &options,
        &mut std::io::sink(),
        &mut |_| {},
    )
    .expect("a sink takes all");
    let took = begun.elapsed();
    let over = took.as_secs_f64() - timeline.total_ms as f64 / 1000.0;
    println!("{}", played.lateness.sentence());
    println!(
        "{:.3} s of cues took {:.4} s: {:.2} ms over",
        timeline.total_ms as f64 / 1000.0,
        took.as_secs_f64(),
        over * 1000.0
    );
    for percent in [50.0, 90.0, 95.0, 99.0, 100.0] {
        println!(
            "p{percent} {} us",
            played.lateness.quantile(percent / 100.0).as_micros()
        );
    }
}
