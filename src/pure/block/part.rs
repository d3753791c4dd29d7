//! One part of a session: its kind, its numbers, and how they change by week.

use std::ops::RangeInclusive;

use super::{Part, Work};
use crate::pure::document::{Placed, Section};
use crate::pure::region::Region;

/// A part as read, and how many weeks its `by_week` names.
pub(super) struct ReadPart {
    pub part: Option<Part>,
    pub by_week: Option<Placed<usize>>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Intervals,
    TimedRounds,
    Sets,
    Steady,
}

/// The kinds with the word in the file and the title where the coach gives none.
const KINDS: [(&str, (Kind, &str)); 4] = [
    ("intervals", (Kind::Intervals, "Intervals")),
    ("timed_rounds", (Kind::TimedRounds, "Timed rounds")),
    ("sets", (Kind::Sets, "Sets")),
    ("steady", (Kind::Steady, "Steady")),
];

/// A number of a part: its key, its bounds, and what to write where it is missing.
struct Number {
    key: &'static str,
    bounds: RangeInclusive<i64>,
    example: &'static str,
    /// What counts where it is not written; without one it has to be.
    usual: Option<u32>,
}

const ROUNDS: Number = number(
    "rounds",
    1..=100,
    "Write how many rounds, for example rounds = 8",
);
const WORK: Number = number(
    "work",
    1..=3600,
    "Write the seconds of work a round, for example work = 20",
);
const ROUND_REST: Number = number(
    "rest",
    0..=3600,
    "Write the seconds of rest a round, for example rest = 10",
);
const MINUTES: Number = number(
    "minutes",
    1..=300,
    "Write how many minutes, for example minutes = 12",
);
const SETS: Number = number("sets", 1..=50, "Write how many sets, for example sets = 3");
/// Rest between sets, 90 s where none is written (our own choice).
const SET_REST: Number = Number {
    usual: Some(90),
    ..number(
        "rest",
        0..=3600,
        "Write the seconds of rest between sets, for example rest = 90",
    )
};
const REPS: Number = number(
    "reps",
    1..=500,
    "Write the repetitions of each move, for example reps = 8",
);

const MOVES: &str = "moves";
const MOVES_EXAMPLE: &str =
    "Write the moves in their order, for example moves = [\"step-up\", \"press\"]";

const fn number(key: &'static str, bounds: RangeInclusive<i64>, example: &'static str) -> Number {
    Number {
        key,
        bounds,
        example,
        usual: None,
    }
}

impl Kind {
    /// The numbers of a kind.
    fn numbers(self) -> &'static [Number] {
        match self {
            Self::Intervals => &[ROUNDS, WORK, ROUND_REST],
            Self::TimedRounds => &[MINUTES, REPS],
            Self::Sets => &[SETS, REPS, SET_REST],
            Self::Steady => &[MINUTES],
        }
    }

    fn has_moves(self) -> bool {
        self != Self::Steady
    }

    /// Intervals and sets can be told by their title; rounds are nothing without their moves.
    fn needs_moves(self) -> bool {
        self == Self::TimedRounds
    }
}

