//! Prompts of the person's own: a sentence at a time of day.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};

use super::super::form_token;
use super::super::values::{Values, named_time_field};
use super::fields::DAYS;
use super::{Filled, Refused, change_file, saves_alone};
use crate::pure::document::parse_time;
use crate::pure::settings::{OwnPrompt, Weekly, add_own, change_own, remove_own, time_text};
use crate::shell::page::guard::Form;
use crate::shell::page::reply::Answer;
use crate::shell::page::site::{Files, Site};

/// The form of one prompt; for a new one without a prompt.
pub fn values(prompt: Option<&OwnPrompt>) -> Values {
    let weekly = prompt.and_then(|prompt| Weekly::of(&prompt.when));
    let mut values = Values::default();
    values.set("place", "");
    values.set("text", prompt.map_or("", |prompt| prompt.text.as_str()));
    let time = weekly.as_ref().map(|weekly| time_text(weekly.time));
    values.set("time", time.unwrap_or_default());
    for (index, (day, _)) in (0_u8..).zip(DAYS) {
        let on = match (&weekly, prompt) {
            (Some(weekly), _) => weekly.days.contains(&index),
            (None, Some(_)) => false,
            // Most are meant for every day.
            (None, None) => true,
        };
        values.set(&format!("day_{day}"), if on { "1" } else { "" });
    }
    let cron = prompt.filter(|_| weekly.is_none());
    values.set("when", cron.map_or("", |prompt| prompt.when.text.as_str()));
    values
}

/// Every prompt with its form, and a form for another one.
pub fn section(site: &Site, files: &Files, seen: &str, filled: Option<&Values>) -> Markup {
    let own = &files.world.settings.prompts.own;
    let is_filled = |place: &str| filled.filter(|values| values.get("place") == place);
    html! {
        section aria-labelledby="own" {
            h2 #own { "Prompts of your own" }
            p.quiet { "A sentence of yours at a time of day, shown by the service like its own." }
            ul.rows {
                @for (place, prompt) in own.iter().enumerate() {
                    @let place = place.to_string();
                    li {
                        span { (prompt.text) p.quiet { (when(prompt)) } }
                        form method="post" action="/settings/own/remove" {
                            (form_token(site))
                            input type="hidden" name="seen" value=(seen);
                            input type="hidden" name="place" value=(place);
                            button type="submit" { "Remove" span.unseen { ": " (prompt.text) } }
                        }
                        details open[is_filled(&place).is_some()] {
                            summary { "Change" span.unseen { ": " (prompt.text) } }
                            (form(site, seen, (&place, &prompt.text), is_filled(&place).unwrap_or(&values(Some(prompt)))))
                        }
                    }
                }
            }
            details open[is_filled("").is_some()] {
                summary { "Add a prompt" }
                (form(site, seen, ("", ""), is_filled("").unwrap_or(&values(None))))
            }
        }
    }
}

fn when(prompt: &OwnPrompt) -> String {
    Weekly::of(&prompt.when).map_or_else(
        || format!("by the cron fields {}", prompt.when.text),
        |weekly| weekly.words(),
    )
}

/// `known` is what the prompt says in the file: places move when another one is removed.
fn form(site: &Site, seen: &str, (place, known): (&str, &str), values: &Values) -> Markup {
    let id = |field: &str| format!("own{place}-{field}");
    let cron = values.get("when");
    html! {
        form method="post" action="/settings/own" data-keep={ "own " (known) } {
            (form_token(site))
            input type="hidden" name="seen" value=(seen);
            input type="hidden" name="place" value=(place);
            div.fields {
                div.field {
                    label for=(id("text")) { "What it says" }
                    input id=(id("text")) name="text" type="text" maxlength="200" autocomplete="off" value=(values.get("text")) required;
                }
                @if cron.is_empty() {
                    (named_time_field(&id("time"), values.get("time"), "time", "At"))
                } @else {
                    div.field {
                        label for=(id("when")) { "When, as cron fields" }
                        input id=(id("when")) name="when" type="text" autocomplete="off" value=(cron) aria-describedby=(id("when-help"));
                        span.quiet id=(id("when-help")) { "Second, minute, hour, day of the month, month, weekday. Empty it to choose days and a time." }
                    }
                }
            }
            @if cron.is_empty() {
                fieldset {
                    legend { "On" }
                    div.days {
                        @for (day, words) in DAYS {
                            @let field = format!("day_{day}");
                            label.check { input type="checkbox" name=(field) value="1" checked[!values.get(&field).is_empty()]; span { (words) } }
                        }
                    }
                }
            }
            (saves_alone())
            button type="submit" { "Save the prompt" }
        }
    }
}

fn fields(values: &Values) -> Result<String, String> {
    let cron = values.get("when");
    if !cron.is_empty() {
        return Ok(cron.to_owned());
    }
    let time = parse_time(values.get("time"))
        .ok_or("At what time? Write hours and minutes, for example 13:30.")?;
    let days = (0_u8..)
        .zip(DAYS)
        .filter(|(_, (day, _))| !values.get(&format!("day_{day}")).is_empty())
        .map(|(index, _)| index)
        .collect();
    let weekly = Weekly { time, days };
    if weekly.days.is_empty() {
        return Err("On which days? Tick one at least.".to_owned());
    }
    Ok(weekly.fields())
}

fn place(form: &Form) -> Result<Option<usize>, Refused> {
    let unknown = || Refused::Form("Choose a prompt from the list.".to_owned());
    form.text("place")
        .map(|text| text.parse().map_err(|_| unknown()))
        .transpose()
}

/// Writes one.
pub async fn save(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let values = values(None).sent(&form).with_times(["time"]);
    let filled = Filled {
        own: Some(values.clone()),
        ..Filled::default()
    };
    change_file(&site, &form, filled, "own#own", |text| {
        let when = fields(&values).map_err(Refused::Form)?;
        let says = values.get("text");
        Ok(match place(&form)? {
            Some(place) => change_own(text, place, &when, says)?,
            None => add_own(text, &when, says)?,
        })
    })
    .await
}

/// Takes one away.
pub async fn remove(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    change_file(&site, &form, Filled::default(), "removed#own", |text| {
        let place = place(&form)?
            .ok_or_else(|| Refused::Form("Choose a prompt from the list.".to_owned()))?;
        Ok(remove_own(text, place)?)
    })
    .await
}
