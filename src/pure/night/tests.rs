use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::*;
use crate::pure::settings::{
    Evening, EveningNights, MorningPrompt, NightOverride, OneOff, Page, PatternChoice, Prompts,
    StartWith,
};

fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

fn time(text: &str) -> NaiveTime {
    NaiveTime::parse_from_str(text, "%H:%M").expect("time")
}

fn settings(bedtime: &str, wake: &str) -> Settings {
    Settings {
        timezone: ZoneChoice::System,
        born: None,
        avoid: BTreeSet::new(),
        emergency_number: None,
        nights: NightTimes {
            bedtime: time(bedtime),
            wake: time(wake),
            by_day: BTreeMap::new(),
            on: BTreeMap::new(),
            alarm_days: None,
        },
        evening: Evening {
            minutes: 8,
            settle: 15,
            nights: EveningNights::Every,
            pattern: PatternChoice::Rotate,
            remind: vec![],
            routine: None,
            holds: false,
            breaths_per_min: None,
            start: StartWith::Nothing,
        },
        prompts: Prompts {
            morning: MorningPrompt::Off,
            session: None,
            week_review: None,
            lights_out: false,
            own: vec![],
        },
        page: Page {
            on: false,
            port: None,
        },
    }
}

fn zone(name: &str) -> Zone {
    Zone::embedded(name).expect("known zone")
}

fn plan_on(day: &str, settings: &Settings, name: &str) -> NightPlan {
    plan(Night(date(day)), settings, &zone(name), 480)
}

fn shown(time: PlannedTime) -> String {
    time.local.to_rfc3339()
}

fn ids(plan: &NightPlan) -> Vec<&'static str> {
    plan.notes.iter().map(Note::id).collect()
}

#[test]
fn a_plain_night() {
    let plan = plan_on("2026-01-13", &settings("22:30", "06:30"), "Europe/Oslo");
    assert_eq!(shown(plan.bedtime), "2026-01-13T22:30:00+01:00");
    assert_eq!(shown(plan.wake), "2026-01-14T06:30:00+01:00");
    assert_eq!(plan.in_bed_s, 8 * 3600);
    assert_eq!(plan.starts_at.to_rfc3339(), "2026-01-13T21:07:00+00:00");
    assert_eq!(plan.prompt_at.to_rfc3339(), "2026-01-13T21:02:00+00:00");
    assert!(plan.notes.is_empty() && plan.takes_place && !plan.gentle);
    assert_eq!(plan.need_s(), None);
}

#[test]
fn a_bedtime_after_midnight_belongs_to_the_evening_before() {
    let plan = plan_on("2026-01-13", &settings("00:30", "07:30"), "Europe/Oslo");
    assert_eq!(shown(plan.bedtime), "2026-01-14T00:30:00+01:00");
    assert_eq!(shown(plan.wake), "2026-01-14T07:30:00+01:00");
}

#[test]
fn a_day_sleeper_wakes_after_noon() {
    let plan = plan_on("2026-01-13", &settings("07:00", "14:30"), "Europe/Oslo");
    assert_eq!(shown(plan.bedtime), "2026-01-14T07:00:00+01:00");
    assert_eq!(shown(plan.wake), "2026-01-14T14:30:00+01:00");
    let plan = plan_on("2026-01-13", &settings("13:00", "20:45"), "Europe/Oslo");
    assert_eq!(shown(plan.bedtime), "2026-01-13T13:00:00+01:00");
    assert_eq!(shown(plan.wake), "2026-01-13T20:45:00+01:00");
}

