//! Every week of every phase of the block.

use maud::{Markup, html};

use crate::pure::agenda::Plan;
use crate::pure::phrase::length;
use crate::pure::review::summary::{BlockWeek, DayMark};

/// All weeks in one table; `open` where the block itself is looked at.
pub fn table(plan: &Plan, weeks: &[BlockWeek], open: bool) -> Markup {
    html! {
        section.whole-block data-open=[open.then_some("")] aria-labelledby="block" {
            h2 #block { (plan.block.name) }
            @if open { (rows(weeks)) }
            @else { details { summary { "Every week of the block" } (rows(weeks)) } }
        }
    }
}

fn rows(weeks: &[BlockWeek]) -> Markup {
    html! {
        div.scroll tabindex="0" role="group" aria-label="Every week of the block" {
            table {
                thead { tr {
                    th scope="col" { "Week" } th scope="col" { "From" } th scope="col" { "Days" }
                    th scope="col" { "Load" } th scope="col" { "planned" } th scope="col" { "Wind-downs" } th scope="col" { "Slept" }
                    th scope="col" { "Short nights" } th scope="col" { "Less suggested" }
                } }
                @for phase in weeks.chunk_by(|one, next| one.phase == next.phase) {
                    tbody {
                        tr { th.phase scope="rowgroup" colspan="9" { (phase[0].phase) } }
                        @for week in phase { (row(week)) }
                    }
                }
            }
        }
        p.quiet {
            @for (index, (_, letter, words)) in DayMark::ALL.iter().enumerate() { @if index > 0 { ", " } (letter) " " (words) }
            "."
        }
    }
}

fn row(week: &BlockWeek) -> Markup {
    let days: String = week.days.iter().map(|mark| mark.letter()).collect();
    let past = week.past.as_ref();
    let of = |count: usize, all: usize| match all {
        0 => "-".to_owned(),
        all => format!("{count} of {all}"),
    };
    let counted = |count: u32| usize::try_from(count).unwrap_or(usize::MAX);
    html! {
        tr {
            th scope="row" { (week.block_week) }
            td { (week.span.from.format("%-d %b")) }
            td { code { (days) } }
            @if let Some(past) = past {
                td { (format!("{:.0}", past.load.week.known_load)) }
                td.quiet { (format!("{:.0}", week.planned)) }
                td { (of(counted(past.evenings.done), counted(past.evenings.prompted))) }
                td { (past.sleep.mean_asleep_s.map_or("-".to_owned(), |mean| length(whole_minutes(mean)))) }
                td { (of(past.sleep.short_nights, past.sleep.nights)) }
                td { (of(counted(past.suggestions.judged_lower()), counted(past.suggestions.judged()))) }
            } @else {
                td {} td.quiet { (format!("{:.0}", week.planned)) } td {} td {} td {} td {}
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the length of a night")]
fn whole_minutes(seconds: f64) -> i64 {
    (seconds / 60.0).round() as i64 * 60
}
