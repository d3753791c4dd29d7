//! The whole session: as planned, and as suggested.

use std::collections::BTreeSet;

use super::part::{adjusted, effort_cap, reps_in_reserve, scaled_count, words_of};
use crate::pure::block::{Session, Work};
use crate::pure::load::session_load;
use crate::pure::readiness::Band;
use crate::pure::region::Region;

/// The longest walk or mobility suggested, minutes.
const LONGEST_RECOVERY: u32 = 30;

/// A session of one day: what to do and how hard.
#[derive(Clone, Debug, PartialEq)]
pub struct Dose {
    /// The session's id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// RPE of the whole session at most, 0 to 10.
    pub rpe: f64,
    /// Minutes with rests.
    pub minutes: u32,
    /// Parts in order.
    pub parts: Vec<DosedPart>,
    /// Regions that the session loads.
    pub regions: BTreeSet<Region>,
}

/// One part of a [`Dose`].
#[derive(Clone, Debug, PartialEq)]
pub struct DosedPart {
    /// Its title.
    pub title: String,
    /// What is done.
    pub work: Work,
    /// RPE at most, 0 to 10.
    pub rpe_cap: f64,
    /// About how many repetitions to leave at the end of a set; only for sets, and only from RPE 5 on.
    pub reps_in_reserve: Option<f64>,
    /// Regions it loads.
    pub regions: BTreeSet<Region>,
}

/// What is suggested for a planned session.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// The session; `None` = no training is suggested.
    pub session: Option<Dose>,
    /// Nothing differs from the plan.
    pub as_planned: bool,
    /// What differs from the plan, in sentences; empty if nothing does.
    pub changes: Vec<String>,
}

impl Dose {
    /// The session as planned in a week of its phase, counted from 1.
    pub fn planned(session: &Session, week: u32) -> Self {
        let all: BTreeSet<Region> = session.regions.keys().copied().collect();
        let parts: Vec<DosedPart> = session
            .parts_in_week(week)
            .into_iter()
            .map(|part| DosedPart {
                title: part.title.to_owned(),
                work: part.work.clone(),
                rpe_cap: session.rpe,
                reps_in_reserve: reserve_of(part.work, session.rpe),
                regions: part
                    .regions
                    .map_or_else(|| all.clone(), |own| own.iter().copied().collect()),
            })
            .collect();
        let regions = all
            .into_iter()
            .chain(parts.iter().flat_map(|part| part.regions.iter().copied()))
            .collect();
        Self {
            id: session.id.clone(),
            title: session.title.clone(),
            rpe: session.rpe,
            minutes: session.minutes_in_week(week),
            parts,
            regions,
        }
    }

    /// The load to expect, RPE x minutes, AU.
    pub fn load(&self) -> f64 {
        session_load(self.rpe, f64::from(self.minutes))
    }

    /// Whether it loads any of these regions.
    pub fn loads_any(&self, regions: &BTreeSet<Region>) -> bool {
        !self.regions.is_disjoint(regions)
    }
}

fn reserve_of(work: &Work, rpe: f64) -> Option<f64> {
    matches!(work, Work::Sets { .. })
        .then(|| reps_in_reserve(rpe))
        .flatten()
}

/// The session as suggested: cut by the band, without the parts that load a region to leave out. It is
/// never above the plan in effort, minutes or load, and a more severe band never suggests more.
pub fn suggest(planned: &Dose, band: Band, leave_out: &BTreeSet<Region>) -> Suggestion {
    if band == Band::StopAndSeekHelp {
        return Suggestion {
            session: None,
            as_planned: false,
            changes: vec!["No training is suggested until the warning sign is closed.".to_owned()],
        };
    }
    let cut = cut(planned, band, leave_out);
    let nothing_left = if planned.parts.is_empty() {
        planned.loads_any(leave_out)
    } else {
        cut.parts.is_empty()
    };
    let (session, changes) = if band == Band::RecoverOnly || nothing_left {
        let walk = recovery(planned, leave_out);
        let change = recovery_sentence(&walk, band);
        (walk, vec![change])
    } else {
        let changes = changes(planned, &cut, leave_out);
        (cut, changes)
    };
    Suggestion {
        as_planned: changes.is_empty(),
        session: Some(session),
        changes,
    }
}

