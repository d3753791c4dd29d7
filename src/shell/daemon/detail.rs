//! What a notification can say beyond the plan, and what its buttons write.

use chrono::NaiveDate;

use crate::pure::agenda::{Due, Plan};
use crate::pure::civil::Instant;
use crate::pure::diary::Morning;
use crate::pure::prompt::{Key, Kind};
use crate::pure::today::Today;
use crate::shell::day;
use crate::shell::failure::Failure;
use crate::shell::look_back;
use crate::shell::store::Store;

/// A sentence about the prompt from the records, if there is one. Records that cannot be read take no
/// prompt away.
pub fn of(plan: &Plan, store: &Store, due: &Due, now: Instant) -> Option<String> {
    let date = due.key.night.evening();
    match due.key.kind {
        Kind::Session => session(plan, store, date, now),
        // Before the wind-down is the last time of the day at which a rating is remembered well.
        Kind::WindDown => unrated(plan, store, date, now),
        Kind::WeekReview => week(plan, store, now),
        _ => None,
    }
}

/// The first two sentences of the week; the rest is for the look back itself.
fn week(plan: &Plan, store: &Store, now: Instant) -> Option<String> {
    let review = look_back::week(store, plan, now).ok()?;
    let first: Vec<String> = review.sentences.into_iter().take(2).collect();
    Some(first.join(" "))
}

/// What is suggested for the day, or that its rating is missing where its time has passed.
fn session(plan: &Plan, store: &Store, date: NaiveDate, now: Instant) -> Option<String> {
    if is_over(plan, date, now) {
        return unrated(plan, store, date, now);
    }
    let number = plan.settings.emergency_number.as_deref();
    let found = day::look(store, &plan.block, number, date, 1, date).ok()?;
    let today = found.first()?;
    Some(suggestion(today))
}

fn suggestion(today: &Today) -> String {
    let urgent = today
        .cautions
        .iter()
        .find(|caution| caution.level.is_urgent());
    if let Some(caution) = urgent {
        return caution.text.clone();
    }
    let differs = today
        .sessions
        .iter()
        .find(|session| !session.suggestion.as_planned);
    let band = today.readiness.band.words();
    let reason = today
        .reasons
        .first()
        .map_or(String::new(), |reason| format!(" {reason}"));
    match differs {
        None if today.kept => "As planned, as you chose.".to_owned(),
        None => format!("{band}.{reason}"),
        Some(session) => {
            let change = session.suggestion.changes.join(" ");
            format!(
                "{band}.{reason} {change} Your plan stands if you want it: evenfall today --keep."
            )
        }
    }
}

/// Whether the planned time of the day's last session with one has passed.
fn is_over(plan: &Plan, date: NaiveDate, now: Instant) -> bool {
    let zone = plan.zone_of(crate::pure::civil::Night(date));
    let day = plan.block.day(date);
    let week = day.week.unwrap_or(1);
    let ends = day.sessions.iter().filter_map(|session| {
        let start = zone.resolve(date.and_time(session.at?)).earlier();
        let minutes = i64::from(session.minutes_in_week(week));
        Some(start + chrono::Duration::minutes(minutes))
    });
    ends.max().is_some_and(|end| end <= now)
}

/// A request for what is missing of the day's sessions: the record, or its rating.
fn unrated(plan: &Plan, store: &Store, date: NaiveDate, now: Instant) -> Option<String> {
    let planned = plan.block.day(date).sessions;
    let rows = store.training(date, date).ok()?;
    let ask = |what: &str| Some(format!("{what} To record it: evenfall train."));
    if rows
        .iter()
        .filter_map(|row| row.day.done())
        .any(|done| done.rpe.is_none())
    {
        return ask("How hard was today's session?");
    }
    let missing = rows.is_empty() && !planned.is_empty();
    // A session without a time of day may still be done until the evening.
    let timed = planned.iter().any(|session| session.at.is_some());
    if missing && (!timed || is_over(plan, date, now)) {
        return ask("Today's session is not recorded yet.");
    }
    None
}

/// Records the morning of a night as usual, with the planned times, marked as estimated. A morning that
/// is recorded already stays as it is.
pub fn record_usual_morning(
    plan: &Plan,
    store: &mut Store,
    key: &Key,
    now: Instant,
) -> Result<(), Failure> {
    let zone = plan.zone_of(key.night);
    let times = plan.night(key.night);
    let morning = Morning::as_usual(key.night, zone.name(), times.bedtime.at, times.wake.at);
    store.add_morning_if_none(&morning, now, zone).map(drop)
}
