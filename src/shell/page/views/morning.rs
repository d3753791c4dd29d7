//! The morning: one screen for a night and how the person is after it.

mod reading;
mod turn;

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::{NaiveDate, NaiveTime};
use maud::{Markup, html};
use serde::Deserialize;

use super::values::{Values, time_field};
use super::{body, form_token};
use crate::pure::civil::Night;
use crate::pure::diary::{Item, Morning, Ratings, Refusal};
use crate::pure::phrase::capitalised;
use crate::pure::region::Region;
use crate::shell::page::View;
use crate::shell::page::frame::Frame;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer};
use crate::shell::page::site::Site;
use turn::Turn;

/// Longest remark, characters.
const LONGEST_NOTE: usize = 2000;
/// How sore a place is.
const DEGREES: [(&str, &str); 4] = [
    ("0", "not sore"),
    ("1", "a little"),
    ("2", "clearly"),
    ("3", "strongly"),
];

/// Which night is asked for.
#[derive(Debug, Deserialize)]
pub struct Asked {
    night: Option<NaiveDate>,
}

/// As the form starts: the plan's times, or what is recorded.
fn values_of(turn: &Turn) -> Values {
    let mut values = Values::default();
    for field in FIELDS {
        values.set(field, "");
    }
    for (_, region) in Region::ALL {
        values.set(&sore_field(region), "");
    }
    let time = |time: NaiveTime| time.format("%H:%M").to_string();
    let usual = &turn.usual;
    values.set("into_bed", time(usual.into_bed));
    values.set("lights_out", time(usual.lights_out));
    values.set("woke", time(usual.woke));
    values.set("up", time(usual.up));
    values.set("asleep_after", usual.asleep_after);
    values.set("wakings", usual.wakings);
    let awake = if usual.wakings == 0 {
        0
    } else {
        usual.awake_for
    };
    values.set("awake_for", awake);
    if let Some(known) = &turn.known {
        for item in Item::ALL {
            if let Some(rating) = known.ratings.get(item) {
                values.set(item.id(), rating);
            }
        }
        for (region, degree) in &known.sore_in {
            values.set(&sore_field(*region), degree);
        }
        if known.ill {
            values.set("ill", "1");
        }
        values.set("note", &known.note);
    }
    values
}

const FIELDS: [&str; 14] = [
    "into_bed",
    "lights_out",
    "asleep_after",
    "wakings",
    "awake_for",
    "woke",
    "up",
    "sleep_quality",
    "freshness",
    "soreness",
    "mood",
    "ill",
    "note",
    "long_night",
];

fn sore_field(region: Region) -> String {
    format!("sore_{}", region.id())
}

/// Shows the form.
pub async fn show(State(site): State<Arc<Site>>, Query(asked): Query<Asked>) -> Answer {
    let turn = Turn::new(&site, asked.night.map(Night))?;
    let values = values_of(&turn);
    Ok(page(&site, &turn, &values, &[]))
}

fn page(site: &Site, turn: &Turn, values: &Values, refusals: &[String]) -> Response {
    let content = content(site, turn, values, refusals);
    let frame = Frame {
        view: View::Morning,
        title: "Morning",
        complaints: &turn.files.complaints,
        said: None,
        scripts: &["/fields.mjs", "/morning.mjs"],
    };
    reply::view(&frame, &content)
}

fn content(site: &Site, turn: &Turn, values: &Values, refusals: &[String]) -> Markup {
    let night = turn.night;
    html! {
        h1 { "Morning after " (night.evening().format("%A %-d %B")) }
        @if !refusals.is_empty() {
            section.note role="alert" aria-labelledby="questions" {
                h2 #questions { "Not recorded yet" }
                ul { @for refusal in refusals { li { (refusal) } } }
            }
        }
        @match &turn.known {
            Some(known) if known.estimated => { p.quiet { "Recorded as usual. What you answer here takes its place." } }
            Some(_) => { p.quiet { "Recorded. What you answer here corrects it; the earlier answer stays in the history." } }
            None => {
                form.usual method="post" action="/morning/usual" {
                    (form_token(site))
                    input type="hidden" name="night" value=(night);
                    button type="submit" { "All as usual, with the planned times" }
                }
            }
        }
        form #morning method="post" action="/morning" {
            (form_token(site))
            input type="hidden" name="night" value=(night);
            @for item in Item::ALL { (scale(item, values.get(item.id()))) }
            (soreness(values))
            label.check { input type="checkbox" name="ill" value="1" checked[values.get("ill") == "1"]; "Ill: fever, or unwell in the whole body" }
            (times(values, refusals))
            @if let Some(titles) = &turn.unrecorded {
                label.check {
                    input type="checkbox" name="rest" value="1";
                    (titles) " of " (night.evening().format("%A")) " is not recorded: it was a day without training"
                }
            }
            details open[!values.get("note").is_empty()] {
                summary { "A remark" }
                div.field {
                    label.unseen for="note" { "Remark" }
                    textarea #note name="note" maxlength=(LONGEST_NOTE) { (values.get("note")) }
                }
            }
            div.row.stays {
                button.first type="submit" { "Record" }
                a.button href="/pain" { "Something hurts" }
            }
        }
        (earlier(turn))
    }
}

