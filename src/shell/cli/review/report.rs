//! A look back for machines.

use serde_json::{Value, json};

use crate::pure::readiness::Band;
use crate::pure::review::summary::{
    Evenings, LoadWeek, Loads, NightsSummary, PhaseBest, Review, SoreRegion, Suggestions,
    WhatWasDone,
};

/// The machine form.
pub fn as_json(review: &Review) -> Value {
    json!({
        "from": review.span.from.to_string(),
        "to": review.span.to.to_string(),
        "evenings": evenings_json(&review.evenings),
        "sleep": sleep_json(&review.sleep),
        "load": load_json(&review.loads),
        "readiness": readiness_json(&review.suggestions),
        "bests": review.bests.iter().map(best_json).collect::<Vec<_>>(),
        "sore": review.sore.iter().map(sore_json).collect::<Vec<_>>(),
        "sentences": review.sentences,
        "sleep_help": review.sleep_help.as_ref().map(|help| json!({
            "weeks": help.weeks, "days_suffer": help.days_suffer, "text": help.text,
        })),
    })
}

pub(super) fn evenings_json(evenings: &Evenings) -> Value {
    json!({
        "prompted": evenings.prompted,
        "done": evenings.done,
        "partly": evenings.partly,
        "declined": evenings.declined,
        "missed": evenings.missed,
        "open": evenings.open,
    })
}

pub(super) fn sleep_json(sleep: &NightsSummary) -> Value {
    let found = sleep.alarm_and_free;
    json!({
        "nights": sleep.nights,
        "mean_asleep_s": sleep.mean_asleep_s.map(seconds),
        "need_s": sleep.need_s,
        "short_nights": sleep.short_nights,
        "shortfall_s": sleep.shortfall.map(|shortfall| seconds(shortfall.mean_s)),
        "shortfall_nights": sleep.shortfall.map(|shortfall| shortfall.nights),
        "regularity": sleep.regularity,
        "midpoint_s": sleep.midpoints.map(|midpoints| seconds(midpoints.mean_s)),
        "midpoint_sd_s": sleep.midpoints.and_then(|midpoints| midpoints.sd_s).map(seconds),
        "midpoint_nights": sleep.midpoint_nights,
        "social_jetlag_s": found.map(|found| seconds(found.social_jetlag_s)),
        "corrected_midpoint_s": found.and_then(|found| found.corrected_midpoint_s).map(seconds),
    })
}

/// Durations are whole seconds in machine output.
#[expect(
    clippy::cast_possible_truncation,
    reason = "lengths within a day, far inside the range"
)]
fn seconds(value: f64) -> i64 {
    value.round() as i64
}

fn load_json(loads: &Loads) -> Value {
    let change = loads.change;
    json!({
        "weeks": loads.weeks.iter().map(week_json).collect::<Vec<_>>(),
        "recorded_days": loads.recorded_days,
        "sessions": loads.sessions,
        "change_from_usual": change.map(|change| change.fraction),
        "usual": change.map(|change| change.usual),
        "usual_weeks": change.map(|change| change.weeks),
        "sentence": change.map(|change| change.sentence()),
    })
}

pub(super) fn week_json(week: &LoadWeek) -> Value {
    json!({
        "from": week.span.from.to_string(),
        "to": week.span.to.to_string(),
        "known_load": week.week.known_load,
        "known_days": week.week.known_days,
        "load": week.week.load,
        "monotony": week.week.monotony,
        "strain": week.week.strain,
        "planned": week.planned,
        "sessions": week.sessions,
        "planned_sessions": week.planned_sessions,
    })
}

pub(super) fn readiness_json(suggestions: &Suggestions) -> Value {
    let bands: serde_json::Map<String, Value> = Band::ALL
        .into_iter()
        .map(|band| {
            let count = suggestions.bands.get(&band).copied().unwrap_or(0);
            (band.id().to_owned(), json!(count))
        })
        .collect();
    let with = |what| suggestions.lowered_with(what);
    json!({
        "scored": suggestions.scored,
        "mean_score": suggestions.mean_score,
        "bands": bands,
        "lowered": {
            "days": suggestions.lowered_days(),
            "followed": with(WhatWasDone::Followed),
            "kept": with(WhatWasDone::KeptPlan),
            "did_more": with(WhatWasDone::DidMore),
            "unknown": with(WhatWasDone::Unknown),
        },
    })
}

fn best_json(best: &PhaseBest) -> Value {
    json!({
        "session": best.session,
        "part": best.part,
        "phase": best.phase,
        "total": best.total,
        "date": best.date.to_string(),
        "before": best.before.as_ref().map(|before| json!({
            "phase": before.phase, "total": before.total, "date": before.date.to_string(),
        })),
    })
}

fn sore_json(sore: &SoreRegion) -> Value {
    json!({
        "region": sore.region.id(),
        "mornings": sore.mornings,
        "weeks": sore.weeks,
        "strongest": sore.strongest,
    })
}
