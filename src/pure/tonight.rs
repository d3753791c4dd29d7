//! Tonight: the night's times, what today trained, and the routine that follows from it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Duration;
use serde::{Deserialize, Serialize};

use super::agenda::{Plan, seconds_left};
use super::avoid::Avoid;
use super::block::DayPlan;
use super::civil::{Instant, Night};
use super::compare::Has;
use super::night::NightPlan;
use super::phrase::listed;
use super::region::Region;
use super::routine::breath::{cycles_for, pattern_for, progressed};
use super::routine::change;
use super::routine::compose::{Composition, Request, compose};
use super::routine::library::{Library, Limits};
use super::routine::{Pattern, Routine, Stretch};
use super::settings::PatternChoice;

/// What the records say that matters for an evening.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// How sore a region is, 0 to 4, from the last morning.
    pub soreness: BTreeMap<Region, u8>,
    /// Regions in pain: nothing that stretches or loads them.
    pub painful: BTreeSet<Region>,
    /// Conditions that follow from what was reported (a painful knee, an ankle).
    pub avoid: BTreeSet<Avoid>,
    /// Stretches of the last two evenings, by id, with how many evenings ago (1 or 2).
    pub recent: BTreeMap<String, u8>,
    /// Evenings that were followed at least in part, in all.
    pub evenings_done: u32,
    /// Sessions recorded today: rating (0 to 10) and end.
    pub sessions_done: Vec<(f64, Instant)>,
    /// What a running comparison drew for this night, or the person chose for this once.
    pub chosen: Chosen,
}

/// What stands in for the settings on one night.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Chosen {
    /// A written evening by id.
    pub evening: Option<String>,
    /// A pattern by id.
    pub pattern: Option<String>,
    /// Length in minutes.
    pub minutes: Option<u32>,
    /// Stretches not wanted tonight, by id.
    pub without: BTreeSet<String>,
    /// Only what can be done in bed.
    pub in_bed: bool,
    /// Stretches put in another's place (out, in), in the order it was done.
    pub swaps: Vec<(String, String)>,
}

/// A planned evening.
#[derive(Clone, Debug, PartialEq)]
pub struct Tonight<'p> {
    /// The night's times.
    pub night: NightPlan,
    /// What the day was in the block.
    pub day: DayPlan<'p>,
    /// The routine, and why it is this one.
    pub routine: Routine,
    /// Why these stretches, one sentence; empty for a written evening.
    pub why: String,
    /// What is worth saying.
    pub notes: Vec<String>,
}

impl Plan {
    /// The night that "tonight" means at an instant: from the planned waking on it is the coming one.
    pub fn tonight(&self, now: Instant) -> Night {
        let night = Night::at(now, &self.zone);
        if now < self.night(night).wake.at {
            night
        } else {
            night.next()
        }
    }
}

/// Said on the evening of a rest day where wind-downs are for training days.
const NO_PROMPT: &str = "No prompt comes tonight, because the settings ask for wind-downs on training days only; evenfall follow plays this one all the same.";

/// What composes an evening: [`compose`] itself, or one that keeps what was composed.
pub type Composer<'c> = dyn FnMut(&Request, &[Stretch], &Pattern) -> Composition + 'c;

/// Plans an evening. Found late, it is as long as still fits.
pub fn tonight<'p>(
    plan: &'p Plan,
    library: &Library,
    night: Night,
    now: Instant,
    known: &Known,
) -> Tonight<'p> {
    tonight_by(&mut compose, plan, library, night, now, known)
}

