//! The words of the guide: what the caller gives, and every sentence the guide itself says.

use std::time::Duration;

use crate::pure::pace::Progress;
use crate::pure::routine::{Cue, CueKind, Routine, Side, Stretch, Timeline};

/// Said before every routine with breathing.
pub const STOP_RULE: &str =
    "Breathe normally and stop if you feel dizzy, tingling, short of breath or anxious.";
/// Said before every routine with stretches.
pub const STRETCH_RULE: &str =
    "Stretch only until it pulls lightly. Never stretch into pain or a fresh injury.";
/// Said before every routine with breathing.
pub const BREATH_RULE: &str =
    "Breathe gently, sitting or lying down; never in water, in the bath or while driving.";
/// Said where the breath is held.
pub const HOLD_RULE: &str = "Hold without straining. If a hold feels hard, breathe on.";
/// Said before every routine.
pub const LIMIT: &str = "This tool cannot judge injuries or illness.";

/// Words for one held side.
#[derive(Clone, Debug, PartialEq)]
pub struct StepWords {
    /// The stretch's name.
    pub name: String,
    /// Which side.
    pub side: Side,
    /// Seconds held.
    pub hold_s: u32,
    /// How to get into it.
    pub set_up: String,
    /// What it should feel like.
    pub feel: String,
    /// When and how to ease off.
    pub ease_off: String,
}

/// What the guide says about a routine.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GuideWords {
    /// The title of the first screen.
    pub title: String,
    /// Lines before the outline, such as when lights out is planned.
    pub intro: Vec<String>,
    /// Cautions of this person and routine; the general ones and the stop rule are always added.
    pub cautions: Vec<String>,
    /// Lines at the end, such as when lights out is planned.
    pub closing: Vec<String>,
    /// The pattern's name.
    pub pattern: String,
    /// One entry a step of the routine, in order. Cues whose step has no entry show their own text.
    pub steps: Vec<StepWords>,
}

impl GuideWords {
    /// The words of a routine, with its stretches looked up by id. A stretch that is not found keeps
    /// its id as name.
    pub fn of<'l>(
        title: &str,
        routine: &Routine,
        find: impl Fn(&str) -> Option<&'l Stretch>,
    ) -> Self {
        let words = |step: &crate::pure::routine::Step| {
            let found = find(&step.stretch);
            let text = |get: fn(&Stretch) -> &String| found.map(get).cloned().unwrap_or_default();
            StepWords {
                name: found.map_or_else(|| step.stretch.clone(), |stretch| stretch.name.clone()),
                side: step.side,
                hold_s: step.hold_s,
                set_up: text(|stretch| &stretch.set_up),
                feel: text(|stretch| &stretch.feel),
                ease_off: text(|stretch| &stretch.ease_off),
            }
        };
        Self {
            title: title.to_owned(),
            pattern: routine.pattern.name.clone(),
            steps: routine.steps.iter().map(words).collect(),
            ..Self::default()
        }
    }

    /// The words of the step a cue belongs to.
    pub fn step(&self, cue: &Cue) -> Option<&StepWords> {
        self.steps.get(cue.step?)
    }

    /// Every caution to be read before the start, the person's own first, the stop rule always there.
    pub fn all_cautions(&self, timeline: &Timeline) -> Vec<String> {
        let has = |kinds: &[CueKind]| timeline.cues.iter().any(|cue| kinds.contains(&cue.kind));
        let mut all = self.cautions.clone();
        let mut say = |when: bool, text: &str| {
            if when && !all.iter().any(|known| known == text) {
                all.push(text.to_owned());
            }
        };
        say(has(&[CueKind::Stretch]), STRETCH_RULE);
        say(has(&[CueKind::Inhale, CueKind::Exhale]), BREATH_RULE);
        say(has(&[CueKind::Hold, CueKind::HoldOut]), HOLD_RULE);
        say(true, STOP_RULE);
        say(true, LIMIT);
        all
    }

    /// One sentence: how many held sides and breaths.
    pub fn summary(&self, timeline: &Timeline) -> String {
        let sides = timeline
            .cues
            .iter()
            .filter(|cue| cue.kind == CueKind::Stretch)
            .count();
        let breaths = breaths(timeline);
        let sides_words = if sides == 1 {
            "1 hold".to_owned()
        } else {
            format!("{sides} holds")
        };
        match (sides, breaths) {
            (0, 0) => String::new(),
            (_, 0) => format!("{sides_words}."),
            (0, _) => format!("{} breaths: {}.", breaths, phases(timeline)),
            (_, _) => format!(
                "{sides_words}, then {} breaths: {}.",
                breaths,
                phases(timeline)
            ),
        }
    }

    /// The stretches in order, one line each, sides that follow each other in one line.
    pub fn outline(&self) -> Vec<String> {
        let same = |a: &StepWords, b: &StepWords| a.name == b.name && a.hold_s == b.hold_s;
        self.steps
            .chunk_by(same)
            .map(|group| {
                let first = &group[0];
                let sides: Vec<&str> = group.iter().filter_map(|step| side(step.side)).collect();
                let each = if group.len() > 1 { " each" } else { "" };
                let sides = if sides.is_empty() {
                    String::new()
                } else {
                    format!(", {}", sides.join(" and "))
                };
                format!("{}{sides}, {} s{each}", first.name, first.hold_s)
            })
            .collect()
    }
}

