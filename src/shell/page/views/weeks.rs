//! Looking back over weeks: nights against the plan, ratings, load, evenings - each as a chart with its
//! table behind it, and all of it on one printed page for a coach or clinician.

mod block;
mod evenings;
mod numbers;
mod tables;

use std::sync::Arc;

use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use crate::pure::review::chart;
use crate::pure::review::summary::{Records, Review, Span};
use crate::shell::compared;
use crate::shell::look_back::LookBack;
use crate::shell::page::View;
use crate::shell::page::frame::{Frame, drawing};
use crate::shell::page::reply::{self, Answer};
use crate::shell::page::site::Site;

/// Weeks that can be chosen.
const CHOICES: [(u32, &str); 4] = [
    (1, "1 week"),
    (4, "4 weeks"),
    (8, "8 weeks"),
    (13, "13 weeks"),
];
/// Most weeks looked at in one go.
const MOST_WEEKS: u32 = 104;

/// Over what.
#[derive(Debug, Deserialize)]
pub struct Asked {
    weeks: Option<u32>,
    block: Option<String>,
}

/// Shows them.
pub async fn show(State(site): State<Arc<Site>>, Query(asked): Query<Asked>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let plan = files.world.plan();
    let today = plan.zone.local(now).date_naive();
    let whole_block = asked.block.is_some();
    let weeks = asked.weeks.unwrap_or(4).clamp(1, MOST_WEEKS);
    let span = if whole_block {
        Span::of_block(&plan.block, today)
    } else {
        Span::weeks_until(today, weeks)
    };
    let store = site.store();
    let back = LookBack::gather(&store, &plan, span, now)?;
    let (planned, library) = (files.world.comparison.as_ref(), &files.world.library);
    let compared = compared::in_look_back(&store, planned, library, span, plan.tonight(now))?;
    drop(store);
    let review = back.review(span, now);
    let records = back.records();
    let content = html! {
        h1 { "Looking back, " (span.from.format("%-d %B")) " to " (span.to.format("%-d %B %Y")) }
        (choices(weeks, whole_block))
        (sentences(&review))
        div.charts { (charts(&records, &review, span)) }
        (block::table(&plan, &back.block_weeks(now), whole_block))
        (evenings::evenings(&records, &review, span))
        (numbers::numbers(&review, &plan, &compared))
    };
    let frame = Frame {
        view: View::Weeks,
        title: "Weeks",
        complaints: &files.complaints,
        said: None,
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}

fn choices(weeks: u32, whole_block: bool) -> Markup {
    html! {
        nav.choices aria-label="How far back" {
            ul {
                @for (count, words) in CHOICES {
                    li { a href={ "/weeks?weeks=" (count) } aria-current=[(!whole_block && weeks == count).then_some("true")] { (words) } }
                }
                li { a href="/weeks?block=1" aria-current=[whole_block.then_some("true")] { "The block" } }
            }
        }
    }
}

fn sentences(review: &Review) -> Markup {
    let help = review.sleep_help.as_ref().map(|help| &help.text);
    html! {
        @if review.sentences.is_empty() && help.is_none() { p { "Nothing is recorded for these days." } }
        ul.sentences { @for sentence in review.sentences.iter().chain(help) { li { (sentence) } } }
    }
}

fn charts(records: &Records<'_>, review: &Review, span: Span) -> Markup {
    html! {
        @for (name, svg) in chart::of(records, review) {
            @let (heading, table) = match name {
                "nights" => ("Nights", tables::nights(records, span)),
                "load" => ("Load by week", tables::load(&review.loads.weeks)),
                _ => ("Ratings of the mornings", tables::ratings(records, span)),
            };
            section.one-chart aria-labelledby=(name) data-chart=(name) {
                h2 id=(name) { (heading) }
                div.scroll tabindex="0" role="group" aria-label={ (heading) ", chart" } { (drawing(svg)) }
                details {
                    summary { "As a table" span.unseen { ": " (heading) } }
                    div.scroll tabindex="0" role="group" aria-label={ (heading) ", table" } { (table) }
                }
            }
        }
    }
}
