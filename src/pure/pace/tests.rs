use proptest::prelude::*;

use super::*;
use crate::pure::routine::CueKind;

/// A timeline of held sides (seconds to get ready, seconds held) and breaths (ms of the four phases).
fn timeline(sides: &[(u64, u64)], phases: [u64; 4], breaths: u32) -> Timeline {
    let mut cues: Vec<Cue> = Vec::new();
    let mut push = |kind, for_ms: u64, step, breath| {
        let at_ms = cues.last().map_or(0, |cue: &Cue| cue.at_ms + cue.for_ms);
        if for_ms > 0 || kind == CueKind::End {
            cues.push(Cue {
                at_ms,
                for_ms,
                kind,
                text: String::new(),
                step,
                breath,
            });
        }
    };
    for (step, (ready, hold)) in sides.iter().enumerate() {
        push(CueKind::Move, ready * 1000, Some(step), None);
        push(CueKind::Stretch, hold * 1000, Some(step), None);
    }
    for breath in 0..breaths {
        push(CueKind::Inhale, phases[0], None, Some(breath));
        push(CueKind::Hold, phases[1], None, Some(breath));
        push(CueKind::Exhale, phases[2], None, Some(breath));
        push(CueKind::HoldOut, phases[3], None, Some(breath));
    }
    push(CueKind::End, 0, None, None);
    let total_ms = cues.last().map_or(0, |cue| cue.at_ms);
    Timeline {
        id: "sample".to_owned(),
        total_ms,
        cues,
    }
}

fn sample() -> Timeline {
    timeline(&[(5, 30), (5, 30)], [4000, 0, 6000, 0], 12)
}

fn s(seconds: f64) -> Duration {
    Duration::from_secs_f64(seconds)
}

fn playing(timeline: &Timeline) -> Player<'_> {
    let mut player = Player::new(timeline, Pace::REAL).expect("cues");
    player.start(s(100.0));
    player
}

#[test]
fn nothing_moves_before_the_start() {
    let timeline = sample();
    let mut player = Player::new(&timeline, Pace::REAL).expect("cues");
    player.pause(s(5.0));
    player.skip(s(6.0));
    player.back(s(7.0));
    assert_eq!(player.state(), State::Waiting);
    assert_eq!(player.position(s(9.0)), Duration::ZERO);
    assert_eq!(player.progress(s(9.0)).played, Duration::ZERO);
}

#[test]
fn a_timeline_without_cues_has_no_player() {
    let empty = Timeline {
        id: String::new(),
        total_ms: 0,
        cues: Vec::new(),
    };
    assert!(Player::new(&empty, Pace::REAL).is_none());
}

#[test]
fn the_place_is_half_open() {
    let timeline = sample();
    let player = playing(&timeline);
    assert_eq!(player.place(s(4.999)).cue.kind, CueKind::Move);
    let hold = player.place(s(5.0));
    assert_eq!((hold.index, hold.cue.kind), (1, CueKind::Stretch));
    assert_eq!((hold.into, hold.left), (Duration::ZERO, s(30.0)));
    assert_eq!(player.place(s(190.0)).cue.kind, CueKind::End);
}

#[test]
fn reaching_the_end_is_done_and_counts_every_second() {
    let timeline = sample();
    let mut player = playing(&timeline);
    assert_eq!(player.tick(s(289.999)), s(189.999));
    assert!(player.is_playing());
    assert_eq!(player.tick(s(295.0)), s(190.0));
    let progress = player.progress(s(400.0));
    assert!(player.is_over());
    assert_eq!((progress.played, progress.total), (s(190.0), s(190.0)));
    assert_eq!((progress.fraction, progress.outcome), (1.0, Outcome::Done));
}

#[test]
fn ending_early_is_partly_with_the_time_played() {
    let timeline = sample();
    let mut player = playing(&timeline);
    player.end(s(150.0));
    let progress = player.progress(s(150.0));
    assert_eq!(
        (progress.played, progress.outcome),
        (s(50.0), Outcome::Partly)
    );
    player.start(s(160.0));
    assert!(player.is_over(), "over stays over");
}

#[test]
fn leaving_before_the_last_second_is_partly() {
    let timeline = sample();
    let mut player = playing(&timeline);
    player.end(s(100.0) + s(189.999));
    assert_eq!(player.progress(s(300.0)).outcome, Outcome::Partly);
}

#[test]
fn what_is_skipped_does_not_count_and_what_is_repeated_counts_once() {
    let timeline = sample();
    let mut player = playing(&timeline);
    player.skip(s(110.0)); // 10 s played, now at 35
    assert_eq!(player.position(s(110.0)), s(35.0));
    player.back(s(120.0)); // 10 s more, back to 35
    assert_eq!(player.position(s(120.0)), s(35.0));
    player.end(s(125.0)); // 5 s of it again
    assert_eq!(player.progress(s(125.0)).played, s(20.0));
}

