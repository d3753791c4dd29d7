use super::*;
use crate::pure::civil::EmbeddedZoneNames;
use crate::pure::schedule;

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
minutes = 10
settle = 20
nights = "training"
pattern = "rotate"
remind = [10, 15]
routine = "after_legs"
holds = true
breaths_per_min = 12.5
start = ["xterm", "-e"]
[prompts]
morning = "wake + 5 min"
session = 11:45
week_review = "0 0 17 * * Sat"
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

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn full() -> Settings {
    Settings {
        timezone: ZoneChoice::Named("Europe/Oslo".to_owned()),
        born: Some(1991),
        avoid: ["holds", "kneeling"]
            .into_iter()
            .filter_map(Avoid::from_id)
            .collect(),
        emergency_number: Some("112".to_owned()),
        nights: NightTimes {
            bedtime: time(22, 30),
            wake: time(6, 30),
            by_day: BTreeMap::from([(
                4,
                NightOverride {
                    bedtime: Some(time(23, 15)),
                    wake: Some(time(7, 45)),
                },
            )]),
            on: BTreeMap::from([(
                date("2026-12-24"),
                OneOff {
                    times: NightOverride {
                        bedtime: Some(time(0, 30)),
                        wake: None,
                    },
                    timezone: Some("America/New_York".to_owned()),
                },
            )]),
            alarm_days: Some(BTreeSet::from([0, 1])),
        },
        evening: Evening {
            minutes: 10,
            settle: 20,
            nights: EveningNights::Training,
            pattern: PatternChoice::Rotate,
            remind: vec![10, 15],
            routine: Some("after_legs".to_owned()),
            holds: true,
            breaths_per_min: Some(12.5),
            start: StartWith::Command(vec!["xterm".to_owned(), "-e".to_owned()]),
        },
        prompts: Prompts {
            morning: MorningPrompt::AfterWake(5),
            session: Some(time(11, 45)),
            week_review: Some(schedule::parse("0 0 17 * * Sat").unwrap()),
            lights_out: false,
            own: vec![OwnPrompt {
                when: schedule::parse("0 30 13 * * Mon-Fri").unwrap(),
                text: "Last coffee of the day".to_owned(),
            }],
        },
        page: Page {
            on: false,
            port: Some(8123),
        },
    }
}

fn parsed(text: &str) -> Settings {
    parse("settings.toml", text, &EmbeddedZoneNames).unwrap_or_else(|complaints| {
        let said: Vec<String> = complaints.iter().map(ToString::to_string).collect();
        panic!("{}\n{text}", said.join("\n"))
    })
}

#[test]
fn an_empty_file_gives_the_defaults() {
    assert_eq!(parsed(""), Settings::default());
    assert!(Settings::default().prompts.week_review.is_some());
}

#[test]
fn every_key_is_read() {
    assert_eq!(parsed(FULL), full());
}

#[test]
fn the_words_for_off_and_other_forms_are_read() {
    let settings = parsed(
        "[prompts]\nmorning = 07:10\nsession = \"off\"\nweek_review = \"off\"\n[page]\non = false\n[evening]\npattern = \"even_5_5\"\nremind = []\n",
    );
    assert_eq!(settings.prompts.morning, MorningPrompt::At(time(7, 10)));
    assert_eq!(
        (settings.prompts.session, settings.prompts.week_review),
        (None, None)
    );
    assert_eq!(
        settings.evening.start,
        StartWith::Nothing,
        "with the page off there is nothing to open"
    );
    assert_eq!(
        settings.evening.pattern,
        PatternChoice::Always("even_5_5".to_owned())
    );
    assert!(settings.evening.remind.is_empty());
    assert_eq!(
        parsed("[prompts]\nmorning = \"wake\"\n").prompts.morning,
        MorningPrompt::AfterWake(0)
    );
    assert_eq!(
        parsed("[prompts]\nmorning = \"wake+90min\"\n")
            .prompts
            .morning,
        MorningPrompt::AfterWake(90)
    );
    assert_eq!(
        parsed("[prompts]\nmorning = \"off\"\n").prompts.morning,
        MorningPrompt::Off
    );
}

#[test]
fn a_night_after_midnight_or_by_day_is_a_night_within_noon_and_noon() {
    for (bedtime, wake) in [
        ("00:30", "08:00"),
        ("23:59", "00:01"),
        ("12:00", "04:00"),
        ("03:00", "11:59"),
        ("20:00", "11:30"),
    ] {
        parsed(&format!(
            "[nights]\nbedtime = \"{bedtime}\"\nwake = \"{wake}\"\n"
        ));
    }
}

#[test]
fn a_missing_half_of_a_weekday_is_checked_with_the_general_one() {
    let text = "[nights]\nbedtime = \"01:00\"\nwake = \"07:00\"\nfri = { wake = \"00:45\" }\n";
    let complaints = parse("settings.toml", text, &EmbeddedZoneNames).unwrap_err();
    assert_eq!(
        complaints[0].to_string(),
        "settings.toml:4:16: the wake time 00:45 is not after the bedtime 01:00. A night runs from noon to noon: write a bedtime and a later wake time within it."
    );
    assert_eq!(complaints.len(), 1);
}

#[test]
fn a_one_off_is_checked_with_its_weekday_before_the_general_times() {
    // 25 December 2026 is a Friday.
    let fine = "[nights]\nbedtime = \"22:00\"\nwake = \"06:00\"\nfri = { wake = \"09:00\" }\n[[nights.on]]\ndate = 2026-12-25\nbedtime = \"07:00\"\n";
    parsed(fine);
    let late = fine.replace("2026-12-25", "2026-12-26");
    let complaints = parse("settings.toml", &late, &EmbeddedZoneNames).unwrap_err();
    assert!(
        complaints[0]
            .to_string()
            .starts_with("settings.toml:7:11: the wake time 06:00 is not after the bedtime 07:00."),
        "{complaints:?}"
    );
}
