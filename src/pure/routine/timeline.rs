//! A routine compiled to cues: the one thing that terminal, page and sound play.

use super::library::Library;
use super::pattern::Pattern;
use super::steps::{Routine, Step};
use super::stretch::{Side, Stretch};

/// What happens at a cue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CueKind {
    /// Get into the next position.
    Move,
    /// Hold the stretch.
    Stretch,
    /// Breathe in.
    Inhale,
    /// Hold with full lungs.
    Hold,
    /// Breathe out.
    Exhale,
    /// Hold with empty lungs.
    HoldOut,
    /// The routine is over.
    End,
}

impl CueKind {
    /// The word in machine output.
    pub fn id(self) -> &'static str {
        match self {
            Self::Move => "move",
            Self::Stretch => "stretch",
            Self::Inhale => "inhale",
            Self::Hold => "hold",
            Self::Exhale => "exhale",
            Self::HoldOut => "hold_out",
            Self::End => "end",
        }
    }
}

/// One cue of a [`Timeline`].
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// Offset from the start, milliseconds.
    pub at_ms: u64,
    /// Length, milliseconds; 0 for the end.
    pub for_ms: u64,
    /// What happens.
    pub kind: CueKind,
    /// What is said or shown.
    pub text: String,
    /// Which step of the routine a move or stretch cue belongs to.
    pub step: Option<usize>,
    /// Which breath, counted from 0, a breathing cue belongs to.
    pub breath: Option<u32>,
}

/// A routine compiled to cues that tile the time from 0 to `total_ms` without gap or overlap.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// The routine's id.
    pub id: String,
    /// Length, milliseconds.
    pub total_ms: u64,
    /// Cues in order; the last one is [`CueKind::End`] at `total_ms` with length 0.
    pub cues: Vec<Cue>,
}

impl Timeline {
    /// Compiles a routine. Words come from the library; a stretch that is no longer in it is called by
    /// its id, because a routine already begun has to be playable to its end.
    pub fn compile(routine: &Routine, library: &Library) -> Self {
        let mut cues = Builder::default();
        let mut before: Option<&Step> = None;
        for (index, step) in routine.steps.iter().enumerate() {
            let stretch = library.stretches.get(&step.stretch);
            cues.of_step(
                index,
                CueKind::Move,
                step.change_s,
                move_words(step, stretch, before),
            );
            cues.of_step(
                index,
                CueKind::Stretch,
                step.hold_s,
                hold_words(step, stretch),
            );
            before = Some(step);
        }
        for breath in 0..routine.cycles {
            cues.of_breath(breath, &routine.pattern);
        }
        cues.finish(&routine.id)
    }

    /// The cue that holds at an offset; the end for every offset at or after it.
    pub fn cue_at(&self, at_ms: u64) -> Option<&Cue> {
        let after = self.cues.partition_point(|cue| cue.at_ms <= at_ms);
        self.cues.get(after.checked_sub(1)?)
    }
}

#[derive(Default)]
struct Builder {
    at_ms: u64,
    cues: Vec<Cue>,
}

impl Builder {
    /// Adds a cue after the last one; nothing takes no time but the end.
    fn add(&mut self, kind: CueKind, for_ms: u64, text: String) -> Option<&mut Cue> {
        if for_ms == 0 {
            return None;
        }
        self.cues.push(Cue {
            at_ms: self.at_ms,
            for_ms,
            kind,
            text,
            step: None,
            breath: None,
        });
        self.at_ms += for_ms;
        self.cues.last_mut()
    }

    fn of_step(&mut self, index: usize, kind: CueKind, seconds: u32, text: String) {
        if let Some(cue) = self.add(kind, u64::from(seconds) * 1000, text) {
            cue.step = Some(index);
        }
    }

    fn of_breath(&mut self, breath: u32, pattern: &Pattern) {
        let inhale = if pattern.second_inhale_ms > 0 {
            "Inhale, then a second small sip"
        } else {
            "Inhale"
        };
        let phases = [
            (CueKind::Inhale, pattern.inhale_ms, inhale),
            (CueKind::Hold, pattern.hold_ms, "Hold"),
            (CueKind::Exhale, pattern.exhale_ms, "Exhale"),
            (CueKind::HoldOut, pattern.hold_out_ms, "Hold, lungs empty"),
        ];
        for (kind, for_ms, words) in phases {
            if let Some(cue) = self.add(kind, u64::from(for_ms), words.to_owned()) {
                cue.breath = Some(breath);
            }
        }
    }

    fn finish(mut self, id: &str) -> Timeline {
        self.cues.push(Cue {
            at_ms: self.at_ms,
            for_ms: 0,
            kind: CueKind::End,
            text: "That is all for tonight.".to_owned(),
            step: None,
            breath: None,
        });
        Timeline {
            id: id.to_owned(),
            total_ms: self.at_ms,
            cues: self.cues,
        }
    }
}

/// `Left side: ` where a side is named.
fn side_words(side: Side) -> &'static str {
    match side {
        Side::Left => "Left side: ",
        Side::Right => "Right side: ",
        Side::Both => "",
    }
}

fn name_of(step: &Step, stretch: Option<&Stretch>) -> String {
    stretch.map_or_else(
        || step.stretch.replace('_', " "),
        |stretch| stretch.name.clone(),
    )
}

fn move_words(step: &Step, stretch: Option<&Stretch>, before: Option<&Step>) -> String {
    let again = before.filter(|before| before.stretch == step.stretch);
    match (again, step.side) {
        (Some(before), Side::Left | Side::Right) if before.side != step.side => {
            format!("{}the same on this side.", side_words(step.side))
        }
        (Some(_), Side::Both) => "Once more.".to_owned(),
        (Some(_), side) => format!("{}once more.", side_words(side)),
        (None, side) => {
            let name = name_of(step, stretch);
            let set_up = stretch.map_or(String::new(), |stretch| format!(" {}", stretch.set_up));
            match side {
                Side::Left => format!("{name}, left side.{set_up}"),
                Side::Right => format!("{name}, right side.{set_up}"),
                Side::Both => format!("{name}.{set_up}"),
            }
        }
    }
}

fn hold_words(step: &Step, stretch: Option<&Stretch>) -> String {
    let side = side_words(step.side);
    match stretch {
        Some(stretch) => format!("{side}{} {}", stretch.feel, stretch.ease_off),
        None => format!("{side}{}.", name_of(step, stretch)),
    }
}

#[cfg(test)]
mod tests;
