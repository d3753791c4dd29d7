//! Changes to `settings.toml` that keep what the person wrote, and the text of a new one.

use chrono::{NaiveDate, NaiveTime, Timelike};
use toml_edit::Value;

use super::{
    Evening, EveningNights, MorningPrompt, NightOverride, OneOff, PatternChoice, Settings,
    StartWith, ZoneChoice,
};
use crate::pure::edit::{CannotEdit, put_dated_row, remove_dated_row};
use crate::pure::weekday;

#[cfg(test)]
mod tests;

const ONE_OFFS: [&str; 2] = ["nights", "on"];

/// Writes a night that differs once; one that is written for this date is changed to be exactly so.
///
/// # Errors
/// The text is no TOML, or `nights` is no table.
pub fn add_one_off(text: &str, night: NaiveDate, differs: &OneOff) -> Result<String, CannotEdit> {
    let written = |time: Option<NaiveTime>| time.map(|time| Value::from(time_text(time)));
    let row = [
        ("bedtime", written(differs.times.bedtime)),
        ("wake", written(differs.times.wake)),
        ("timezone", differs.timezone.clone().map(Value::from)),
    ];
    put_dated_row(text, &ONE_OFFS, ("date", night), &row)
}

/// Removes what is written for one night.
///
/// # Errors
/// The text is no TOML, or `nights` is no table.
pub fn remove_one_off(text: &str, night: NaiveDate) -> Result<String, CannotEdit> {
    remove_dated_row(text, &ONE_OFFS, ("date", night))
}

/// A time of day as the files write it: `22:30`.
pub fn time_text(time: NaiveTime) -> String {
    let form = if time.second() == 0 {
        "%H:%M"
    } else {
        "%H:%M:%S"
    };
    time.format(form).to_string()
}

/// The text of a new `settings.toml`: every setting with its comment; what is not set stands behind #.
pub fn new_settings_text(settings: &Settings) -> String {
    let mut page = Writer::default();
    page.line("# Settings. \"evenfall check\" names every slip with its line and column.");
    page.line("# What stands behind # is not set; take the # away to set it.");
    page.line("");
    person(&mut page, settings);
    nights(&mut page, settings);
    evening(&mut page, settings);
    prompts(&mut page, settings);
    page.table("[page]", "the local page, for this machine only");
    page.set("on", settings.page.on, "");
    page.set_or(
        "port",
        settings.page.port.map(i64::from),
        "8123",
        "a fixed port; else a free one is found and kept",
    );
    page.text
}

fn person(page: &mut Writer, settings: &Settings) {
    let zone = match &settings.timezone {
        ZoneChoice::System => "system",
        ZoneChoice::Named(name) => name,
    };
    page.set(
        "timezone",
        zone,
        "an IANA name such as Europe/Oslo, or system",
    );
    page.set_or(
        "born",
        settings.born.map(i64::from),
        "1991",
        "only for the recommended hours of sleep",
    );
    let avoid: Value = settings.avoid.iter().map(|avoid| avoid.id()).collect();
    page.set("avoid", avoid, "conditions and positions to leave out");
    let number = settings.emergency_number.as_deref();
    page.set_or(
        "emergency_number",
        number,
        "\"112\"",
        "named beside urgent warning signs",
    );
}

fn nights(page: &mut Writer, settings: &Settings) {
    let nights = &settings.nights;
    page.table("[nights]", "planned bedtime (lights out) and wake time");
    page.set("bedtime", time_text(nights.bedtime), "");
    page.set("wake", time_text(nights.wake), "");
    for (day, times) in &nights.by_day {
        if let Some(key) = weekday::KEYS.get(usize::from(*day)) {
            page.set(
                key,
                override_value(times),
                "the evening of this day and the morning after",
            );
        }
    }
    if nights.by_day.is_empty() {
        page.comment(
            "fri = { bedtime = \"23:15\", wake = \"07:45\" }",
            "an evening of the week that differs",
        );
    }
    let alarm_days = nights.alarm_days.as_ref().map(|days| {
        let keys = days
            .iter()
            .filter_map(|day| weekday::KEYS.get(usize::from(*day)).copied());
        keys.collect::<Value>()
    });
    page.set_or(
        "alarm_days",
        alarm_days,
        "[\"mon\", \"tue\", \"wed\", \"thu\", \"fri\"]",
        "mornings on which an alarm sets the wake time",
    );
    for (date, differs) in &nights.on {
        page.table("[[nights.on]]", "one night that differs");
        page.line(&format!("date = {date}"));
        page.maybe("bedtime", differs.times.bedtime.map(time_text));
        page.maybe("wake", differs.times.wake.map(time_text));
        page.maybe("timezone", differs.timezone.clone());
    }
}

