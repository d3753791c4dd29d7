//! The page: everything in one file, no script, nothing loaded from anywhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Shared, short};
use crate::pure::review::share::Item;
use crate::shell::cli::part_name;

/// Dark on screen, light on paper.
const STYLE: &str = "\
:root{color-scheme:dark}\
body{margin:0 auto;max-width:48rem;padding:1rem;background:#17110d;color:#efe6d8;\
font:100%/1.5 system-ui,'DejaVu Sans',sans-serif;overflow-wrap:break-word}\
h1{font-size:1.5rem;font-weight:600}h2{font-size:1.15rem;font-weight:600;margin-top:2rem}\
.quiet{color:#bfae9b}svg{max-width:100%;height:auto}\
table{border-collapse:collapse;width:100%}\
tr>:first-child{white-space:nowrap}\
th,td{text-align:left;padding:.2rem .75rem .2rem 0;border-bottom:1px solid #4a3c30;vertical-align:top}\
.scroll{overflow-x:auto}\
@media print{:root{color-scheme:light}body{background:#fff;color:#000}.quiet{color:#444}}";

/// The page of what is shared.
pub fn page(shared: &Shared) -> String {
    let span = shared.review.span;
    let title = format!("{}, {} to {}", shared.person, span.from, span.to);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    h1 { (title) }
                    p class="quiet" { "As the program says it to the person:" }
                    @for sentence in shared.sentences() { p { (sentence) } }
                    (kept_back(shared))
                    @for (name, svg) in &shared.charts {
                        h2 { (heading(name)) }
                        (PreEscaped(svg))
                    }
                    (bests(shared))
                    (days(shared))
                    (told(shared))
                    p class="quiet" {
                        "Load is RPE times minutes, in arbitrary units (AU). Readiness is this person's ratings against \
                         this person's usual ones, in usual spreads; it compares nobody with anybody else."
                    }
                    p class="quiet" { (crate::pure::caution::CANNOT_JUDGE) }
                }
            }
        }
    };
    page.into_string()
}

fn heading(chart: &str) -> &'static str {
    match chart {
        "nights" => "Nights",
        "load" => "Load by week",
        _ => "Morning ratings",
    }
}

/// What is not in it, so that nobody takes a gap for an answer.
fn kept_back(shared: &Shared) -> Markup {
    let kept: Vec<&str> = Item::ALL
        .iter()
        .filter(|(item, _, _, _)| !shared.has(*item))
        .map(|(_, id, _, _)| *id)
        .collect();
    html! {
        @if !kept.is_empty() {
            p class="quiet" { "Not shared: " (kept.join(", ")) "." }
        }
    }
}

fn bests(shared: &Shared) -> Markup {
    let bests = &shared.review.bests;
    html! {
        @if shared.has(Item::Load) && !bests.is_empty() {
            h2 { "Most counted in one session" }
            ul {
                @for best in bests {
                    li {
                        (part_name(best, &shared.block)) ": " (best.total) " on " (best.date) " in " (best.phase)
                        @if let Some(before) = &best.before {
                            "; " (before.total) " on " (before.date) " in " (before.phase)
                        }
                    }
                }
            }
        }
    }
}

/// A row a day, with the columns that are shared.
fn days(shared: &Shared) -> Markup {
    let number = |value: Option<String>| value.unwrap_or_else(|| "-".to_owned());
    html! {
        h2 { "Day by day" }
        div class="scroll" {
            table {
                thead { tr {
                    th { "Day" }
                    th { "Morning" }
                    @if shared.has(Item::Evenings) { th { "Evening" } }
                    @if shared.has(Item::Sleep) { th { "Asleep" } }
                    @if shared.has(Item::Load) { th { "Load" } th { "Planned" } }
                    @if shared.has(Item::Readiness) { th { "Readiness" } th { "Suggested" } }
                } }
                tbody {
                    @for day in &shared.days { tr {
                        td { (short(day.date)) }
                        td { @if day.answered { "answered" } @else { "-" } }
                        @if shared.has(Item::Evenings) {
                            td { (day.evening.map_or("-", |outcome| outcome.id())) }
                        }
                        @if shared.has(Item::Sleep) {
                            td { (number(day.asleep_min.map(|minutes| format!("{}:{:02}", minutes / 60, minutes % 60)))) }
                        }
                        @if shared.has(Item::Load) {
                            td { (number(day.load.map(|load| format!("{load:.0}")))) }
                            td { (format!("{:.0}", day.planned_load)) }
                        }
                        @if shared.has(Item::Readiness) {
                            td { (number(day.readiness.map(|score| format!("{score:+.1}")))) }
                            td { (day.band.map_or("-", |band| band.words())) }
                        }
                    } }
                }
            }
        }
    }
}

/// Pain and notes, where the person shares them.
fn told(shared: &Shared) -> Markup {
    html! {
        @for (item, title, lines) in shared.told() {
            @if shared.has(item) && !lines.is_empty() {
                h2 { (title) }
                ul { @for line in lines { li { (line) } } }
            }
        }
    }
}
