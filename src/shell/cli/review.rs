//! `review`: looks back over weeks or the block, in words, as charts, and for machines.

mod block;
mod report;
mod words;

use std::path::{Path, PathBuf};

use serde_json::json;

use super::{Context, Said};
use crate::pure::review::chart;
use crate::pure::review::summary::Span;
use crate::shell::compared;
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::look_back::LookBack;

pub(crate) use report::as_json;
pub(crate) use words::part_name;

/// What to look back over.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// So many weeks that end today
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    weeks: u32,
    /// The block: every week of every phase on one screen
    #[arg(long, conflicts_with = "weeks")]
    block: bool,
    /// Write charts of the span into this folder: nights.svg, load.svg, ratings.svg
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
}

/// Looks back.
pub fn run(context: &Context, arguments: &Arguments) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let plan = world.plan();
    let today = plan.zone.local(now).date_naive();
    let span = if arguments.block {
        Span::of_block(&plan.block, today)
    } else {
        Span::weeks_until(today, arguments.weeks)
    };
    let store = context.store()?;
    let back = LookBack::gather(&store, &plan, span, now)?;
    let review = back.review(span, now);
    let tonight = plan.tonight(now);
    let planned = world.comparison.as_ref();
    let compared = compared::in_look_back(&store, planned, &world.library, span, tonight)?;
    let mut text = words::review(&review, &plan, &compared);
    let mut json = as_json(&review);
    json["comparison"] = json!(compared);
    if arguments.block {
        let weeks = back.block_weeks(now);
        text = block::words(&plan.block, &weeks, &review);
        json["block"] = block::as_json(&plan.block, &weeks);
    }
    if let Some(folder) = &arguments.svg {
        let charts = chart::of(&back.records(), &review);
        let written = write_charts(folder, &charts)?;
        let names: Vec<String> = written
            .iter()
            .map(|path| path.display().to_string())
            .collect();
        text.push_str(&format!("\nWritten:\n  {}\n", names.join("\n  ")));
        json["charts"] = json!(names);
    }
    Ok(Said { text, json })
}

fn write_charts(folder: &Path, charts: &[(&str, String)]) -> Result<Vec<PathBuf>, Failure> {
    charts
        .iter()
        .map(|(name, svg)| {
            let path = folder.join(format!("{name}.svg"));
            write_private(&path, svg.as_bytes())
                .map_err(|error| Failure::file("Cannot write", &path, &error))?;
            Ok(path)
        })
        .collect()
}
