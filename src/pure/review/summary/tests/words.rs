//! What is said, in which words, and what is left unsaid.

use super::*;
use crate::pure::load::Change;

#[test]
fn a_full_week_takes_five_sentences_with_their_numbers() {
    let mut kept = Kept::nothing();
    for day in first_week().days() {
        kept.recorded
            .mornings
            .push(slept(day - Days::new(1), 0, 420));
        kept.evenings.push(EveningDone {
            night: Night(day),
            planned_s: 480,
            done_s: 480,
        });
        kept.days.push(JudgedDay {
            date: day,
            score: Some(0.0),
            band: Band::AsPlanned,
            planned: None,
            suggested: None,
            kept: false,
        });
    }
    kept.recorded.sessions = vec![legs(date("2026-01-05"), &[]), legs(date("2026-01-07"), &[])];
    let review = kept.review(first_week(), "2026-01-11T23:50:00Z");
    assert_eq!(
        review.sentences,
        [
            "Of 7 evenings with a wind-down: 7 followed to the end.",
            "On 7 recorded nights you slept 7 h on average; none was under the 7 h recommended for ages 26 to 64.",
            "The middle of your sleep lay at 02:45 on average, with a spread of 0 min (7 nights), and at the same time on free days as on days with an alarm.",
            "On 2 days you recorded 2 sessions, 480 AU of load.",
            "On 7 mornings your ratings were scored; training as planned was suggested each time.",
        ]
    );
    assert_eq!(review.sleep.regularity, Some(100.0));
    assert_eq!(review.sentences.len(), MOST_SENTENCES);
}

/// Words that praise, blame, push, diagnose or promise; no sentence has one.
const NOT_SAID: [&str; 20] = [
    "great",
    "good",
    "well done",
    "bad",
    "poor",
    "failed",
    "only",
    "unfortunately",
    "should",
    "must",
    "try",
    "better",
    "worse",
    "you have",
    "insomnia",
    "disorder",
    "debt",
    "risk",
    "safe",
    "!",
];

/// What a sentence rests on: a count of nights, mornings, evenings or days.
fn says_how_many(sentence: &str) -> bool {
    let words: Vec<&str> = sentence.split([' ', '(', ')', ';', ',']).collect();
    let counted = ["night", "morning", "evening", "day"];
    words.windows(3).any(|three| {
        let number = three[0].parse::<u32>().is_ok();
        let unit = |word: &str| counted.contains(&word.trim_end_matches('s'));
        number && (unit(three[1]) || (three[1] == "recorded" && unit(three[2])))
    })
}

/// A span with so many of everything, and every way a lowered day can come out.
fn some_of_everything(days: usize, lowered: bool) -> Review {
    let mut kept = Kept::nothing();
    let span = Span {
        from: date("2026-01-05"),
        to: date("2026-01-18"),
    };
    for (number, day) in span.days().take(days).enumerate() {
        let later = if number % 7 > 4 { 90 } else { 10 };
        kept.recorded
            .mornings
            .push(slept(day - Days::new(1), later, 350 + 20 * number as i64));
        kept.evenings.push(EveningDone {
            night: Night(day),
            planned_s: 480,
            done_s: if number % 3 == 0 { 200 } else { 480 },
        });
        kept.recorded.sessions.push(legs(day, &[]));
        let lower = lowered && number % 2 == 0;
        kept.days.push(JudgedDay {
            date: day,
            score: Some(-0.5),
            band: if lower { Band::Trim } else { Band::AsPlanned },
            planned: Some(240.0),
            suggested: Some(if lower { 180.0 } else { 240.0 }),
            kept: number == 4,
        });
    }
    kept.review(span, "2026-01-18T23:50:00Z")
}

#[test]
fn whatever_was_recorded_at_most_five_sentences_say_numbers_and_judge_nobody() {
    for days in 0..=14 {
        for lowered in [false, true] {
            let mut review = some_of_everything(days, lowered);
            if days == 14 {
                review.loads.change = Some(Change {
                    fraction: 0.467,
                    usual: 900.0,
                    weeks: 4,
                });
            }
            let said: Vec<String> = match days {
                0 => review.sentences.clone(),
                _ => review.said().into_iter().map(|(_, said)| said).collect(),
            };
            assert!((1..=MOST_SENTENCES).contains(&said.len()), "{said:?}");
            for sentence in &said {
                let small = sentence.to_lowercase();
                let word = NOT_SAID.iter().find(|word| {
                    let at = small.find(**word);
                    let letter = |at: Option<char>| at.is_some_and(char::is_alphabetic);
                    at.is_some_and(|at| {
                        let after = small[at + word.len()..].chars().next();
                        !letter(small[..at].chars().next_back()) && !letter(after)
                    })
                });
                assert_eq!(word, None, "{sentence}");
                assert!(days == 0 || says_how_many(sentence), "{sentence}");
                assert_eq!(
                    sentence.matches(". ").count(),
                    0,
                    "one sentence: {sentence}"
                );
                assert!(sentence.ends_with('.'), "{sentence}");
            }
        }
    }
}

