//! The composer beside a general mixed-integer solver, on the same questions.

use std::collections::BTreeMap;
use std::io::Write;
use std::process::Stdio;
use std::time::Instant;

use evenfall::pure::region::Region;
use evenfall::pure::routine::compose::{Request, compose};
use evenfall::pure::routine::{Library, Pattern, Position, Stretch};
use serde_json::{Value, json};

use super::figures::{Times, head};
use super::peers;
use super::years::Spread;

const COUNTS: [usize; 4] = [12, 48, 100, 200];
const MINUTES: [u32; 4] = [3, 5, 10, 30];

/// How many evenings of each kind; `EVENFALL_EVENINGS` changes it.
fn evenings() -> usize {
    super::setting("EVENFALL_EVENINGS", 20)
}

/// Prints the tables.
pub fn run() {
    let library = Library::shipped();
    let pattern = &library.patterns["longer_out_4_6"];
    let shipped: Vec<Stretch> = library.stretches.values().cloned().collect();
    println!(
        "Shipped stretches: {}. Each kind of evening {} times.\n",
        shipped.len(),
        evenings()
    );
    println!(
        "| stretches | minutes | evenfall p50 ms | max ms | solver p50 ms | max ms | solver / evenfall | proven | greatest difference, points |"
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    for count in COUNTS {
        for minutes in MINUTES {
            kind(&shipped, count, minutes, pattern);
        }
    }
    println!();
    head("the shipped library, 10 minutes, every evening of a year");
    year(&shipped, pattern);
}

/// One kind of evening, by both.
fn kind(shipped: &[Stretch], count: usize, minutes: u32, pattern: &Pattern) {
    let mut spread = Spread(count as u64 * 1000 + u64::from(minutes));
    let (mut ours, mut theirs) = (Times::default(), Times::default());
    let (mut questions, mut values, mut proven) = (Vec::new(), Vec::new(), 0);
    for _ in 0..evenings() {
        let stretches = library_of(shipped, count, &mut spread);
        let request = request(minutes * 60, &stretches, &mut spread);
        let begun = Instant::now();
        let composition = compose(&request, &stretches, pattern);
        ours.add(begun.elapsed());
        proven += usize::from(composition.proven);
        values.push(composition.value as f64);
        questions.push(question(&request, &stretches, pattern));
    }
    let (mut apart, mut solver) = (0.0_f64, "not installed".to_owned());
    if let Some(answers) = solved(&questions) {
        for (answer, value) in answers.iter().zip(&values) {
            theirs.add_ms(answer["seconds"].as_f64().expect("seconds") * 1000.0);
            apart = apart.max((answer["value"].as_f64().expect("value") - value).abs());
        }
        assert!(
            apart < 1e-6 || proven < evenings(),
            "{count} stretches, {minutes} min: {apart} points apart"
        );
        solver = format!(
            "{:.2} | {:.1} | {:.0}",
            theirs.quantile(0.5),
            theirs.quantile(1.0),
            theirs.quantile(0.5) / ours.quantile(0.5)
        );
    } else {
        solver.push_str(" | |");
    }
    println!(
        "| {count} | {minutes} | {:.3} | {:.2} | {solver} | {proven} of {} | {apart:.0} |",
        ours.quantile(0.5),
        ours.quantile(1.0),
        evenings()
    );
}

fn year(shipped: &[Stretch], pattern: &Pattern) {
    let mut spread = Spread(400);
    let mut times = Times::default();
    for _ in 0..400 {
        let request = request(600, shipped, &mut spread);
        let begun = Instant::now();
        let composition = compose(&request, shipped, pattern);
        times.add(begun.elapsed());
        assert!(composition.proven, "{request:?}");
    }
    times.row("400 evenings", None);
    println!("\nOver 5 ms: {} of 400.", times.above(5.0));
}

/// The shipped stretches, fewer of them, or more with made-up ones of the same kind.
fn library_of(shipped: &[Stretch], count: usize, spread: &mut Spread) -> Vec<Stretch> {
    let mut all = shipped.to_vec();
    while all.len() > count {
        all.remove(spread.below(all.len() as u64) as usize);
    }
    while all.len() < count {
        let mut made = shipped[spread.below(shipped.len() as u64) as usize].clone();
        made.id = format!("made_{}", all.len());
        made.position = Position::ALL[spread.below(4) as usize].1;
        made.two_sided = spread.below(2) == 0;
        let shortest = 15 + 5 * spread.below(3) as u32;
        made.hold_s = (shortest, shortest + 5 * spread.below(7) as u32);
        made.regions = (0..=spread.below(3)).map(|_| region(spread)).collect();
        all.push(made);
    }
    all
}

fn region(spread: &mut Spread) -> (Region, u8) {
    let region = Region::ALL[spread.below(Region::ALL.len() as u64) as usize].1;
    (region, 1 + spread.below(3) as u8)
}

fn request(seconds: u32, stretches: &[Stretch], spread: &mut Spread) -> Request {
    let trained = (0..spread.below(6)).map(|_| region(spread)).collect();
    let soreness = (0..spread.below(3))
        .map(|_| (region(spread).0, spread.below(5) as u8))
        .collect();
    let recent = (0..spread.below(8))
        .map(|_| {
            let at = spread.below(stretches.len() as u64) as usize;
            (stretches[at].id.clone(), 1 + spread.below(2) as u8)
        })
        .collect();
    Request {
        trained,
        soreness,
        recent,
        seconds,
        ..Request::default()
    }
}

/// The question in numbers, from what the doc comment of `pure::routine::compose` says and nothing else.
fn question(request: &Request, stretches: &[Stretch], pattern: &Pattern) -> Value {
    let sore = |region: &Region| request.soreness.get(region).copied().unwrap_or(0);
    let rest = request.trained.is_empty();
    let weights: BTreeMap<Region, i64> = Region::ALL
        .iter()
        .map(|(_, region)| {
            let weight = match request.trained.get(region) {
                Some(emphasis) => 16 * i64::from(*emphasis),
                None if rest => 16,
                None => 4,
            };
            (*region, weight / [1, 1, 1, 2, 4][usize::from(sore(region))])
        })
        .collect();
    // Two minutes of breathing at least, in whole breaths; the rest in units of 5 s.
    let breathing = 120_000_u64.next_multiple_of(u64::from(pattern.cycle_ms()));
    let time = (u64::from(request.seconds) * 1000).saturating_sub(breathing) / 5000;
    let time = if request.seconds <= 180 { 0 } else { time };
    let candidates: Vec<Value> = stretches
        .iter()
        .map(|stretch| {
            let most_sore = stretch.regions.keys().map(sore).max().unwrap_or(0);
            let shortest = stretch.hold_s.0.max(15).next_multiple_of(5);
            let longest = match most_sore {
                3.. => shortest,
                2 => shortest.max(30),
                _ if rest => shortest.max(30),
                _ => 60,
            };
            let holds: Vec<[i64; 3]> = (shortest..=longest.min(stretch.hold_s.1).min(60))
                .step_by(5)
                .map(|seconds| hold(request, stretch, &weights, i64::from(seconds / 5)))
                .collect();
            let regions: Vec<(usize, u8)> = stretch
                .regions
                .iter()
                .map(|(region, emphasis)| (*region as usize, *emphasis))
                .collect();
            json!({ "position": stretch.position as usize, "regions": regions, "holds": holds })
        })
        .collect();
    let weights: Vec<i64> = Region::ALL
        .iter()
        .map(|(_, region)| weights[region])
        .collect();
    json!({ "time": time, "half": 18, "full": 36, "weights": weights, "candidates": candidates })
}

/// Length, time and cost of a hold.
fn hold(
    request: &Request,
    stretch: &Stretch,
    weights: &BTreeMap<Region, i64>,
    units: i64,
) -> [i64; 3] {
    let sides = if stretch.two_sided { 2 } else { 1 };
    let alone: i64 = stretch
        .regions
        .iter()
        .map(|(region, emphasis)| {
            let dose = (i64::from(*emphasis) * units).min(36);
            weights[region] * (dose + dose.min(18))
        })
        .sum();
    let repeated = match request.recent.get(&stretch.id) {
        Some(1) => alone / 4,
        Some(_) => alone / 8,
        None => 0,
    };
    let time = sides * (units + 1);
    [units, time, 40 + time + repeated]
}

/// What the solver says to each, or nothing where it is not installed.
fn solved(questions: &[Value]) -> Option<Vec<Value>> {
    let mut solver = peers::python("composer.py")?
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .ok()?;
    let lines: Vec<String> = questions
        .iter()
        .map(|question| format!("{question}\n"))
        .collect();
    let mut input = solver.stdin.take()?;
    let writing = std::thread::spawn(move || {
        lines
            .iter()
            .try_for_each(|line| input.write_all(line.as_bytes()))
    });
    let said = solver.wait_with_output().ok()?;
    writing.join().ok()?.ok()?;
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    let answers: Vec<Value> = text
        .lines()
        .filter_map(|line| serde_json::from_str(line).ok())
        .collect();
    (answers.len() == questions.len()).then_some(answers)
}
