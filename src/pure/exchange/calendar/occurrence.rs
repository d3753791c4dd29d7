//! From events to what happens in a span: rules expanded, changed occurrences put in, others left out.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use chrono::{Duration, NaiveDate, NaiveTime};
use serde_json::{Value, json};

use super::event::{Event, Key, Start, Words};
use super::faults::shown;
use super::reading::Reading;
use super::value::{Length, Written};
use super::{Limits, Span};
use crate::pure::civil::{Instant, Zone};

/// A date or an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// A whole day in the person's zone.
    Date(NaiveDate),
    /// A point in time.
    At(Instant),
}

/// One time something happens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Occurrence {
    /// The event's identity.
    pub uid: Arc<str>,
    /// Its title.
    pub summary: Arc<str>,
    /// What it says beyond the title.
    pub description: Option<Arc<str>>,
    /// Where.
    pub location: Option<Arc<str>>,
    /// When it starts.
    pub start: When,
    /// When it is over; for whole days the first day after it.
    pub end: When,
    /// `CONFIRMED`, `TENTATIVE`, `CANCELLED`, if said.
    pub status: Option<Arc<str>>,
    /// Marked as not taking up time.
    pub transparent: bool,
    /// `PUBLIC`, `PRIVATE`, `CONFIDENTIAL`, if said.
    pub class: Option<Arc<str>>,
    /// Line of the file at which its event begins.
    pub line: usize,
}

impl Occurrence {
    /// Called off: shown on request, no training day.
    pub fn cancelled(&self) -> bool {
        self.status.as_deref() == Some("CANCELLED")
    }

    /// The date it starts on, as seen in a zone.
    pub fn date(&self, zone: &Zone) -> NaiveDate {
        match self.start {
            When::Date(date) => date,
            When::At(at) => zone.local(at).date_naive(),
        }
    }

    /// The fields of machine output: `uid, summary, start, end, status, transparent`. Instants carry the
    /// offset of `zone`, whole days are dates.
    pub fn to_json(&self, zone: &Zone) -> Value {
        let when = |when| match when {
            When::Date(date) => date.to_string(),
            When::At(at) => zone.local(at).to_rfc3339(),
        };
        json!({
            "uid": &*self.uid,
            "summary": &*self.summary,
            "start": when(self.start),
            "end": when(self.end),
            "status": self.status.as_deref(),
            "transparent": self.transparent,
        })
    }

    fn sort_key(&self, span: &Span<'_>) -> (Instant, Arc<str>) {
        let at = match self.start {
            When::Date(date) => midnight(date, span.home),
            When::At(at) => at,
        };
        (at, self.uid.clone())
    }
}

fn midnight(date: NaiveDate, zone: &Zone) -> Instant {
    zone.resolve(date.and_time(NaiveTime::MIN)).earlier()
}

/// Keeps the newest version of each event and says what was dropped.
pub(super) fn newest(events: Vec<Event>, remarks: &mut Vec<String>) -> Vec<Event> {
    let mut kept: Vec<Event> = Vec::with_capacity(events.len());
    let mut known: HashMap<(Arc<str>, Option<Key>), usize> = HashMap::new();
    for event in events {
        let identity = (event.words.uid.clone(), event.replaces);
        let Some(index) = known.get(&identity) else {
            known.insert(identity, kept.len());
            kept.push(event);
            continue;
        };
        let before = &mut kept[*index];
        remarks.push(doubled(before, &event));
        if (event.sequence, event.stamp) > (before.sequence, before.stamp) {
            *before = event;
        }
    }
    kept
}

fn doubled(one: &Event, other: &Event) -> String {
    let lines = (one.place.line, other.place.line);
    let same = one.words == other.words
        && (one.sequence, one.stamp) == (other.sequence, other.stamp)
        && one.start.key() == other.start.key()
        && one.length == other.length;
    let which = if same {
        "it counts once"
    } else if one.sequence != other.sequence {
        "the one with the higher SEQUENCE counts"
    } else {
        "the one with the later DTSTAMP counts"
    };
    format!(
        "{} is there twice, in lines {} and {}: {which}.",
        shown(&one.words.uid),
        lines.0,
        lines.1
    )
}

/// What happens in the span, in order of time.
pub(super) fn occurrences(
    events: &[Event],
    span: &Span<'_>,
    limits: &Limits,
    reading: &mut Reading<'_, '_, '_, '_>,
) -> Vec<Occurrence> {
    let mut changed: HashMap<Arc<str>, BTreeSet<Key>> = HashMap::new();
    for event in events {
        if let Some(key) = event.replaces {
            changed
                .entry(event.words.uid.clone())
                .or_default()
                .insert(key);
        }
    }
    let mut found = Vec::new();
    let mut text = 0_usize;
    for event in events {
        let none = BTreeSet::new();
        let own_changed = match event.replaces {
            None => changed.get(&event.words.uid).unwrap_or(&none),
            Some(_) => &none,
        };
        let before = found.len();
        for (start, length) in starts(event, span, limits, reading) {
            if !own_changed.contains(&start.key()) {
                found.extend(placed(&event.words, event.place.line, &start, length, span));
            }
        }
        text += (found.len() - before) * event.words.summary.len();
        if found.len() > limits.total || text > limits.file_octets {
            let what =
                "the file gives more occurrences in the span asked for than the limit allows";
            reading
                .faults
                .say(event.place, what, "Ask for a shorter span");
            break;
        }
    }
    found.sort_by_cached_key(|occurrence| occurrence.sort_key(span));
    found
}