#[test]
fn one_off_wins_over_weekday_over_general_each_half_by_itself() {
    let mut all = settings("22:30", "06:30");
    let friday = NightOverride {
        bedtime: Some(time("23:15")),
        wake: Some(time("07:45")),
    };
    all.nights.by_day.insert(4, friday);
    let once = OneOff {
        times: NightOverride {
            bedtime: Some(time("00:30")),
            wake: None,
        },
        timezone: Some("Asia/Kathmandu".to_owned()),
    };
    all.nights.on.insert(date("2026-12-25"), once.clone()); // a Friday
    all.nights.on.insert(date("2026-12-24"), once); // a Thursday
    let times = |day| planned_times(Night(date(day)), &all.nights);
    assert_eq!(times("2026-12-17"), (time("22:30"), time("06:30")));
    assert_eq!(times("2026-12-18"), (time("23:15"), time("07:45")));
    assert_eq!(times("2026-12-24"), (time("00:30"), time("06:30")));
    assert_eq!(times("2026-12-25"), (time("00:30"), time("07:45")));
    assert_eq!(
        zone_choice(Night(date("2026-12-25")), &all),
        ZoneChoice::Named("Asia/Kathmandu".to_owned())
    );
    assert_eq!(
        zone_choice(Night(date("2026-12-18")), &all),
        ZoneChoice::System
    );
}

// Clock changes of 2026 by the tz database: Europe 29 March 01:00 UTC and 25 October 01:00 UTC.
#[test]
fn a_clock_change_is_said_the_evening_before_and_on_the_evening() {
    let all = settings("22:30", "06:30");
    assert!(
        plan_on("2026-03-26", &all, "Europe/Berlin")
            .notes
            .is_empty()
    );
    let before = plan_on("2026-03-27", &all, "Europe/Berlin");
    assert_eq!(ids(&before), ["clock_change_tomorrow"]);
    assert_eq!(before.in_bed_s, 8 * 3600);
    assert_eq!(
        before.notes[0].text(),
        "The clocks go forward by 1 h tomorrow night, from 02:00 to 03:00."
    );
    let on = plan_on("2026-03-28", &all, "Europe/Berlin");
    assert_eq!(on.in_bed_s, 7 * 3600);
    assert_eq!(
        on.notes[0].text(),
        "The clocks go forward by 1 h tonight, from 02:00 to 03:00. With it this plan gives 7 h in bed."
    );
    assert!(
        plan_on("2026-03-29", &all, "Europe/Berlin")
            .notes
            .is_empty()
    );
    let back = plan_on("2026-10-24", &all, "Europe/Berlin");
    assert_eq!(back.in_bed_s, 9 * 3600);
    assert_eq!(
        back.notes[0].text(),
        "The clocks go back by 1 h tonight, from 03:00 to 02:00. With it this plan gives 9 h in bed."
    );
}

#[test]
fn a_half_hour_change() {
    let night = plan_on(
        "2026-04-04",
        &settings("23:00", "07:00"),
        "Australia/Lord_Howe",
    );
    assert_eq!(night.in_bed_s, 8 * 3600 + 1800);
    assert!(
        night.notes[0]
            .text()
            .starts_with("The clocks go back by 30 min tonight")
    );
}

#[test]
fn a_bedtime_in_the_gap_moves_on_and_says_so() {
    let plan = plan_on("2026-03-28", &settings("02:30", "10:00"), "Europe/Berlin");
    assert_eq!(shown(plan.bedtime), "2026-03-29T03:30:00+02:00");
    assert_eq!(ids(&plan), ["clock_change_tonight", "bedtime_skipped"]);
    assert_eq!(
        plan.notes[1].text(),
        "The planned bedtime 02:30 does not exist on 2026-03-29, because the clocks go forward over it. It becomes 03:30."
    );
}

#[test]
fn a_wake_time_in_the_gap_moves_on_and_says_so() {
    let plan = plan_on("2026-03-28", &settings("20:00", "02:15"), "Europe/Berlin");
    assert_eq!(shown(plan.wake), "2026-03-29T03:15:00+02:00");
    assert_eq!(ids(&plan), ["clock_change_tonight", "wake_skipped"]);
}

#[test]
fn of_a_repeated_hour_bedtime_takes_the_first_and_waking_the_later() {
    let plan = plan_on("2026-10-24", &settings("02:30", "10:00"), "Europe/Berlin");
    assert_eq!(shown(plan.bedtime), "2026-10-25T02:30:00+02:00");
    let plan = plan_on("2026-10-24", &settings("20:00", "02:30"), "Europe/Berlin");
    assert_eq!(shown(plan.wake), "2026-10-25T02:30:00+01:00");
}