/// What is written of a part's work, in the part itself or in one of its weeks.
#[derive(Clone, Default)]
struct Written {
    numbers: Vec<(&'static str, u32)>,
    moves: Option<Vec<String>>,
    /// Keys that are there, readable or not: they are not missing.
    present: Vec<&'static str>,
}

pub(super) fn read_part(section: &Section<'_, '_>) -> ReadPart {
    if !section.has("kind") {
        section.missing(
            "kind",
            "Write kind = \"intervals\", \"timed_rounds\", \"sets\" or \"steady\"",
        );
    }
    let Some((kind, usual_title)) = section.word("kind", &KINDS).map(|kind| kind.value) else {
        // Without a kind nobody can say which keys are meant.
        section.other_keys();
        return ReadPart {
            part: None,
            by_week: None,
        };
    };
    let title = section.text("title", "Step-ups").map(|title| title.value);
    let regions = regions(section);
    let base = Written::read(section, kind);
    let weeks = section.tables("by_week");
    let by_week: Vec<Work> = weeks
        .iter()
        .filter_map(|week| {
            let written = Written::read(week, kind);
            week.finish();
            written.or(&base).work(week, kind)
        })
        .collect();
    let work = if weeks.is_empty() || base.is_whole(kind) {
        base.work(section, kind)
    } else {
        by_week.first().cloned()
    };
    section.finish();
    ReadPart {
        part: work.map(|work| Part {
            title: title.unwrap_or_else(|| usual_title.to_owned()),
            work,
            regions,
            by_week,
        }),
        by_week: section.has("by_week").then(|| Placed {
            value: weeks.len(),
            span: section.place("by_week"),
        }),
    }
}

fn regions(section: &Section<'_, '_>) -> Option<Vec<Region>> {
    let name = section.name_of("regions");
    let written = section.texts("regions")?;
    Some(
        written
            .iter()
            .filter_map(|id| section.known_word(&name, id, &Region::ALL))
            .collect(),
    )
}

impl Written {
    fn read(section: &Section<'_, '_>, kind: Kind) -> Self {
        let mut written = Self::default();
        for number in kind.numbers() {
            if section.has(number.key) {
                written.present.push(number.key);
            }
            if let Some(value) = section.integer(number.key, number.bounds.clone()) {
                written
                    .numbers
                    .push((number.key, u32::try_from(value.value).unwrap_or(0)));
            }
        }
        if kind.has_moves() {
            if section.has(MOVES) {
                written.present.push(MOVES);
            }
            written.moves = moves(section);
        }
        written
    }

    /// What is written here, and below it what is written in `base`.
    fn or(mut self, base: &Self) -> Self {
        self.numbers.extend(&base.numbers);
        self.present.extend(&base.present);
        self.moves = self.moves.or_else(|| base.moves.clone());
        self
    }

    fn is_whole(&self, kind: Kind) -> bool {
        self.missing(kind).is_empty()
    }

    /// Keys that are required and not there, each with what to write.
    fn missing(&self, kind: Kind) -> Vec<(&'static str, &'static str)> {
        let numbers = kind
            .numbers()
            .iter()
            .filter(|number| number.usual.is_none())
            .map(|number| (number.key, number.example));
        let moves = kind.needs_moves().then_some((MOVES, MOVES_EXAMPLE));
        numbers
            .chain(moves)
            .filter(|(key, _)| !self.present.contains(key))
            .collect()
    }

    /// The work, or complaints about what is missing for it.
    fn work(&self, section: &Section<'_, '_>, kind: Kind) -> Option<Work> {
        for (key, example) in self.missing(kind) {
            section.missing(key, example);
        }
        let number = |wanted: &Number| {
            self.numbers
                .iter()
                .find(|(key, _)| *key == wanted.key)
                .map(|(_, value)| *value)
                .or(wanted.usual)
        };
        let moves = self.moves.clone().unwrap_or_default();
        Some(match kind {
            Kind::Intervals => Work::Intervals {
                rounds: number(&ROUNDS)?,
                work_s: number(&WORK)?,
                rest_s: number(&ROUND_REST)?,
                moves,
            },
            Kind::TimedRounds => Work::TimedRounds {
                minutes: number(&MINUTES)?,
                moves,
                reps: number(&REPS)?,
            },
            Kind::Sets => Work::Sets {
                sets: number(&SETS)?,
                reps: number(&REPS)?,
                moves,
                rest_s: number(&SET_REST)?,
            },
            Kind::Steady => Work::Steady {
                minutes: number(&MINUTES)?,
            },
        })
    }
}

fn moves(section: &Section<'_, '_>) -> Option<Vec<String>> {
    let written = section.texts(MOVES)?;
    if written.is_empty() {
        section.complain(
            &section.place(MOVES),
            format!("{} is empty", section.name_of(MOVES)),
            MOVES_EXAMPLE,
        );
    }
    for one in written.iter().filter(|one| one.value.trim().is_empty()) {
        section.complain(
            &one.span,
            format!("{} has an empty name", section.name_of(MOVES)),
            "Write the name of the move",
        );
    }
    Some(written.into_iter().map(|one| one.value).collect())
}
