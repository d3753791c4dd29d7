//! How things stand with the service, in machine form.

use serde_json::{Value, json};

use super::core::Core;
use super::desk::Desk;
use crate::pure::agenda::Due;
use crate::pure::civil::{Instant, Zone};
use crate::pure::prompt::Standing;

/// A prompt as the agenda prints it.
pub fn due_json(due: &Due, zone: &Zone) -> Value {
    json!({
        "kind": due.key.kind.id(),
        "night": due.key.night.to_string(),
        "due_at": zone.local(due.due_at).to_rfc3339(),
        "text": due.text,
    })
}

/// Standing prompts, the next one, and standing complaints.
pub fn status<D: Desk>(
    core: &Core<D>,
    now: Instant,
    complaints: &[String],
    page: Option<&str>,
) -> Value {
    let zone = &core.plan.zone;
    let standing: Vec<Value> = core
        .records()
        .iter()
        .filter(|(_, record)| record.waits())
        .map(|(key, record)| {
            json!({
                "kind": key.kind.id(),
                "night": key.night.to_string(),
                "showings": record.showings,
                "later_until": match record.standing {
                    Standing::Postponed { until } => Some(zone.local(until).to_rfc3339()),
                    _ => None,
                },
            })
        })
        .collect();
    json!({
        "pid": std::process::id(),
        "next": core.plan.next_after(now).map(|due| due_json(&due, core.plan.zone_of(due.key.night))),
        "wakes_at": core.wake().map(|at| zone.local(at).to_rfc3339()),
        "standing": standing,
        "complaints": complaints,
        "timezone": { "name": zone.name() },
        "page": page,
    })
}
