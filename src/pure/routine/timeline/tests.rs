use proptest::prelude::*;

use super::*;
use crate::pure::routine::breath::{LEAST_BREATHING_MS, cycles_for, least_breathing_ms};
use crate::pure::routine::steps::change_s;

fn pattern(
    inhale_ms: u32,
    second_inhale_ms: u32,
    hold_ms: u32,
    exhale_ms: u32,
    hold_out_ms: u32,
) -> Pattern {
    Pattern {
        id: "p".to_owned(),
        name: "P".to_owned(),
        inhale_ms,
        second_inhale_ms,
        hold_ms,
        exhale_ms,
        hold_out_ms,
        about: "About.".to_owned(),
    }
}

fn step(stretch: &str, side: Side, hold_s: u32, change_s: u32) -> Step {
    Step {
        stretch: stretch.to_owned(),
        side,
        hold_s,
        change_s,
    }
}

fn routine(steps: Vec<Step>, pattern: Pattern, cycles: u32) -> Routine {
    Routine {
        id: "r".to_owned(),
        steps,
        pattern,
        cycles,
    }
}

/// The sum is taken cue by cue, not from the routine's own lengths.
fn assert_tiles(timeline: &Timeline) {
    let mut at_ms = 0;
    let (end, before) = timeline.cues.split_last().expect("an end");
    for cue in before {
        assert_eq!(cue.at_ms, at_ms, "gap or overlap at {cue:?}");
        assert!(cue.for_ms > 0, "only the end takes no time: {cue:?}");
        assert_ne!(cue.kind, CueKind::End);
        assert!(!cue.text.trim().is_empty());
        at_ms += cue.for_ms;
    }
    assert_eq!((end.kind, end.at_ms, end.for_ms), (CueKind::End, at_ms, 0));
    assert_eq!(timeline.total_ms, at_ms);
}

#[test]
fn every_cue_of_a_small_routine() {
    let library = Library::shipped();
    let steps = vec![
        step("wall_calf_straight", Side::Left, 30, 10),
        step("wall_calf_straight", Side::Right, 30, 5),
        step("both_knees_to_chest", Side::Both, 20, 10),
    ];
    let timeline = Timeline::compile(
        &routine(steps, pattern(4_000, 0, 7_000, 8_000, 0), 2),
        &library,
    );
    assert_tiles(&timeline);
    let said: Vec<(u64, u64, &str)> = timeline
        .cues
        .iter()
        .map(|cue| (cue.at_ms, cue.for_ms, cue.kind.id()))
        .collect();
    assert_eq!(
        said,
        [
            (0, 10_000, "move"),
            (10_000, 30_000, "stretch"),
            (40_000, 5_000, "move"),
            (45_000, 30_000, "stretch"),
            (75_000, 10_000, "move"),
            (85_000, 20_000, "stretch"),
            (105_000, 4_000, "inhale"),
            (109_000, 7_000, "hold"),
            (116_000, 8_000, "exhale"),
            (124_000, 4_000, "inhale"),
            (128_000, 7_000, "hold"),
            (135_000, 8_000, "exhale"),
            (143_000, 0, "end"),
        ]
    );
    assert!(
        timeline.cues[0]
            .text
            .starts_with("Calf at the wall, straight knee, left side. Face a wall")
    );
    assert!(
        timeline.cues[1]
            .text
            .starts_with("Left side: A pull high in the calf. ")
    );
    assert_eq!(timeline.cues[2].text, "Right side: the same on this side.");
    assert!(
        timeline.cues[4]
            .text
            .starts_with("Both knees to the chest. On your back")
    );
    assert_eq!(
        (timeline.cues[3].step, timeline.cues[3].breath),
        (Some(1), None)
    );
    assert_eq!(
        (timeline.cues[9].step, timeline.cues[9].breath),
        (None, Some(1))
    );
}

#[test]
fn a_double_inhale_is_one_cue_that_carries_the_second_sip() {
    let timeline = Timeline::compile(
        &routine(vec![], pattern(3_000, 1_000, 0, 6_000, 0), 1),
        &Library::default(),
    );
    assert_tiles(&timeline);
    let kinds: Vec<CueKind> = timeline.cues.iter().map(|cue| cue.kind).collect();
    assert_eq!(kinds, [CueKind::Inhale, CueKind::Exhale, CueKind::End]);
    assert_eq!(timeline.cues[0].for_ms, 3_000);
    assert!(
        timeline.cues[0].text.contains("second"),
        "{}",
        timeline.cues[0].text
    );
}

#[test]
fn a_stretch_that_left_the_library_is_called_by_its_id() {
    let steps = vec![step("old_one", Side::Left, 20, 5)];
    let timeline = Timeline::compile(
        &routine(steps, pattern(4_000, 0, 0, 6_000, 0), 1),
        &Library::default(),
    );
    assert_eq!(timeline.cues[1].text, "Left side: old one.");
}

