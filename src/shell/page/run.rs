//! An evening that is being followed in a browser: what is kept of it while it goes on, so that it can be
//! taken up after a reload or a restart of the service, and how it is recorded, once.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Answer, Event, Key, Kind};
use crate::pure::routine::{Pattern, Routine, Side, Step};
use crate::shell::failure::Failure;
use crate::shell::store::{EveningRow, Store};

#[cfg(test)]
mod tests;

/// The fact that holds the open run.
const FACT: &str = "page_run";
/// A run not heard of for so long is over: its tab was closed.
const FORGOTTEN_AFTER_H: i64 = 2;

/// A routine as it is kept: the library may change while it is played.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptRoutine {
    night: NaiveDate,
    id: String,
    steps: Vec<KeptStep>,
    pattern: KeptPattern,
    cycles: u32,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct KeptStep {
    stretch: String,
    side: String,
    hold_s: u32,
    change_s: u32,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct KeptPattern {
    id: String,
    name: String,
    about: String,
    inhale_ms: u32,
    second_inhale_ms: u32,
    hold_ms: u32,
    exhale_ms: u32,
    hold_out_ms: u32,
}

impl KeptRoutine {
    /// Keeps a routine of a night.
    pub fn of(night: Night, routine: &Routine) -> Self {
        let pattern = &routine.pattern;
        Self {
            night: night.evening(),
            id: routine.id.clone(),
            steps: routine
                .steps
                .iter()
                .map(|step| KeptStep {
                    stretch: step.stretch.clone(),
                    side: step.side.id().to_owned(),
                    hold_s: step.hold_s,
                    change_s: step.change_s,
                })
                .collect(),
            pattern: KeptPattern {
                id: pattern.id.clone(),
                name: pattern.name.clone(),
                about: pattern.about.clone(),
                inhale_ms: pattern.inhale_ms,
                second_inhale_ms: pattern.second_inhale_ms,
                hold_ms: pattern.hold_ms,
                exhale_ms: pattern.exhale_ms,
                hold_out_ms: pattern.hold_out_ms,
            },
            cycles: routine.cycles,
        }
    }

    /// The night it belongs to.
    pub fn night(&self) -> Night {
        Night(self.night)
    }

    /// The routine again.
    pub fn routine(&self) -> Routine {
        let side = |id: &str| {
            let known = Side::ALL.iter().find(|(word, _)| *word == id);
            known.map_or(Side::Both, |(_, side)| *side)
        };
        let pattern = &self.pattern;
        Routine {
            id: self.id.clone(),
            steps: self
                .steps
                .iter()
                .map(|step| Step {
                    stretch: step.stretch.clone(),
                    side: side(&step.side),
                    hold_s: step.hold_s,
                    change_s: step.change_s,
                })
                .collect(),
            pattern: Pattern {
                id: pattern.id.clone(),
                name: pattern.name.clone(),
                about: pattern.about.clone(),
                inhale_ms: pattern.inhale_ms,
                second_inhale_ms: pattern.second_inhale_ms,
                hold_ms: pattern.hold_ms,
                exhale_ms: pattern.exhale_ms,
                hold_out_ms: pattern.hold_out_ms,
            },
            cycles: self.cycles,
        }
    }
}

/// An evening in progress.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Run {
    /// Chosen by the page that began it.
    pub id: String,
    /// The window that plays it.
    pub holder: String,
    /// When it was begun, UTC milliseconds.
    pub started_ms: i64,
    /// When it was last heard of, UTC milliseconds.
    pub heard_ms: i64,
    /// Where it was then, milliseconds of the routine.
    pub position_ms: u64,
    /// What was played by then, as spans of the routine.
    pub spans: Vec<(u64, u64)>,
    /// What is played.
    pub routine: KeptRoutine,
}

/// Where a window is with a run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The run.
    pub id: String,
    /// The window.
    pub holder: String,
    /// The window takes it over from another one.
    pub take: bool,
    /// Position, milliseconds.
    pub position_ms: u64,
    /// Spans played.
    pub spans: Vec<(u64, u64)>,
}

/// What became of a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Noted {
    /// Kept.
    Kept,
    /// No such run is open.
    Unknown,
    /// Another window took it over.
    Elsewhere,
}

