//! What became of the wind-downs of a look back.

use maud::{Markup, html};

use crate::pure::civil::Night;
use crate::pure::phrase::{counted, length};
use crate::pure::prompt::{Answer as Answered, Standing};
use crate::pure::review::summary::{Records, Review, Span};

/// Their counts, with evening by evening behind them.
pub fn evenings(records: &Records<'_>, review: &Review, span: Span) -> Markup {
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
                    (counted(counts.prompted, "evenings")) ": "
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
