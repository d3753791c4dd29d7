use proptest::prelude::*;

use super::*;
use crate::pure::region::Region;

fn evening(id: &str) -> (Library, Routine) {
    let library = Library::shipped();
    let (routine, _) = library.routine(&library.evenings[id], &Limits::default());
    (library, routine)
}

fn ids(routine: &Routine) -> Vec<&str> {
    routine
        .steps
        .iter()
        .map(|step| step.stretch.as_str())
        .collect()
}

#[test]
fn a_swapped_stretch_is_replaced_on_both_sides_and_changes_are_counted_anew() {
    let (library, routine) = evening("legs");
    let out = routine.steps[0].stretch.clone();
    let offered = alternatives(&routine, &library, &Limits::default(), &out);
    let by = offered.first().expect("an alternative").id.clone();
    let mut swapped = routine.clone();
    swap(&mut swapped, &library, &Limits::default(), &out, &by);
    assert!(!ids(&swapped).contains(&out.as_str()));
    let sides = library.stretches[&by].sides().len();
    assert_eq!(ids(&swapped).iter().filter(|id| **id == by).count(), sides);
    let mut before = None;
    for step in &swapped.steps {
        let position = library.stretches[&step.stretch].position;
        assert_eq!(step.change_s, change_s(before, position));
        before = Some(position);
    }
}

#[test]
fn what_is_not_there_or_not_permitted_changes_nothing() {
    let (library, routine) = evening("legs");
    let out = routine.steps[0].stretch.as_str();
    let stretch = &library.stretches[out];
    let hurt = Limits {
        painful: Region::ALL.map(|(_, region)| region).into(),
        ..Limits::default()
    };
    let best = &alternatives(&routine, &library, &Limits::default(), out)[0].id;
    for (limits, out, by) in [
        (&Limits::default(), "nothing", best.as_str()),
        (&Limits::default(), out, "nothing"),
        (&Limits::default(), out, out),
        (&hurt, out, best.as_str()),
    ] {
        let mut same = routine.clone();
        swap(&mut same, &library, limits, out, by);
        assert_eq!(same, routine);
    }
    assert!(alternatives(&routine, &library, &hurt, &stretch.id).is_empty());
}

proptest! {
    #[test]
    fn a_fitted_routine_takes_no_more_than_its_time_and_a_breath(
        which in 0_usize..6,
        seconds in 180_u32..1800,
    ) {
        let library = Library::shipped();
        let all: Vec<&str> = library.evenings.keys().map(String::as_str).collect();
        let (library, routine) = evening(all[which % all.len()]);
        let mut fitted = routine.clone();
        fit(&mut fitted, seconds);
        let cycle_ms = u64::from(fitted.pattern.cycle_ms());
        prop_assert!(fitted.total_ms() < u64::from(seconds) * 1000 + cycle_ms);
        prop_assert!(fitted.breathing_ms() >= 120_000);
        prop_assert_eq!(&fitted.steps[..], &routine.steps[..fitted.steps.len()]);
        // No side is left over without its other one.
        if let Some(last) = fitted.steps.last() {
            let stretch = &library.stretches[&last.stretch];
            let kept = fitted.steps.iter().filter(|step| step.stretch == stretch.id).count();
            let had = routine.steps.iter().filter(|step| step.stretch == stretch.id).count();
            prop_assert_eq!(kept, had);
        }
    }
}