/// The starts of an event with their lengths, each once, in order; those far outside the span left out.
fn starts(
    event: &Event,
    span: &Span<'_>,
    limits: &Limits,
    reading: &mut Reading<'_, '_, '_, '_>,
) -> Vec<(Start, Length)> {
    let mut starts: BTreeMap<Key, (Start, Length)> = BTreeMap::new();
    let mut add = |start: Start, length: Length| {
        starts.entry(start.key()).or_insert((start, length));
    };
    if event.rules.is_empty() {
        add(event.start.clone(), event.length);
    }
    for (start, length) in &event.more {
        add(start.clone(), length.unwrap_or(event.length));
    }
    for wall in ruled(event, &event.rules, "RRULE", span, limits, reading) {
        add(wall, event.length);
    }
    for gone in ruled(
        event,
        &event.left_out_rules,
        "EXRULE",
        span,
        limits,
        reading,
    ) {
        starts.remove(&gone.key());
    }
    for gone in &event.left_out {
        match (gone, &event.start) {
            // A date takes out everything that starts on it.
            (Start::Date(date), Start::At { .. }) => {
                starts.retain(|_, (start, _)| start.wall().date() != *date);
            }
            _ => {
                starts.remove(&gone.key());
            }
        }
    }
    starts.into_values().collect()
}

fn ruled(
    event: &Event,
    rules: &[(super::rule::Rule, super::faults::Place)],
    property: &str,
    span: &Span<'_>,
    limits: &Limits,
    reading: &mut Reading<'_, '_, '_, '_>,
) -> Vec<Start> {
    // Two days more on both sides: no two wall clocks are further apart, and a start before the span may
    // end within it.
    let length = Duration::days(event.length.days + 2) + event.length.exact;
    let midnight = |date: NaiveDate| date.and_time(NaiveTime::MIN);
    let shown_from = midnight(span.from).checked_sub_signed(length);
    let end = midnight(span.until).checked_add_signed(Duration::days(2));
    let (Some(shown_from), Some(end)) = (shown_from, end) else {
        return Vec::new();
    };
    let mut starts = Vec::new();
    for (rule, place) in rules {
        let first = event.start.wall();
        match rule.walls(first, shown_from, end, limits, reading.budget) {
            Ok(walls) => starts.extend(
                walls
                    .into_iter()
                    .map(|wall| event.start.at(wall))
                    .filter(|start| not_after(start, rule.until)),
            ),
            Err(refused) => reading.refused(refused, property, *place, &event.called()),
        }
    }
    starts
}

/// Whether a start is not after the end of its rule. An end in UTC is compared as an instant, one without
/// a zone on the wall, and a date takes in its whole day.
fn not_after(start: &Start, until: Option<Written>) -> bool {
    match (until, start) {
        (None, _) => true,
        (Some(Written::Date(end)), start) => start.wall().date() <= end,
        (Some(Written::Local(end)), Start::At { wall, .. }) => *wall <= end,
        (Some(Written::Utc(end)), Start::At { wall, zone }) => {
            zone.resolve(*wall).earlier().naive_utc() <= end
        }
        (Some(Written::Local(end) | Written::Utc(end)), Start::Date(date)) => *date <= end.date(),
    }
}

/// The occurrence at a start, if any of it lies within the span.
fn placed(
    words: &Words,
    line: usize,
    start: &Start,
    length: Length,
    span: &Span<'_>,
) -> Option<Occurrence> {
    let (start, end, within) = match start {
        Start::Date(date) => {
            let end = date.checked_add_signed(Duration::days(length.days))?;
            let within = *date < span.until && end > span.from;
            (When::Date(*date), When::Date(end), within)
        }
        Start::At { wall, zone } => {
            let from = zone.resolve(*wall).earlier();
            // Days move the wall clock, the rest is elapsed time (RFC 5545, section 3.3.6).
            let days = match length.days {
                0 => from,
                days => {
                    let wall = wall.checked_add_signed(Duration::days(days))?;
                    zone.resolve(wall).earlier()
                }
            };
            let to = days.checked_add_signed(length.exact)?;
            let (first, last) = (
                midnight(span.from, span.home),
                midnight(span.until, span.home),
            );
            let within = from < last && (to > first || from >= first);
            (When::At(from), When::At(to), within)
        }
    };
    within.then(|| Occurrence {
        uid: words.uid.clone(),
        summary: words.summary.clone(),
        description: words.description.clone(),
        location: words.location.clone(),
        start,
        end,
        status: words.status.clone(),
        transparent: words.transparent,
        class: words.class.clone(),
        line,
    })
}
