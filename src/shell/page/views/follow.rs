//! Following the evening: the screen that the script plays on, and what it tells while it goes on.

mod told;

use std::sync::Arc;

use axum::extract::{Query, State};
use axum::response::{Html, IntoResponse};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Value, json};

use super::form_token;
use super::tonight::Evening;
use crate::pure::pace::Pace;
use crate::pure::phrase::length;
use crate::pure::routine::breath::in_words;
use crate::pure::routine::{Routine, Side, Timeline, figure};
use crate::shell::guide::GuideWords;
use crate::shell::page::frame::{drawing, full_screen};
use crate::shell::page::reply::Answer;
use crate::shell::page::run::{self, KeptRoutine, Run};
use crate::shell::page::site::Site;
use crate::shell::store::EveningRow;

pub use told::{at, begin, done};

/// How the view is asked for.
#[derive(Debug, Deserialize)]
pub struct Asked {
    pace: Option<f64>,
}

/// What is shown: a routine, and where it was left if it was begun.
struct Shown {
    routine: Routine,
    kept: KeptRoutine,
    open: Option<Run>,
    pace: f64,
    /// Whether it is recorded without being asked for.
    records: bool,
    intro: Vec<String>,
    closing: String,
}

/// Shows the first screen; the script does the rest.
pub async fn show(State(site): State<Arc<Site>>, Query(asked): Query<Asked>) -> Answer {
    let now = site.now();
    let (evening, known) = Evening::of(&site, now)?;
    let library = &evening.files.world.library;
    let open = run::open(&site.store())?.filter(|run| run.routine.night() == evening.night);
    let tonight = evening.tonight(&site, now, &known);
    if tonight.routine.total_ms() == 0 && open.is_none() {
        // Drawn by lot: nothing tonight. The plan says so.
        return Ok(crate::shell::page::reply::see_other("/"));
    }
    let (routine, kept) = match &open {
        Some(run) => (run.routine.routine(), run.routine.clone()),
        None => (
            tonight.routine.clone(),
            KeptRoutine::of(evening.night, &tonight.routine),
        ),
    };
    let lights_out = evening.clock(tonight.night.bedtime.at);
    let mut intro = vec![format!("Lights out is planned at {lights_out}.")];
    if evening.rows.iter().any(EveningRow::is_done) {
        intro.push("This evening was done already.".to_owned());
    }
    let pace = asked
        .pace
        .filter(|pace| Pace::times(*pace).is_some())
        .unwrap_or(1.0);
    let shown = Shown {
        routine,
        kept,
        records: pace == 1.0 && (open.is_some() || tonight.night.is_evening(now)),
        open,
        pace,
        intro,
        closing: format!("Lights out is planned at {lights_out}."),
    };
    let timeline = Timeline::compile(&shown.routine, library);
    let words = GuideWords::of("Tonight's wind-down", &shown.routine, library);
    let content = content(&site, &shown, &timeline, &words);
    Ok(Html(full_screen("Wind-down", &["/follow.mjs"], &content).into_string()).into_response())
}

fn content(site: &Site, shown: &Shown, timeline: &Timeline, words: &GuideWords) -> Markup {
    let open = shown.open.as_ref();
    let spans = open.map(|run| json!(run.spans).to_string());
    html! {
        main #follow
            data-state="waiting"
            data-routine=(data(&shown.routine, timeline, words))
            data-kept=(serde_json::to_string(&shown.kept).unwrap_or_default())
            data-token=(site.kept.form.digits())
            data-pace=(shown.pace)
            data-records=(shown.records)
            data-run=[open.map(|run| &run.id)]
            data-started=[open.map(|run| run.started_ms)]
            data-position=[open.map(|run| run.position_ms)]
            data-spans=[spans] {
            (first(site, shown, timeline, words))
            (stage(words))
            (last(shown))
            (dialogs())
        }
    }
}

/// What the script plays.
fn data(routine: &Routine, timeline: &Timeline, words: &GuideWords) -> String {
    let cues: Vec<Value> = timeline
        .cues
        .iter()
        .map(|cue| {
            json!([
                cue.at_ms,
                cue.for_ms,
                cue.kind.id(),
                cue.text,
                cue.step,
                cue.breath
            ])
        })
        .collect();
    let steps: Vec<Value> = words
        .steps
        .iter()
        .map(|step| {
            json!({
                "name": step.name,
                "side": side_words(step.side),
                "set_up": step.set_up,
                "feel": step.feel,
                "ease_off": step.ease_off,
            })
        })
        .collect();
    json!({
        "total_ms": timeline.total_ms,
        "cues": cues,
        "steps": steps,
        "breathing": in_words(&routine.pattern),
        "second_inhale_ms": routine.pattern.second_inhale_ms,
    })
    .to_string()
}

fn side_words(side: Side) -> &'static str {
    match side {
        Side::Left => "Left side",
        Side::Right => "Right side",
        Side::Both => "",
    }
}

