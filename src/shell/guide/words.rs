//! The words of the guide: what the caller gives, and every sentence the guide itself says.

use std::time::Duration;

use crate::pure::pace::{Place, Progress};
use crate::pure::routine::breath::in_words;
use crate::pure::routine::figure::{self, Figure};
use crate::pure::routine::safety;
use crate::pure::routine::{Cue, CueKind, Library, Routine, Side, Step, Timeline};

/// Said where the breath is held.
const HOLD_RULE: &str = "Hold without straining. If a hold feels hard, breathe on.";

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
    /// Its line figure.
    pub figure: Option<Figure>,
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
    /// What has to be at hand: a wall, a strap.
    pub needs: Vec<String>,
    /// The pattern's name.
    pub pattern: String,
    /// The pattern in words: `4 s in, 6 s out`.
    pub breathing: String,
    /// Length of the second step at the end of each inhale; zero for one step.
    pub second_inhale: Duration,
    /// One entry a step of the routine, in order. Cues whose step has no entry show their own text.
    pub steps: Vec<StepWords>,
}

impl GuideWords {
    /// The words of a routine. A stretch that is no longer in the library is called by its id.
    pub fn of(title: &str, routine: &Routine, library: &Library) -> Self {
        let mut needs: Vec<String> = Vec::new();
        let stretches = routine
            .steps
            .iter()
            .filter_map(|step| library.stretches.get(&step.stretch));
        for prop in stretches.flat_map(|stretch| &stretch.props) {
            let prop = prop.words().to_owned();
            if !needs.contains(&prop) {
                needs.push(prop);
            }
        }
        Self {
            title: title.to_owned(),
            needs,
            pattern: routine.pattern.name.clone(),
            breathing: in_words(&routine.pattern),
            second_inhale: Duration::from_millis(routine.pattern.second_inhale_ms.into()),
            steps: routine
                .steps
                .iter()
                .map(|step| step_words(step, library))
                .collect(),
            ..Self::default()
        }
    }

    /// The words of the step a cue belongs to.
    pub fn step(&self, cue: &Cue) -> Option<&StepWords> {
        self.steps.get(cue.step?)
    }

