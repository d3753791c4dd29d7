//! Tonight's plan with its reasons, and what can be done about it.

mod choices;
mod evening;

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::button;
use crate::pure::block::DayKind;
use crate::pure::civil::Instant;
use crate::pure::pace::Trace;
use crate::pure::phrase::{length, listed};
use crate::pure::prompt::{Answer, Standing};
use crate::pure::routine::breath::in_words;
use crate::pure::routine::{Library, Routine, Side, Step, Timeline, change, figure};
use crate::pure::tonight::{Chosen, Tonight};
use crate::shell::page::View;
use crate::shell::page::frame::{Frame, drawing};
use crate::shell::page::reply::{self, Answer as Reply};
use crate::shell::page::site::Site;
use crate::shell::store::EveningRow;

pub use choices::{done, later, minutes, not_tonight, swap, usual};
pub use evening::Evening;

/// Shortest and longest wind-down that can be chosen, minutes.
const MINUTES: (u32, u32) = (3, 30);
/// Minutes that "shorter" and "longer" take away or add.
const STEP_MIN: u32 = 2;
/// Stretches offered in the place of one.
const OFFERED: usize = 4;

/// What was just done, by a word in the address.
#[derive(Debug, Deserialize)]
pub struct Did {
    did: Option<String>,
}

fn said(did: Option<&str>) -> Option<&'static str> {
    Some(match did? {
        "later" => "The prompt comes again in 15 minutes.",
        "not_tonight" => "No wind-down tonight.",
        "done" => "Recorded as done.",
        "swap" => "Another stretch stands in its place.",
        "minutes" => "Tonight has another length.",
        "usual" => "Tonight is composed as usual.",
        _ => return None,
    })
}

