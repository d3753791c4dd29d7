//! What a person shares with a coach: chosen item by item, a row a day.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::summary::{Outcome, Records, Span, outcomes};
use crate::pure::caution::{Level, Report, Sign, What};
use crate::pure::civil::{Instant, Night};
use crate::pure::diary::Ratings;
use crate::pure::phrase::counted;
use crate::pure::readiness::Band;
use crate::pure::today::Today;

/// Something that can be shared or kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// What became of the wind-downs.
    Evenings,
    /// Minutes asleep, and when the nights lay.
    Sleep,
    /// Load, done and planned.
    Load,
    /// The readiness score and its band.
    Readiness,
    /// The four ratings themselves.
    Ratings,
    /// Pain and warning signs of the body. Low mood and thoughts of self-harm are never shared.
    Pain,
    /// Notes, in the person's own words.
    Notes,
}

impl Item {
    /// Every item with its word in flags, what it is, and whether it is shared unless the person says
    /// otherwise.
    pub const ALL: [(Self, &'static str, &'static str, bool); 7] = [
        (
            Self::Evenings,
            "evenings",
            "what became of the wind-downs",
            true,
        ),
        (Self::Sleep, "sleep", "how long and when you slept", true),
        (Self::Load, "load", "training load, done and planned", true),
        (
            Self::Readiness,
            "readiness",
            "the readiness score and its band",
            true,
        ),
        (
            Self::Ratings,
            "ratings",
            "the four morning ratings themselves",
            false,
        ),
        (
            Self::Pain,
            "pain",
            "pain and warning signs of the body",
            false,
        ),
        (Self::Notes, "notes", "your notes, word for word", false),
    ];

    /// Its word in flags and machine output.
    pub fn id(self) -> &'static str {
        Self::ALL[self as usize].1
    }

    /// The item with a word.
    pub fn from_id(id: &str) -> Option<Self> {
        let found = Self::ALL.iter().find(|(_, known, _, _)| *known == id);
        found.map(|(item, _, _, _)| *item)
    }

    /// What is shared unless the person says otherwise.
    pub fn usual() -> BTreeSet<Self> {
        let usual = Self::ALL.iter().filter(|(_, _, _, shared)| *shared);
        usual.map(|(item, _, _, _)| *item).collect()
    }
}

/// A day as it can be shared; what was not recorded is `None` or empty.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedDay {
    /// The day.
    pub date: NaiveDate,
    /// Its morning was recorded.
    pub answered: bool,
    /// What became of its evening.
    pub evening: Option<Outcome>,
    /// Minutes asleep in the night before it.
    pub asleep_min: Option<i64>,
    /// Load, AU.
    pub load: Option<f64>,
    /// Load as planned, AU; 0 on days without a session.
    pub planned_load: f64,
    /// The score as it was known that morning.
    pub readiness: Option<f64>,
    /// The band by the score, and after the guards if pain is shared: a guard would tell of pain. On a day
    /// with a sign that is never shared it is that of the score in any case.
    pub band: Option<Band>,
    /// The ratings.
    pub ratings: Ratings,
    /// How urgent the most urgent caution is that stood on the day.
    pub caution: Option<Level>,
    /// What hurts, in words.
    pub pain: String,
    /// The note of the morning.
    pub note: String,
}

/// Signs that stay with the person whatever is shared.
fn is_private(sign: Sign) -> bool {
    matches!(sign, Sign::SelfHarm | Sign::LowMood)
}

fn is_of_the_body(report: &Report) -> bool {
    match report.what {
        What::Pain(_) => true,
        What::Sign { sign, .. } => !is_private(sign),
    }
}

/// The days of a span with what is shared of them. `days` is what is said about each of them; the load of
/// the day that is not over is left open unless a session is recorded.
pub fn shared_days(
    records: &Records<'_>,
    days: &[Today],
    span: Span,
    shared: &BTreeSet<Item>,
    now: Instant,
) -> Vec<SharedDay> {
    let zone = &records.plan.zone;
    let (tonight, today) = (Night::at(now, zone), zone.local(now).date_naive());
    let evenings = outcomes(records, span, tonight);
    days.iter()
        .filter(|day| span.has(day.date))
        .map(|day| {
            let morning = records.recorded.morning(day.date);
            let measures = morning.map(|morning| morning.times.measures());
            let over = day.date < today || !day.done.is_empty();
            let judged = day.recorded || !day.readiness.guards.is_empty();
            let reports = &records.recorded.reports;
            let open = || reports.iter().filter(|one| one.open_on(day.date));
            let private = open().any(|one| !is_of_the_body(&one.report));
            let hurts: Vec<String> = open()
                .filter(|reported| is_of_the_body(&reported.report))
                .map(|reported| reported.report.words())
                .collect();
            SharedDay {
                date: day.date,
                answered: day.recorded,
                evening: evenings.get(&Night(day.date)).copied(),
                asleep_min: measures.and_then(|measures| Some(measures.asleep_s? / 60)),
                load: day.load.day.filter(|_| over),
                // An empty sum of floats is -0.
                planned_load: day
                    .sessions
                    .iter()
                    .fold(0.0, |sum, session| sum + session.planned.load()),
                readiness: day.readiness.score.score.filter(|_| day.recorded),
                band: judged.then_some(if shared.contains(&Item::Pain) && !private {
                    day.readiness.band
                } else {
                    day.readiness.score.capped_band()
                }),
                ratings: morning.map_or_else(Ratings::default, |morning| morning.ratings),
                caution: day
                    .cautions
                    .iter()
                    .filter(|caution| caution.sign.is_none_or(|sign| !is_private(sign)))
                    .map(|caution| caution.level)
                    .max(),
                pain: hurts.join("; "),
                note: morning.map_or_else(String::new, |morning| morning.note.clone()),
            }
        })
        .collect()
}

/// The sentence about readiness, from what is shared of it alone: what the person is told counts guards too,
/// which would tell of pain.
pub fn readiness_sentence(days: &[SharedDay]) -> Option<String> {
    let scored = days.iter().filter(|day| day.readiness.is_some()).count();
    let lower = days
        .iter()
        .filter(|day| day.band.is_some_and(|band| band > Band::AsPlanned))
        .count();
    (scored > 0).then(|| {
        format!(
            "On {} the ratings were scored; the band was lower than as planned on {}.",
            counted(scored, "mornings"),
            counted(lower, "days")
        )
    })
}

/// What was said on days in a row is said once, with its first and last day; days without words are left out.
pub fn runs<'d>(
    days: &'d [SharedDay],
    of: impl Fn(&'d SharedDay) -> &'d str,
) -> Vec<(NaiveDate, NaiveDate, &'d str)> {
    let mut found: Vec<(NaiveDate, NaiveDate, &str)> = Vec::new();
    for day in days.iter().filter(|day| !of(day).is_empty()) {
        match found.last_mut() {
            Some((_, last, words)) if *words == of(day) && last.succ_opt() == Some(day.date) => {
                *last = day.date;
            }
            _ => found.push((day.date, day.date, of(day))),
        }
    }
    found
}
