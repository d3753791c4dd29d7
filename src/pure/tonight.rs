//! Tonight's routine: composed from what was trained, what is sore and what time there is, or given by a
//! coach, and then as the person changed it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, Duration};
use serde::{Deserialize, Serialize};

use super::agenda::{Plan, seconds_left};
use super::civil::{Instant, Night};
use super::night::NightPlan;
use super::region::Region;
use super::routine::breath::{cycles_for, least_breathing_ms, pattern_for, progressed};
use super::routine::library::{Limits, why_left_out};
use super::routine::{Library, Pattern, Routine, Step, Stretch, Timeline, change_s, compose};
use super::settings::PatternChoice;

#[cfg(test)]
mod tests;

/// Shortest and longest wind-down, minutes.
pub const MINUTES: (u32, u32) = (3, 30);

/// Evenings whose stretches are looked at, to go through different ones.
const RECENT_EVENINGS: u8 = 2;

/// What is known besides the person's files.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// How sore a region is, 0 (not at all) to 4, from the last morning.
    pub soreness: BTreeMap<Region, u8>,
    /// Regions that hurt.
    pub painful: BTreeSet<Region>,
    /// Stretches of recent evenings, by night.
    pub evenings: Vec<(Night, Vec<String>)>,
    /// How many evenings were done in all.
    pub evenings_done: u32,
}

/// What the person changed about one evening.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Choice {
    /// Other minutes than usual.
    pub minutes: Option<u32>,
    /// Stretches put in another's place, in the order it was done.
    pub swaps: Vec<(String, String)>,
}

impl Choice {
    /// Whether nothing was changed.
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}

/// Tonight's routine and what it follows from.
#[derive(Clone, Debug, PartialEq)]
pub struct Tonight {
    /// The night's times and notes.
    pub night: NightPlan,
    /// Seconds at hand: as planned or chosen, less where it is late.
    pub seconds: u32,
    /// Less time is left than was planned.
    pub late: bool,
    /// The routine.
    pub routine: Routine,
    /// The same as cues.
    pub timeline: Timeline,
    /// Why these stretches.
    pub why: String,
    /// What is worth saying: about the night, and about what was left out or replaced.
    pub notes: Vec<String>,
    /// Where a coach's evening is followed, its name.
    pub given: Option<String>,
}

/// The routine of a night as it is at an instant; `now` = `None` for its plan, however late it is.
/// Where it is too late for any wind-down ([`seconds_left`] says `None`) the planned one is given.
pub fn of(
    plan: &Plan,
    library: &Library,
    night: Night,
    now: Option<Instant>,
    known: &Known,
    choice: &Choice,
) -> Tonight {
    let mut night_plan = plan.night(night).with_sessions(&session_ends(plan, night));
    let wanted = choice.minutes.map_or(plan.seconds(), |minutes| {
        minutes.clamp(MINUTES.0, MINUTES.1) * 60
    });
    let seconds = now
        .and_then(|now| seconds_left(wanted, now, night_plan.bedtime.at))
        .unwrap_or(wanted);
    night_plan.starts_at =
        super::night::wind_down_start(night_plan.bedtime.at, plan.settings.evening.settle, wanted);
    let mut notes: Vec<String> = night_plan.notes.iter().map(|note| note.text()).collect();
    let limits = Limits {
        avoid: plan.settings.avoid.clone(),
        painful: known.painful.clone(),
        holds_ok: plan.settings.evening.holds,
    };
    let given = plan
        .settings
        .evening
        .routine
        .as_deref()
        .and_then(|id| library.evenings.get(id));
    let (mut routine, why) = match given {
        Some(evening) => {
            let (routine, left_out) = library.routine(evening, &limits);
            notes.extend(left_out);
            (routine, evening.about.clone())
        }
        None => {
            let (pattern, note) = pattern_of(plan, library, night, known, &limits);
            notes.extend(note);
            composed(plan, library, &night_plan, known, &limits, pattern, seconds)
        }
    };
    for (out, by) in &choice.swaps {
        swap(&mut routine, library, &limits, out, by);
    }
    let late = seconds < wanted;
    // Untouched, a composed evening fits by itself, and a coach's is as the coach wrote it.
    if late && given.is_some() || !choice.is_none() {
        fit(&mut routine, seconds);
    }
    Tonight {
        seconds,
        late,
        timeline: Timeline::compile(&routine, library),
        given: given.map(|evening| evening.name.clone()),
        night: night_plan,
        routine,
        why,
        notes,
    }
}

/// Rating and planned end of the day's sessions that have a time of day.
pub fn session_ends(plan: &Plan, night: Night) -> Vec<(f64, Instant)> {
    let date = night.evening();
    let day = plan.block.day(date);
    let week = day.week.unwrap_or(1);
    let zone = plan.zone_of(night);
    day.sessions
        .iter()
        .filter_map(|session| {
            let starts = zone.resolve(date.and_time(session.at?)).earlier();
            let minutes = i64::from(session.minutes_in_week(week));
            Some((session.rpe, starts + Duration::minutes(minutes)))
        })
        .collect()
}

/// Regions the day's sessions train, the greatest emphasis where several name one.
pub fn trained(plan: &Plan, night: Night) -> BTreeMap<Region, u8> {
    let mut trained = BTreeMap::new();
    for session in plan.block.day(night.evening()).sessions {
        for (region, emphasis) in &session.regions {
            let most = trained.entry(*region).or_insert(0);
            *most = (*most).max(*emphasis);
        }
    }
    trained
}

