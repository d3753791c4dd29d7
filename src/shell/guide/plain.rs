//! The guide in plain lines: one finished line a cue, no redraw and no escape, for screen readers,
//! pipes and terminals that cannot move their cursor.

use std::io::{self, Write};
use std::time::Duration;

use super::Played;
use super::look::Letters;
use super::pacer::Press;
use super::run::{Moment, Note, Surface};
use super::words::{self, GuideWords};
use crate::pure::pace::Place;
use crate::pure::routine::{CueKind, Timeline};

/// In cues at least this long the time left is said every [`COUNT_STEP`].
const COUNT_FROM: Duration = Duration::from_secs(15);
const COUNT_STEP: Duration = Duration::from_secs(10);

/// Writes lines.
pub struct Plain<'p> {
    out: &'p mut dyn Write,
    timeline: &'p Timeline,
    words: &'p GuideWords,
    letters: Letters,
    keys: bool,
}

impl<'p> Plain<'p> {
    /// Lines about a timeline to `out`; `keys` says whether a person can answer with Enter.
    pub fn new(
        out: &'p mut dyn Write,
        timeline: &'p Timeline,
        words: &'p GuideWords,
        letters: Letters,
        keys: bool,
    ) -> Self {
        Self {
            out,
            timeline,
            words,
            letters,
            keys,
        }
    }

    /// Writes and flushes one line. Line breaks and control characters from a routine's file become
    /// spaces: a line is a line, and nothing can move a cursor.
    fn say(&mut self, text: &str) -> io::Result<()> {
        let clean: String = text
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect();
        let mut line = self.letters.fit(clean.trim()).into_owned();
        line.push('\n');
        self.out.write_all(line.as_bytes())?;
        self.out.flush()
    }

    /// The line of a cue with the time there is for it, ms.
    fn line(&self, place: &Place<'_>, for_ms: u64) -> String {
        let cue = place.cue;
        let left = words::spoken(for_ms);
        match cue.kind {
            CueKind::Move => sentences(&[&cue.text, &format!("{left} to get ready")]),
            CueKind::Stretch => sentences(&[&format!("Hold, {left}"), &cue.text]),
            CueKind::Inhale | CueKind::Hold | CueKind::Exhale | CueKind::HoldOut => {
                let count = self
                    .breath_begins(place)
                    .map_or_else(String::new, |breath| {
                        format!(
                            "Breath {} of {}. ",
                            breath + 1,
                            words::breaths(self.timeline)
                        )
                    });
                format!("{count}{}, {left}.", cue.text)
            }
            CueKind::End => cue.text.clone(),
        }
    }

    fn breath_begins(&self, place: &Place<'_>) -> Option<u32> {
        let before = place
            .index
            .checked_sub(1)
            .and_then(|index| self.timeline.cues[index].breath);
        place.cue.breath.filter(|breath| before != Some(*breath))
    }
}

impl Surface for Plain<'_> {
    fn first(&mut self) -> io::Result<()> {
        let length = words::length(self.timeline.total_ms.div_ceil(1000));
        self.say(&format!("{}, {length}.", self.words.title))?;
        let words = self.words;
        for line in &words.intro {
            self.say(line)?;
        }
        self.say(&words.summary(self.timeline))?;
        for line in words.outline() {
            self.say(&format!("{line}."))?;
        }
        for line in words.all_cautions(self.timeline) {
            self.say(&line)?;
        }
        if self.keys {
            self.say(
                "Enter starts, pauses and goes on. b and Enter goes back, n and Enter skips, q and Enter ends.",
            )?;
        }
        Ok(())
    }

    fn has_keys(&self) -> bool {
        self.keys
    }

    fn press(&mut self, _press: Press) -> bool {
        false
    }

    fn cue(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        let place = moment.player.place(moment.position);
        if place.cue.kind == CueKind::End {
            return Ok(());
        }
        let line = self.line(&place, place.cue.for_ms);
        self.say(&line)
    }

    fn frame(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        let left = moment.player.place(moment.position).left;
        let steps = (left.as_secs_f64() / COUNT_STEP.as_secs_f64()).round() as u64;
        if steps == 0 {
            return Ok(());
        }
        self.say(&format!(
            "{} left.",
            words::spoken(steps * COUNT_STEP.as_millis() as u64)
        ))
    }

    fn changed(&mut self, moment: &Moment<'_>) -> io::Result<()> {
        let how = if self.keys { " Enter goes on." } else { "" };
        match moment.note {
            Note::Paused => self.say(&format!("Paused.{how}")),
            Note::Interrupted => self.say(&format!(
                "Interrupted: the machine slept or the program was stopped.{how}"
            )),
            Note::Playing => {
                let place = moment.player.place(moment.position);
                let line = self.line(&place, words::seconds_left(place.left) * 1000);
                self.say(&format!("Going on. {line}"))
            }
        }
    }

    fn next_frame(&self, moment: &Moment<'_>) -> Option<Duration> {
        let place = moment.player.place(moment.position);
        if Duration::from_millis(place.cue.for_ms) < COUNT_FROM {
            return None;
        }
        let step = COUNT_STEP.as_nanos();
        let steps = place.left.as_nanos().checked_sub(1)? / step;
        let left = Duration::from_nanos(u64::try_from(steps * step).ok()?);
        (steps > 0).then(|| moment.position + place.left.saturating_sub(left))
    }

    fn least_gap(&self) -> Duration {
        Duration::ZERO
    }

    fn stop(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn retake(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn over(&mut self, played: &Played, reached_end: bool) -> io::Result<()> {
        let how_far = words::played(&played.progress);
        let end = self
            .timeline
            .cues
            .last()
            .map_or("", |cue| cue.text.as_str());
        let said = if reached_end { end } else { "Ended early" };
        self.say(&sentences(&[said, &how_far]))?;
        let words = self.words;
        for line in &words.closing {
            self.say(line)?;
        }
        Ok(())
    }

    fn lingers(&self) -> Option<Duration> {
        None
    }
}

/// Joins texts as sentences, each ending with a full stop.
fn sentences(texts: &[&str]) -> String {
    let ended = |text: &&str| {
        let text = text.trim();
        if text.ends_with(['.', '?', ':', ';']) {
            text.to_owned()
        } else {
            format!("{text}.")
        }
    };
    texts
        .iter()
        .filter(|text| !text.trim().is_empty())
        .map(ended)
        .collect::<Vec<_>>()
        .join(" ")
}

/// What a line typed in plain mode means.
pub fn key_of_line(line: &str) -> Press {
    match line.trim() {
        "" | "p" => Press::Space,
        "b" => Press::Back,
        "n" => Press::Skip,
        "q" => Press::End,
        _ => Press::Other,
    }
}