#[test]
fn skip_goes_over_held_sides_then_breath_by_breath_to_the_end() {
    let timeline = sample();
    let mut player = playing(&timeline);
    let mut starts = Vec::new();
    while !player.is_over() {
        player.skip(s(100.0));
        starts.push(player.position(s(100.0)).as_secs());
    }
    let expected: Vec<u64> = [35].into_iter().chain((70..=190).step_by(10)).collect();
    assert_eq!(starts, expected);
    assert_eq!(player.progress(s(100.0)).outcome, Outcome::Partly);
}

#[test]
fn back_goes_to_the_start_of_this_unit_or_the_one_before() {
    let timeline = sample();
    let mut player = playing(&timeline);
    player.pause(s(100.0) + s(36.0));
    player.back(s(200.0));
    assert_eq!(player.state(), State::Paused { at: Duration::ZERO });
    player.back(s(200.0));
    assert_eq!(
        player.state(),
        State::Paused { at: Duration::ZERO },
        "nothing before the start"
    );
    player.start(s(300.0));
    player.back(s(339.0)); // 39 s in, 4 s into the second side
    assert_eq!(player.position(s(339.0)), s(35.0));
}

#[test]
fn a_rehearsal_is_faster_and_keeps_its_places() {
    let timeline = sample();
    let mut player = Player::new(&timeline, Pace::times(60.0).expect("in range")).expect("cues");
    player.start(s(1.0));
    assert_eq!(player.position(s(2.0)), s(60.0));
    assert_eq!(
        player.deadline(s(70.0)),
        Some(s(1.0) + Duration::from_nanos(1_166_666_667))
    );
    assert!(
        Pace::times(0.0).is_none() && Pace::times(f64::NAN).is_none() && Pace::times(1e9).is_none()
    );
}

#[test]
fn a_double_inhale_rises_in_two_steps() {
    let timeline = timeline(&[], [3000, 0, 6000, 0], 2);
    let trace = Trace::of(&timeline, s(1.0));
    let volume = |at| trace.volume(s(at)).expect("breathing");
    assert!((volume(2.0) - 2.0 / 3.0).abs() < 1e-12);
    assert!((volume(3.0) - 1.0).abs() < 1e-12);
    assert!(volume(9.0).abs() < 1e-12 && volume(6.0) > 0.4);
}

#[test]
fn the_trace_is_level_in_holds_and_absent_elsewhere() {
    let timeline = timeline(&[(5, 10)], [4000, 4000, 4000, 4000], 1);
    let trace = Trace::of(&timeline, Duration::ZERO);
    assert_eq!(trace.volume(s(14.9)), None);
    for at in [19.0, 20.5, 23.0] {
        assert_eq!(trace.volume(s(at)), Some(1.0));
    }
    for at in [27.0, 29.0, 31.0] {
        assert_eq!(trace.volume(s(at)), Some(0.0));
    }
    assert_eq!(trace.volume(s(31.1)), None);
}

#[test]
fn the_window_moves_by_whole_columns() {
    let timeline = sample();
    let trace = Trace::of(&timeline, Duration::ZERO);
    let window = |at| trace.window(s(at), s(0.25), 10, 40);
    assert_eq!(window(100.0), window(100.2));
    assert_eq!(window(100.0)[1..], window(100.25)[..39]);
    assert_eq!(window(100.0)[10], trace.volume(s(100.0)));
    assert_eq!(trace.window(s(0.5), s(0.25), 10, 40)[..8], [None; 8]);
}

fn timelines() -> impl Strategy<Value = Timeline> {
    let sides = prop::collection::vec((1_u64..8, 5_u64..60), 0..6);
    let phases = (500_u64..9000, 0_u64..7000, 500_u64..12_000, 0_u64..7000);
    (sides, phases, 0_u32..20)
        .prop_map(|(sides, (a, b, c, d), n)| timeline(&sides, [a, b, c, d], n))
}

#[derive(Clone, Copy, Debug)]
enum Deed {
    Start,
    Pause,
    Skip,
    Back,
    Tick,
    End,
}

fn deeds() -> impl Strategy<Value = Vec<(Deed, u64)>> {
    let deed = prop_oneof![
        4 => Just(Deed::Start),
        3 => Just(Deed::Pause),
        3 => Just(Deed::Skip),
        3 => Just(Deed::Back),
        6 => Just(Deed::Tick),
        1 => Just(Deed::End),
    ];
    prop::collection::vec((deed, 0_u64..40_000_000_000), 0..40)
}

fn apply(player: &mut Player<'_>, deed: Deed, now: Duration) {
    match deed {
        Deed::Start => player.start(now),
        Deed::Pause => player.pause(now),
        Deed::Skip => player.skip(now),
        Deed::Back => player.back(now),
        Deed::Tick => {
            player.tick(now);
        }
        Deed::End => player.end(now),
    }
}