fn first(site: &Site, shown: &Shown, timeline: &Timeline, words: &GuideWords) -> Markup {
    let seconds = i64::try_from(timeline.total_ms / 1000).unwrap_or(0);
    let left_at = shown.open.as_ref().map(|run| {
        format!(
            "You were at {} of {}.",
            minutes(run.position_ms),
            minutes(timeline.total_ms)
        )
    });
    html! {
        section #first aria-labelledby="title" {
            p { a href="/" { "Back to tonight" } }
            h1 #title { "Wind-down, " (length(seconds)) }
            p.big { (words.summary(timeline)) }
            @for line in &shown.intro { p { (line) } }
            @if let Some(left_at) = &left_at { p.said { (left_at) } }
            @if shown.pace != 1.0 { p.said { "A rehearsal at " (shown.pace) " times the speed. It is not recorded." } }
            @else if !shown.records { p.said { "It is early: tried now, it is not recorded, and tonight's prompt still comes." } }
            section.note aria-labelledby="first-rules" {
                h2 #first-rules { "Before you begin" }
                ul { @for caution in words.all_cautions(timeline) { li { (caution) } } }
            }
            form #start method="post" action="/follow/begin" {
                (form_token(site))
                div.row {
                    button.first #begin type="submit" disabled { @if left_at.is_some() { "Go on" } @else { "Begin" } }
                    @if left_at.is_some() { button type="submit" name="from" value="again" { "From the start" } }
                }
                fieldset.options {
                    legend.unseen { "How it is guided" }
                    label.check { input #tones type="checkbox" autocomplete="off" checked; "Soft tones" }
                    label.check { input #moving type="checkbox" autocomplete="off" checked; "Moving line for the breath" }
                    label.check { input #whole type="checkbox" autocomplete="off"; "Whole screen" }
                    @if !shown.records { label.check { input #record type="checkbox" autocomplete="off"; "Record it as tonight's even so" } }
                }
            }
            noscript {
                p.said {
                    "Pacing needs script, which is off here. Follow it in a terminal with " code { "evenfall follow" }
                    ", or by ear: " code { "evenfall routine sound tonight evening.flac" }
                    ". The list below can be followed from paper, too."
                }
            }
            (outline(words, &shown.routine))
        }
    }
}

fn outline(words: &GuideWords, routine: &Routine) -> Markup {
    html! {
        section aria-labelledby="outline" {
            h2 #outline { "What comes" }
            @if !words.needs.is_empty() { p { "At hand: " (words.needs.join(", ")) "." } }
            ol {
                @for step in &words.steps {
                    li { (step.name) @if step.side != Side::Both { ", " (side_words(step.side).to_lowercase()) } ", " (step.hold_s) " s" }
                }
                li { "Breathing, " (words.breathing) ", " (routine.cycles) " breaths" }
            }
        }
    }
}

fn stage(words: &GuideWords) -> Markup {
    html! {
        section #stage hidden aria-label="The evening" {
            div.bar-top {
                p #left {}
                p #phase {}
            }
            div.scene {
                div #picture aria-hidden="true" {
                    @for (index, step) in words.steps.iter().enumerate() {
                        div data-step=(index) hidden {
                            @if let Some(drawn) = &step.figure { (drawing(figure::svg::document(drawn, &step.name))) }
                        }
                    }
                }
                div.words {
                    h1 #what {}
                    p #side {}
                    p #seconds aria-hidden="true" {}
                    p #how {}
                }
                div #breath hidden aria-hidden="true" {
                    canvas #trace {}
                    div #bar hidden { div #filled {} }
                }
            }
            p #next {}
            p #state role="status" {}
            p #live .unseen role="status" {}
            div.controls {
                button #back type="button" { "Back" }
                button #pause type="button" { "Pause" }
                button #forth type="button" { "Next" }
                button #end type="button" { "End" }
                button #sound type="button" { "Sound on" }
                button #help type="button" { "Keys" }
            }
        }
    }
}

fn last(shown: &Shown) -> Markup {
    html! {
        section #last hidden aria-labelledby="ended" {
            h1 #ended tabindex="-1" { "That is all for tonight." }
            p #recorded role="status" {}
            p { (shown.closing) }
            p { a.button href="/" { "Back to tonight" } }
        }
    }
}

fn dialogs() -> Markup {
    let keys = [
        ("Space", "pause, go on"),
        ("n", "the next hold or breath"),
        ("p", "back"),
        ("q", "end"),
        ("?", "this list"),
    ];
    html! {
        dialog #ending aria-labelledby="ending-title" {
            h2 #ending-title { "End here?" }
            p #so-far {}
            div.row {
                button.first #end-not type="button" { "Go on" }
                button #end-now type="button" { "End and record" }
            }
        }
        dialog #keys aria-labelledby="keys-title" {
            h2 #keys-title { "Keys" }
            dl.facts {
                @for (key, does) in keys { dt { kbd { (key) } } dd { (does) } }
            }
            label.check { input #letters type="checkbox" autocomplete="off" checked; "Single letters do this" }
            div.row { button.first #keys-close type="button" { "Close" } }
        }
    }
}

/// `3:05`.
fn minutes(ms: u64) -> String {
    let seconds = ms / 1000;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
