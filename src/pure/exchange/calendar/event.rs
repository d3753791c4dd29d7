//! What an event is once it has been read.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveDateTime};

use super::faults::{Place, shown};
use super::rule::Rule;
use super::value::Length;
use crate::pure::civil::{Instant, Zone};

/// When something starts: a whole day, or a wall time in a zone.
#[derive(Clone, Debug)]
pub(super) enum Start {
    Date(NaiveDate),
    At { wall: NaiveDateTime, zone: Zone },
}

impl Start {
    /// What it is compared by: two starts are the same if their keys are.
    pub(super) fn key(&self) -> Key {
        match self {
            Self::Date(date) => Key::Date(*date),
            Self::At { wall, zone } => Key::At(zone.resolve(*wall).earlier()),
        }
    }

    /// The wall time to expand a rule on; midnight for a whole day.
    pub(super) fn wall(&self) -> NaiveDateTime {
        match self {
            Self::Date(date) => date.and_time(chrono::NaiveTime::MIN),
            Self::At { wall, .. } => *wall,
        }
    }

    /// The same kind of start at another wall time.
    pub(super) fn at(&self, wall: NaiveDateTime) -> Self {
        match self {
            Self::Date(_) => Self::Date(wall.date()),
            Self::At { zone, .. } => Self::At {
                wall,
                zone: zone.clone(),
            },
        }
    }
}

/// A start as it is compared: by its date, or by its instant whatever zone it was written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Key {
    Date(NaiveDate),
    At(Instant),
}

/// The words of an event, shared by its occurrences.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Words {
    pub(super) uid: Arc<str>,
    pub(super) summary: Arc<str>,
    pub(super) description: Option<Arc<str>>,
    pub(super) location: Option<Arc<str>>,
    pub(super) status: Option<Arc<str>>,
    pub(super) transparent: bool,
    pub(super) class: Option<Arc<str>>,
}

/// An event, or one changed occurrence of an event.
#[derive(Clone, Debug)]
pub(super) struct Event {
    pub(super) words: Words,
    pub(super) place: Place,
    /// The occurrence this one stands for, if it is a changed one.
    pub(super) replaces: Option<Key>,
    pub(super) sequence: i64,
    pub(super) stamp: Option<NaiveDateTime>,
    pub(super) start: Start,
    pub(super) length: Length,
    pub(super) rules: Vec<(Rule, Place)>,
    pub(super) left_out_rules: Vec<(Rule, Place)>,
    pub(super) more: Vec<(Start, Option<Length>)>,
    pub(super) left_out: Vec<Start>,
}

impl Event {
    /// How a message calls it.
    pub(super) fn called(&self) -> String {
        called(&self.words.summary, &self.words.uid)
    }
}

/// How a message calls an event of this title and identity.
pub(super) fn called(summary: &str, uid: &str) -> String {
    match (summary, uid) {
        ("", uid) => format!("the event {}", shown(uid)),
        (summary, "") => format!("the event `{}`", shown(summary)),
        (summary, uid) => format!("the event `{}` ({})", shown(summary), shown(uid)),
    }
}
