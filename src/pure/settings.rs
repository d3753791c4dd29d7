//! What the person set: the checked form of `settings.toml`.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveTime, Weekday};

use super::avoid::Avoid;

mod defaults;
mod evening;
mod nights;
mod own;
mod prompts;
mod read;
#[cfg(test)]
mod tests;
mod weekly;
mod write;

pub use own::{add_own, change_own, remove_own};
pub use read::{KnownIds, parse, parse_with_ids};
pub use weekly::Weekly;
pub use write::{add_one_off, new_settings_text, remove_one_off, time_text};

/// The settings after every check.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// The person's zone.
    pub timezone: ZoneChoice,
    /// Year of birth, only for the recommended hours of sleep.
    pub born: Option<i32>,
    /// Conditions and positions to leave out.
    pub avoid: BTreeSet<Avoid>,
    /// The local emergency number, named in cautions only if the person set it.
    pub emergency_number: Option<String>,
    /// Planned bedtimes and wake times.
    pub nights: NightTimes,
    /// The evening's wind-down.
    pub evening: Evening,
    /// What else is prompted.
    pub prompts: Prompts,
    /// The local page.
    pub page: Page,
}

/// Which zone wall times are meant in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ZoneChoice {
    /// The zone the machine is set to, re-read at every wake.
    System,
    /// An IANA name.
    Named(String),
}

/// Planned bedtime and wake time of one night; a missing half falls back to the general one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NightOverride {
    /// Bedtime (lights out).
    pub bedtime: Option<NaiveTime>,
    /// Wake time.
    pub wake: Option<NaiveTime>,
}

/// Planned bedtimes and wake times.
#[derive(Clone, Debug, PartialEq)]
pub struct NightTimes {
    /// Bedtime where nothing else is said.
    pub bedtime: NaiveTime,
    /// Wake time where nothing else is said.
    pub wake: NaiveTime,
    /// By weekday of the evening.
    pub by_day: BTreeMap<u8, NightOverride>,
    /// By date of the evening; wins over the weekday.
    pub on: BTreeMap<NaiveDate, OneOff>,
    /// Mornings on which an alarm (work, school) sets the wake time, by weekday of the morning as
    /// days from Monday. `None` = never asked; needed for social jetlag only.
    pub alarm_days: Option<BTreeSet<u8>>,
}

/// A night that differs once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OneOff {
    /// Its times.
    pub times: NightOverride,
    /// Another zone for this night and its prompts (travel).
    pub timezone: Option<String>,
}

/// Which evenings have a wind-down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EveningNights {
    /// Every evening.
    Every,
    /// Evenings of training days only.
    Training,
}

/// Which breathing pattern closes the evening.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PatternChoice {
    /// Always this one.
    Always(String),
    /// A different one each evening, in the order of the library, holds left out unless allowed.
    Rotate,
}

/// What the Start button opens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StartWith {
    /// The local page in the person's browser.
    Page,
    /// A command that opens a terminal with the guide; the words of the command.
    Command(Vec<String>),
    /// Nothing: the prompt says which command to run.
    Nothing,
}

/// The evening's wind-down.
#[derive(Clone, Debug, PartialEq)]
pub struct Evening {
    /// Length of the routine in minutes, 3 to 30.
    pub minutes: u32,
    /// Minutes from the end of the routine to lights out.
    pub settle: u32,
    /// Which evenings.
    pub nights: EveningNights,
    /// Which pattern.
    pub pattern: PatternChoice,
    /// Minutes after an unanswered prompt at which it is shown again, one after the other.
    pub remind: Vec<u32>,
    /// A routine by id instead of a composed one.
    pub routine: Option<String>,
    /// The one-time question about breath holds was answered with "none of these".
    pub holds: bool,
    /// The person's own breaths a minute at rest, asked once; the pattern then lengthens from there.
    pub breaths_per_min: Option<f64>,
    /// What Start opens.
    pub start: StartWith,
}

/// When the morning prompt shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MorningPrompt {
    /// So many minutes after the planned wake time.
    AfterWake(u32),
    /// At a fixed time of day.
    At(NaiveTime),
    /// Never.
    Off,
}

/// What else is prompted.
#[derive(Clone, Debug, PartialEq)]
pub struct Prompts {
    /// The morning record.
    pub morning: MorningPrompt,
    /// Today's suggestion; `None` = off.
    pub session: Option<NaiveTime>,
    /// The weekly look back, cron fields on wall time; `None` = off.
    pub week_review: Option<CronFields>,
    /// A quiet word at lights out.
    pub lights_out: bool,
    /// The person's own.
    pub own: Vec<OwnPrompt>,
}

/// Checked cron fields (second minute hour day month weekday), meant in wall time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CronFields {
    /// As written.
    pub text: String,
    /// The parsed fields.
    pub schedule: cron::Schedule,
}

/// A prompt of the person's own.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnPrompt {
    /// When, on wall time.
    pub when: CronFields,
    /// What it says.
    pub text: String,
}

/// The local page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Page {
    /// Whether the service serves it.
    pub on: bool,
    /// A fixed port; `None` = a random one, kept per home.
    pub port: Option<u16>,
}

/// Days from Monday, the key of [`NightTimes::by_day`].
pub fn day_key(day: Weekday) -> u8 {
    u8::try_from(day.num_days_from_monday()).unwrap_or(0)
}