/// The parts that stay, each cut by the band.
fn cut(planned: &Dose, band: Band, leave_out: &BTreeSet<Region>) -> Dose {
    let rpe = effort_cap(planned.rpe, band);
    let parts: Vec<DosedPart> = planned
        .parts
        .iter()
        .filter(|part| part.regions.is_disjoint(leave_out))
        .filter_map(|part| {
            let work = adjusted(&part.work, band)?;
            Some(DosedPart {
                rpe_cap: rpe,
                reps_in_reserve: reserve_of(&work, rpe),
                work,
                ..part.clone()
            })
        })
        .collect();
    Dose {
        rpe,
        minutes: minutes_left(planned, &parts, band),
        regions: if planned.parts.is_empty() {
            planned.regions.clone()
        } else {
            parts
                .iter()
                .flat_map(|part| part.regions.iter().copied())
                .collect()
        },
        parts,
        id: planned.id.clone(),
        title: planned.title.clone(),
    }
}

/// Minutes after the cut. What the coach's minutes hold beyond the parts, such as a warm-up, stays; where
/// they hold less than the parts they shrink in proportion; without parts they follow the band.
fn minutes_left(planned: &Dose, parts: &[DosedPart], band: Band) -> u32 {
    let seconds =
        |parts: &[DosedPart]| -> u32 { parts.iter().map(|part| part.work.seconds()).sum() };
    let (before, after) = (seconds(&planned.parts), seconds(parts));
    let all = planned.minutes * 60;
    if before == 0 {
        return scaled_count(planned.minutes, band);
    }
    let left = if planned.minutes == before.div_ceil(60) {
        after
    } else if all > before {
        all - before + after
    } else {
        let share = f64::from(all) * f64::from(after) / f64::from(before);
        share.ceil() as u32
    };
    left.div_ceil(60).min(planned.minutes)
}

/// A walk or gentle mobility instead: 10 to 30 minutes, fewer where the plan, or an eased session, would
/// have been less than that.
fn recovery(planned: &Dose, leave_out: &BTreeSet<Region>) -> Dose {
    let rpe = effort_cap(planned.rpe, Band::RecoverOnly);
    let eased = cut(planned, Band::Ease, leave_out);
    let mut minutes = planned.minutes.min(LONGEST_RECOVERY);
    if rpe > 0.0 && (planned.parts.is_empty() || !eased.parts.is_empty()) {
        minutes = minutes.min((eased.load() / rpe).floor() as u32);
    }
    Dose {
        id: planned.id.clone(),
        title: "Walk or gentle mobility".to_owned(),
        rpe,
        minutes,
        parts: vec![DosedPart {
            title: "Walk or gentle mobility".to_owned(),
            work: Work::Steady { minutes },
            rpe_cap: rpe,
            reps_in_reserve: None,
            regions: BTreeSet::new(),
        }],
        regions: BTreeSet::new(),
    }
}

fn recovery_sentence(walk: &Dose, band: Band) -> String {
    let instead = if band == Band::RecoverOnly {
        "Instead of the session"
    } else {
        "All of the session loads what should rest; instead"
    };
    format!(
        "{instead} a walk or gentle mobility, up to {} minutes, as far as it does not hurt.",
        walk.minutes
    )
}

/// What differs from the plan, in sentences.
fn changes(planned: &Dose, suggested: &Dose, leave_out: &BTreeSet<Region>) -> Vec<String> {
    let mut said = Vec::new();
    let (kept, out): (Vec<&DosedPart>, Vec<&DosedPart>) = planned
        .parts
        .iter()
        .partition(|part| part.regions.is_disjoint(leave_out));
    for part in &out {
        let regions: Vec<&str> = part
            .regions
            .intersection(leave_out)
            .map(|region| region.words())
            .collect();
        said.push(format!(
            "Leave out {}: it loads what should rest ({}).",
            part.title,
            regions.join(", ")
        ));
    }
    for (before, after) in kept.iter().zip(&suggested.parts) {
        if before.work != after.work {
            said.push(format!(
                "{}: {} instead of {}.",
                after.title,
                words_of(&after.work),
                words_of(&before.work)
            ));
        }
    }
    if planned.parts.is_empty() && suggested.minutes < planned.minutes {
        said.push(format!(
            "{} minutes instead of {}.",
            suggested.minutes, planned.minutes
        ));
    }
    if suggested.rpe < planned.rpe {
        said.push(format!(
            "Effort up to {} of 10 instead of {}.",
            suggested.rpe, planned.rpe
        ));
        if let Some(reserve) = suggested.parts.iter().find_map(|part| part.reps_in_reserve) {
            said.push(format!(
                "End each set with about {reserve} repetitions in reserve."
            ));
        }
    }
    said
}

#[cfg(test)]
mod tests;