proptest! {
    #[test]
    fn never_more_is_done_than_there_is(timeline in timelines(), deeds in deeds(), pace in 0.1_f64..1000.0) {
        let mut player = Player::new(&timeline, Pace::times(pace).expect("in range")).expect("cues");
        let mut now = Duration::from_secs(7);
        let mut played = Duration::ZERO;
        for (deed, wait) in deeds {
            now += Duration::from_nanos(wait);
            apply(&mut player, deed, now);
            let progress = player.progress(now);
            prop_assert!(player.position(now) <= player.total());
            prop_assert!(progress.played <= progress.total);
            prop_assert!(progress.played >= played, "what was done stays done");
            prop_assert!((0.0..=1.0).contains(&progress.fraction));
            let place = player.place(player.position(now));
            prop_assert!(place.index < timeline.cues.len());
            played = progress.played;
        }
    }

    #[test]
    fn pauses_cost_nothing(timeline in timelines(), spans in prop::collection::vec((1_u64..9_000_000_000, 0_u64..9_000_000_000), 1..30)) {
        let mut player = Player::new(&timeline, Pace::REAL).expect("cues");
        let mut now = Duration::from_secs(3);
        let mut sum = Duration::ZERO;
        for (run, rest) in spans {
            player.start(now);
            now += Duration::from_nanos(run);
            sum += Duration::from_nanos(run);
            player.pause(now);
            let stood = player.position(now);
            now += Duration::from_nanos(rest);
            prop_assert_eq!(player.position(now), stood);
            prop_assert_eq!(stood, sum.min(player.total()));
            prop_assert_eq!(player.progress(now).played, stood);
        }
    }

    #[test]
    fn a_deadline_is_the_first_moment_of_its_position(timeline in timelines(), pace in 0.1_f64..1000.0, share in 0.0_f64..=1.0) {
        let mut player = Player::new(&timeline, Pace::times(pace).expect("in range")).expect("cues");
        let origin = Duration::from_secs(11);
        player.start(origin);
        let position = player.total().mul_f64(share).min(player.total());
        let deadline = player.deadline(position).expect("ahead");
        prop_assert!(player.position(deadline) >= position);
        if deadline > origin {
            prop_assert!(player.position(deadline - Duration::from_nanos(1)) < position);
        }
    }

    #[test]
    fn skip_goes_forward_and_back_goes_backward(timeline in timelines(), at in 0_u64..400_000) {
        let mut player = Player::new(&timeline, Pace::REAL).expect("cues");
        player.start(Duration::ZERO);
        let now = Duration::from_millis(at);
        let before = player.position(now);
        let mut forward = player.clone();
        forward.skip(now);
        prop_assert!(forward.position(now) > before || before == player.total());
        player.back(now);
        prop_assert!(player.position(now) <= before);
        prop_assert!(timeline.cues.iter().any(|cue| starts_at(cue) == player.position(now)));
    }

    #[test]
    fn the_trace_is_continuous_and_stays_in_bounds(
        timeline in timelines(), share in 0.0_f64..1.0, second_ms in prop_oneof![Just(0), 1_u64..10_000],
    ) {
        let second = Duration::from_millis(second_ms);
        let trace = Trace::of(&timeline, second);
        let breathing = |cue: &&Cue| cue.breath.is_some();
        for pair in timeline.cues.windows(2).filter(|pair| pair.iter().all(|cue| breathing(&cue))) {
            let border = starts_at(&pair[1]);
            let before = trace.volume(border - Duration::from_micros(1)).expect("breathing");
            let after = trace.volume(border).expect("breathing");
            prop_assert!((before - after).abs() < 1e-5, "a jump from {before} to {after} at {border:?}");
        }
        for cue in timeline.cues.iter().filter(breathing) {
            let inside = starts_at(cue) + Duration::from_millis(cue.for_ms).mul_f64(share);
            let volume = trace.volume(inside).expect("breathing");
            prop_assert!((0.0..=1.0).contains(&volume));
            if cue.kind == CueKind::Inhale && cue.for_ms > second_ms && second_ms > 0 {
                let step = starts_at(cue) + Duration::from_millis(cue.for_ms) - second;
                let [before, after] = [step - Duration::from_nanos(1), step].map(|at| trace.volume(at));
                let jump = before.expect("breathing") - after.expect("breathing");
                prop_assert!(jump.abs() < 1e-5, "a jump of {jump} between the two steps");
            }
        }
        if timeline.cues.iter().any(|cue| cue.breath.is_some()) {
            let end = Duration::from_millis(timeline.total_ms);
            prop_assert!(trace.volume(end).expect("closed at the end").abs() < 1e-9);
        }
    }
}