#[test]
fn an_evening_left_out_by_the_calendar_does_not_take_place() {
    let all = settings("22:30", "06:30");
    let apia = |day| plan_on(day, &all, "Pacific/Apia");
    assert!(apia("2011-12-29").takes_place);
    assert_eq!(apia("2011-12-29").in_bed_s, 8 * 3600);
    assert!(!apia("2011-12-30").takes_place);
    assert_eq!(ids(&apia("2011-12-30")), ["no_such_night"]);
    assert!(apia("2011-12-31").takes_place);
    // With a bedtime after midnight it is the evening before that has none.
    let late = settings("00:30", "07:00");
    assert!(!plan_on("2011-12-29", &late, "Pacific/Apia").takes_place);
    assert!(plan_on("2011-12-30", &late, "Pacific/Apia").takes_place);
}

#[test]
fn a_short_night_is_said_only_with_a_year_of_birth() {
    let mut all = settings("23:30", "06:00");
    assert!(plan_on("2026-01-13", &all, "Europe/Oslo").notes.is_empty());
    all.born = Some(1991);
    let plan = plan_on("2026-01-13", &all, "Europe/Oslo");
    assert_eq!(plan.need_s(), Some(7 * 3600));
    assert_eq!(
        plan.notes[0].text(),
        "This plan gives 6 h 30 min in bed. For ages 26 to 64, 7 to 9 hours of sleep are recommended, for adults at least 7 hours regularly."
    );
    all.nights.wake = time("06:30");
    assert!(plan_on("2026-01-13", &all, "Europe/Oslo").notes.is_empty());
    // The night of the change forward is shorter than the wall times look.
    assert_eq!(
        ids(&plan_on("2026-03-28", &all, "Europe/Oslo")),
        ["clock_change_tonight", "short_night"]
    );
    all.born = Some(2010);
    let young = plan_on("2026-01-13", &all, "Europe/Oslo");
    assert_eq!(young.need_s(), Some(8 * 3600));
    assert!(!young.notes[0].text().contains("adults"));
}

#[test]
fn a_hard_session_that_ends_late_is_noted_once_and_makes_the_evening_gentle() {
    let all = settings("22:30", "06:30");
    let plan = plan_on("2026-01-13", &all, "UTC");
    let bedtime = plan.bedtime.at;
    let minutes = |count| bedtime - Duration::minutes(count);
    for quiet in [
        vec![],
        vec![(7.0, minutes(60))],
        vec![(6.9, minutes(10))],
        vec![(9.0, minutes(-800))],
    ] {
        let same = plan.clone().with_sessions(&quiet);
        assert_eq!(same, plan, "{quiet:?}");
    }
    let late =
        plan.clone()
            .with_sessions(&[(4.0, minutes(5)), (7.0, minutes(59)), (9.0, minutes(1))]);
    assert!(late.gentle);
    assert_eq!(ids(&late), ["late_hard_session"]);
    assert_eq!(
        late.notes[0].text(),
        "A hard session ends 59 min before bedtime. Falling asleep can take longer after that, so this wind-down is breathing and gentle positions."
    );
    let after = plan.with_sessions(&[(8.0, minutes(-30))]);
    assert!(after.notes[0].text().contains("ends 30 min after bedtime"));
}

#[test]
fn every_note_has_words_that_end_as_a_sentence() {
    let all = settings("02:30", "02:45");
    let plan = plan_on("2026-03-28", &all, "Europe/Berlin");
    // Bedtime and wake time both in the gap: still in order, never a negative length.
    assert_eq!(plan.in_bed_s, 15 * 60);
    for note in &plan.notes {
        assert!(
            note.text().ends_with('.') && !note.text().contains('!'),
            "{}",
            note.text()
        );
    }
}
