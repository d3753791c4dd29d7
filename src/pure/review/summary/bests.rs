//! The best of each part in the phase, against the phase before.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Records, Span};
use crate::pure::block::Block;

/// The best of a part in a phase, and in the phase before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhaseBest {
    /// The session's id.
    pub session: Option<String>,
    /// The part.
    pub part: String,
    /// Name of the phase.
    pub phase: String,
    /// The most in all rounds of one session together.
    pub total: u32,
    /// The day of that session, the first one of several.
    pub date: NaiveDate,
    /// The same in the phase before, if there was one with this part.
    pub before: Option<Earlier>,
}

/// The best of an earlier phase.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Earlier {
    /// Name of the phase.
    pub phase: String,
    /// The most in all rounds of one session together.
    pub total: u32,
    /// The day of that session.
    pub date: NaiveDate,
}

type Part = (Option<String>, String);

/// The bests of the phase that the span ends in.
pub(super) fn against_phase_before(records: &Records<'_>, span: Span) -> Vec<PhaseBest> {
    let block = &records.plan.block;
    let best = best_by_phase(records, span.to);
    let Some(phase) = phase_at(block, span.to).or_else(|| best.keys().last().copied()) else {
        return Vec::new();
    };
    let name = |index: usize| block.phases[index].name.clone();
    let Some(here) = best.get(&phase) else {
        return Vec::new();
    };
    here.iter()
        .map(|(part, (total, date))| {
            let before = best
                .range(..phase)
                .rev()
                .find_map(|(index, parts)| Some((*index, *parts.get(part)?)));
            PhaseBest {
                session: part.0.clone(),
                part: part.1.clone(),
                phase: name(phase),
                total: *total,
                date: *date,
                before: before.map(|(index, (total, date))| Earlier {
                    phase: name(index),
                    total,
                    date,
                }),
            }
        })
        .collect()
}

/// By phase, counted from 0, and part: the best total and its first day.
fn best_by_phase(
    records: &Records<'_>,
    last: NaiveDate,
) -> BTreeMap<usize, BTreeMap<Part, (u32, NaiveDate)>> {
    let mut best: BTreeMap<usize, BTreeMap<Part, (u32, NaiveDate)>> = BTreeMap::new();
    for session in records
        .recorded
        .sessions
        .iter()
        .filter(|done| done.date <= last)
    {
        let Some(phase) = phase_at(&records.plan.block, session.date) else {
            continue;
        };
        for part in session.parts.iter().filter(|part| !part.counts.is_empty()) {
            let found = (part.counts.iter().sum(), session.date);
            let known = best
                .entry(phase)
                .or_default()
                .entry((session.session.clone(), part.part.clone()))
                .or_insert(found);
            if (found.0, known.1) > (known.0, found.1) {
                *known = found;
            }
        }
    }
    best
}

/// Which phase a date is in, counted from 0.
fn phase_at(block: &Block, date: NaiveDate) -> Option<usize> {
    let phase = block.day(date).phase?;
    block
        .phases
        .iter()
        .position(|known| std::ptr::eq(known, phase))
}
