//! Pain and warning signs: what is open, and the careful form.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, State};
use chrono::NaiveDate;
use maud::{Markup, html};
use serde::Deserialize;

use super::form_token;
use crate::pure::caution::{Kind, Level, PainReport, Sign, Site as Place, What};
use crate::shell::day;
use crate::shell::page::View;
use crate::shell::page::frame::Frame;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer, Trouble};
use crate::shell::page::site::Site;
use crate::shell::pain;
use crate::shell::store::PainRow;

/// Longest remark, characters.
const LONGEST_NOTE: usize = 2000;

/// What was just done.
#[derive(Debug, Deserialize)]
pub struct Did {
    did: Option<String>,
}

/// Shows what is open, and the form.
pub async fn show(State(site): State<Arc<Site>>, Query(did): Query<Did>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let today = day::today(&files.world, now);
    let number = files.world.settings.emergency_number.as_deref();
    let mut open = pain::open(&site.store())?;
    open.sort_by_key(|row| std::cmp::Reverse(row.report.level(today)));
    let said = match did.did.as_deref() {
        Some("recorded") => Some("Recorded. What follows from it stands here."),
        Some("closed") => {
            Some("Closed. If you were told to rest, wait until whoever said so has cleared you.")
        }
        _ => None,
    };
    let content = html! {
        h1 { "Pain and warning signs" }
        (standing(&site, &open, today, number))
        (form(&site, today))
    };
    let frame = Frame {
        view: View::Morning,
        title: "Pain and warning signs",
        complaints: &files.complaints,
        said,
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}

fn standing(site: &Site, open: &[PainRow], today: NaiveDate, number: Option<&str>) -> Markup {
    let urgent = open
        .iter()
        .any(|row| !row.report.level(today).suggest_training());
    html! {
        @if urgent { p { "No training is suggested until you close what is marked for care today or now." } }
        @for row in open {
            section.note.caution data-level=(row.report.level(today).id()) {
                p { (row.report.text(today, number)) }
                p.quiet { "Noted " (row.report.on.format("%A %-d %B")) @if !row.note.is_empty() { ": " (row.note) } }
                form method="post" action="/pain/over" {
                    (form_token(site))
                    input type="hidden" name="id" value=(row.id);
                    button type="submit" { "It is over" }
                }
            }
        }
    }
}

fn form(site: &Site, today: NaiveDate) -> Markup {
    let of_level = |level: Level| Sign::all().filter(move |sign| sign.level() == level);
    let other = of_level(Level::ClinicianSoon).filter(|sign| !sign.body_area());
    html! {
        form method="post" action="/pain" {
            (form_token(site))
            section aria-labelledby="urgent" {
                h2 #urgent { "What cannot wait" }
                p { "Does any of these apply now, or since your last training? If so, tick it and send: nothing else is needed." }
                (signs("Call for help now", of_level(Level::EmergencyNow)))
                (signs("Care today", of_level(Level::SameDayCare)))
            }
            (place(today))
            section aria-labelledby="other" {
                h2 #other { "Or one of these" }
                (signs("To be seen by a clinician", other))
            }
            div.field {
                label for="note" { "A remark" }
                textarea #note name="note" maxlength=(LONGEST_NOTE) {}
            }
            div.row.stays { button.first type="submit" { "Record" } }
        }
    }
}

fn signs(legend: &str, signs: impl Iterator<Item = Sign>) -> Markup {
    html! {
        fieldset.signs {
            legend { (legend) }
            @for sign in signs {
                label.check { input type="checkbox" name="sign" value=(sign.id()); span { (sign.question()) } }
            }
        }
    }
}

fn place(today: NaiveDate) -> Markup {
    html! {
        section aria-labelledby="where" {
            h2 #where { "Where it hurts" }
            div.fields {
                div.field {
                    label for="place" { "Place" }
                    select #place name="place" {
                        option value="" { "nowhere" }
                        @for (id, words) in places() { option value=(id) { (words) } }
                    }
                }
                div.field {
                    label for="side" { "Side" }
                    select #side name="side" {
                        option value="" { "both, or neither" }
                        option value="_left" { "left" }
                        option value="_right" { "right" }
                    }
                }
                div.field {
                    label for="kind" { "What it feels like" }
                    select #kind name="kind" {
                        @for (id, _, words) in Kind::ALL { option value=(id) selected[id == "other"] { (words) } }
                    }
                }
                div.field {
                    label for="level" { "How strong" }
                    select #level name="level" {
                        option value="" { "" }
                        @for level in 0..=10_u8 {
                            option value=(level) { (level) @if level == 0 { ", none" } @if level == 10 { ", the worst" } }
                        }
                    }
                }
                div.field {
                    label for="since" { "Since" }
                    select #since name="since" {
                        option value="" { "today, or as noted before" }
                        @for (date, words) in since(today) { option value=(date) { (words) } }
                    }
                }
            }
        }
    }
}

