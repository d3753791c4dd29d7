//! The look back in a few sentences, each with its numbers and how many nights or days it rests on.

use super::evenings::Evenings;
use super::nights::NightsSummary;
use super::suggestions::{Suggestions, WhatWasDone};
use super::weeks::Loads;
use super::{Review, Span};
use crate::pure::load::total;
use crate::pure::phrase::counted;
use crate::pure::review::timing::Spread;

/// No look back says more than this many sentences.
pub const MOST_SENTENCES: usize = 5;

/// What a sentence is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    /// The wind-downs.
    Evenings,
    /// How long the nights were, and when they lay.
    Sleep,
    /// Training load.
    Load,
    /// Readiness and what was done with it.
    Readiness,
}

impl Review {
    /// The sentences, each with what it is about.
    pub fn said(&self) -> Vec<(Topic, String)> {
        [
            (Topic::Evenings, evenings(&self.evenings)),
            (Topic::Sleep, asleep(&self.sleep)),
            (Topic::Sleep, timing(&self.sleep)),
            (Topic::Load, load(&self.loads)),
            (Topic::Readiness, readiness(&self.suggestions)),
        ]
        .into_iter()
        .filter_map(|(topic, said)| Some((topic, said?)))
        .collect()
    }
}

pub(super) fn of(review: &Review) -> Vec<String> {
    let said: Vec<String> = review.said().into_iter().map(|(_, said)| said).collect();
    if said.is_empty() {
        let Span { from, to } = review.span;
        return vec![match review.sleep.mornings {
            0 => format!("No night, session or wind-down was recorded from {from} to {to}."),
            some => format!(
                "From {from} to {to} {} recorded, without what the length of a night is worked out from.",
                match some {
                    1 => "1 morning was".to_owned(),
                    many => format!("{many} mornings were"),
                }
            ),
        }];
    }
    said
}

fn evenings(evenings: &Evenings) -> Option<String> {
    if evenings.prompted == 0 {
        return None;
    }
    let outcomes = [
        (evenings.done, "followed to the end"),
        (evenings.partly, "followed in part"),
        (evenings.declined, "declined"),
        (evenings.missed, "missed"),
        (evenings.open, "still open"),
    ];
    let parts: Vec<String> = outcomes
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{count} {what}"))
        .collect();
    Some(format!(
        "Of {} with a wind-down: {}.",
        counted(evenings.prompted, "evenings"),
        parts.join(", ")
    ))
}

fn asleep(sleep: &NightsSummary) -> Option<String> {
    let mean = sleep.mean_asleep_s?;
    let whom = match sleep.need_for {
        Some(need) => format!("recommended for {}", need.ages()),
        None => "recommended for adults".to_owned(),
    };
    Some(format!(
        "On {} you slept {} on average; {} under the {} {whom}.",
        counted(sleep.nights, "recorded nights"),
        time(mean),
        match sleep.short_nights {
            0 => "none was".to_owned(),
            1 => "1 was".to_owned(),
            many => format!("{many} were"),
        },
        time(sleep.need_s as f64),
    ))
}

fn timing(sleep: &NightsSummary) -> Option<String> {
    let Spread { mean_s, sd_s, .. } = sleep.midpoints?;
    let mut said = format!(
        "The middle of your sleep lay at {} on average, with a spread of {} min ({})",
        clock(mean_s),
        whole(sd_s.unwrap_or(0.0) / 60.0),
        counted(sleep.midpoint_nights, "nights"),
    );
    if let Some(found) = sleep.alarm_and_free {
        let later = found.social_jetlag_s;
        let free = match whole(later / 60.0) {
            0 => "at the same time on free days as on days with an alarm".to_owned(),
            minutes => format!(
                "{} min {} on free days than on days with an alarm",
                minutes.abs(),
                if minutes < 0 { "earlier" } else { "later" },
            ),
        };
        said.push_str(&format!(", and {free}"));
    }
    Some(said + ".")
}

fn load(loads: &Loads) -> Option<String> {
    if loads.recorded_days == 0 {
        return None;
    }
    let total = total(loads.weeks.iter().map(|week| week.week.known_load));
    let sessions = counted(loads.sessions, "sessions");
    let days = counted(loads.recorded_days, "days");
    let total = whole(total);
    Some(match loads.change {
        None => format!("On {days} you recorded {sessions}, {total} AU of load."),
        Some(change) => format!(
            "{}; on {days} you recorded {sessions}, {total} AU.",
            change.sentence().trim_end_matches('.')
        ),
    })
}

fn readiness(suggestions: &Suggestions) -> Option<String> {
    if suggestions.scored == 0 {
        return None;
    }
    let lower = suggestions.judged_lower();
    let mornings = counted(suggestions.scored, "mornings");
    if lower == 0 {
        return Some(format!(
            "On {mornings} your ratings were scored; training as planned was suggested each time."
        ));
    }
    let mut said = format!(
        "On {mornings} your ratings were scored; less than planned was suggested on {}",
        counted(lower, "days")
    );
    let done: Vec<String> = [
        (WhatWasDone::Followed, "followed"),
        (WhatWasDone::KeptPlan, "kept to the plan"),
        (WhatWasDone::DidMore, "with more done than suggested"),
        (WhatWasDone::Unknown, "without a record"),
    ]
    .iter()
    .map(|(what, words)| (suggestions.lowered_with(*what), words))
    .filter(|(count, _)| *count > 0)
    .map(|(count, words)| format!("{count} {words}"))
    .collect();
    if !done.is_empty() {
        said.push_str(&format!(
            ", {} with a session: {}",
            match suggestions.lowered_days() {
                all if all == lower => "each".to_owned(),
                some => format!("{some} of them"),
            },
            done.join(", ")
        ));
    }
    Some(said + ".")
}

/// A length in hours and minutes.
pub(super) fn time(seconds: f64) -> String {
    let minutes = whole(seconds / 60.0);
    match (minutes / 60, minutes % 60) {
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

/// A time of day from seconds after midnight.
fn clock(second: f64) -> String {
    let minutes = whole(second / 60.0).rem_euclid(1440);
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "lengths of a night and loads of a few weeks"
)]
fn whole(value: f64) -> i64 {
    value.round() as i64
}