/// As [`tonight`], composed by another composer.
pub fn tonight_by<'p>(
    composer: &mut Composer<'_>,
    plan: &'p Plan,
    library: &Library,
    night: Night,
    now: Instant,
    known: &Known,
) -> Tonight<'p> {
    let day = plan.block.day(night.evening());
    let mut sessions = known.sessions_done.clone();
    if sessions.is_empty() {
        sessions = planned_sessions(plan, &day, night);
    }
    let times = plan.night(night).with_sessions(&sessions);
    let mut notes: Vec<String> = times.notes.iter().map(super::night::Note::text).collect();
    let drawn = plan.drawn.get(&night).map(|drawn| &drawn.has);
    let drawn = drawn.filter(|_| known.chosen.leaves_open());
    notes.extend(drawn.map(|has| drawn_note(library, has)));
    if drawn.is_none() && !plan.has_evening(night) {
        notes.push(NO_PROMPT.to_owned());
    }
    let known = &match drawn {
        Some(has) => known.with_drawn(has),
        None => known.clone(),
    };
    let limits = limits(plan, known);
    notes.extend(spared_note(known));
    let seconds = seconds_at(plan, known, &times, now, &mut notes);
    let written = known
        .chosen
        .evening
        .as_ref()
        // A written evening may have a person stand up; in bed it is composed.
        .or(plan
            .settings
            .evening
            .routine
            .as_ref()
            .filter(|_| !known.chosen.in_bed));
    let written = written.and_then(|id| library.evenings.get(id));
    let (mut routine, why) = match written {
        _ if drawn == Some(&Has::Nothing) => {
            let pattern = tonights_pattern(plan, library, night, known, &limits, &mut notes);
            (nothing(&pattern), String::new())
        }
        Some(evening) if now <= times.starts_at + Duration::minutes(1) => {
            let (mut routine, said) = library.routine(evening, &limits);
            notes.extend(said);
            if known.chosen.pattern.is_some() {
                let breathing = u64::from(routine.cycles) * u64::from(routine.pattern.cycle_ms());
                routine.pattern =
                    tonights_pattern(plan, library, night, known, &limits, &mut notes);
                routine.cycles = cycles_for(&routine.pattern, breathing);
            }
            (routine, String::new())
        }
        _ => {
            let pattern = tonights_pattern(plan, library, night, known, &limits, &mut notes);
            let request = request(&day, &times, &limits, seconds, known);
            composed(composer, &request, library, known, &pattern)
        }
    };
    for (out, by) in &known.chosen.swaps {
        change::swap(&mut routine, library, &limits, out, by);
    }
    if !known.chosen.swaps.is_empty() && drawn != Some(&Has::Nothing) {
        change::fit(&mut routine, seconds);
    }
    Tonight {
        night: times,
        day,
        routine,
        why,
        notes,
    }
}

impl Chosen {
    /// Whether the person left evening and pattern to the program.
    fn leaves_open(&self) -> bool {
        self.evening.is_none() && self.pattern.is_none()
    }
}

impl Known {
    /// The same with what a comparison drew for the night.
    fn with_drawn(&self, has: &Has) -> Self {
        let mut known = self.clone();
        match has {
            Has::Nothing => {}
            Has::Evening(id) => known.chosen.evening = Some(id.clone()),
            Has::Pattern(id) => known.chosen.pattern = Some(id.clone()),
        }
        known
    }
}

fn drawn_note(library: &Library, has: &Has) -> String {
    let named = |name: Option<&String>, id: &str| name.map_or(id, String::as_str).to_owned();
    match has {
        Has::Nothing => {
            "No wind-down tonight: that was drawn by lot for your comparison.".to_owned()
        }
        Has::Evening(id) => format!(
            "{} was drawn by lot for your comparison.",
            named(library.evenings.get(id).map(|evening| &evening.name), id)
        ),
        Has::Pattern(id) => format!(
            "The breathing {} was drawn by lot for your comparison.",
            named(library.patterns.get(id).map(|pattern| &pattern.name), id)
        ),
    }
}

/// An evening without wind-down.
fn nothing(pattern: &Pattern) -> Routine {
    Routine {
        id: Has::Nothing.id().to_owned(),
        steps: Vec::new(),
        pattern: pattern.clone(),
        cycles: 0,
    }
}

/// What a person leaves out tonight: the settings and what was reported.
pub fn limits(plan: &Plan, known: &Known) -> Limits {
    Limits {
        avoid: plan
            .settings
            .avoid
            .iter()
            .chain(&known.avoid)
            .copied()
            .collect(),
        painful: known.painful.clone(),
        holds_ok: plan.settings.evening.holds,
    }
}

/// What the evening leaves out because of what was reported; the settings' own list needs no saying.
fn spared_note(known: &Known) -> Option<String> {
    let painful: Vec<&str> = known.painful.iter().map(|region| region.words()).collect();
    let suited_badly: Vec<&str> = known
        .avoid
        .iter()
        .filter(|avoid| !avoid.rules_out_holds())
        .map(|avoid| avoid.words())
        .collect();
    let left_out = match (painful.is_empty(), suited_badly.is_empty()) {
        (true, true) => return None,
        (false, true) => format!("stretches for {}", listed(&painful)),
        (true, false) => format!("stretches that do not suit {}", listed(&suited_badly)),
        (false, false) => format!(
            "stretches for {}, and those that do not suit {}",
            listed(&painful),
            listed(&suited_badly)
        ),
    };
    Some(format!(
        "Left out because of what you recorded: {left_out}."
    ))
}