#[test]
fn the_same_side_again_is_said_so() {
    let steps = vec![
        step("kneel_shins", Side::Both, 15, 10),
        step("kneel_shins", Side::Both, 15, 5),
    ];
    let timeline = Timeline::compile(
        &routine(steps, pattern(4_000, 0, 0, 6_000, 0), 0),
        &Library::shipped(),
    );
    assert_eq!(timeline.cues[2].text, "Once more.");
    assert_tiles(&timeline);
}

#[test]
fn a_moment_leads_to_its_cue() {
    let steps = vec![step("kneel_shins", Side::Both, 15, 10)];
    let timeline = Timeline::compile(
        &routine(steps, pattern(4_000, 0, 0, 6_000, 0), 1),
        &Library::shipped(),
    );
    let kind_at = |ms| timeline.cue_at(ms).map(|cue| cue.kind);
    assert_eq!(kind_at(0), Some(CueKind::Move));
    assert_eq!(kind_at(9_999), Some(CueKind::Move));
    assert_eq!(kind_at(10_000), Some(CueKind::Stretch));
    assert_eq!(kind_at(34_999), Some(CueKind::Exhale));
    assert_eq!(kind_at(35_000), Some(CueKind::End));
    assert_eq!(kind_at(u64::MAX), Some(CueKind::End));
}

prop_compose! {
    fn any_pattern()(
        inhale in 1_000u32..=12_000,
        second in 0u32..=900,
        hold in prop_oneof![Just(0u32), 1u32..=7_000],
        exhale in 3_000u32..=16_000,
        hold_out in prop_oneof![Just(0u32), 1u32..=7_000],
    ) -> Pattern {
        pattern(inhale, second, hold, exhale, hold_out)
    }
}

fn any_steps() -> impl Strategy<Value = Vec<Step>> {
    let library = Library::shipped();
    let ids: Vec<String> = library.stretches.keys().cloned().collect();
    let one = (proptest::sample::select(ids), any::<bool>(), 5u32..=120);
    proptest::collection::vec(one, 0..12).prop_map(move |chosen| {
        let mut before = None;
        let mut steps = Vec::new();
        for (id, left, hold_s) in chosen {
            let stretch = &library.stretches[&id];
            let side = match (stretch.two_sided, left) {
                (false, _) => Side::Both,
                (true, true) => Side::Left,
                (true, false) => Side::Right,
            };
            steps.push(step(&id, side, hold_s, change_s(before, stretch.position)));
            before = Some(stretch.position);
        }
        steps
    })
}

proptest! {
    #[test]
    fn cues_tile_the_time_and_end_on_a_whole_breath(
        steps in any_steps(),
        pattern in any_pattern(),
        cycles in 0u32..80,
    ) {
        let routine = routine(steps, pattern, cycles);
        let timeline = Timeline::compile(&routine, &Library::shipped());
        assert_tiles(&timeline);
        prop_assert_eq!(timeline.total_ms, routine.total_ms());
        let stretching_ms: u64 = routine.steps.iter().map(|step| u64::from(step.hold_s + step.change_s) * 1000).sum();
        let breathing_ms = timeline.total_ms - stretching_ms;
        prop_assert_eq!(breathing_ms % u64::from(routine.pattern.cycle_ms()), 0);
        prop_assert_eq!(breathing_ms / u64::from(routine.pattern.cycle_ms()), u64::from(cycles));
        let breathing: Vec<&Cue> = timeline.cues.iter().filter(|cue| cue.breath.is_some()).collect();
        if let (Some(first), Some(last)) = (breathing.first(), breathing.last()) {
            prop_assert_eq!(first.kind, CueKind::Inhale);
            prop_assert_eq!(first.at_ms, stretching_ms);
            let closes = if routine.pattern.hold_out_ms > 0 { CueKind::HoldOut } else { CueKind::Exhale };
            prop_assert_eq!(last.kind, closes);
            prop_assert_eq!(last.breath, Some(cycles - 1));
        }
    }

    #[test]
    fn two_minutes_of_breathing_are_kept_wherever_they_fit(pattern in any_pattern(), left_ms in 0u64..2_000_000) {
        let cycle_ms = u64::from(pattern.cycle_ms());
        let breathing_ms = u64::from(cycles_for(&pattern, left_ms)) * cycle_ms;
        if left_ms >= LEAST_BREATHING_MS {
            prop_assert!(breathing_ms >= LEAST_BREATHING_MS);
            prop_assert!(breathing_ms < left_ms + cycle_ms, "over by a breath or more");
        } else {
            prop_assert!(breathing_ms <= left_ms);
        }
        // Whoever keeps the least free is never over, and never leaves a whole breath unused.
        if left_ms >= least_breathing_ms(&pattern) {
            prop_assert!(breathing_ms <= left_ms);
            prop_assert!(left_ms - breathing_ms < cycle_ms);
        }
    }
}
