//! Looking back over weeks: nights against the plan, ratings, load, evenings - each as a chart with its
//! table behind it, and all of it on one printed page for a coach or clinician.

use std::sync::Arc;

use axum::extract::{Query, State};
use chrono::NaiveDate;
use maud::{Markup, html};
use serde::Deserialize;

use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night};
use crate::pure::diary::{Item, Morning};
use crate::pure::night;
use crate::pure::phrase::length;
use crate::pure::prompt::{Answer as Answered, Standing};
use crate::pure::readiness::Band;
use crate::pure::review::chart;
use crate::pure::review::summary::{BlockWeek, DayMark, LoadWeek, Records, Review, Span};
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
        block_span(&plan, today)
    } else {
        Span::weeks_until(today, weeks)
    };
    let store = site.store();
    let back = LookBack::gather(&store, &plan, span, now)?;
    drop(store);
    let review = back.review(span, now);
    let records = back.records();
    let content = html! {
        h1 { "Looking back, " (span.from.format("%-d %B")) " to " (span.to.format("%-d %B %Y")) }
        (choices(weeks, whole_block))
        (sentences(&review))
        div.charts { (charts(&records, &review, span)) }
        (evenings(&records, &review, span))
        (bands(&review))
        (block_table(&plan, &back.block_weeks(now)))
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

/// The block so far: to today, or to its last day once it is over.
fn block_span(plan: &Plan, today: NaiveDate) -> Span {
    let from = plan.block.starts;
    let last = plan.block.last_day().unwrap_or(from);
    Span {
        from,
        to: today.min(last).max(from),
    }
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
                "nights" => ("Nights", nights_table(records, span)),
                "load" => ("Load by week", load_table(&review.loads.weeks)),
                _ => ("Ratings of the mornings", ratings_table(records, span)),
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

fn nights_table(records: &Records<'_>, span: Span) -> Markup {
    let plan = records.plan;
    html! {
        table {
            thead { tr {
                th scope="col" { "Night" } th scope="col" { "Lights out" } th scope="col" { "planned" }
                th scope="col" { "Asleep" } th scope="col" { "Woke" } th scope="col" { "planned" } th scope="col" { "Slept" }
            } }
            tbody {
                @for day in span.days() {
                    @let night = Night(day).previous();
                    @let zone = plan.zone_of(night);
                    @let planned = night::span(night, &plan.settings.nights, zone);
                    @let morning = records.recorded.morning(day);
                    @let at = |found: Option<Instant>| found.map_or("-".to_owned(), |at| zone.local(at).format("%H:%M").to_string());
                    @let times = morning.map(|morning| &morning.times);
                    @let measures = times.map(|times| times.measures());
                    tr {
                        th scope="row" { (night.evening().format("%a %-d %b")) }
                        td { (at(times.and_then(|times| times.lights_out.or(times.into_bed)))) }
                        td.quiet { (at(Some(planned.bedtime.at))) }
                        td { (at(measures.and_then(|measures| measures.onset))) }
                        td { (at(times.and_then(|times| times.woke.or(times.up)))) }
                        td.quiet { (at(Some(planned.wake.at))) }
                        td { (measures.and_then(|measures| measures.asleep_s).map_or("-".to_owned(), length)) }
                    }
                }
            }
        }
    }
}

fn ratings_table(records: &Records<'_>, span: Span) -> Markup {
    let rating = |morning: Option<&Morning>, item: Item| {
        morning
            .and_then(|morning| morning.ratings.get(item))
            .map_or("-".to_owned(), |value| value.to_string())
    };
    html! {
        table {
            thead { tr {
                th scope="col" { "Morning" }
                @for item in Item::ALL { th scope="col" { (item.words()) } }
                th scope="col" { "sore in" }
            } }
            tbody {
                @for day in span.days() {
                    @let morning = records.recorded.morning(day);
                    tr {
                        th scope="row" { (day.format("%a %-d %b")) }
                        @for item in Item::ALL { td { (rating(morning, item)) } }
                        td {
                            @if let Some(morning) = morning {
                                @let sore: Vec<&str> = morning.sore_in.keys().map(|region| region.words()).collect();
                                (sore.join(", "))
                            }
                        }
                    }
                }
            }
        }
    }
}

fn load_table(weeks: &[LoadWeek]) -> Markup {
    html! {
        table {
            thead { tr {
                th scope="col" { "Week from" } th scope="col" { "Load" } th scope="col" { "planned" }
                th scope="col" { "Sessions" } th scope="col" { "planned" } th scope="col" { "Days known" }
            } }
            tbody {
                @for week in weeks {
                    tr {
                        th scope="row" { (week.span.from.format("%a %-d %b")) }
                        td { (format!("{:.0}", week.week.known_load)) }
                        td.quiet { (format!("{:.0}", week.planned)) }
                        td { (week.sessions) }
                        td.quiet { (week.planned_sessions) }
                        td { (week.week.known_days) }
                    }
                }
            }
        }
    }
}

fn evenings(records: &Records<'_>, review: &Review, span: Span) -> Markup {
    let counts = &review.evenings;
    let facts = [
        ("followed to the end", counts.done),
        ("in part", counts.partly),
        ("not tonight", counts.declined),
        ("missed", counts.missed),
        ("still open", counts.open),
    ];
    html! {
        section aria-labelledby="evenings" {
            h2 #evenings { "Wind-downs" }
            @if counts.prompted == 0 { p { "None in these days." } }
            @else {
                p {
                    (counts.prompted) " evenings: "
                    @for (index, (words, count)) in facts.iter().filter(|(_, count)| *count > 0).enumerate() {
                        @if index > 0 { ", " } (count) " " (words)
                    }
                    "."
                }
                details {
                    summary { "Evening by evening" }
                    div.scroll tabindex="0" role="group" aria-label="Evening by evening" { (evening_table(records, span)) }
                }
            }
        }
    }
}

fn evening_table(records: &Records<'_>, span: Span) -> Markup {
    html! {
        table {
            thead { tr { th scope="col" { "Evening" } th scope="col" { "What became of it" } } }
            tbody {
                @for day in span.days() {
                    tr { th scope="row" { (day.format("%a %-d %b")) } td { (outcome(records, Night(day))) } }
                }
            }
        }
    }
}

fn outcome(records: &Records<'_>, night: Night) -> String {
    let most = records
        .evenings
        .iter()
        .filter(|evening| evening.night == night)
        .max_by_key(|evening| evening.done_s);
    if let Some(evening) = most {
        let of = |seconds: u32| length(i64::from(seconds));
        return if evening.done_s >= evening.planned_s {
            format!("followed to the end, {}", of(evening.planned_s))
        } else {
            format!("{} of {}", of(evening.done_s), of(evening.planned_s))
        };
    }
    let standing = records.prompts.get(&night).map(|record| &record.standing);
    match standing {
        Some(Standing::Answered {
            answer: Answered::NotTonight,
        }) => "not tonight",
        Some(Standing::Answered { .. }) => "begun",
        Some(Standing::Missed { .. }) => "missed",
        Some(_) => "open",
        None => "-",
    }
    .to_owned()
}

fn bands(review: &Review) -> Markup {
    let counts: Vec<(Band, u32)> = Band::ALL
        .into_iter()
        .filter_map(|band| Some((band, *review.suggestions.bands.get(&band)?)))
        .collect();
    html! {
        @if !counts.is_empty() {
            section aria-labelledby="bands" {
                h2 #bands { "What the mornings suggested" }
                ul.flat { @for (band, count) in counts { li { (band.words()) ": " (count) @if count == 1 { " morning" } @else { " mornings" } } } }
            }
        }
    }
}

/// Every week of every phase in one table.
fn block_table(plan: &Plan, weeks: &[BlockWeek]) -> Markup {
    html! {
        section.whole-block aria-labelledby="block" {
            h2 #block { (plan.block.name) }
            details {
                summary { "Every week of the block" }
                div.scroll tabindex="0" role="group" aria-label="Every week of the block" {
                    table {
                        thead { tr {
                            th scope="col" { "Week" } th scope="col" { "Phase" } th scope="col" { "From" } th scope="col" { "Days" }
                            th scope="col" { "Load" } th scope="col" { "planned" } th scope="col" { "Wind-downs" } th scope="col" { "Slept" }
                        } }
                        tbody { @for week in weeks { (block_row(week)) } }
                    }
                }
                p.quiet {
                    @for (index, (_, letter, words)) in DayMark::ALL.iter().enumerate() { @if index > 0 { ", " } (letter) " " (words) }
                    "."
                }
            }
        }
    }
}

fn block_row(week: &BlockWeek) -> Markup {
    let days: String = week.days.iter().map(|mark| mark.letter()).collect();
    let past = week.past.as_ref();
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    let slept = past.and_then(|past| past.sleep.mean_asleep_s).map(|mean| {
        let minutes = (mean / 60.0).round();
        format!(
            "{:.0} h {:.0} min",
            (minutes / 60.0).floor(),
            minutes % 60.0
        )
    });
    html! {
        tr {
            th scope="row" { (week.block_week) }
            td { (week.phase) }
            td { (week.span.from.format("%-d %b")) }
            td { code { (days) } }
            td { (or_dash(past.map(|past| format!("{:.0}", past.load.week.known_load)))) }
            td.quiet { (format!("{:.0}", week.planned)) }
            td { (or_dash(past.map(|past| format!("{} of {}", past.evenings.done, past.evenings.prompted)))) }
            td { (or_dash(slept)) }
        }
    }
}