fn evening(page: &mut Writer, settings: &Settings) {
    let evening = &settings.evening;
    page.table("[evening]", "the wind-down");
    page.set(
        "minutes",
        i64::from(evening.minutes),
        "5 to 10 is usual; 3 to 30",
    );
    page.set(
        "settle",
        i64::from(evening.settle),
        "minutes from its end to lights out",
    );
    let nights = match evening.nights {
        EveningNights::Every => "every",
        EveningNights::Training => "training",
    };
    page.set("nights", nights, "every or training");
    let pattern = match &evening.pattern {
        PatternChoice::Always(id) => id,
        PatternChoice::Rotate => "rotate",
    };
    page.set("pattern", pattern, "the breathing at the end, or rotate");
    let remind: Value = evening
        .remind
        .iter()
        .map(|minutes| i64::from(*minutes))
        .collect();
    page.set("remind", remind, "minutes after an unanswered prompt");
    page.set_or(
        "routine",
        evening.routine.as_deref(),
        "\"after_legs\"",
        "a given evening instead of a composed one",
    );
    breathing_and_start(page, evening);
}

fn breathing_and_start(page: &mut Writer, evening: &Evening) {
    page.set(
        "holds",
        evening.holds,
        "true once breath holds were asked about and nothing speaks against them",
    );
    page.set_or(
        "breaths_per_min",
        evening.breaths_per_min,
        "14",
        "your own breaths a minute at rest",
    );
    let start = match &evening.start {
        StartWith::Page => Value::from("page"),
        StartWith::Nothing => Value::from("nothing"),
        StartWith::Command(words) => words.iter().collect(),
    };
    page.set(
        "start",
        start,
        "what Start opens: page, nothing, or the words of a command",
    );
}

fn prompts(page: &mut Writer, settings: &Settings) {
    let prompts = &settings.prompts;
    page.table("[prompts]", "what else is shown; each can be off");
    let morning = match prompts.morning {
        MorningPrompt::AfterWake(minutes) => format!("wake + {minutes} min"),
        MorningPrompt::At(time) => time_text(time),
        MorningPrompt::Off => "off".to_owned(),
    };
    page.set("morning", morning, "or a time of day");
    let session = prompts.session.map_or_else(|| "off".to_owned(), time_text);
    page.set("session", session, "today's suggestion on training days");
    let review = prompts
        .week_review
        .as_ref()
        .map_or("off", |fields| fields.text.as_str());
    page.set(
        "week_review",
        review,
        "second minute hour day month weekday",
    );
    page.set(
        "lights_out",
        if prompts.lights_out { "on" } else { "off" },
        "a quiet word at bedtime",
    );
    for own in &prompts.own {
        page.table("[[prompts.own]]", "a prompt of your own");
        page.set("when", own.when.text.as_str(), "");
        page.set("text", own.text.as_str(), "");
    }
}

fn override_value(times: &NightOverride) -> Value {
    let halves = [("bedtime", times.bedtime), ("wake", times.wake)];
    let written = halves
        .into_iter()
        .filter_map(|(key, time)| Some((key, Value::from(time_text(time?)))));
    Value::InlineTable(written.collect())
}

/// Lines of a new file, comments in one column.
#[derive(Default)]
struct Writer {
    text: String,
}

impl Writer {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn commented(&mut self, line: &str, comment: &str) {
        if comment.is_empty() {
            self.line(line);
        } else {
            self.line(&format!("{line:<40} # {comment}"));
        }
    }

    fn table(&mut self, header: &str, comment: &str) {
        self.line("");
        self.commented(header, comment);
    }

    fn set(&mut self, key: &str, value: impl Into<Value>, comment: &str) {
        let value: Value = value.into();
        self.commented(&format!("{key} = {}", value.decorated("", "")), comment);
    }

    fn maybe(&mut self, key: &str, value: Option<impl Into<Value>>) {
        if let Some(value) = value {
            self.set(key, value, "");
        }
    }

    fn comment(&mut self, line: &str, comment: &str) {
        self.commented(&format!("# {line}"), comment);
    }

    /// A value, or an example of one behind #.
    fn set_or(&mut self, key: &str, value: Option<impl Into<Value>>, example: &str, comment: &str) {
        match value {
            Some(value) => self.set(key, value, comment),
            None => self.comment(&format!("{key} = {example}"), comment),
        }
    }
}