impl Run {
    /// Seconds of the routine that were played; what overlaps counts once.
    pub fn played_s(&self) -> u32 {
        let total = self.routine.routine().total_ms();
        let mut spans = self.spans.clone();
        spans.sort_unstable();
        let (mut sum, mut reached) = (0, 0);
        for (from, to) in spans {
            let (from, to) = (from.max(reached), to.min(total));
            if from < to {
                sum += to - from;
                reached = to;
            }
        }
        u32::try_from(sum / 1000).unwrap_or(u32::MAX)
    }

    fn row(&self) -> EveningRow {
        let routine = self.routine.routine();
        let stretches = routine.stretch_ids();
        EveningRow {
            night: self.routine.night(),
            started: DateTime::<Utc>::from_timestamp_millis(self.started_ms).unwrap_or_default(),
            planned_s: u32::try_from(routine.total_ms() / 1000).unwrap_or(u32::MAX),
            done_s: self.played_s(),
            routine: routine.id,
            pattern: routine.pattern.id,
            stretches,
        }
    }
}

/// The run that is open, if any. One that cannot be read is as good as none.
pub fn open(store: &Store) -> Result<Option<Run>, Failure> {
    let text = store.fact(FACT)?;
    Ok(text.and_then(|text| serde_json::from_str(&text).ok()))
}

/// Opens a run, and writes that its evening was started. One that was open before is recorded as far as
/// it went.
pub fn begin(store: &mut Store, run: &Run, now: Instant, zone: &Zone) -> Result<(), Failure> {
    if store.fact(&recorded_fact(&run.id))?.is_some() {
        return Ok(());
    }
    match open(store)? {
        Some(other) if other.id == run.id => return Ok(()),
        Some(other) => record(store, &other, now, zone)?,
        None => {}
    }
    keep(store, run, now)?;
    let key = Key::once(Kind::WindDown, run.routine.night());
    let started = Event::Answered {
        answer: Answer::Started,
    };
    store.add_event(&key, now, zone, &started)
}

/// Keeps where a run is.
pub fn note(store: &mut Store, place: Place, now: Instant) -> Result<Noted, Failure> {
    let Some(mut run) = open(store)?.filter(|run| run.id == place.id) else {
        let over = store.fact(&recorded_fact(&place.id))?.is_some();
        return Ok(if over {
            Noted::Elsewhere
        } else {
            Noted::Unknown
        });
    };
    if place.take {
        run.holder = place.holder;
    } else if run.holder != place.holder {
        return Ok(Noted::Elsewhere);
    }
    run.position_ms = place.position_ms;
    run.spans = place.spans;
    run.heard_ms = now.timestamp_millis();
    keep(store, &run, now)?;
    Ok(Noted::Kept)
}

/// Records a run as finished or ended by the person; `None` if no such run is known.
pub fn done(
    store: &mut Store,
    place: Place,
    now: Instant,
    zone: &Zone,
) -> Result<Option<EveningRow>, Failure> {
    let run = open(store)?.filter(|run| run.id == place.id);
    let Some(mut run) = run else {
        return Ok(None);
    };
    run.spans = place.spans;
    record(store, &run, now, zone)?;
    Ok(Some(run.row()))
}

/// Whether a run was recorded already.
pub fn is_recorded(store: &Store, id: &str) -> Result<bool, Failure> {
    Ok(store.fact(&recorded_fact(id))?.is_some())
}

/// Records a run that nobody has been heard of for hours, as far as it went. True if there was one.
pub fn sweep(store: &mut Store, now: Instant, zone: &Zone) -> Result<bool, Failure> {
    let Some(run) = open(store)? else {
        return Ok(false);
    };
    let heard = DateTime::<Utc>::from_timestamp_millis(run.heard_ms).unwrap_or_default();
    if now - heard < Duration::hours(FORGOTTEN_AFTER_H) {
        return Ok(false);
    }
    record(store, &run, now, zone)?;
    Ok(true)
}

fn record(store: &mut Store, run: &Run, now: Instant, zone: &Zone) -> Result<(), Failure> {
    let row = run.row();
    if row.done_s > 0 {
        store.add_evening_once(&run.id, &row, now, zone)?;
    }
    store.set_fact(FACT, "", now)
}

fn keep(store: &mut Store, run: &Run, now: Instant) -> Result<(), Failure> {
    let text = serde_json::to_string(run).unwrap_or_default();
    store.set_fact(FACT, &text, now)
}

fn recorded_fact(id: &str) -> String {
    format!("run_recorded {id}")
}
