//! Today: cautions first, readiness on the person's own number line, and the session as planned beside
//! the session as suggested.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, State};
use chrono::{Days, NaiveDate};
use maud::{Markup, html};
use serde::Deserialize;

use super::button;
use super::training;
use crate::pure::adjust::{Dose, words_of};
use crate::pure::caution::SCREENING;
use crate::pure::readiness::{place_on_line, score_in_words};
use crate::pure::today::{SessionToday, Today};
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::page::View;
use crate::shell::page::frame::Frame;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer};
use crate::shell::page::site::{Files, Site};

/// Mornings shown as small marks on the number line.
const EARLIER_DAYS: u64 = 28;

/// What was just done.
#[derive(Debug, Deserialize)]
pub struct Did {
    did: Option<String>,
}

fn said(did: Option<&str>) -> Option<&'static str> {
    Some(match did? {
        "morning" => "The morning is recorded.",
        "kept" => "As planned, as you chose.",
        "suggested" => "As suggested, after all.",
        "training" => "The session is recorded.",
        "rest" => "Recorded as a day without training.",
        _ => return None,
    })
}

/// Shows it.
pub async fn show(State(site): State<Arc<Site>>, Query(did): Query<Did>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let date = day::today(&files.world, now);
    let days = days(&site, &files, date)?;
    let Some((today, earlier)) = days.split_last() else {
        return Err(Failure::failed("That day is beyond the calendar.").into());
    };
    let screening = {
        let store = site.store();
        !today.sessions.is_empty() && !store.screening_shown()? && !store.has_sessions()?
    };
    let content = html! {
        h1 { "Today, " (date.format("%A %-d %B")) }
        (cautions(today))
        @if screening {
            section.note aria-labelledby="screening" {
                h2 #screening { "Before the first session" }
                p { (SCREENING) }
                (button(&site, "/today/read", "I have read this", &[]))
            }
        }
        (verdict(today, earlier))
        @for session in &today.sessions { (session_beside(&site, today, session)) }
        @if today.sessions.is_empty() {
            p { "Nothing is planned today" @if today.kind.id() == "rest" { ": a rest day." } @else { ": it is outside the block." } }
        }
        @if let Some(move_back) = today.move_back {
            section.note { p { (move_back.sentence()) } p { a href="/settings#block" { "To the block" } } }
        }
        (load(today))
        (training::section(&site, &files, today)?)
    };
    let frame = Frame {
        view: View::Today,
        title: "Today",
        complaints: &files.complaints,
        said: said(did.did.as_deref()),
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}

fn days(site: &Site, files: &Files, date: NaiveDate) -> Result<Vec<Today>, Failure> {
    let from = date
        .checked_sub_days(Days::new(EARLIER_DAYS))
        .unwrap_or(date);
    let number = files.world.settings.emergency_number.as_deref();
    day::look(
        &site.store(),
        &files.world.block,
        number,
        from,
        EARLIER_DAYS + 1,
        date,
    )
}

fn cautions(today: &Today) -> Markup {
    html! {
        @for caution in &today.cautions {
            section.note.caution data-level=(caution.level.id()) { p { (caution.text) } }
        }
        @if !today.cautions.is_empty() {
            p { a href="/pain" { "What is open, and to close it" } }
        }
    }
}

fn verdict(today: &Today, earlier: &[Today]) -> Markup {
    let readiness = &today.readiness;
    let before: Vec<f64> = earlier
        .iter()
        .filter_map(|day| day.readiness.score.score)
        .collect();
    html! {
        section aria-labelledby="ready" {
            h2.big #ready { (today.headline()) }
            @if let Some(score) = readiness.score.score { (number_line(score, &before)) }
            ul { @for reason in &today.reasons { li { (reason) } } }
            @if !today.recorded {
                p { a.button.first href="/morning" { "Answer the morning" } }
            }
        }
    }
}

/// The person's own number line: this morning's mark among those of the last weeks.
fn number_line(score: f64, before: &[f64]) -> Markup {
    // Places in hundredths of the width, so that lines and mark keep their size on a narrow screen.
    let x = |score: f64| format!("{:.2}%", 100.0 * place_on_line(score));
    let at = x(score);
    html! {
        figure.line {
            svg width="100%" height="56" role="img" aria-label={ "This morning: " (score_in_words(score)) } {
                line.axis x1="0" y1="34" x2="100%" y2="34" {}
                line.axis x1=(x(0.0)) y1="20" x2=(x(0.0)) y2="48" {}
                @for earlier in before {
                    line.earlier x1=(x(*earlier)) y1="27" x2=(x(*earlier)) y2="41" {}
                }
                svg x=(at) overflow="visible" {
                    path.mark d="M-10 8h20l-10 20z" {}
                    line.mark x1="0" y1="28" x2="0" y2="48" {}
                }
            }
            div.line-ends aria-hidden="true" {
                span { "much lower than usual" }
                span { "usual" }
                span { "higher than usual" }
            }
            figcaption {
                "This morning: " (score_in_words(score)) "."
                @if !before.is_empty() { span.quiet { " The small marks are your earlier mornings." } }
            }
        }
    }
}

fn session_beside(site: &Site, today: &Today, session: &SessionToday) -> Markup {
    let suggestion = &session.suggestion;
    html! {
        section aria-label=(session.planned.title) {
            h2 { (session.planned.title) }
            @if suggestion.as_planned {
                (dose(&session.planned))
            } @else {
                div.beside {
                    div { h3 { "As planned" } (dose(&session.planned)) }
                    div {
                        h3 { "As suggested" }
                        @match &suggestion.session {
                            Some(suggested) => (dose(suggested)),
                            None => { p { "Nothing for now." } }
                        }
                        ul { @for change in &suggestion.changes { li { (change) } } }
                    }
                }
                @if today.suggests_training() && !today.kept {
                    (button(site, "/today/keep", "As planned anyway", &[("keep", "1")]))
                }
            }
            @if today.kept && today.suggests_training() {
                p.quiet { "As planned, as you chose." }
                (button(site, "/today/keep", "As suggested after all", &[("keep", "0")]))
            }
        }
    }
}

fn dose(dose: &Dose) -> Markup {
    html! {
        p { (dose.minutes) " min, effort up to " (dose.rpe) " of 10, load " (format!("{:.0}", dose.load())) }
        dl.parts {
            @for part in &dose.parts { div { dt { (part.title) } dd { (words_of(&part.work)) } } }
        }
    }
}

fn load(today: &Today) -> Markup {
    let load = &today.load;
    html! {
        @if load.known_days > 0 {
            section aria-labelledby="load" {
                h2 #load { "Load" }
                p {
                    (format!("{:.0}", load.week)) " in the last 7 days"
                    @if load.known_days < 7 { " (" (load.known_days) " of the 7 known)" } "."
                    @if let Some(change) = &load.change { " " (change.sentence()) }
                }
            }
        }
    }
}

/// As planned anyway, or as suggested after all.
pub async fn keep(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let kept = form.text("keep") == Some("1");
    let date = day::today(&files.world, now);
    site.store().keep(date, kept, now, &files.world.zone)?;
    site.tell().await;
    let did = if kept { "kept" } else { "suggested" };
    Ok(reply::see_other(&format!("/today?did={did}")))
}

/// The words before the first session were read.
pub async fn read(State(site): State<Arc<Site>>) -> Answer {
    let now = site.now();
    site.store().set_screening_shown(now)?;
    Ok(reply::see_other("/today"))
}