/// One rating: five buttons with words at both ends.
fn scale(item: Item, chosen: &str) -> Markup {
    let (low, high) = item.ends();
    html! {
        fieldset.scale {
            legend { (item.asks()) }
            div.five {
                @for value in 1..=5_u8 {
                    label.choice {
                        input type="radio" name=(item.id()) value=(value) checked[chosen == value.to_string()];
                        span { (value) @if value == 1 { span.unseen { " " (low) } } @if value == 3 { span.unseen { " as usual" } } @if value == 5 { span.unseen { " " (high) } } }
                    }
                }
            }
            div.ends aria-hidden="true" { span { (low) } span { "as usual" } span { (high) } }
        }
    }
}

fn soreness(values: &Values) -> Markup {
    let any = Region::ALL
        .iter()
        .any(|(_, region)| !matches!(values.get(&sore_field(*region)), "" | "0"));
    html! {
        details #where open[any] {
            summary { "Where it is sore" }
            p.quiet #tap-words hidden { "Tap a place: once a little, twice clearly, three times strongly." }
            div.where {
                (body::outline())
                div.places {
                    @for (_, region) in Region::ALL {
                        @let field = sore_field(region);
                        div.field {
                            label for=(field) { (capitalised(region.words())) }
                            select id=(field) name=(field) data-region=(region.id()) {
                                @for (value, words) in DEGREES {
                                    option value=(value) selected[values.get(&field) == value] { (words) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn times(values: &Values, refusals: &[String]) -> Markup {
    let time = |name: &str, words: &str| time_field(values, name, words);
    let number = |name: &str, words: &str, most: u32| {
        html! {
            div.field {
                label for=(name) { (words) }
                input id=(name) name=(name) type="number" inputmode="numeric" min="0" max=(most) value=(values.get(name));
            }
        }
    };
    let long = refusals.iter().any(|refusal| refusal.contains("16 hours"))
        || values.get("long_night") == "1";
    html! {
        fieldset {
            legend { "The night" }
            p.quiet { "As planned, unless you change it. Rough is good enough; empty is fine." }
            div.times-of-night {
                (time("into_bed", "Into bed"))
                (time("lights_out", "Lights out"))
                (number("asleep_after", "Minutes to fall asleep", 600))
                (number("wakings", "Times awake", 100))
                (number("awake_for", "Minutes awake then", 900))
                (time("woke", "Woke for good"))
                (time("up", "Out of bed"))
            }
            @if long {
                label.check { input type="checkbox" name="long_night" value="1" checked[values.get("long_night") == "1"]; "More than 16 hours in bed are meant" }
            }
        }
    }
}

fn earlier(turn: &Turn) -> Markup {
    html! {
        @if !turn.missing.is_empty() {
            section aria-labelledby="missing" {
                h2 #missing { "Not recorded" }
                ul.links {
                    @for night in turn.missing.iter().filter(|night| **night != turn.night) {
                        li { a href={ "/morning?night=" (night) } { "The night of " (night.evening().format("%A %-d %B")) } }
                    }
                }
            }
        }
    }
}

fn night_of(form: &Form) -> Option<Night> {
    form.text("night")?.parse().ok().map(Night)
}

/// Everything as usual, with the planned times.
pub async fn as_usual(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let turn = Turn::new(&site, night_of(&form))?;
    let times = turn.plan.night(turn.night);
    let morning = Morning::as_usual(
        turn.night,
        turn.zone.name(),
        times.bedtime.at,
        times.wake.at,
    );
    if turn.known.is_none() {
        site.store().add_morning(&morning, turn.now, &turn.zone)?;
        site.tell().await;
    }
    Ok(reply::see_other("/today?did=morning"))
}

/// Records what the form says.
pub async fn record(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let turn = Turn::new(&site, night_of(&form))?;
    let sent = values_of(&turn).sent(&form);
    let values = sent.with_times(["into_bed", "lights_out", "woke", "up"]);
    let answers = match reading::read(&values) {
        Ok(answers) => answers,
        Err(wrong) => return Ok(again(&site, &turn, &values, &wrong)),
    };
    // The form asked for everything, so only what it could not ask for stays from an older record.
    let base = turn.known.clone().map(|known| Morning {
        times: Default::default(),
        ratings: Ratings::default(),
        ..known
    });
    let answered = match answers.on_top_of(base.as_ref(), turn.night, &turn.zone) {
        Ok(answered) => answered,
        Err(refusals) => {
            let said: Vec<String> = refusals.iter().map(Refusal::to_string).collect();
            return Ok(again(&site, &turn, &values, &said));
        }
    };
    if answered.morning.is_empty() {
        let said = ["Nothing is answered. Give one rating, or the times.".to_owned()];
        return Ok(again(&site, &turn, &values, &said));
    }
    {
        let mut store = site.store();
        if turn.known.as_ref() != Some(&answered.morning) {
            store.add_morning(&answered.morning, turn.now, &turn.zone)?;
        }
        let day = turn.night.evening();
        if form.has("rest") && turn.unrecorded.is_some() {
            store.add_rest(day, turn.now, &turn.zone)?;
        }
    }
    site.tell().await;
    Ok(reply::see_other("/today?did=morning"))
}

/// The form once more, with what has to be changed.
fn again(site: &Site, turn: &Turn, values: &Values, said: &[String]) -> Response {
    let mut response = page(site, turn, values, said);
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    response.into_response()
}
