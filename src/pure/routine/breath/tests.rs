use proptest::prelude::*;

use super::*;

fn library() -> Library {
    Library::shipped()
}

fn avoid(ids: &[&str]) -> BTreeSet<Avoid> {
    ids.iter()
        .map(|id| Avoid::from_id(id).expect("known"))
        .collect()
}

fn seconds(pattern: &Pattern) -> [f64; 4] {
    [
        pattern.inhale_ms,
        pattern.hold_ms,
        pattern.exhale_ms,
        pattern.hold_out_ms,
    ]
    .map(|ms| f64::from(ms) / 1000.0)
}

#[test]
fn holds_are_opt_in() {
    let (pattern, note) = pattern_for(&avoid(&[]), false, "square_4", &library());
    assert_eq!(seconds(&pattern), [4.0, 0.0, 6.0, 0.0]);
    let note = note.expect("it is said");
    assert!(note.contains("not answered yet"), "{note}");
    let (pattern, note) = pattern_for(&avoid(&[]), true, "square_4", &library());
    assert_eq!((seconds(&pattern), note), ([4.0; 4], None));
}

#[test]
fn any_flag_replaces_holds_and_says_so() {
    let library = library();
    let flags: Vec<&str> = Avoid::ids()
        .filter(|id| Avoid::from_id(id).is_some_and(Avoid::rules_out_holds))
        .collect();
    assert!(flags.len() >= 10);
    for flag in flags {
        for (id, pattern) in &library.patterns {
            let (given, note) = pattern_for(&avoid(&[flag, "standing"]), true, id, &library);
            assert!(!given.has_holds(), "{flag} {id}");
            assert_eq!(note.is_some(), pattern.has_holds(), "{flag} {id}");
            if let Some(note) = note {
                assert_eq!(given.id, PLAIN_PATTERN);
                assert!(note.ends_with(ASK_CLINICIAN), "{note}");
            }
        }
    }
}

#[test]
fn what_does_not_speak_against_holds_leaves_them() {
    let (pattern, note) = pattern_for(
        &avoid(&["kneeling", "knee_pain"]),
        true,
        "four_seven_eight",
        &library(),
    );
    assert_eq!((seconds(&pattern), note), ([4.0, 7.0, 8.0, 0.0], None));
}

#[test]
fn an_unknown_pattern_is_replaced_with_a_word() {
    let (pattern, note) = pattern_for(&avoid(&[]), true, "nonsense", &library());
    assert_eq!(pattern.id, PLAIN_PATTERN);
    assert!(note.expect("it is said").contains("\"nonsense\""));
}

#[test]
fn the_stand_in_never_holds_even_if_a_file_says_so() {
    let mut library = library();
    library
        .patterns
        .get_mut(PLAIN_PATTERN)
        .expect("shipped")
        .hold_ms = 5_000;
    let (pattern, _) = pattern_for(&avoid(&["pregnancy"]), true, PLAIN_PATTERN, &library);
    assert_eq!(seconds(&pattern), [4.0, 0.0, 6.0, 0.0]);
    assert_eq!(
        seconds(&plain_pattern(&Library::default())),
        [4.0, 0.0, 6.0, 0.0]
    );
}

#[test]
fn the_out_breath_grows_by_half_a_second_an_evening() {
    let target = library().patterns["longer_out_4_8"].clone();
    let out: Vec<(u32, u32)> = (0..10)
        .map(|evenings| progressed(&target, None, evenings))
        .map(|pattern| (pattern.inhale_ms, pattern.exhale_ms))
        .collect();
    let expected: Vec<(u32, u32)> = (0..10)
        .map(|n: u32| (4_000, (4_000 + 500 * n).min(8_000)))
        .collect();
    assert_eq!(out, expected);
}

#[test]
fn a_known_rate_is_where_it_starts() {
    let target = library().patterns["longer_out_4_6"].clone();
    // 12 a minute: 2.5 s in and out.
    let first = progressed(&target, Some(12.0), 0);
    assert_eq!(seconds(&first), [2.5, 0.0, 2.5, 0.0]);
    assert_eq!(
        seconds(&progressed(&target, Some(12.0), 4)),
        [4.0, 0.0, 4.5, 0.0]
    );
    assert_eq!(
        seconds(&progressed(&target, Some(12.0), 7)),
        [4.0, 0.0, 6.0, 0.0]
    );
    assert_eq!(progressed(&target, Some(12.0), 7), target);
}

