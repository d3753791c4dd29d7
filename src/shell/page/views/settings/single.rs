//! Single nights that differ from the usual ones.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use chrono::{NaiveDate, NaiveTime};
use maud::{Markup, html};

use super::super::form_token;
use super::super::values::{Values, named_time_field};
use super::{Filled, Refused, change_file, saves_alone};
use crate::pure::document::parse_time;
use crate::pure::settings::{NightOverride, OneOff, add_one_off, remove_one_off, time_text};
use crate::shell::page::guard::Form;
use crate::shell::page::reply::Answer;
use crate::shell::page::site::{Files, Site};

/// Fields of the form for one night.
const FIELDS: [&str; 4] = ["date", "bedtime", "wake", "timezone"];

/// The fields, empty.
pub fn empty() -> Values {
    let mut values = Values::default();
    for field in FIELDS {
        values.set(field, "");
    }
    values
}

/// Those that are set and still to come, and the form for another one.
pub fn section(
    site: &Site,
    files: &Files,
    today: NaiveDate,
    seen: &str,
    filled: Option<&Values>,
) -> Markup {
    let nights = &files.world.settings.nights;
    let (past, coming): (Vec<_>, Vec<_>) = nights.on.iter().partition(|(date, _)| **date < today);
    let empty = empty();
    let values = filled.unwrap_or(&empty);
    html! {
        section aria-labelledby="single" {
            h2 #single { "Single nights that differ" }
            @if coming.is_empty() { p.quiet { "None is set." } }
            ul.rows {
                @for (date, differs) in coming {
                    li {
                        span { (date.format("%A %-d %B %Y")) ": " (words(differs)) }
                        form method="post" action="/settings/night/remove" {
                            (form_token(site))
                            input type="hidden" name="seen" value=(seen);
                            input type="hidden" name="date" value=(date);
                            button type="submit" { "Remove" span.unseen { " the night of " (date.format("%-d %B")) } }
                        }
                    }
                }
            }
            @if !past.is_empty() {
                p.quiet { (past.len()) " in the past " (if past.len() == 1 { "stays" } else { "stay" }) " in the file." }
            }
            details open[filled.is_some()] {
                summary { "Set a single night" }
                p.quiet { "The evening's date, and what is different. A night that is set already is replaced. Empty is as usual." }
                form method="post" action="/settings/night" data-keep="night" {
                    (form_token(site))
                    input type="hidden" name="seen" value=(seen);
                    div.fields {
                        div.field {
                            label for="night-date" { "Evening of" }
                            input #night-date name="date" type="text" inputmode="numeric" autocomplete="off"
                                placeholder="yyyy-mm-dd" value=(values.get("date")) required;
                        }
                        (named_time_field("night-bedtime", values.get("bedtime"), "bedtime", "Lights out that night"))
                        (named_time_field("night-wake", values.get("wake"), "wake", "Wake the morning after"))
                        div.field {
                            label for="night-timezone" { "Time zone of a journey" }
                            input #night-timezone name="timezone" type="text" autocomplete="off" value=(values.get("timezone"))
                                aria-describedby="night-timezone-help";
                            span.quiet #night-timezone-help { "A name such as America/New_York." }
                        }
                    }
                    (saves_alone())
                    button type="submit" { "Save the night" }
                }
            }
        }
    }
}

fn words(differs: &OneOff) -> String {
    let said = |what: &str, time: Option<NaiveTime>| {
        time.map(|time| format!("{what} {}", time_text(time)))
    };
    let zone = differs.timezone.as_ref().map(|zone| format!("in {zone}"));
    let parts = [
        said("lights out", differs.times.bedtime),
        said("wake", differs.times.wake),
        zone,
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// A date with or without its dashes.
pub fn date_of(text: &str) -> Option<NaiveDate> {
    let form = if text.len() == 8 {
        "%Y%m%d"
    } else {
        "%Y-%m-%d"
    };
    NaiveDate::parse_from_str(text, form).ok()
}

fn read(values: &Values) -> Result<(NaiveDate, OneOff), String> {
    let date = date_of(values.get("date"))
        .ok_or("Which evening? Write its date as year-month-day, for example 2026-12-24.")?;
    let time = |field: &str| -> Result<Option<NaiveTime>, String> {
        let text = values.get(field);
        if text.is_empty() {
            return Ok(None);
        }
        parse_time(text).map(Some).ok_or_else(|| {
            format!("\"{text}\" is no time of day. Write hours and minutes, for example 22:30.")
        })
    };
    let zone = values.get("timezone");
    let differs = OneOff {
        times: NightOverride {
            bedtime: time("bedtime")?,
            wake: time("wake")?,
        },
        timezone: (!zone.is_empty()).then(|| zone.to_owned()),
    };
    if differs == OneOff::default() {
        return Err("What is different that night? Write a time or a time zone.".to_owned());
    }
    Ok((date, differs))
}

/// Writes one night.
pub async fn save(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let values = empty().sent(&form).with_times(["bedtime", "wake"]);
    let filled = Filled {
        night: Some(values.clone()),
        ..Filled::default()
    };
    change_file(&site, &form, filled, "night#single", |text| {
        let (date, differs) = read(&values).map_err(Refused::Form)?;
        Ok(add_one_off(text, date, &differs)?)
    })
    .await
}

/// Takes one night away.
pub async fn remove(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    change_file(&site, &form, Filled::default(), "removed#single", |text| {
        let date = form
            .text("date")
            .and_then(date_of)
            .ok_or_else(|| Refused::Form("Choose a night from the list.".to_owned()))?;
        Ok(remove_one_off(text, date)?)
    })
    .await
}