// The weeks 940, 990, 1050, 620 and then 1320 AU: 46.7 % above a mean of 900.
#[test]
fn the_load_against_the_weeks_before_is_one_sentence() {
    let mut review = some_of_everything(14, false);
    review.loads.change =
        crate::pure::load::change_from_usual(&[940.0, 990.0, 1050.0, 620.0, 1320.0].map(Some));
    let said = review.said();
    let load: Vec<&String> = said
        .iter()
        .filter(|(topic, _)| *topic == Topic::Load)
        .map(|(_, said)| said)
        .collect();
    assert_eq!(
        load,
        [
            "This week's load is 47 % above the average of your last four full weeks; on 14 days you recorded 14 sessions, 3360 AU."
        ]
    );
}

/// Four weeks that end on 1 February 2026: in so many of them so many nights with so many minutes awake, to
/// fall asleep or after it.
fn long_nights(weeks: u64, nights: u64, minutes: u32, after_sleep: bool) -> Kept {
    let mut kept = Kept::nothing();
    let last = date("2026-02-01");
    for ago in 0..28_u64 {
        let mut morning = slept(last - Days::new(ago + 1), 0, 400);
        if ago % 7 < nights && ago < weeks * 7 {
            let times = &mut morning.times;
            let field = if after_sleep {
                &mut times.awake_for_min
            } else {
                &mut times.asleep_after_min
            };
            *field = Some(minutes);
        }
        kept.recorded.mornings.insert(0, morning);
    }
    kept
}

fn help_of(kept: &Kept) -> Option<SleepHelp> {
    let span = Span::weeks_until(date("2026-02-01"), 1);
    kept.review(span, "2026-02-01T18:00:00Z").sleep_help
}

fn reported(sign: Sign, until: Option<NaiveDate>) -> Reported {
    Reported {
        report: Report {
            what: What::Sign { sign, site: None },
            on: date("2026-01-30"),
        },
        until,
    }
}

// Lichstein KL et al. 2003, Behaviour Research and Therapy 41:427-445: 31 minutes and more, to fall asleep or
// after it, on three or more nights a week. Three of four weeks and that the days suffer: our own design choice.
#[test]
fn long_times_awake_are_spoken_of_from_the_rule_on_and_not_before() {
    for after_sleep in [false, true] {
        let asked = help_of(&long_nights(3, 3, 31, after_sleep)).expect("a way to say it");
        assert_eq!((asked.weeks, asked.days_suffer), (3, false));
        assert!(
            asked.text.contains("evenfall pain --sign insomnia"),
            "{}",
            asked.text
        );
        for far_from_help in ["clinician", "therapy", "appointment"] {
            assert!(!asked.text.contains(far_from_help), "{}", asked.text);
        }
        // A minute, a night or a week less, and nothing is said.
        assert_eq!(help_of(&long_nights(3, 3, 30, after_sleep)), None);
        assert_eq!(help_of(&long_nights(4, 2, 90, after_sleep)), None);
        assert_eq!(help_of(&long_nights(2, 7, 90, after_sleep)), None);
    }
}

#[test]
fn help_is_named_only_when_the_days_suffer() {
    for sign in [Sign::Insomnia, Sign::Unrefreshed, Sign::SleepyDriving] {
        let mut kept = long_nights(3, 3, 45, false);
        kept.recorded.reports.push(reported(sign, None));
        let help = help_of(&kept).expect("help is named");
        assert!(
            help.days_suffer && help.text.contains("clinician"),
            "{}",
            help.text
        );
        assert!(
            help.text.ends_with(crate::pure::caution::CANNOT_JUDGE),
            "{}",
            help.text
        );
        assert!(
            !help.text.contains("You have") && !help.text.contains("insomnia"),
            "{}",
            help.text
        );
        // Without the nights it stays with the caution that the report itself gives.
        let mut kept = long_nights(2, 3, 45, false);
        kept.recorded.reports.push(reported(sign, None));
        assert_eq!(help_of(&kept), None);
    }
    // Over since yesterday, or another sign: the days were not said to suffer.
    for (sign, until) in [
        (Sign::Insomnia, Some(date("2026-01-31"))),
        (Sign::Snoring, None),
    ] {
        let mut kept = long_nights(3, 3, 45, false);
        kept.recorded.reports.push(reported(sign, until));
        let help = help_of(&kept).expect("a way to say it");
        assert!(
            !help.days_suffer && !help.text.contains("clinician"),
            "{}",
            help.text
        );
    }
}
