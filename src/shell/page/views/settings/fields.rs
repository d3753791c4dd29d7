//! The settings as fields of a form, and a form back into the text of the file: only what was changed is
//! written, so that everything else stays as the person wrote it.

use chrono::NaiveTime;
use toml_edit::{Array, Value};

use super::super::values::Values;
use crate::pure::avoid::Avoid;
use crate::pure::edit::{CannotEdit, remove_value, set_value};
use crate::pure::phrase::{capitalised, pieces};
use crate::pure::settings::{
    CronFields, EveningNights, MorningPrompt, PatternChoice, Settings, StartWith, Weekly,
    ZoneChoice, time_text,
};
use crate::pure::weekday;

/// Days with the word the files use, Monday first.
pub const DAYS: [(&str, &str); 7] = [
    ("mon", "Monday"),
    ("tue", "Tuesday"),
    ("wed", "Wednesday"),
    ("thu", "Thursday"),
    ("fri", "Friday"),
    ("sat", "Saturday"),
    ("sun", "Sunday"),
];

/// Stands for what only the file can say: a cron pattern, a command.
pub const AS_IN_FILE: &str = "as_in_file";

/// The field of an entry of the avoid list.
pub fn avoid_field(avoid: Avoid) -> String {
    format!("avoid_{}", avoid.id())
}

/// The field of a morning with an alarm.
pub fn alarm_field(day: &str) -> String {
    format!("alarm_{day}")
}

/// The fields of the settings.
pub fn values(settings: &Settings) -> Values {
    let mut values = Values::default();
    let optional = |text: Option<String>| text.unwrap_or_default();
    let zone = match &settings.timezone {
        ZoneChoice::System => "system",
        ZoneChoice::Named(name) => name,
    };
    values.set("timezone", zone);
    values.set("born", optional(settings.born.map(|year| year.to_string())));
    values.set(
        "emergency_number",
        optional(settings.emergency_number.clone()),
    );
    nights(settings, &mut values);
    evening(settings, &mut values);
    prompts(settings, &mut values);
    for avoid in Avoid::ids().filter_map(Avoid::from_id) {
        let listed = settings.avoid.contains(&avoid);
        values.set(&avoid_field(avoid), flag(listed));
    }
    values
}

fn flag(on: bool) -> &'static str {
    if on { "1" } else { "" }
}

fn nights(settings: &Settings, values: &mut Values) {
    let nights = &settings.nights;
    values.set("bedtime", time_text(nights.bedtime));
    values.set("wake", time_text(nights.wake));
    for (index, (day, _)) in (0_u8..).zip(DAYS) {
        let own = nights.by_day.get(&index).copied().unwrap_or_default();
        let text = |time: Option<NaiveTime>| time.map(time_text).unwrap_or_default();
        values.set(&format!("{day}_bedtime"), text(own.bedtime));
        values.set(&format!("{day}_wake"), text(own.wake));
        let alarm = nights.alarm_days.as_ref();
        let alarm = alarm.is_some_and(|days| days.contains(&index));
        values.set(&alarm_field(day), flag(alarm));
    }
}

fn evening(settings: &Settings, values: &mut Values) {
    let evening = &settings.evening;
    values.set("minutes", evening.minutes);
    values.set("settle", evening.settle);
    let nights = match evening.nights {
        EveningNights::Every => "every",
        EveningNights::Training => "training",
    };
    values.set("nights", nights);
    let pattern = match &evening.pattern {
        PatternChoice::Always(id) => id,
        PatternChoice::Rotate => "rotate",
    };
    values.set("pattern", pattern);
    values.set("routine", evening.routine.as_deref().unwrap_or_default());
    let remind: Vec<String> = evening.remind.iter().map(u32::to_string).collect();
    values.set("remind", remind.join(", "));
    values.set("holds", flag(evening.holds));
    let breaths = evening.breaths_per_min.map(|rate| rate.to_string());
    values.set("breaths_per_min", breaths.unwrap_or_default());
    let start = match &evening.start {
        StartWith::Page => "page",
        StartWith::Nothing => "nothing",
        StartWith::Command(_) => AS_IN_FILE,
    };
    values.set("start", start);
}

fn prompts(settings: &Settings, values: &mut Values) {
    let prompts = &settings.prompts;
    let morning = match prompts.morning {
        MorningPrompt::AfterWake(minutes) => format!("wake + {minutes} min"),
        MorningPrompt::At(time) => time_text(time),
        MorningPrompt::Off => "off".to_owned(),
    };
    values.set("morning", morning);
    values.set(
        "session",
        prompts.session.map(time_text).unwrap_or_default(),
    );
    let (day, time) = match &prompts.week_review {
        None => ("off", String::new()),
        Some(fields) => weekly(fields).unwrap_or((AS_IN_FILE, String::new())),
    };
    values.set("review_day", day);
    values.set("review_time", time);
    values.set("lights_out", flag(prompts.lights_out));
}