fn seconds_at(
    plan: &Plan,
    known: &Known,
    times: &NightPlan,
    now: Instant,
    notes: &mut Vec<String>,
) -> u32 {
    let planned = known
        .chosen
        .minutes
        .map_or_else(|| plan.seconds_on(times.night), |minutes| minutes * 60);
    if now <= times.starts_at {
        return planned;
    }
    match seconds_left(planned, now, times.bedtime.at) {
        Some(left) if left < planned => {
            notes.push(format!(
                "It is late, so tonight's routine is {} minutes.",
                left / 60
            ));
            left
        }
        Some(left) => left,
        // Past the last moment nothing is prompted; somebody who asks all the same gets the shortest.
        None => {
            notes.push("It is long past the planned start, so tonight's routine is 3 minutes of breathing.".to_owned());
            180
        }
    }
}

fn planned_sessions(plan: &Plan, day: &DayPlan<'_>, night: Night) -> Vec<(f64, Instant)> {
    let week = day.week.unwrap_or(1);
    let zone = plan.zone_of(night);
    let ends = day.sessions.iter().filter_map(|session| {
        let start = zone
            .resolve(night.evening().and_time(session.at?))
            .earlier();
        Some((
            session.rpe,
            start + Duration::minutes(i64::from(session.minutes_in_week(week))),
        ))
    });
    ends.collect()
}

fn tonights_pattern(
    plan: &Plan,
    library: &Library,
    night: Night,
    known: &Known,
    limits: &Limits,
    notes: &mut Vec<String>,
) -> Pattern {
    let wanted = match (&known.chosen.pattern, &plan.settings.evening.pattern) {
        (Some(id), _) | (None, PatternChoice::Always(id)) => id.clone(),
        (None, PatternChoice::Rotate) => rotated(library, night, limits),
    };
    let (pattern, said) = pattern_for(&limits.avoid, limits.holds_ok, &wanted, library);
    notes.extend(said);
    match plan.settings.evening.breaths_per_min {
        Some(rate) => {
            let tonight = progressed(&pattern, Some(rate), known.evenings_done);
            if tonight != pattern {
                notes.push(
                    "The out-breath grows by half a second an evening, from your own pace."
                        .to_owned(),
                );
            }
            tonight
        }
        None => pattern,
    }
}

/// A different pattern each night, in the order of the library; those with holds only where allowed.
fn rotated(library: &Library, night: Night, limits: &Limits) -> String {
    use chrono::Datelike;
    let allowed = |pattern: &&Pattern| {
        !pattern.has_holds()
            || (limits.holds_ok && !limits.avoid.iter().any(|avoid| avoid.rules_out_holds()))
    };
    let patterns: Vec<&Pattern> = library.patterns.values().filter(allowed).collect();
    let days = usize::try_from(night.evening().num_days_from_ce()).unwrap_or(0);
    patterns
        .get(days % patterns.len().max(1))
        .map(|pattern| pattern.id.clone())
        .unwrap_or_default()
}

fn request(
    day: &DayPlan<'_>,
    times: &NightPlan,
    limits: &Limits,
    seconds: u32,
    known: &Known,
) -> Request {
    Request {
        trained: trained(day),
        soreness: known.soreness.clone(),
        painful: limits.painful.clone(),
        avoid: limits.avoid.clone(),
        seconds,
        recent: known.recent.clone(),
        gentle: times.gentle,
        bed_only: known.chosen.in_bed,
        props: None,
    }
}

fn composed(
    composer: &mut Composer<'_>,
    request: &Request,
    library: &Library,
    known: &Known,
    pattern: &Pattern,
) -> (Routine, String) {
    let stretches: Vec<Stretch> = library
        .stretches
        .values()
        .filter(|stretch| !known.chosen.without.contains(&stretch.id))
        .cloned()
        .collect();
    let composition = composer(request, &stretches, pattern);
    (composition.routine, composition.why)
}

/// Regions the day's sessions train, each with its greatest emphasis.
pub fn trained(day: &DayPlan<'_>) -> BTreeMap<Region, u8> {
    let mut trained: BTreeMap<Region, u8> = BTreeMap::new();
    for (region, emphasis) in day.sessions.iter().flat_map(|session| &session.regions) {
        let entry = trained.entry(*region).or_default();
        *entry = (*entry).max(*emphasis);
    }
    trained
}

/// A pattern alone for some minutes, as a routine.
pub fn breathing_only(pattern: &Pattern, seconds: u32) -> Routine {
    Routine {
        id: pattern.id.clone(),
        steps: Vec::new(),
        pattern: pattern.clone(),
        cycles: cycles_for(pattern, u64::from(seconds) * 1000),
    }
}
