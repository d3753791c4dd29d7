use super::*;
use crate::pure::civil::EmbeddedZoneNames;

const FULL: &str = r#"
timezone = "Europe/Oslo"            # or "system"
born = 1991
avoid = ["holds", "kneeling"]
emergency_number = "112"
[nights]
bedtime = 22:30
wake = "06:30"
fri = { bedtime = "23:15", wake = "07:45" }
alarm_days = ["mon", "tue"]
[[nights.on]]
date = 2026-12-24
bedtime = "00:30"
timezone = "America/New_York"
[evening]
minutes = 8
settle = 15
nights = "training"
pattern = "rotate"
remind = [10, 10]
routine = "after_legs"
holds = true
breaths_per_min = 12.5
start = ["xterm", "-e"]
[prompts]
morning = "wake + 10 min"
session = "12:00"
week_review = "0 0 18 * * Sun"
lights_out = "off"
[[prompts.own]]
when = "0 30 13 * * Mon-Fri"
text = "Last coffee of the day"
[page]
on = false
port = 8123
"#;

fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap()
}

#[test]
fn an_empty_file_gives_the_defaults() {
    assert_eq!(
        parse("settings.toml", "", &EmbeddedZoneNames),
        Ok(Settings::default())
    );
    assert!(Settings::default().prompts.week_review.is_some());
}

#[test]
fn every_key_is_read() {
    let settings = parse("settings.toml", FULL, &EmbeddedZoneNames).unwrap();
    assert_eq!(
        settings.timezone,
        ZoneChoice::Named("Europe/Oslo".to_owned())
    );
    assert_eq!(settings.nights.bedtime, time(22, 30));
    assert_eq!(settings.nights.by_day[&4].wake, Some(time(7, 45)));
    let christmas = &settings.nights.on[&NaiveDate::from_ymd_opt(2026, 12, 24).unwrap()];
    assert_eq!(christmas.times.bedtime, Some(time(0, 30)));
    assert_eq!(christmas.timezone.as_deref(), Some("America/New_York"));
    assert_eq!(settings.evening.nights, EveningNights::Training);
    assert_eq!(
        settings.evening.start,
        StartWith::Command(vec!["xterm".to_owned(), "-e".to_owned()])
    );
    assert!(!settings.prompts.lights_out);
    assert_eq!(
        settings.page,
        Page {
            on: false,
            port: Some(8123)
        }
    );
}
