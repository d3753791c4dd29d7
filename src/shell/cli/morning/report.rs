//! A morning in words and for machines.

use serde_json::{Map, Value, json};

use super::super::tonight::length;
use crate::pure::civil::{Instant, Zone};
use crate::pure::diary::{Item, Measures, Morning};

/// The machine form.
pub fn as_json(morning: &Morning, zone: &Zone) -> Value {
    let Measures {
        in_bed_s,
        sleep_period_s,
        asleep_s,
        attempt_s,
        efficiency_attempt,
        efficiency_bed,
        midpoint,
        ..
    } = morning.times.measures();
    let local = |at: Option<Instant>| at.map(|at| zone.local(at).to_rfc3339());
    let times = &morning.times;
    let ratings: Map<String, Value> = Item::ALL
        .into_iter()
        .map(|item| (item.id().to_owned(), json!(morning.ratings.get(item))))
        .collect();
    let sore_in: Map<String, Value> = morning
        .sore_in
        .iter()
        .map(|(region, degree)| (region.id().to_owned(), json!(degree)))
        .collect();
    json!({
        "night": morning.night.to_string(),
        "timezone": morning.zone,
        "in_bed_s": in_bed_s,
        "sleep_period_s": sleep_period_s,
        "asleep_s": asleep_s,
        "attempt_s": attempt_s,
        "efficiency_attempt": efficiency_attempt,
        "efficiency_bed": efficiency_bed,
        "midpoint": local(midpoint),
        "ratings": ratings,
        "into_bed": local(times.into_bed),
        "lights_out": local(times.lights_out),
        "asleep_after_min": times.asleep_after_min,
        "wakings": times.wakings,
        "awake_for_min": times.awake_for_min,
        "woke": local(times.woke),
        "up": local(times.up),
        "tried_after_min": times.tried_after_min,
        "sore_in": sore_in,
        "ill": morning.ill,
        "note": (!morning.note.is_empty()).then_some(&morning.note),
        "estimated": morning.estimated,
    })
}

/// The words.
pub fn words(morning: &Morning, zone: &Zone) -> String {
    let mut text = format!(
        "Night of {}{}\n",
        morning.night.evening().format("%A %-d %B %Y"),
        if morning.estimated {
            ", times as planned"
        } else {
            ""
        }
    );
    for line in lines(morning, zone) {
        text.push_str(&format!("  {line}\n"));
    }
    text
}

fn lines(morning: &Morning, zone: &Zone) -> Vec<String> {
    let times = &morning.times;
    let measures = times.measures();
    let clock = |at: Instant| zone.local(at).format("%H:%M").to_string();
    let span = |from: Option<Instant>, to: Option<Instant>, seconds: i64| {
        let between = from.zip(to).map_or(String::new(), |(from, to)| {
            format!(", {} to {}", clock(from), clock(to))
        });
        format!("{}{between}", length(seconds))
    };
    let mut lines = Vec::new();
    if let Some(seconds) = measures.in_bed_s {
        lines.push(format!(
            "in bed    {}",
            span(times.into_bed, times.up, seconds)
        ));
    }
    if let Some(seconds) = measures.asleep_s {
        let share = measures.efficiency_attempt.map_or(String::new(), |share| {
            format!(" ({share:.0} % of the time spent trying to sleep)")
        });
        lines.push(format!(
            "asleep    {}{share}",
            span(measures.onset, times.woke, seconds)
        ));
    }
    let ratings: Vec<String> = Item::ALL
        .into_iter()
        .filter_map(|item| Some(format!("{} {}", item.words(), morning.ratings.get(item)?)))
        .collect();
    if !ratings.is_empty() {
        lines.push(format!("ratings   {}", ratings.join(", ")));
    }
    if !morning.sore_in.is_empty() {
        let regions: Vec<String> = morning
            .sore_in
            .iter()
            .map(|(region, degree)| format!("{} {degree}", region.words()))
            .collect();
        lines.push(format!("sore      {}", regions.join(", ")));
    }
    if morning.ill {
        lines.push("ill".to_owned());
    }
    if !morning.note.is_empty() {
        lines.push(format!("note      {}", morning.note));
    }
    lines
}
