//! The tables behind the charts of a look back.

use maud::{Markup, html};

use crate::pure::civil::{Instant, Night};
use crate::pure::diary::{Item, Morning};
use crate::pure::night;
use crate::pure::phrase::length;
use crate::pure::review::summary::{LoadWeek, Records, Span};

/// Night by night.
pub fn nights(records: &Records<'_>, span: Span) -> Markup {
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

/// The ratings of each morning.
pub fn ratings(records: &Records<'_>, span: Span) -> Markup {
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

/// Week by week.
pub fn load(weeks: &[LoadWeek]) -> Markup {
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
