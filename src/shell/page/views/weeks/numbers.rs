//! A look back in numbers: sleep and its timing, what the mornings suggested, bests, soreness, and two
//! evenings compared.

use maud::{Markup, html};

use crate::pure::agenda::Plan;
use crate::pure::phrase::length;
use crate::pure::readiness::Band;
use crate::pure::review::summary::{
    NightsSummary, PhaseBest, Review, SoreRegion, Suggestions, WhatWasDone,
};
use crate::shell::cli::part_name;

/// Weeks of soreness that a row shows.
const SORE_WEEKS: usize = 13;

/// Sore regions with their weeks that fit a printed page of nine weeks with everything else on it.
const SORE_ON_PAPER: usize = 4;

/// All of them, each where something is known.
pub fn numbers(review: &Review, plan: &Plan, compared: &[String]) -> Markup {
    html! {
        div.beside-each-other {
            (sleep(&review.sleep, plan))
            (suggested(&review.suggestions))
            div { (bests(&review.bests, plan)) (sore(&review.sore)) }
        }
        (comparison(compared))
    }
}

fn sleep(sleep: &NightsSummary, plan: &Plan) -> Markup {
    let minutes = |seconds: f64| format!("{:.0} min", seconds / 60.0);
    html! {
        @if sleep.nights > 0 {
            section aria-labelledby="sleep" {
                h2 #sleep { "Sleep" }
                dl.pairs {
                    @if let Some(shortfall) = sleep.shortfall {
                        @let less = shortfall.mean_s >= 0.0;
                        div {
                            dt { "Against " (length(sleep.need_s)) " a night" }
                            dd { (minutes(shortfall.mean_s.abs())) (if less { " less" } else { " more" }) span.quiet { " on the last " (shortfall.nights) " known nights" } }
                        }
                    }
                    @if let Some(index) = sleep.regularity {
                        div {
                            dt { "Regularity" }
                            dd { (format!("{index:.0}")) span.quiet { " of 100, which is every day like the day before; compare it with your own other weeks only" } }
                        }
                    }
                    @if let Some(spread) = sleep.midpoints.and_then(|middles| middles.sd_s) {
                        div { dt { "Spread of the middle of sleep" } dd { (minutes(spread)) span.quiet { " over " (sleep.midpoint_nights) " nights" } } }
                    }
                    @if let Some(found) = sleep.alarm_and_free {
                        @let later = found.social_jetlag_s >= 0.0;
                        div {
                            dt { "Social jetlag" }
                            dd {
                                (minutes(found.social_jetlag_s.abs()))
                                span.quiet { ": so much " (if later { "later" } else { "earlier" }) " lies the middle of sleep on free days than on days with an alarm (" (found.alarm_nights) " nights with, " (found.free_nights) " without)" }
                            }
                        }
                    }
                }
                @if plan.settings.nights.alarm_days.is_none() && sleep.midpoint_nights > 0 {
                    p.quiet { "Mornings with an alarm are not compared with free ones: " code { "alarm_days" } " in the settings says which they are." }
                }
            }
        }
    }
}

fn suggested(suggestions: &Suggestions) -> Markup {
    let counts: Vec<(Band, u32)> = Band::ALL
        .into_iter()
        .filter_map(|band| Some((band, *suggestions.bands.get(&band)?)))
        .collect();
    let done = [
        (WhatWasDone::Followed, "followed"),
        (WhatWasDone::KeptPlan, "kept to the plan"),
        (WhatWasDone::DidMore, "more done than suggested"),
        (WhatWasDone::Unknown, "without a record"),
    ]
    .map(|(what, words)| (suggestions.lowered_with(what), words));
    html! {
        @if !counts.is_empty() {
            section aria-labelledby="bands" {
                h2 #bands { "What the mornings suggested" }
                dl.pairs {
                    @for (band, count) in counts { div { dt { (band.words()) } dd { (count) @if count == 1 { " morning" } @else { " mornings" } } } }
                }
                @if suggestions.lowered_days() > 0 {
                    p {
                        "Days with a session and less suggested: " (suggestions.lowered_days()) " ("
                        @for (index, (count, words)) in done.iter().filter(|(count, _)| *count > 0).enumerate() { @if index > 0 { ", " } (count) " " (words) }
                        ")."
                    }
                }
            }
        }
    }
}

fn bests(bests: &[PhaseBest], plan: &Plan) -> Markup {
    html! {
        @if !bests.is_empty() {
            section aria-labelledby="bests" {
                h2 #bests { "Most counted in one session" }
                dl.pairs {
                    @for best in bests {
                        div {
                            dt { (part_name(best, &plan.block)) }
                            dd {
                                (best.total) span.quiet { " on " (best.date.format("%-d %b")) " in " (best.phase) }
                                @if let Some(before) = &best.before {
                                    ", " (before.total) span.quiet { " on " (before.date.format("%-d %b")) " in " (before.phase) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn sore(sore: &[SoreRegion]) -> Markup {
    let shown = sore
        .first()
        .map_or(0, |sore| sore.weeks.len().min(SORE_WEEKS));
    html! {
        @if !sore.is_empty() {
            section aria-labelledby="sore" data-many[sore.len() > SORE_ON_PAPER] {
                h2 #sore { "Sore, in mornings" }
                div.scroll tabindex="0" role="group" aria-label="Sore mornings by week" {
                    table {
                        thead { tr {
                            th scope="col" { "Region" } th scope="col" { "all" }
                            th scope="colgroup" colspan=(shown) { @if shown == 1 { "week" } @else { (shown) " weeks" } }
                        } }
                        tbody {
                            @for region in sore {
                                tr {
                                    th.one-line scope="row" { (region.region.words()) }
                                    td { (region.mornings) }
                                    @for week in &region.weeks[region.weeks.len() - shown..] { td.quiet { (week) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn comparison(compared: &[String]) -> Markup {
    html! {
        @if !compared.is_empty() {
            section.all-across aria-labelledby="compared" {
                h2 #compared { "Two evenings compared" }
                @for sentence in compared { p { (sentence) } " " }
            }
        }
    }
}