/// Day and time of cron fields that fire once a week; other patterns can only be changed in the file.
fn weekly(fields: &CronFields) -> Option<(&'static str, String)> {
    let weekly = Weekly::of(fields)?;
    let day = weekly.days.first().filter(|_| weekly.days.len() == 1)?;
    let (key, _) = DAYS.get(usize::from(*day))?;
    Some((*key, time_text(weekly.time)))
}

/// Whether a field holds a time of day.
pub fn is_time(field: &str) -> bool {
    ["bedtime", "wake", "_time"]
        .iter()
        .any(|end| field.ends_with(end))
        || ["session", "morning"].contains(&field)
}

/// The text with what the form changed. `before` holds the fields as they were shown, `after` as they
/// were sent; nothing is checked here but the shape.
///
/// # Errors
/// A text that cannot be changed by the program, or a field that holds no number.
pub fn written(text: &str, before: &Values, after: &Values) -> Result<String, CannotEdit> {
    let mut text = text.to_owned();
    for field in before.fields() {
        if before.get(field) != after.get(field) {
            text = change(text, field, after)?;
        }
    }
    let avoided: fn(&Values) -> Vec<&'static str> = |values| {
        let ticked =
            |id: &&str| Avoid::from_id(id).is_some_and(|avoid| is_on(values, &avoid_field(avoid)));
        Avoid::ids().filter(ticked).collect()
    };
    let with_alarm: fn(&Values) -> Vec<&'static str> = |values| {
        let days = DAYS.iter().map(|(day, _)| *day);
        days.filter(|day| is_on(values, &alarm_field(day)))
            .collect()
    };
    for (path, listed) in [
        (&["avoid"][..], avoided),
        (&["nights", "alarm_days"], with_alarm),
    ] {
        let list = listed(after);
        if listed(before) != list {
            text = set_value(&text, path, list.into_iter().collect::<Array>())?;
        }
    }
    Ok(text)
}

fn is_on(values: &Values, field: &str) -> bool {
    !values.get(field).is_empty()
}

fn change(text: String, field: &str, after: &Values) -> Result<String, CannotEdit> {
    let value = after.get(field);
    let optional = |path: &[&str], value: Option<Value>| match value {
        Some(value) => set_value(&text, path, value),
        None => remove_value(&text, path),
    };
    let said = || (!value.is_empty()).then(|| Value::from(value));
    let off_if_empty = || if value.is_empty() { "off" } else { value };
    match field {
        "timezone" => set_value(&text, &["timezone"], value),
        "born" => optional(&["born"], number_if_any(value)?),
        "emergency_number" => optional(&["emergency_number"], said()),
        "bedtime" | "wake" => set_value(&text, &["nights", field], value),
        "minutes" | "settle" => set_value(&text, &["evening", field], number(value)?),
        "nights" | "pattern" => set_value(&text, &["evening", field], value),
        "routine" => optional(&["evening", "routine"], said()),
        "remind" => set_value(&text, &["evening", "remind"], numbers(value)?),
        "breaths_per_min" => optional(&["evening", field], decimal_if_any(value)?),
        "holds" => set_value(&text, &["evening", "holds"], !value.is_empty()),
        "start" if value != AS_IN_FILE => set_value(&text, &["evening", "start"], value),
        "morning" | "session" => set_value(&text, &["prompts", field], off_if_empty()),
        "review_day" | "review_time" => review(&text, after),
        "lights_out" => {
            let word = if value.is_empty() { "off" } else { "on" };
            set_value(&text, &["prompts", "lights_out"], word)
        }
        _ => match field.split_once('_') {
            Some((day, half @ ("bedtime" | "wake"))) if weekday::KEYS.contains(&day) => {
                let text = optional(&["nights", day, half], said())?;
                let empty = ["bedtime", "wake"]
                    .iter()
                    .all(|half| after.get(&format!("{day}_{half}")).is_empty());
                if empty {
                    remove_value(&text, &["nights", day])
                } else {
                    Ok(text)
                }
            }
            _ => Ok(text),
        },
    }
}

fn review(text: &str, after: &Values) -> Result<String, CannotEdit> {
    let path = &["prompts", "week_review"];
    match after.get("review_day") {
        AS_IN_FILE => Ok(text.to_owned()),
        "off" => set_value(text, path, "off"),
        day => {
            let time = after.get("review_time");
            let time = if time.is_empty() { "18:00" } else { time };
            let Some((hour, minute)) = time.split_once(':') else {
                return Err(no_number(time));
            };
            let (hour, minute) = (number(hour)?, number(minute)?);
            set_value(
                text,
                path,
                format!("0 {minute} {hour} * * {}", capitalised(day)),
            )
        }
    }
}

