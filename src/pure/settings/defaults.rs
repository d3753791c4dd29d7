//! What holds where nothing is written.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveTime;

use super::{
    Evening, EveningNights, MorningPrompt, NightTimes, Page, PatternChoice, Prompts, Settings,
    StartWith, ZoneChoice,
};
use crate::pure::schedule;

fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default()
}

impl Default for Settings {
    /// The zone of the machine, bed from 22:30 to 06:30, eight minutes of wind-down every evening.
    fn default() -> Self {
        Self {
            timezone: ZoneChoice::System,
            born: None,
            avoid: BTreeSet::new(),
            emergency_number: None,
            nights: NightTimes::default(),
            evening: Evening::default(),
            prompts: Prompts::default(),
            page: Page::default(),
        }
    }
}

impl Default for NightTimes {
    fn default() -> Self {
        Self {
            bedtime: time(22, 30),
            wake: time(6, 30),
            by_day: BTreeMap::new(),
            on: BTreeMap::new(),
            alarm_days: None,
        }
    }
}

impl Default for Evening {
    fn default() -> Self {
        Self {
            minutes: 8,
            settle: 15,
            nights: EveningNights::Every,
            pattern: PatternChoice::Always("longer_out_4_6".to_owned()),
            remind: vec![10, 10],
            routine: None,
            holds: false,
            breaths_per_min: None,
            start: StartWith::Page,
        }
    }
}

impl Default for Prompts {
    fn default() -> Self {
        Self {
            morning: MorningPrompt::AfterWake(10),
            session: Some(time(12, 0)),
            week_review: schedule::parse("0 0 18 * * Sun").ok(),
            lights_out: true,
            own: Vec::new(),
        }
    }
}

impl Default for Page {
    fn default() -> Self {
        Self {
            on: true,
            port: None,
        }
    }
}
