//! The form of the settings.

use maud::{Markup, html};

use super::super::form_token;
use super::super::values::{Values, time_field as time};
use super::fields::{AS_IN_FILE, DAYS, alarm_field, avoid_field};
use super::unsaved;
use crate::pure::avoid::Avoid;
use crate::pure::settings::StartWith;
use crate::shell::page::site::{Files, Site};

/// The whole form.
pub fn settings(site: &Site, files: &Files, values: &Values, seen: &str) -> Markup {
    html! {
        form method="post" action="/settings" data-keep="settings" {
            (form_token(site))
            input type="hidden" name="seen" value=(seen);
            (nights(values))
            (evening(files, values))
            (prompts(values))
            (avoid(values))
            (person(values))
            div.row.stays { button.first type="submit" { "Save" } (unsaved()) }
        }
    }
}

fn number(values: &Values, name: &str, words: &str, (least, most): (u32, u32)) -> Markup {
    html! {
        div.field {
            label for=(name) { (words) }
            input id=(name) name=(name) type="number" inputmode="numeric" min=(least) max=(most) value=(values.get(name));
        }
    }
}

fn words(values: &Values, name: &str, label: &str, help: &str) -> Markup {
    let describes = format!("{name}-help");
    html! {
        div.field {
            label for=(name) { (label) }
            input id=(name) name=(name) type="text" value=(values.get(name)) aria-describedby=(describes) autocomplete="off";
            span.quiet id=(describes) { (help) }
        }
    }
}

fn choice(values: &Values, name: &str, label: &str, options: &[(&str, &str)]) -> Markup {
    let chosen = values.get(name);
    html! {
        div.field {
            label for=(name) { (label) }
            select id=(name) name=(name) {
                @for (value, words) in options { option value=(value) selected[*value == chosen] { (words) } }
            }
        }
    }
}

fn check(values: &Values, name: &str, label: &str) -> Markup {
    html! {
        label.check { input type="checkbox" name=(name) value="1" checked[!values.get(name).is_empty()]; span { (label) } }
    }
}

fn nights(values: &Values) -> Markup {
    let any = DAYS.iter().any(|(day, _)| {
        !values.get(&format!("{day}_bedtime")).is_empty()
            || !values.get(&format!("{day}_wake")).is_empty()
    });
    html! {
        fieldset {
            legend { h2 { "Nights" } }
            div.fields {
                (time(values, "bedtime", "Lights out"))
                (time(values, "wake", "Wake"))
            }
            details open[any] {
                summary { "Evenings of the week that differ" }
                p.quiet { "The evening of the day, and the morning after it. Empty is as usual." }
                @for (day, words) in DAYS {
                    div.fields {
                        (time(values, &format!("{day}_bedtime"), &format!("{words}, lights out")))
                        (time(values, &format!("{day}_wake"), "wake the morning after"))
                    }
                }
            }
            (alarms(values))
        }
    }
}

fn alarms(values: &Values) -> Markup {
    html! {
        details open[DAYS.iter().any(|(day, _)| !values.get(&alarm_field(day)).is_empty())] {
            summary { "Mornings with an alarm" }
            p.quiet { "On which mornings does an alarm set the wake time? It serves only to tell working days from free ones in the weeks." }
            div.days { @for (day, words) in DAYS { (check(values, &alarm_field(day), words)) } }
        }
    }
}