/// Shows it.
pub async fn show(State(site): State<Arc<Site>>, Query(did): Query<Did>) -> Reply {
    let now = site.now();
    let (evening, known) = Evening::of(&site, now)?;
    let tonight = evening.tonight(&site, now, &known);
    let content = content(&site, &evening, &tonight, now);
    let frame = Frame {
        view: View::Tonight,
        title: "Tonight",
        complaints: &evening.files.complaints,
        said: said(did.did.as_deref()),
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}

fn content(site: &Site, evening: &Evening, tonight: &Tonight<'_>, now: Instant) -> Markup {
    let night = &tonight.night;
    html! {
        h1 { "Tonight, " (evening.night.evening().format("%A %-d %B")) }
        (standing(evening))
        dl.times {
            div { dt { "Begin" } dd { (evening.clock(night.starts_at)) } }
            div { dt { "Lights out" } dd { (evening.clock(night.bedtime.at)) } }
            div { dt { "Wake" } dd { (evening.clock(night.wake.at)) } }
            div { dt { "In bed" } dd { (length(night.in_bed_s)) } }
        }
        @if tonight.routine.total_ms() > 0 {
        (actions(site, evening, tonight, now))
        section aria-labelledby="plan" {
            h2 #plan { (length(i64::try_from(tonight.routine.seconds()).unwrap_or(0))) " of wind-down" }
            p.quiet { (day(tonight)) }
            @if !tonight.why.is_empty() { p { (tonight.why) } }
            (list(site, evening, &tonight.routine))
            (lengths(site, evening, tonight))
        }
        }
        @if !tonight.notes.is_empty() {
            section aria-labelledby="notes" {
                h2 #notes { "Worth knowing" }
                ul { @for note in &tonight.notes { li { (note) } } }
            }
        }
        p.quiet {
            "With the screen off: " code { "evenfall routine sound tonight evening.flac" }
            " writes the sound of this evening to a file."
        }
    }
}

/// What was already said about tonight.
fn standing(evening: &Evening) -> Markup {
    let words = match (&evening.record.standing, evening.rows.last()) {
        (_, Some(row)) if row.is_done() => {
            Some(format!("Done, begun at {}.", evening.clock(row.started)))
        }
        (_, Some(row)) => Some(format!(
            "Partly done: {} of {}, begun at {}.",
            length(i64::from(row.done_s)),
            length(i64::from(row.planned_s)),
            evening.clock(row.started)
        )),
        (
            Standing::Answered {
                answer: Answer::NotTonight,
            },
            None,
        ) => Some("Not tonight, as you said. It can be begun all the same.".to_owned()),
        (
            Standing::Answered {
                answer: Answer::Done,
            },
            None,
        ) => Some("Done.".to_owned()),
        (Standing::Postponed { until }, None) => Some(format!(
            "The prompt comes again at {}.",
            evening.clock(*until)
        )),
        (Standing::Missed { .. }, None) => Some("The prompt's time has passed.".to_owned()),
        _ => None,
    };
    html! { @if let Some(words) = words { p.quiet { (words) } } }
}

fn actions(site: &Site, evening: &Evening, tonight: &Tonight<'_>, now: Instant) -> Markup {
    let done = evening.rows.last().is_some_and(EveningRow::is_done);
    let declined = matches!(
        evening.record.standing,
        Standing::Answered {
            answer: Answer::NotTonight
        }
    );
    let prompted = matches!(evening.record.standing, Standing::Open { .. });
    let night = evening.night.to_string();
    html! {
        div.row {
            a.button.first href="/follow" { @if done { "Once more" } @else { "Start" } }
            @if prompted {
                (button(site, "/tonight/later", "In 15 minutes", &[("night", &night)]))
            }
            @if !declined && !done && evening.plan.has_evening(evening.night) {
                (button(site, "/tonight/not", "Not tonight", &[]))
            }
            @if !done && now > tonight.night.prompt_at {
                (button(site, "/tonight/done", "Did it without the page", &[]))
            }
        }
    }
}

fn day(tonight: &Tonight<'_>) -> String {
    let titles: Vec<&str> = tonight
        .day
        .sessions
        .iter()
        .map(|session| session.title.as_str())
        .collect();
    let place = |phase: &str| format!("{phase}, week {}", tonight.day.week.unwrap_or(1));
    match (tonight.day.kind, tonight.day.phase) {
        (DayKind::Training, Some(phase)) => {
            format!(
                "Planned today: {} ({}).",
                titles.join(", "),
                place(&phase.name)
            )
        }
        (DayKind::Rest, Some(phase)) => format!("A rest day ({}).", place(&phase.name)),
        _ => "Today is outside the block.".to_owned(),
    }
}

/// The stretches in order, both sides in one line, and the breathing.
fn list(site: &Site, evening: &Evening, routine: &Routine) -> Markup {
    let library = &evening.files.world.library;
    let same = |a: &Step, b: &Step| a.stretch == b.stretch && a.hold_s == b.hold_s;
    html! {
        ol.stretches {
            @for group in routine.steps.chunk_by(same) {
                li { (stretch(site, evening, library, routine, group)) }
            }
            li.breathing {
                div.thumb { (trace_thumb(routine, library)) }
                div {
                    h3 { "Breathing" }
                    p { (in_words(&routine.pattern)) ", " (routine.cycles) " breaths, "
                        (length(i64::try_from(routine.breathing_ms() / 1000).unwrap_or(0))) }
                    p.quiet { (routine.pattern.about) }
                }
            }
        }
    }
}

fn stretch(
    site: &Site,
    evening: &Evening,
    library: &Library,
    routine: &Routine,
    group: &[Step],
) -> Markup {
    let Some(step) = group.first() else {
        return html! {};
    };
    let known = library.stretches.get(&step.stretch);
    let name = known.map_or(step.stretch.as_str(), |stretch| stretch.name.as_str());
    let regions: Vec<&str> = known
        .iter()
        .flat_map(|stretch| stretch.regions.keys())
        .map(|region| region.words())
        .collect();
    let sides = match (group.len(), step.side) {
        (1, Side::Left) => ", left side",
        (1, Side::Right) => ", right side",
        (1, Side::Both) => "",
        _ => " each side",
    };
    let pose = known.and_then(|stretch| stretch.figure());
    let others = change::alternatives(routine, library, &evening.limits, &step.stretch);
    html! {
        div.thumb aria-hidden="true" {
            @if let Some(pose) = pose { (drawing(figure::svg::document(&figure::draw(pose, Side::Right), name))) }
        }
        div {
            h3 { (name) }
            p { (step.hold_s) " s" (sides) }
            p.quiet { "For " (if regions.is_empty() { "the whole body".to_owned() } else { listed(&regions) }) "." }
            @if !others.is_empty() {
                details {
                    summary { "Swap" span.unseen { " " (name) } }
                    div.row {
                        @for other in others.iter().take(OFFERED) {
                            (button(site, "/tonight/swap", &other.name, &[("out", &step.stretch), ("in", &other.id)]))
                        }
                    }
                }
            }
        }
    }
}

/// Two breaths of the pattern as a line.
fn trace_thumb(routine: &Routine, library: &Library) -> Markup {
    let breaths = Routine {
        steps: Vec::new(),
        cycles: 2,
        ..routine.clone()
    };
    let timeline = Timeline::compile(&breaths, library);
    let second_inhale = Duration::from_millis(routine.pattern.second_inhale_ms.into());
    let trace = Trace::of(&timeline, second_inhale);
    let parts = 48;
    let points: Vec<String> = (0..=parts)
        .filter_map(|part| {
            let at = Duration::from_millis(timeline.total_ms * part / parts);
            let x = 4 + 92 * part / parts;
            Some(format!("{x} {:.1}", 44.0 - 32.0 * trace.volume(at)?))
        })
        .collect();
    html! {
        svg viewBox="0 0 100 56" aria-hidden="true" {
            path d={ "M" (points.join("L")) } fill="none" stroke="currentColor" stroke-width="3" stroke-linejoin="round" stroke-linecap="round" {}
        }
    }
}

fn lengths(site: &Site, evening: &Evening, tonight: &Tonight<'_>) -> Markup {
    let now = evening.chosen.minutes.unwrap_or_else(|| {
        u32::try_from(tonight.routine.seconds().div_ceil(60)).unwrap_or(MINUTES.1)
    });
    let shorter = now.saturating_sub(STEP_MIN).max(MINUTES.0);
    let longer = (now + STEP_MIN).min(MINUTES.1);
    let given = evening.plan.settings.evening.routine.is_some();
    html! {
        div.row {
            @if !given && shorter < now {
                (button(site, "/tonight/minutes", &format!("Shorter, {shorter} minutes"), &[("minutes", &shorter.to_string())]))
            }
            @if !given && longer > now {
                (button(site, "/tonight/minutes", &format!("Longer, {longer} minutes"), &[("minutes", &longer.to_string())]))
            }
            @if evening.chosen != Chosen::default() {
                (button(site, "/tonight/usual", "As usual again", &[]))
            }
        }
    }
}