/// Days since when it may hurt: each of the last two weeks, then coarser.
fn since(today: NaiveDate) -> Vec<(NaiveDate, String)> {
    let days = (1..14).map(|ago: u64| (ago, None));
    let weeks = [
        (14, "two weeks ago"),
        (21, "three weeks ago"),
        (28, "four weeks ago"),
        (42, "six weeks ago"),
        (56, "two months ago"),
        (91, "three months ago"),
        (182, "half a year ago"),
        (365, "a year ago, or longer"),
    ];
    days.chain(weeks.map(|(ago, words)| (ago, Some(words))))
        .filter_map(|(ago, words)| {
            let date = today.checked_sub_days(chrono::Days::new(ago))?;
            let words = words.map_or_else(
                || match ago {
                    1 => "yesterday".to_owned(),
                    _ => date.format("%A %-d %B").to_string(),
                },
                str::to_owned,
            );
            Some((date, words))
        })
        .collect()
}

/// Every place without its side, by its words.
fn places() -> Vec<(String, String)> {
    Place::ids()
        .filter(|id| !id.ends_with("_left") && !id.ends_with("_right"))
        .filter_map(|id| {
            let words = Place::from_id(&id)?.words();
            Some((id, words))
        })
        .collect()
}

/// Records what the form says.
pub async fn record(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let today = day::today(&files.world, now);
    let mut reported: Vec<What> = Vec::new();
    for id in form.all("sign") {
        let sign = Sign::from_id(id).ok_or_else(|| {
            Trouble::form(format!("There is no sign \"{id}\". Load the page again."))
        })?;
        reported.push(What::Sign { sign, site: None });
    }
    let note = form.text("note").unwrap_or_default();
    if note.chars().count() > LONGEST_NOTE {
        return Err(Trouble::form(format!(
            "The remark has more than {LONGEST_NOTE} characters. Go back and shorten it."
        )));
    }
    if let Some(what) = painful(&site, &form, today)? {
        reported.push(what);
    }
    if reported.is_empty() {
        return Err(Trouble::form(
            "Nothing was ticked and no place chosen. Go back and say what it is.",
        ));
    }
    pain::record(
        &mut site.store(),
        &reported,
        note,
        today,
        now,
        &files.world.zone,
    )?;
    site.tell().await;
    Ok(reply::see_other("/pain?did=recorded"))
}

/// The pain that the form tells of, if it names a place.
fn painful(site: &Site, form: &Form, today: NaiveDate) -> Result<Option<What>, Trouble> {
    let Some(place) = form.text("place") else {
        return Ok(None);
    };
    let sided = format!("{place}{}", form.text("side").unwrap_or_default());
    // A place that is one has no side to it.
    let place = Place::from_id(&sided)
        .or_else(|| Place::from_id(place))
        .ok_or_else(|| Trouble::form("Go back and choose a place from the list."))?;
    let level = form
        .text("level")
        .and_then(|text| text.parse().ok())
        .filter(|level: &u8| *level <= 10)
        .ok_or_else(|| {
            Trouble::form("How strong is it? Go back and choose 0 for none to 10 for the worst.")
        })?;
    let kind = form
        .text("kind")
        .and_then(Kind::from_id)
        .unwrap_or(Kind::Other);
    let since = match form.text("since") {
        Some(text) => text
            .parse::<NaiveDate>()
            .ok()
            .filter(|since| *since <= today)
            .ok_or_else(|| {
                Trouble::form(format!(
                    "Since when? Go back and choose a day up to today, {today}."
                ))
            })?,
        None => pain::known_since(&site.store(), Some(place), kind)?.unwrap_or(today),
    };
    Ok(Some(What::Pain(PainReport {
        site: place,
        level,
        kind,
        since,
    })))
}

/// Closes one report: for the person it is over.
pub async fn over(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let today = day::today(&files.world, now);
    {
        let mut store = site.store();
        let rows: Vec<PainRow> = pain::open(&store)?
            .into_iter()
            .filter(|row| form.text("id") == Some(row.id.to_string().as_str()))
            .collect();
        store.close_pain(&rows, today, now, &files.world.zone)?;
    }
    site.tell().await;
    Ok(reply::see_other("/pain?did=closed"))
}