fn evening(files: &Files, values: &Values) -> Markup {
    let library = &files.world.library;
    let mut patterns: Vec<(&str, &str)> = library
        .patterns
        .iter()
        .map(|(id, pattern)| (id.as_str(), pattern.name.as_str()))
        .collect();
    patterns.push(("rotate", "a different one each evening"));
    let mut routines = vec![("", "composed for the day")];
    routines.extend(
        library
            .evenings
            .iter()
            .map(|(id, evening)| (id.as_str(), evening.name.as_str())),
    );
    let mut starts = vec![
        ("page", "this page"),
        ("nothing", "nothing, the prompt names the command"),
    ];
    if values.get("start") == AS_IN_FILE {
        starts.push((AS_IN_FILE, "the command in the settings file"));
    }
    let holds = Avoid::ids()
        .filter_map(Avoid::from_id)
        .filter(|avoid| avoid.rules_out_holds() && avoid.id() != "holds");
    html! {
        fieldset {
            legend { h2 { "Wind-down" } }
            div.fields {
                (number(values, "minutes", "Minutes", (3, 30)))
                (number(values, "settle", "Minutes from its end to lights out", (0, 180)))
                (choice(values, "nights", "Which evenings", &[("every", "every evening"), ("training", "evenings of training days")]))
                (choice(values, "routine", "Stretches", &routines))
                (choice(values, "pattern", "Breathing", &patterns))
                (choice(values, "start", "The Start button opens", &starts))
                (words(values, "breaths_per_min", "Your breaths a minute at rest", "Counted over a minute, 3 to 40. The out-breath then lengthens from there, evening by evening. Empty is the pattern as it is."))
                (words(values, "remind", "Reminders", "Minutes after an unanswered prompt, for example 10, 10. Empty is none."))
            }
            details {
                summary { "Patterns that hold the breath" }
                p { "They are left out if any of these applies to you:" }
                ul { @for avoid in holds { li { (avoid.words()) } } }
                (check(values, "holds", "None of these applies to me, and I want patterns that hold the breath"))
            }
        }
    }
}

fn prompts(values: &Values) -> Markup {
    let mut days: Vec<(&str, &str)> = vec![("off", "not at all")];
    days.extend(DAYS);
    if values.get("review_day") == AS_IN_FILE {
        days.push((AS_IN_FILE, "as the settings file says"));
    }
    html! {
        fieldset {
            legend { h2 { "Prompts" } }
            div.fields {
                (words(values, "morning", "Morning", "wake + 10 min, or a time such as 06:45, or off"))
                (time(values, "session", "Today's session"))
                (choice(values, "review_day", "The week in review, on", &days))
                (time(values, "review_time", "Time of the review"))
            }
            p.quiet { "An empty time is off." }
            (check(values, "lights_out", "A quiet word at lights out"))
        }
    }
}

fn avoid(values: &Values) -> Markup {
    let any = Avoid::ids()
        .filter_map(Avoid::from_id)
        .any(|avoid| !values.get(&avoid_field(avoid)).is_empty());
    html! {
        fieldset {
            legend { h2 { "To leave out" } }
            details open[any] {
                summary { "Conditions and positions" }
                p.quiet { "Stretches and breathing that do not go with what is ticked are left out. This is no screening." }
                div.ticks {
                    @for avoid in Avoid::ids().filter_map(Avoid::from_id) {
                        (check(values, &avoid_field(avoid), avoid.words()))
                    }
                }
            }
        }
    }
}

fn person(values: &Values) -> Markup {
    html! {
        fieldset {
            legend { h2 { "You" } }
            div.fields {
                (words(values, "timezone", "Time zone", "system, or a name such as Europe/Oslo"))
                (number(values, "born", "Year of birth", (1900, 2020)))
                (words(values, "emergency_number", "Emergency number", "Named beside urgent warning signs."))
            }
            p.quiet { "The year of birth serves only for the recommended hours of sleep." }
        }
    }
}

/// What the page does not change, and why.
pub fn only_in_the_file(site: &Site, files: &Files) -> Markup {
    let settings = &files.world.settings;
    let start = match &settings.evening.start {
        StartWith::Command(words) => words.join(" "),
        StartWith::Page => "this page".to_owned(),
        StartWith::Nothing => "nothing".to_owned(),
    };
    let review = settings.prompts.week_review.as_ref();
    let port = settings.page.port.map_or_else(
        || format!("a free one, now {}", site.port),
        |port| port.to_string(),
    );
    html! {
        section aria-labelledby="in-file" {
            h2 #in-file { "Only in the file" }
            p.quiet { "These stand in " code { (site.home.settings().display()) } "; the service follows the file as soon as it is saved." }
            dl.parts {
                div {
                    dt { "A command for Start: " code { "start" } " under " code { "[evening]" } }
                    dd { "Now: " (start) ". A page that could write commands could be made to run them, so it cannot." }
                }
                div {
                    dt { "The page's switch and port: " code { "on" } " and " code { "port" } " under " code { "[page]" } }
                    dd { "Now: on, port " (port) ". A change closes the page that you are on." }
                }
                div {
                    dt { "A week in review at other times than once a week: " code { "week_review" } " under " code { "[prompts]" } }
                    dd { "Now: " (review.map_or("off", |fields| fields.text.as_str())) ". Cron fields say it; a prompt of your own can have them, too." }
                }
            }
        }
    }
}