/// The word for a side; none where both are held at once.
pub fn side(side: Side) -> Option<&'static str> {
    match side {
        Side::Left => Some("left side"),
        Side::Right => Some("right side"),
        Side::Both => None,
    }
}

/// How many breaths a timeline has.
pub fn breaths(timeline: &Timeline) -> u32 {
    timeline
        .cues
        .iter()
        .filter_map(|cue| cue.breath)
        .max()
        .map_or(0, |last| last + 1)
}

/// The phases of the first breath: `in 4 s, out 6 s`.
pub fn phases(timeline: &Timeline) -> String {
    let first = timeline.cues.iter().find_map(|cue| cue.breath);
    let said = timeline
        .cues
        .iter()
        .filter(|cue| cue.breath.is_some() && cue.breath == first)
        .map(|cue| {
            let word = match cue.kind {
                CueKind::Inhale => "in",
                CueKind::Exhale => "out",
                CueKind::Hold | CueKind::HoldOut => "hold",
                CueKind::Move | CueKind::Stretch | CueKind::End => "wait",
            };
            format!("{word} {} s", decimal(cue.for_ms))
        });
    said.collect::<Vec<_>>().join(", ")
}

/// Milliseconds as seconds without needless zeros: `4`, `5.5`.
pub fn decimal(ms: u64) -> String {
    let text = format!("{}.{:03}", ms / 1000, ms % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The word of a breathing cue. The second step of an inhale says so.
pub fn breath_word(timeline: &Timeline, index: usize) -> &'static str {
    let cue = &timeline.cues[index];
    let before = index.checked_sub(1).map(|before| &timeline.cues[before]);
    let again = before.is_some_and(|before| before.kind == cue.kind && before.breath == cue.breath);
    match cue.kind {
        CueKind::Inhale if again => "inhale a little more",
        CueKind::Inhale => "inhale",
        CueKind::Hold | CueKind::HoldOut => "hold",
        CueKind::Exhale => "exhale",
        CueKind::Move | CueKind::Stretch | CueKind::End => "",
    }
}

/// Whole seconds to go, counted up, so that a cue of 30 s starts at 30 and ends after 1.
pub fn seconds_left(left: Duration) -> u64 {
    left.as_nanos().div_ceil(1_000_000_000) as u64
}

/// A length in minutes and seconds: `7 min 50 s`, `8 min`, `45 s`.
pub fn length(seconds: u64) -> String {
    match (seconds / 60, seconds % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds} s"),
    }
}

/// Seconds in full words, for reading aloud: `1 second`, `5.5 seconds`.
pub fn spoken(ms: u64) -> String {
    if ms == 1000 {
        "1 second".to_owned()
    } else {
        format!("{} seconds", decimal(ms))
    }
}

/// One sentence: how far it went.
pub fn played(progress: &Progress) -> String {
    let [played, total] = [progress.played, progress.total].map(|time| time.as_secs());
    if played == total {
        format!("All of it, {}.", length(total))
    } else {
        format!("{} of {}.", length(played), length(total))
    }
}

/// The name of a held side with its side.
pub fn step_name(step: &StepWords) -> String {
    match side(step.side) {
        Some(side) => format!("{}, {side}", step.name),
        None => step.name.clone(),
    }
}

/// What comes after a cue's unit (a held side or all of the breathing), for the line "Next: …".
pub fn next(words: &GuideWords, timeline: &Timeline, index: usize) -> String {
    let here = &timeline.cues[index];
    if here.breath.is_some() {
        let Some(after) = timeline.cues.get(index + 1) else {
            return String::new();
        };
        if after.breath.is_none() {
            return "the end".to_owned();
        }
        return format!(
            "{}, {} s",
            breath_word(timeline, index + 1),
            decimal(after.for_ms)
        );
    }
    let later = timeline.cues[index..]
        .iter()
        .find(|cue| cue.step != here.step);
    match later {
        None => String::new(),
        Some(cue) if cue.breath.is_some() => {
            format!("{} breaths, {}", breaths(timeline), phases(timeline))
        }
        Some(cue) if cue.kind == CueKind::End => "the end".to_owned(),
        Some(cue) => words.step(cue).map_or_else(|| cue.text.clone(), step_name),
    }
}
