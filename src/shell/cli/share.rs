//! `share`: one page and one csv of what a person agrees to share, chosen item by item.

mod page;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate};
use serde_json::json;

use super::ask::{can_ask, yes};
use super::lines::say;
use super::{Context, Said};
use crate::pure::block::Block;
use crate::pure::civil::Instant;
use crate::pure::complaint::one_of;
use crate::pure::exchange::csv::write_shared;
use crate::pure::review::chart;
use crate::pure::review::share::{Item, SharedDay, readiness_sentence, runs, shared_days};
use crate::pure::review::summary::{Review, Span, Topic};
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::look_back::LookBack;
use crate::shell::random::export_owner;
use crate::shell::store::Store;
use crate::shell::world::World;

/// The longest name that stands for a person.
const LONGEST_NAME: usize = 60;

/// Rows of the csv that are shown before it is written.
const ROWS_SHOWN: usize = 3;

/// What to share, and as what.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The page; the csv goes beside it under the same name
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// So many weeks that end today
    #[arg(long, value_name = "N", default_value_t = 4, value_parser = clap::value_parser!(u32).range(1..=520))]
    weeks: u32,
    /// Share these too: evenings, sleep, load, readiness, ratings, pain, notes
    #[arg(long, value_name = "ITEM", value_delimiter = ',', value_parser = read_item)]
    with: Vec<Item>,
    /// Keep these to yourself
    #[arg(long, value_name = "ITEM", value_delimiter = ',', value_parser = read_item)]
    without: Vec<Item>,
    /// What you are called in it [default: a random word that stays the same]
    #[arg(long = "as", value_name = "NAME", value_parser = read_name)]
    name: Option<String>,
    /// Write without asking
    #[arg(long)]
    write: bool,
}

fn read_item(text: &str) -> Result<Item, String> {
    let ids = Item::ALL.map(|(_, id, _, _)| id);
    Item::from_id(text).ok_or_else(|| format!("Write one of {}", one_of(ids)))
}

fn read_name(text: &str) -> Result<String, String> {
    let good = |letter: char| letter.is_alphanumeric() || " -_.".contains(letter);
    let starts = text.starts_with(char::is_alphanumeric);
    if starts && text.chars().count() <= LONGEST_NAME && text.chars().all(good) {
        Ok(text.to_owned())
    } else {
        Err(format!(
            "Write up to {LONGEST_NAME} letters and digits, beginning with one of them"
        ))
    }
}

/// What is shared.
struct Shared {
    /// For the titles of sessions.
    block: Block,
    person: String,
    items: BTreeSet<Item>,
    days: Vec<SharedDay>,
    review: Review,
    /// Name and text of each chart.
    charts: Vec<(&'static str, String)>,
}

/// Shows what would be shared and, if the person wants, writes it.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let mut store = context.store()?;
    let asks = !arguments.write && !context.json() && can_ask();
    let items = choose(arguments, asks)?;
    let person = match &arguments.name {
        Some(name) => name.clone(),
        None => format!("person-{}", &export_owner(&mut store, now)?[..8]),
    };
    let shared = gather(&store, &world, (person, items), arguments.weeks, now)?;
    let csv = write_shared(&shared.person, &shared.days, &shared.items);
    let mut text = words(&shared, &csv);
    let page_file = arguments.file.with_extension("html");
    let csv_file = arguments.file.with_extension("csv");
    let mut write = arguments.write;
    if asks {
        say(&text);
        text.clear();
        let question = format!(
            "Write this to {} and {}?",
            page_file.display(),
            csv_file.display()
        );
        write = yes(&question, false)?;
    }
    if write {
        keep(&page_file, page::page(&shared).as_bytes())?;
        keep(&csv_file, csv.as_bytes())?;
        text.push_str(&format!(
            "\nWritten:\n  {}\n  {}\nNothing was sent anywhere: hand them on yourself.\n",
            page_file.display(),
            csv_file.display()
        ));
    } else {
        let how = if asks { "" } else { " --write writes it." };
        text.push_str(&format!("\nNothing was written.{how}\n"));
    }
    let ids: Vec<&str> = shared.items.iter().map(|item| item.id()).collect();
    Ok(Said {
        text,
        json: json!({
            "from": shared.review.span.from.to_string(),
            "to": shared.review.span.to.to_string(),
            "person": shared.person,
            "items": ids,
            "rows": shared.days.len(),
            "page": page_file,
            "csv": csv_file,
            "written": write,
        }),
    })
}

