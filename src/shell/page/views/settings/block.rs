//! The block: which one, when it starts, and moving what is still to come.

use std::path::Path;
use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use chrono::{Datelike, NaiveDate};
use maud::{Markup, html};

use super::super::form_token;
use super::single::date_of;
use super::{file_text, saves_alone};
use crate::pure::block::{SHIPPED, Shift, add_shift, parse, set_start, shipped};
use crate::pure::edit::CannotEdit;
use crate::pure::phrase::counted;
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer, Trouble};
use crate::shell::page::site::{Files, Site};

/// The block that is in force, its start, and moving it.
pub fn section(site: &Site, files: &Files) -> Markup {
    let block = &files.world.block;
    let is_own = site.home.block().exists();
    let weeks: u32 = block.phases.iter().map(|phase| phase.weeks).sum();
    html! {
        section aria-labelledby="block" {
            h2 #block { "Block" }
            p {
                (block.name) ", " (counted(weeks, "weeks")) " from " (block.starts.format("%A %-d %B %Y"))
                @if let Some(last) = block.last_day() { " to " (last.format("%-d %B %Y")) }
                "."
            }
            form method="post" action="/settings/block" data-keep="block" {
                (form_token(site))
                div.fields {
                    div.field {
                        label for="block-choice" { "Which" }
                        select #block-choice name="block" {
                            @if is_own { option value="" selected { (block.name) " (as it is)" } }
                            @for (id, name) in shipped_names(block.starts) {
                                option value=(id) selected[!is_own && name == block.name] { (name) }
                            }
                        }
                    }
                    div.field {
                        label for="starts" { "First day" }
                        input #starts name="starts" type="text" inputmode="numeric" autocomplete="off" placeholder="yyyy-mm-dd" value=(block.starts) required;
                    }
                }
                @if is_own { p.quiet { "Another choice takes the place of block.toml; the file as it is stays beside it under another name." } }
                (saves_alone())
                button type="submit" { "Save the block" }
            }
            @if is_own {
                form method="post" action="/settings/shift" data-keep="shift" {
                    (form_token(site))
                    div.fields {
                        div.field {
                            label for="days" { "Move everything from today on later, by days" }
                            input #days name="days" type="number" inputmode="numeric" min="1" max="365" value="7";
                        }
                    }
                    (saves_alone())
                    button type="submit" { "Move" }
                }
            }
        }
    }
}

fn shipped_names(from: NaiveDate) -> Vec<(&'static str, String)> {
    SHIPPED
        .iter()
        .filter_map(|(id, _)| {
            let block = shipped(id, from)?.ok()?;
            Some((*id, block.name))
        })
        .collect()
}

/// Writes another block, or another start of the same.
pub async fn change(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let starts: NaiveDate = form
        .text("starts")
        .and_then(date_of)
        .filter(|date: &NaiveDate| (1990..=2200).contains(&date.year()))
        .ok_or_else(|| {
            Trouble::form("When does it start? Go back and write a date such as 2026-01-05.")
        })?;
    let path = site.home.block();
    let existing = file_text(&path)?;
    let text = match (form.text("block"), &existing) {
        (None, Some(text)) => text.clone(),
        (None, None) => SHIPPED[0].1.to_owned(),
        (Some(id), _) => SHIPPED
            .iter()
            .find(|(known, _)| *known == id)
            .map(|(_, text)| (*text).to_owned())
            .ok_or_else(|| Trouble::form("Go back and choose a block from the list."))?,
    };
    let text = set_start(&text, starts).map_err(cannot)?;
    if form.text("block").is_some()
        && let Some(existing) = &existing
    {
        keep_aside(&path, existing)?;
    }
    write(&site, &path, &text).await?;
    Ok(reply::see_other("/settings?did=block#block"))
}

/// The file as it was stays beside the new one, under the first name that is free.
fn keep_aside(path: &Path, text: &str) -> Result<(), Failure> {
    let aside = (1..)
        .map(|number| path.with_file_name(format!("block-before-{number}.toml")))
        .find(|aside| !aside.exists())
        .unwrap_or_else(|| path.with_file_name("block-before.toml"));
    write_private(&aside, text.as_bytes())
        .map_err(|error| Failure::file("Cannot write", &aside, &error))
}

/// Moves everything from today on later.
pub async fn shift(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let days: u32 = form
        .text("days")
        .and_then(|text| text.parse().ok())
        .filter(|days| (1..=365).contains(days))
        .ok_or_else(|| Trouble::form("By how many days? Go back and write 1 to 365."))?;
    let path = site.home.block();
    let Some(text) = file_text(&path)? else {
        return Err(Trouble::form(
            "There is no block file to change yet. Go back and save a block first.",
        ));
    };
    let from = site.files(now)?.world.zone.local(now).date_naive();
    let text = add_shift(&text, Shift { from, days }).map_err(cannot)?;
    write(&site, &path, &text).await?;
    Ok(reply::see_other("/settings?did=shifted#block"))
}

fn cannot(error: CannotEdit) -> Trouble {
    Trouble::form(error.to_string())
}

async fn write(site: &Site, path: &Path, text: &str) -> Result<(), Trouble> {
    parse(&path.display().to_string(), text, None).map_err(Failure::from)?;
    write_private(path, text.as_bytes())
        .map_err(|error| Failure::file("Cannot write", path, &error))?;
    site.forget();
    site.tell().await;
    Ok(())
}