fn no_number(text: &str) -> CannotEdit {
    CannotEdit {
        what: format!("\"{text}\" is no whole number"),
        instead: "Write digits only".to_owned(),
    }
}

fn number(text: &str) -> Result<i64, CannotEdit> {
    text.trim().parse().map_err(|_| no_number(text))
}

fn number_if_any(text: &str) -> Result<Option<Value>, CannotEdit> {
    if text.is_empty() {
        return Ok(None);
    }
    number(text).map(|number| Some(Value::from(number)))
}

fn decimal_if_any(text: &str) -> Result<Option<Value>, CannotEdit> {
    if text.is_empty() {
        return Ok(None);
    }
    let number: f64 = text.replace(',', ".").parse().map_err(|_| CannotEdit {
        what: format!("\"{text}\" is no number"),
        instead: "Write digits, for example 13 or 12.5".to_owned(),
    })?;
    // A whole number is written as one.
    Ok(Some(match text.parse::<i64>() {
        Ok(whole) => Value::from(whole),
        Err(_) => Value::from(number),
    }))
}

fn numbers(text: &str) -> Result<Array, CannotEdit> {
    pieces(text).map(number).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::civil::EmbeddedZoneNames;
    use crate::pure::settings::parse;

    const FILE: &str = "\
# my own words
timezone = \"Europe/Oslo\" # where I live
avoid = [\"kneeling\"]      # the knees

[nights]
bedtime = \"22:30\"          # asleep by eleven
wake = \"06:30\"
fri = { bedtime = \"23:15\", wake = \"07:45\" }

[prompts]
week_review = \"0 30 17 * * Sat\"
";

    fn read(text: &str) -> Settings {
        parse("settings.toml", text, &EmbeddedZoneNames).expect("whole")
    }

    fn with(changes: &[(&str, &str)]) -> String {
        let before = values(&read(FILE));
        let mut after = before.clone();
        for (field, value) in changes {
            after.set(field, value);
        }
        written(FILE, &before, &after).expect("can be changed")
    }

    #[test]
    fn nothing_changed_writes_nothing() {
        assert_eq!(with(&[]), FILE);
    }

    #[test]
    fn a_change_keeps_every_other_line_and_its_comment() {
        let text = with(&[("bedtime", "22:00"), ("minutes", "10")]);
        assert!(
            text.contains("bedtime = \"22:00\"          # asleep by eleven"),
            "{text}"
        );
        let kept = FILE.lines().filter(|line| !line.starts_with("bedtime"));
        for line in kept {
            assert!(text.contains(line), "{line} is gone from {text}");
        }
        assert_eq!(read(&text).evening.minutes, 10);
    }

    #[test]
    fn every_field_comes_back_as_it_was_set() {
        let changes = [
            ("timezone", "America/Vancouver"),
            ("born", "1988"),
            ("emergency_number", "112"),
            ("wake", "06:00"),
            ("tue_wake", "05:30"),
            ("fri_bedtime", ""),
            ("fri_wake", ""),
            ("minutes", "12"),
            ("settle", "20"),
            ("nights", "training"),
            ("pattern", "even_5"),
            ("routine", "legs"),
            ("remind", "5, 15"),
            ("holds", "1"),
            ("breaths_per_min", "12.5"),
            ("alarm_mon", "1"),
            ("alarm_fri", "1"),
            ("start", "nothing"),
            ("morning", "06:45"),
            ("session", ""),
            ("review_day", "sun"),
            ("review_time", "19:15"),
            ("lights_out", ""),
            ("avoid_kneeling", ""),
            ("avoid_holds", "1"),
        ];
        let shown = values(&read(&with(&changes)));
        for (field, value) in changes {
            assert_eq!(shown.get(field), value, "{field}");
        }
        assert!(!with(&changes).contains("fri ="));
    }

    #[test]
    fn what_is_no_number_is_said() {
        let before = values(&read(FILE));
        let mut after = before.clone();
        after.set("minutes", "ten");
        let error = written(FILE, &before, &after).expect_err("no number");
        assert!(error.to_string().contains("\"ten\""), "{error}");
    }

    #[test]
    fn a_pattern_that_only_the_file_can_say_stays() {
        let own = FILE.replace("0 30 17 * * Sat", "0 0 18 1,15 * *");
        let before = values(&read(&own));
        assert_eq!(before.get("review_day"), AS_IN_FILE);
        let mut after = before.clone();
        after.set("wake", "06:00");
        let text = written(&own, &before, &after).expect("written");
        assert!(text.contains("0 0 18 1,15 * *"));
    }
}