#[test]
fn a_slow_breather_begins_at_the_target() {
    let target = library().patterns["longer_out_4_6"].clone();
    assert_eq!(progressed(&target, Some(5.0), 0), target);
    assert_eq!(progressed(&target, Some(f64::NAN), 4), target);
}

#[test]
fn holds_and_the_second_sip_come_in_gradually() {
    let library = library();
    let square = |n| progressed(&library.patterns["square_4"], None, n);
    assert_eq!(seconds(&square(0)), [4.0, 0.0, 4.0, 0.0]);
    assert_eq!(seconds(&square(3)), [4.0, 1.5, 4.0, 1.5]);
    assert_eq!(seconds(&square(8)), [4.0; 4]);
    let double = progressed(&library.patterns["double_inhale_6"], Some(20.0), 0);
    assert_eq!((double.inhale_ms, double.second_inhale_ms), (1_500, 500));
}

#[test]
fn a_pattern_is_said_in_words() {
    let library = library();
    let words = |id: &str| in_words(&library.patterns[id]);
    assert_eq!(words("four_seven_eight"), "4 s in, 7 s held, 8 s out");
    assert_eq!(words("even_5_5"), "5.5 s in, 5.5 s out");
    assert_eq!(words("double_inhale_6"), "2 s and 1 s in, 6 s out");
    assert_eq!(words("square_4"), "4 s in, 4 s held, 4 s out, 4 s held");
}

proptest! {
    #[test]
    fn no_evening_asks_for_more_than_half_a_second_more(
        id in proptest::sample::select(library().patterns.keys().cloned().collect::<Vec<_>>()),
        rate in proptest::option::of(3.0f64..30.0),
        evenings in 0u32..60,
    ) {
        let target = library().patterns[&id].clone();
        let tonight = progressed(&target, rate, evenings);
        let next = progressed(&target, rate, evenings + 1);
        for (now, later, goal) in [
            (tonight.inhale_ms, next.inhale_ms, target.inhale_ms),
            (tonight.hold_ms, next.hold_ms, target.hold_ms),
            (tonight.exhale_ms, next.exhale_ms, target.exhale_ms),
            (tonight.hold_out_ms, next.hold_out_ms, target.hold_out_ms),
        ] {
            prop_assert!(now <= later && later <= now + 500 && later <= goal);
        }
        prop_assert!(tonight.second_inhale_ms <= tonight.inhale_ms);
        prop_assert!(tonight.inhale_ms <= tonight.exhale_ms || target.inhale_ms > target.exhale_ms);
        prop_assert_eq!(progressed(&target, rate, 40), target);
    }

    #[test]
    fn phases_are_half_open_and_cover_every_moment(
        id in proptest::sample::select(library().patterns.keys().cloned().collect::<Vec<_>>()),
        at_ms in 0u64..4_000_000,
    ) {
        let pattern = library().patterns[&id].clone();
        let phase = phase_at(&pattern, at_ms).expect("a phase");
        prop_assert!(phase.left_ms > 0);
        let next = phase_at(&pattern, at_ms + u64::from(phase.left_ms)).expect("a phase");
        prop_assert_eq!(next.into_ms, 0);
    }
}

#[test]
fn the_counted_rate_is_that_of_the_usual_breath() {
    let at = |seconds: &[f64]| {
        seconds
            .iter()
            .map(|s| Duration::from_secs_f64(*s))
            .collect::<Vec<_>>()
    };
    assert_eq!(rate_of(&at(&[1.0, 6.0, 11.0, 16.0])), Some(12.0));
    // One press forgotten: the long gap does not count.
    assert_eq!(rate_of(&at(&[1.0, 6.0, 11.0, 21.0, 26.0])), Some(12.0));
    assert_eq!(rate_of(&at(&[1.0, 6.0])), None);
    assert_eq!(
        rate_of(&at(&[1.0, 1.1, 1.2, 1.3])),
        None,
        "nobody breathes ten times a second"
    );
    assert_eq!(rate_of(&[]), None);
}
