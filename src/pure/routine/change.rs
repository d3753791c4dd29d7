//! Changing a routine by hand: another stretch in the place of one, and making it fit a time again.

use super::breath::{cycles_for, least_breathing_ms};
use super::library::{Library, Limits, why_left_out};
use super::steps::{Routine, Step, change_s};
use super::stretch::Stretch;

#[cfg(test)]
mod tests;

/// Stretches that could take the place of one in the routine: permitted, not in it, and for a region
/// that it stretches; the best match first (the products of both emphases, summed; then the same
/// position: our own design choice).
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

/// Puts a stretch in another's place, held as long as the other was where its own range allows. Changes
/// nothing where the one is not in the routine or the other is none of its [`alternatives`].
pub fn swap(routine: &mut Routine, library: &Library, limits: &Limits, out: &str, by: &str) {
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

/// Makes a routine fit a time: whole stretches go from the end until the breathing has its two minutes,
/// and whole breaths fill what is left. The last breath may run over by less than its own length.
pub fn fit(routine: &mut Routine, seconds: u32) {
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