/// The evening's pattern: the one of the settings or the next in turn, lengthened slowly where the
/// person's own rate is known.
fn pattern_of(
    plan: &Plan,
    library: &Library,
    night: Night,
    known: &Known,
    limits: &Limits,
) -> (Pattern, Option<String>) {
    let evening = &plan.settings.evening;
    let (pattern, note) = match &evening.pattern {
        PatternChoice::Always(id) => pattern_for(&limits.avoid, limits.holds_ok, id, library),
        PatternChoice::Rotate => {
            let allowed: Vec<&Pattern> = library
                .patterns
                .values()
                .filter(|pattern| {
                    pattern_for(&limits.avoid, limits.holds_ok, &pattern.id, library)
                        .1
                        .is_none()
                })
                .collect();
            let count = i32::try_from(allowed.len().max(1)).unwrap_or(i32::MAX);
            let turn = night.evening().num_days_from_ce().rem_euclid(count);
            let next = usize::try_from(turn)
                .ok()
                .and_then(|turn| allowed.get(turn));
            let id = next.map_or("", |pattern| pattern.id.as_str());
            pattern_for(&limits.avoid, limits.holds_ok, id, library)
        }
    };
    match evening.breaths_per_min {
        Some(rate) => (progressed(&pattern, Some(rate), known.evenings_done), note),
        None => (pattern, note),
    }
}

fn composed(
    plan: &Plan,
    library: &Library,
    night: &NightPlan,
    known: &Known,
    limits: &Limits,
    pattern: Pattern,
    seconds: u32,
) -> (Routine, String) {
    let recent = known
        .evenings
        .iter()
        .filter_map(|(evening, stretches)| {
            let ago = (night.night.evening() - evening.evening()).num_days();
            let ago = u8::try_from(ago).ok()?;
            (1..=RECENT_EVENINGS)
                .contains(&ago)
                .then_some((ago, stretches))
        })
        .flat_map(|(ago, stretches)| stretches.iter().map(move |id| (id.clone(), ago)));
    let mut nearest = BTreeMap::new();
    for (id, ago) in recent {
        let least = nearest.entry(id).or_insert(ago);
        *least = (*least).min(ago);
    }
    let request = compose::Request {
        trained: trained(plan, night.night),
        soreness: known.soreness.clone(),
        painful: limits.painful.clone(),
        avoid: limits.avoid.clone(),
        seconds,
        recent: nearest,
        gentle: night.gentle,
        bed_only: false,
        props: None,
    };
    let stretches: Vec<Stretch> = library.stretches.values().cloned().collect();
    let composition = compose::compose(&request, &stretches, &pattern);
    (composition.routine, composition.why)
}

/// Stretches that could take the place of one in the routine: permitted, not in it, and for a region
/// that it stretches; the best match first.
pub fn alternatives<'l>(
    routine: &Routine,
    library: &'l Library,
    limits: &Limits,
    stretch: &str,
) -> Vec<&'l Stretch> {
    let Some(own) = library.stretches.get(stretch) else {
        return Vec::new();
    };
    let shared = |other: &Stretch| -> u32 {
        own.regions
            .iter()
            .filter_map(|(region, emphasis)| {
                Some(u32::from(*emphasis) * u32::from(*other.regions.get(region)?))
            })
            .sum()
    };
    let mut found: Vec<&Stretch> = library
        .stretches
        .values()
        .filter(|other| shared(other) > 0)
        .filter(|other| !routine.steps.iter().any(|step| step.stretch == other.id))
        .filter(|other| why_left_out(other, limits).is_none())
        .collect();
    found.sort_by_key(|other| {
        (
            std::cmp::Reverse(shared(other)),
            other.position != own.position,
            &other.id,
        )
    });
    found
}

/// Puts a stretch in another's place, held as long as its own range allows. Changes nothing where the
/// one is not in the routine or the other is not permitted.
fn swap(routine: &mut Routine, library: &Library, limits: &Limits, out: &str, by: &str) {
    let permitted = alternatives(routine, library, limits, out);
    let Some(new) = permitted.into_iter().find(|other| other.id == by) else {
        return;
    };
    let Some(first) = routine.steps.iter().position(|step| step.stretch == out) else {
        return;
    };
    let hold_s = new.clamp_hold(routine.steps[first].hold_s);
    routine.steps.retain(|step| step.stretch != out);
    let sides = new.sides().iter().map(|side| Step {
        stretch: new.id.clone(),
        side: *side,
        hold_s,
        change_s: 0,
    });
    routine.steps.splice(first..first, sides);
    let mut before = None;
    for step in &mut routine.steps {
        let Some(stretch) = library.stretches.get(&step.stretch) else {
            continue;
        };
        step.change_s = change_s(before, stretch.position);
        before = Some(stretch.position);
    }
}

/// Makes the routine fit the time: stretches go from the end until the breathing has its two minutes,
/// and the breaths fill what is left.
fn fit(routine: &mut Routine, seconds: u32) {
    let at_hand = u64::from(seconds) * 1000;
    while !routine.steps.is_empty()
        && routine.stretching_ms() + least_breathing_ms(&routine.pattern) > at_hand
    {
        let last = routine.steps.last().map(|step| step.stretch.clone());
        while routine.steps.last().map(|step| &step.stretch) == last.as_ref() {
            routine.steps.pop();
        }
    }
    routine.cycles = cycles_for(
        &routine.pattern,
        at_hand.saturating_sub(routine.stretching_ms()),
    );
}
