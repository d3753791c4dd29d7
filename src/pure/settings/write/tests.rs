use std::collections::BTreeSet;

use chrono::Days;
use proptest::prelude::*;

use super::*;
use crate::pure::avoid::Avoid;
use crate::pure::civil::{EmbeddedZoneNames, Night};
use crate::pure::schedule;
use crate::pure::settings::{OwnPrompt, parse};

fn parsed(text: &str) -> Settings {
    parse("settings.toml", text, &EmbeddedZoneNames)
        .unwrap_or_else(|complaints| panic!("{complaints:#?}\n{text}"))
}

#[test]
fn the_text_of_the_defaults_says_nothing_else() {
    let text = new_settings_text(&Settings::default());
    assert_eq!(parsed(&text), Settings::default());
}

#[test]
fn every_line_behind_the_hash_holds_once_the_hash_is_taken_away() {
    let text = new_settings_text(&Settings::default());
    let mut taken = 0;
    for line in text
        .lines()
        .filter(|line| line.starts_with("# ") && line.contains(" = "))
    {
        let open = text.replacen(line, &line[2..], 1);
        assert_ne!(
            parsed(&open),
            Settings::default(),
            "{line} says what holds anyway"
        );
        taken += 1;
    }
    assert_eq!(taken, 7, "{text}");
}

#[test]
fn a_one_off_is_written_into_a_new_file_and_taken_out_again() {
    let night: NaiveDate = "2026-12-24".parse().unwrap();
    let differs = OneOff {
        times: NightOverride {
            bedtime: NaiveTime::from_hms_opt(0, 30, 0),
            wake: None,
        },
        timezone: Some("Asia/Tokyo".to_owned()),
    };
    let text = new_settings_text(&Settings::default());
    let with = add_one_off(&text, night, &differs).unwrap();
    assert_eq!(parsed(&with).nights.on[&night], differs);
    assert_eq!(remove_one_off(&with, night).unwrap(), text);
    let nothing_written = add_one_off("", night, &differs).unwrap();
    assert_eq!(parsed(&nothing_written).nights.on[&night], differs);
}

fn time() -> impl Strategy<Value = NaiveTime> {
    (0_u32..24, 0_u32..60)
        .prop_map(|(hour, minute)| NaiveTime::from_hms_opt(hour, minute, 0).unwrap())
}

/// A bedtime and a wake time that are accepted.
fn pair() -> impl Strategy<Value = (NaiveTime, NaiveTime)> {
    (time(), time()).prop_filter("a night", |(bedtime, wake)| {
        let night = Night(NaiveDate::default());
        let in_bed = night.wall(*wake) - night.wall(*bedtime);
        in_bed.num_minutes() > 0 && in_bed.num_minutes() <= 16 * 60
    })
}

fn override_of((bedtime, wake): (NaiveTime, NaiveTime)) -> NightOverride {
    NightOverride {
        bedtime: Some(bedtime),
        wake: Some(wake),
    }
}

prop_compose! {
    fn some_settings()(
        zone in prop::sample::select(vec![ZoneChoice::System, ZoneChoice::Named("Europe/Oslo".to_owned())]),
        born in prop::option::of(1900_i32..2100),
        avoid in prop::collection::btree_set(prop::sample::select(Avoid::ids().collect::<Vec<_>>()), 0..4),
        general in pair(),
        by_day in prop::collection::btree_map(0_u8..7, pair().prop_map(override_of), 0..3),
        on in prop::collection::btree_map(0_u64..400, pair().prop_map(override_of), 0..3),
        alarm_days in prop::option::of(prop::collection::btree_set(0_u8..7, 0..7)),
        (minutes, settle, remind) in (3_u32..=30, 0_u32..=180, prop::collection::vec(1_u32..=120, 0..=5)),
        (holds, breaths_per_min) in (any::<bool>(), prop::option::of(3.0_f64..40.0)),
        words in prop::collection::vec("[^\\x00-\\x1f\\x7f-\\u{9f}]{1,9}", 0..3),
        text in "[^\\x00-\\x1f\\x7f-\\u{9f} ][^\\x00-\\x1f\\x7f-\\u{9f}]{0,40}",
        morning in prop_oneof![Just(MorningPrompt::Off), (0_u32..=240).prop_map(MorningPrompt::AfterWake), time().prop_map(MorningPrompt::At)],
        session in prop::option::of(time()),
        (lights_out, page_on, port) in (any::<bool>(), any::<bool>(), prop::option::of(1024_u16..)),
    ) -> Settings {
        let mut settings = Settings {
            timezone: zone,
            born,
            avoid: avoid.into_iter().filter_map(Avoid::from_id).collect::<BTreeSet<_>>(),
            ..Settings::default()
        };
        (settings.nights.bedtime, settings.nights.wake) = general;
        settings.nights.by_day = by_day;
        settings.nights.on = on
            .into_iter()
            .map(|(day, times)| {
                let date = NaiveDate::default() + Days::new(day);
                (date, OneOff { times, timezone: None })
            })
            .collect();
        settings.nights.alarm_days = alarm_days;
        settings.evening.minutes = minutes;
        settings.evening.settle = settle;
        settings.evening.remind = remind;
        settings.evening.holds = holds;
        settings.evening.breaths_per_min = breaths_per_min;
        settings.evening.start = match words.first().map(|first| first.trim().is_empty()) {
            Some(false) => StartWith::Command(words),
            _ if page_on => StartWith::Page,
            _ => StartWith::Nothing,
        };
        settings.prompts.morning = morning;
        settings.prompts.session = session;
        settings.prompts.lights_out = lights_out;
        settings.prompts.own = vec![OwnPrompt { when: schedule::parse("0 30 13 * * Mon-Fri").unwrap(), text }];
        settings.page.on = page_on;
        settings.page.port = port;
        settings
    }
}

proptest! {
    /// What is written is read back, whatever the person's texts contain.
    #[test]
    fn written_settings_are_read_back(settings in some_settings()) {
        let text = new_settings_text(&settings);
        let read = parse("settings.toml", &text, &EmbeddedZoneNames);
        prop_assert_eq!(read, Ok(settings), "{}", text);
    }
}
