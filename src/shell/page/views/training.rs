//! The sessions done today, and recording one.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};

use super::{button, form_token};
use crate::pure::load::{TrainingDone, check_minutes, check_rpe, effort_words};
use crate::pure::today::Today;
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer, Trouble};
use crate::shell::page::site::{Files, Site};

/// Something that is not in the block.
const OTHER: &str = "other";
/// Longest remark, characters.
const LONGEST_NOTE: usize = 2000;

/// What was done, and the form.
pub fn section(site: &Site, files: &Files, today: &Today) -> Result<Markup, Failure> {
    let rows = site.store().training(today.date, today.date)?;
    let rest = rows.iter().any(|row| row.day.done().is_none());
    let open = !today.sessions.is_empty() && rows.is_empty();
    Ok(html! {
        section aria-labelledby="done" {
            h2 #done { "Training done" }
            @for done in &today.done { p { (words(files, done)) } }
            @if rest && today.done.is_empty() { p { "A day without training." } }
            details open[open] {
                summary { "Record a session" }
                (form(site, files, today))
            }
            @if rows.is_empty() { (button(site, "/train/rest", "No training today", &[])) }
        }
    })
}

fn words(files: &Files, done: &TrainingDone) -> String {
    let session = done.session.as_deref();
    let title = session.map_or("Something else", |id| {
        let known = files.world.block.sessions.get(id);
        known.map_or(id, |session| session.title.as_str())
    });
    let mut pieces = vec![title.to_owned()];
    pieces.extend(done.minutes.map(|minutes| format!("{minutes} min")));
    pieces.push(match done.rpe {
        Some(rpe) => format!("effort {rpe}"),
        None => "effort not rated yet".to_owned(),
    });
    pieces.extend(done.load().map(|load| format!("load {load:.0}")));
    format!("{}.", pieces.join(", "))
}

fn form(site: &Site, files: &Files, today: &Today) -> Markup {
    let planned: Vec<&str> = today
        .sessions
        .iter()
        .map(|session| session.planned.id.as_str())
        .collect();
    let minutes = today.sessions.first().map(|one| one.planned.minutes);
    html! {
        form method="post" action="/train" {
            (form_token(site))
            div.fields {
                div.field {
                    label for="session" { "Session" }
                    select #session name="session" {
                        @for (id, session) in &files.world.block.sessions {
                            option value=(id) selected[planned.first() == Some(&id.as_str())] { (session.title) }
                        }
                        option value=(OTHER) selected[planned.is_empty()] { "something else" }
                    }
                }
                div.field {
                    label for="minutes" { "Minutes, rests included" }
                    input #minutes name="minutes" type="number" inputmode="numeric" min="0" max="600" value=[minutes];
                }
                div.field {
                    label for="rpe" { "How hard the whole session was" }
                    select #rpe name="rpe" {
                        option value="" { "not rated yet" }
                        @for half in 0..=20_u8 {
                            @let rpe = f64::from(half) / 2.0;
                            option value=(rpe) { (rpe) @if half % 2 == 0 { ", " (effort_words(half / 2)) } }
                        }
                    }
                }
            }
            div.field {
                label for="training-note" { "A remark" }
                input #training-note name="note" type="text" maxlength=(LONGEST_NOTE);
            }
            button.first type="submit" { "Record" }
        }
    }
}

/// Records a session of today. One of the same name whose rating or minutes are missing is completed.
pub async fn record(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let date = day::today(&files.world, now);
    let session = match form.text("session") {
        None | Some(OTHER) => None,
        Some(id) if files.world.block.sessions.contains_key(id) => Some(id.to_owned()),
        Some(id) => {
            return Err(Trouble::form(format!(
                "The block has no session \"{id}\". Load the page again."
            )));
        }
    };
    let number = |field: &str| -> Result<Option<f64>, Trouble> {
        let Some(text) = form.text(field) else {
            return Ok(None);
        };
        let number = text.replace(',', ".").parse().ok();
        number.map(Some).ok_or_else(|| {
            Trouble::form(format!("\"{text}\" is no number. Go back and write one."))
        })
    };
    let (minutes, rpe) = (number("minutes")?, number("rpe")?);
    let wrong = |(what, instead): (String, String)| Trouble::form(format!("{what}. {instead}."));
    if let Some(minutes) = minutes {
        check_minutes(minutes).map_err(wrong)?;
    }
    if let Some(rpe) = rpe {
        check_rpe(rpe, minutes).map_err(wrong)?;
    }
    if minutes.is_none() && rpe.is_none() {
        return Err(Trouble::form(
            "Nothing was said about the session. Go back and give its minutes or how hard it was.",
        ));
    }
    {
        let mut store = site.store();
        let rows = store.training(date, date)?;
        let earlier = rows.iter().rev().find_map(|row| {
            let done = row.day.done()?;
            (done.session == session && done.load().is_none()).then_some((row, done))
        });
        let old = earlier.map(|(_, done)| done.clone());
        let note = form.text("note").unwrap_or_default();
        let done = TrainingDone {
            date,
            minutes: minutes.or(old.as_ref().and_then(|old| old.minutes)),
            rpe: rpe.or(old.as_ref().and_then(|old| old.rpe)),
            note: match &old {
                Some(old) if note.is_empty() => old.note.clone(),
                _ => note.to_owned(),
            },
            parts: old.map(|old| old.parts).unwrap_or_default(),
            session,
        };
        let plan = files.world.plan();
        let ended = earlier
            .and_then(|(row, _)| row.ended)
            .or_else(|| plan.planned_end(&done));
        let replaces = earlier.map(|(row, _)| row.id);
        store.add_session(&done, ended, replaces, now, &files.world.zone)?;
    }
    site.tell().await;
    Ok(reply::see_other("/today?did=training"))
}

/// Nothing was trained today.
pub async fn rest(State(site): State<Arc<Site>>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let date = day::today(&files.world, now);
    {
        let mut store = site.store();
        if store.training(date, date)?.is_empty() {
            store.add_rest(date, now, &files.world.zone)?;
        }
    }
    site.tell().await;
    Ok(reply::see_other("/today?did=rest"))
}
