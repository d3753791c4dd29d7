//! `compare plan`: fixes what is compared, by what and in how many pairs, and draws the order.

use chrono::NaiveDate;

use super::{Context, Said, as_json, name};
use crate::pure::civil::Night;
use crate::pure::compare::{
    Has, LEAST_PAIRS, Outcome, Planned, bits_from_seed, draw, exact, last_night, length_days,
    shuffles, too_few_text,
};
use crate::pure::complaint::{nearest, one_of};
use crate::pure::routine::breath::pattern_for;
use crate::shell::failure::Failure;
use crate::shell::random;
use crate::shell::store::ComparisonRow;
use crate::shell::world::World;

/// More pairs than this are five weeks and more of nights; the exact test counts on in any case.
const MOST_PAIRS: u32 = 40;

/// What to compare.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The one evening: a written evening or a pattern of the library by id, or none
    #[arg(long, value_name = "ID")]
    a: String,
    /// The other
    #[arg(long, value_name = "ID")]
    b: String,
    /// What is compared, fixed now: minutes_to_fall_asleep, sleep_quality or freshness
    #[arg(long, value_name = "WHAT", value_parser = read_outcome)]
    outcome: Outcome,
    /// Pairs of nights
    #[arg(long, value_name = "N", default_value_t = 6)]
    pairs: u32,
    /// First date from which on nights may be drawn [default: tonight, or tomorrow once its prompt came]
    #[arg(long, value_name = "DATE", value_parser = crate::shell::cli::read_date)]
    from: Option<NaiveDate>,
    /// Draw from this number instead of the machine's randomness, so that the draw can be repeated
    #[arg(long, value_name = "NUMBER")]
    seed: Option<u64>,
}

fn read_outcome(text: &str) -> Result<Outcome, String> {
    let ids = Outcome::ALL.map(Outcome::id);
    Outcome::from_id(text).ok_or_else(|| format!("Write one of {}", one_of(ids)))
}

/// Sets it up.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let tonight = plan.tonight(now);
    let (a, b) = (
        arm(&world, "--a", &arguments.a)?,
        arm(&world, "--b", &arguments.b)?,
    );
    if a == b {
        return Err(Failure::wrong(format!(
            "--a and --b are both {}. Name two evenings that differ, or none for one of them.",
            a.id()
        )));
    }
    let count = usize::try_from(arguments.pairs).unwrap_or(usize::MAX);
    if count < LEAST_PAIRS {
        return Err(Failure::wrong(too_few_text(count)));
    }
    if arguments.pairs > MOST_PAIRS {
        return Err(Failure::wrong(format!(
            "{count} pairs take longer than a comparison stays the same. Plan at most {MOST_PAIRS}."
        )));
    }
    let open = if now < plan.night(tonight).prompt_at {
        tonight
    } else {
        tonight.next()
    };
    let from = arguments.from.map_or(open, Night);
    if from < open {
        return Err(Failure::wrong(format!(
            "--from {from}: that evening has begun or is over. Write {open} or a later date."
        )));
    }
    let mut store = context.store()?;
    if let Some(row) = store.comparison()?
        && row.planned.is_running(tonight)
    {
        return Err(Failure::failed(
            "A comparison is running. evenfall compare show shows it, evenfall compare stop ends it.",
        ));
    }
    let bits = match arguments.seed {
        Some(seed) => bits_from_seed(seed, count),
        None => fair_bits(count)?,
    };
    let planned = Planned {
        a,
        b,
        outcome: arguments.outcome,
        pairs: draw(from.evening(), &bits),
        stopped: None,
    };
    store.add_comparison(&planned, arguments.seed, now, &world.zone)?;
    context.tell_service();
    Ok(Said {
        text: words(&world, &planned),
        json: as_json(
            &ComparisonRow {
                id: 0,
                planned,
                seed: arguments.seed,
            },
            tonight,
        ),
    })
}

fn words(world: &World, planned: &Planned) -> String {
    let pairs = planned.pairs.len();
    let nights = planned.nights().map(|(night, _)| night.to_string());
    let last = last_night(&planned.pairs).map(|last| last.to_string());
    format!(
        "{pairs} pairs of nights from {} to {}, {} days, the order within each pair drawn by lot.\n\
         \x20 A: {}\n\
         \x20 B: {}\n\
         \x20 Compared by {}; that is fixed now, and so is the number of pairs.\n\n\
         Each evening the service and evenfall tonight say what was drawn. Record each morning.\n\
         With {pairs} pairs the clearest outcome there can be would appear in {} if the two did not matter;\n\
         with fewer than {LEAST_PAIRS} no outcome would be below 5 of 100.\n\
         After the last night: evenfall compare result.\n",
        nights.min().unwrap_or_default(),
        last.unwrap_or_default(),
        length_days(&planned.pairs),
        name(&world.library, &planned.a),
        name(&world.library, &planned.b),
        planned.outcome.words(),
        shuffles(exact::smallest_p_of_pairs(pairs)),
    )
}

/// Reads what an arm has.
fn arm(world: &World, flag: &str, id: &str) -> Result<Has, Failure> {
    let library = &world.library;
    if id == Has::Nothing.id() {
        return Ok(Has::Nothing);
    }
    if library.evenings.contains_key(id) {
        return Ok(Has::Evening(id.to_owned()));
    }
    if library.patterns.contains_key(id) {
        let settings = &world.settings;
        let (stands_in, note) = pattern_for(&settings.avoid, settings.evening.holds, id, library);
        if stands_in.id != id {
            return Err(Failure::wrong(format!(
                "{flag} {id}: another pattern would stand in for it. {} Choose another pattern, or change the settings.",
                note.into_iter().collect::<Vec<_>>().join(" ")
            )));
        }
        return Ok(Has::Pattern(id.to_owned()));
    }
    let known = || library.evenings.keys().chain(library.patterns.keys());
    let instead = match nearest(id, known().map(String::as_str)) {
        Some(near) => format!("Did you mean {near}?"),
        None => format!(
            "Write none, or one of {}.",
            one_of(known().map(String::as_str))
        ),
    };
    Err(Failure::wrong(format!(
        "{flag} {id}: there is no such evening or pattern. {instead}"
    )))
}

/// One fair bit a pair, from the machine's randomness.
fn fair_bits(count: usize) -> Result<Vec<bool>, Failure> {
    let bytes = random::bytes(count)?;
    Ok(bytes.into_iter().map(|byte| byte & 1 == 1).collect())
}