/// The items: the usual ones, with what the flags add and take away, or each as answered.
fn choose(arguments: &Arguments, asks: bool) -> Result<BTreeSet<Item>, Failure> {
    let mut items = Item::usual();
    items.extend(&arguments.with);
    if let Some(both) = arguments
        .without
        .iter()
        .find(|item| arguments.with.contains(item))
    {
        return Err(Failure::wrong(format!(
            "{} is named under --with and under --without. Leave one of them out.",
            both.id()
        )));
    }
    items.retain(|item| !arguments.without.contains(item));
    if !asks {
        return Ok(items);
    }
    let mut agreed = BTreeSet::new();
    for (item, _, what, _) in Item::ALL {
        if yes(&format!("Share {what}?"), items.contains(&item))? {
            agreed.insert(item);
        }
    }
    Ok(agreed)
}

fn gather(
    store: &Store,
    world: &World,
    (person, items): (String, BTreeSet<Item>),
    weeks: u32,
    now: Instant,
) -> Result<Shared, Failure> {
    let plan = world.plan();
    let today = day::today(world, now);
    let span = Span::weeks_until(today, weeks);
    let (back, days) = LookBack::gather_with_days(store, &plan, span, now)?;
    let review = back.review(span, now);
    let wanted = |name: &str| match name {
        "nights" => items.contains(&Item::Sleep),
        "load" => items.contains(&Item::Load),
        _ => items.contains(&Item::Ratings),
    };
    let charts = chart::of(&back.records(), &review);
    Ok(Shared {
        block: plan.block.clone(),
        days: shared_days(&back.records(), &days, span, &items, now),
        charts: charts
            .into_iter()
            .filter(|(name, _)| wanted(name))
            .collect(),
        review,
        person,
        items,
    })
}

impl Shared {
    fn has(&self, item: Item) -> bool {
        self.items.contains(&item)
    }

    /// Pain and notes in words, a line for each run of days.
    fn told(&self) -> [(Item, &'static str, Vec<String>); 2] {
        let line = |(from, to, words): (NaiveDate, NaiveDate, &str)| match from == to {
            true => format!("{}: {words}", short(from)),
            false => format!("{} to {}: {words}", short(from), short(to)),
        };
        let lines =
            |of: fn(&SharedDay) -> &str| runs(&self.days, of).into_iter().map(line).collect();
        [
            (Item::Pain, "Pain and signs", lines(|day| &day.pain)),
            (Item::Notes, "Notes", lines(|day| &day.note)),
        ]
    }

    /// The sentences about what is shared.
    fn sentences(&self) -> Vec<String> {
        let about = |topic| match topic {
            Topic::Evenings => self.has(Item::Evenings),
            Topic::Sleep => self.has(Item::Sleep),
            Topic::Load => self.has(Item::Load),
            Topic::Readiness => self.has(Item::Readiness),
        };
        let said = self.review.said().into_iter();
        said.filter(|(topic, _)| about(*topic))
            .filter_map(|(topic, sentence)| match topic {
                Topic::Readiness => readiness_sentence(&self.days),
                _ => Some(sentence),
            })
            .collect()
    }
}

fn words(shared: &Shared, csv: &str) -> String {
    let mut text = format!(
        "Shared as {}, {} to {}:\n\n",
        shared.person, shared.review.span.from, shared.review.span.to
    );
    for (item, id, what, _) in Item::ALL {
        let agreed = if shared.has(item) { "yes" } else { "no " };
        text.push_str(&format!("  {agreed}  {id:<10} {what}\n"));
    }
    text.push('\n');
    for sentence in shared.sentences() {
        text.push_str(&format!("{sentence}\n"));
    }
    text.push_str(&format!(
        "\nThe csv has {} rows and begins:\n",
        shared.days.len()
    ));
    for line in csv.lines().take(ROWS_SHOWN + 1) {
        text.push_str(&format!("  {line}\n"));
    }
    // What is told in words is shown in full: nobody should find it on the page first.
    for (item, title, told) in shared.told() {
        if shared.has(item) && !told.is_empty() {
            let lines: String = told.iter().map(|line| format!("  {line}\n")).collect();
            text.push_str(&format!("\n{title}:\n{lines}"));
        }
    }
    text
}

fn keep(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let trouble = |error| Failure::file("Cannot write", path, &error);
    let path = std::path::absolute(path).map_err(trouble)?;
    write_private(&path, bytes).map_err(trouble)
}

/// A date without its year, for tables.
fn short(date: NaiveDate) -> String {
    format!("{} {} {}", date.format("%a"), date.day(), date.format("%b"))
}
