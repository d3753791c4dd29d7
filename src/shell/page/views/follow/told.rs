//! What the script tells while an evening goes on: that it began, where it is, that it is over.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::Duration;

use super::Evening;
use crate::pure::civil::Instant;
use crate::pure::phrase::length;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{Answer, Trouble};
use crate::shell::page::run::{self, KeptRoutine, Noted, Place, Run};
use crate::shell::page::site::Site;

/// Longest id a page may choose for a run or a window.
const LONGEST_ID: usize = 64;
/// Most spans a note may hold: one for each pause and skip of an evening.
const MOST_SPANS: usize = 500;

fn id_of(form: &Form, field: &str) -> Result<String, Trouble> {
    form.text(field)
        .filter(|id| {
            id.len() <= LONGEST_ID && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        })
        .map(str::to_owned)
        .ok_or_else(|| Trouble::form("Load the page again."))
}

fn number(form: &Form, field: &str) -> Option<u64> {
    form.text(field)?.parse().ok()
}

fn place_of(form: &Form) -> Result<Place, Trouble> {
    let spans: Vec<(u64, u64)> = form
        .text("spans")
        .and_then(|text| serde_json::from_str(text).ok())
        .unwrap_or_default();
    if spans.len() > MOST_SPANS {
        return Err(Trouble::form("Load the page again."));
    }
    Ok(Place {
        id: id_of(form, "run")?,
        holder: id_of(form, "holder")?,
        take: form.text("take") == Some("1"),
        position_ms: number(form, "position").unwrap_or(0),
        spans,
    })
}

/// An evening begins.
pub async fn begin(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    if !form.has("kept") {
        // Without script the form itself arrives here.
        return Ok(crate::shell::page::reply::see_other("/follow"));
    }
    let now = site.now();
    let routine: KeptRoutine = form
        .text("kept")
        .and_then(|text| serde_json::from_str(text).ok())
        .ok_or_else(|| Trouble::form("Load the page again."))?;
    let evening = Evening::of(&site, now)?.0;
    let nights = (routine.night().evening() - evening.night.evening()).num_days();
    if !(-1..=0).contains(&nights) {
        return Err(Trouble::form(
            "This evening is over. Load the page again for tonight's.",
        ));
    }
    let run = Run {
        id: id_of(&form, "run")?,
        holder: id_of(&form, "holder")?,
        started_ms: started(&form, now).timestamp_millis(),
        heard_ms: now.timestamp_millis(),
        position_ms: 0,
        spans: Vec::new(),
        routine,
    };
    run::begin(&mut site.store(), &run, now, &evening.zone)?;
    site.tell().await;
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// When it was begun, by the page's clock: it may have been begun while the service was away.
fn started(form: &Form, now: Instant) -> Instant {
    form.text("started")
        .and_then(|text| text.parse().ok())
        .and_then(chrono::DateTime::<chrono::Utc>::from_timestamp_millis)
        .filter(|at| *at <= now && now - *at < Duration::hours(12))
        .unwrap_or(now)
}

/// Where it is.
pub async fn at(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let place = place_of(&form)?;
    let noted = run::note(&mut site.store(), place, site.now())?;
    let status = match noted {
        Noted::Kept => StatusCode::NO_CONTENT,
        Noted::Unknown => StatusCode::NOT_FOUND,
        Noted::Elsewhere => StatusCode::CONFLICT,
    };
    Ok(status.into_response())
}

/// It is over.
pub async fn done(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let now = site.now();
    let place = place_of(&form)?;
    let id = place.id.clone();
    let zone = Evening::of(&site, now)?.0.zone;
    let row = run::done(&mut site.store(), place, now, &zone)?;
    let said = match row {
        Some(row) if row.is_done() => "Recorded: done.".to_owned(),
        Some(row) if row.done_s > 0 => format!(
            "Recorded: {} of {}.",
            length(i64::from(row.done_s)),
            length(i64::from(row.planned_s))
        ),
        Some(_) => "Nothing was played, so nothing is recorded.".to_owned(),
        None if run::is_recorded(&site.store(), &id)? => "Recorded already.".to_owned(),
        None => return Ok(plain(StatusCode::NOT_FOUND, String::new())),
    };
    site.tell().await;
    Ok(plain(StatusCode::OK, said))
}

fn plain(status: StatusCode, said: String) -> Response {
    (status, said).into_response()
}