    /// Every caution to be read before the start, the person's own first, then those of the routine.
    pub fn all_cautions(&self, timeline: &Timeline) -> Vec<String> {
        let has = |kinds: &[CueKind]| timeline.cues.iter().any(|cue| kinds.contains(&cue.kind));
        let mut all = self.cautions.clone();
        let mut say = |when: bool, text: &str| {
            if when && !all.iter().any(|known| known == text) {
                all.push(text.to_owned());
            }
        };
        // The stop rule first: it has to be on the screen even where the rest has to be scrolled to.
        say(has(&[CueKind::Inhale, CueKind::Exhale]), safety::STOP_RULE);
        say(has(&[CueKind::Stretch]), safety::STRETCHING);
        say(has(&[CueKind::Inhale, CueKind::Exhale]), safety::BREATHING);
        say(has(&[CueKind::Hold, CueKind::HoldOut]), HOLD_RULE);
        say(true, safety::LIMITS);
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
            "1 position".to_owned()
        } else {
            format!("{sides} positions")
        };
        let breathing = format!("{breaths} breaths, {}", self.breathing);
        match (sides, breaths) {
            (0, 0) => String::new(),
            (_, 0) => format!("{sides_words}."),
            (0, _) => format!("{breathing}."),
            (_, _) => format!("{sides_words}, then {breathing}."),
        }
    }

    /// What has to be at hand, and the stretches in order, sides that follow each other in one line.
    pub fn outline(&self) -> Vec<String> {
        let same = |a: &StepWords, b: &StepWords| a.name == b.name && a.hold_s == b.hold_s;
        let needs = (!self.needs.is_empty()).then(|| format!("At hand: {}", self.needs.join(", ")));
        let stretches = self.steps.chunk_by(same).map(|group| {
            let first = &group[0];
            let sides: Vec<&str> = group.iter().filter_map(|step| side(step.side)).collect();
            let each = if group.len() > 1 { " each" } else { "" };
            let sides = if sides.is_empty() {
                String::new()
            } else {
                format!(", {}", sides.join(" and "))
            };
            format!("{}{sides}, {} s{each}", first.name, first.hold_s)
        });
        needs.into_iter().chain(stretches).collect()
    }

    /// The word of a breathing cue at a place in it, and the time left for what the word says: the
    /// second step of an inhale has a word of its own.
    pub fn breath_word(&self, place: &Place<'_>) -> (&'static str, Duration) {
        let whole = Duration::from_millis(place.cue.for_ms);
        if place.cue.kind == CueKind::Inhale && self.second_inhale < whole {
            return match place.left.checked_sub(self.second_inhale) {
                Some(left) if !left.is_zero() => ("inhale", left),
                _ => ("inhale a little more", place.left),
            };
        }
        (word(place.cue.kind), place.left)
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

/// Milliseconds as seconds without needless zeros: `4`, `5.5`.
pub fn decimal(ms: u64) -> String {
    let text = format!("{}.{:03}", ms / 1000, ms % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The word of a breathing cue; none for others.
pub fn word(kind: CueKind) -> &'static str {
    match kind {
        CueKind::Inhale => "inhale",
        CueKind::Hold | CueKind::HoldOut => "hold",
        CueKind::Exhale => "exhale",
        CueKind::Move | CueKind::Stretch | CueKind::End => "",
    }
}

fn step_words(step: &Step, library: &Library) -> StepWords {
    let words = StepWords {
        name: step.stretch.replace('_', " "),
        side: step.side,
        hold_s: step.hold_s,
        set_up: String::new(),
        feel: String::new(),
        ease_off: String::new(),
        figure: None,
    };
    library
        .stretches
        .get(&step.stretch)
        .map_or(words.clone(), |stretch| StepWords {
            name: stretch.name.clone(),
            set_up: stretch.set_up.clone(),
            feel: stretch.feel.clone(),
            ease_off: stretch.ease_off.clone(),
            figure: stretch.figure().map(|pose| figure::draw(pose, step.side)),
            ..words
        })
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
        return format!("{}, {} s", word(after.kind), decimal(after.for_ms));
    }
    let later = timeline.cues[index..]
        .iter()
        .find(|cue| cue.step != here.step);
    match later {
        None => String::new(),
        Some(cue) if cue.breath.is_some() => {
            format!("{} breaths, {}", breaths(timeline), words.breathing)
        }
        Some(cue) if cue.kind == CueKind::End => "the end".to_owned(),
        Some(cue) => match (words.step(here), words.step(cue)) {
            (Some(now), Some(next)) if now.name == next.name => {
                side(next.side).unwrap_or("once more").to_owned()
            }
            (_, Some(next)) => step_name(next),
            (_, None) => cue.text.clone(),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_without_needless_parts() {
        assert_eq!(
            [0, 45, 60, 470].map(length),
            ["0 s", "45 s", "1 min", "7 min 50 s"]
        );
        assert_eq!(
            [4000, 5500, 5455, 100].map(decimal),
            ["4", "5.5", "5.455", "0.1"]
        );
        assert_eq!([1000, 2000].map(spoken), ["1 second", "2 seconds"]);
    }

    #[test]
    fn seconds_count_up_to_the_whole() {
        let left = |ms| seconds_left(Duration::from_millis(ms));
        assert_eq!([30_000, 29_001, 29_000, 1, 0].map(left), [30, 30, 29, 1, 0]);
    }

    /// Every shipped evening has words for every cue, and its first screen the stop rule.
    #[test]
    fn every_shipped_evening_can_be_said() {
        let library = Library::shipped();
        assert!(!library.evenings.is_empty());
        for evening in library.evenings.values() {
            let (routine, _) = library.routine(evening, &Default::default());
            let timeline = Timeline::compile(&routine, &library);
            let words = GuideWords::of(&evening.name, &routine, &library);
            assert!(
                words
                    .all_cautions(&timeline)
                    .contains(&safety::STOP_RULE.to_owned())
            );
            assert!(
                words.summary(&timeline).contains("breaths"),
                "{}",
                evening.id
            );
            for cue in &timeline.cues {
                let said = words.step(cue).map(|step| !step.set_up.is_empty());
                assert_eq!(said, cue.step.map(|_| true), "{}: {cue:?}", evening.id);
            }
        }
    }

    #[test]
    fn a_double_inhale_says_its_second_step() {
        let library = Library::shipped();
        let pattern = library.patterns["double_inhale_6"].clone();
        let routine = Routine {
            id: "breath".to_owned(),
            steps: Vec::new(),
            pattern,
            cycles: 2,
        };
        let timeline = Timeline::compile(&routine, &library);
        let words = GuideWords::of("Breathe", &routine, &library);
        let player = crate::pure::pace::Player::new(&timeline, crate::pure::pace::Pace::REAL);
        let at = |ms| {
            words.breath_word(
                &player
                    .as_ref()
                    .expect("cues")
                    .place(Duration::from_millis(ms)),
            )
        };
        let second = Duration::from_secs(1);
        assert_eq!(at(0), ("inhale", 2 * second));
        assert_eq!(at(2000), ("inhale a little more", second));
        assert_eq!(at(3000), ("exhale", 6 * second));
        assert_eq!(
            words.summary(&timeline),
            "2 breaths, 2 s and 1 s in, 6 s out."
        );
    }
}
