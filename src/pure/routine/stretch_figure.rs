//! The figure of a stretch as its file has it.

use std::sync::OnceLock;

use crate::pure::document::{Document, Section};

use super::figure::{Pose, parse_pose, read_pose};

/// The line with which the figure begins. In a shipped file it is the last table, below everything else.
const HEAD: &str = "\n[figure]";

/// The pose of a stretch's line figure: read with its file or, of a shipped file, when it is first looked at.
/// By default there is none.
#[derive(Clone, Debug, Default)]
pub struct StretchFigure {
    /// What a shipped file says of it; empty for any other file.
    text: &'static str,
    pose: OnceLock<Option<Box<Pose>>>,
}

impl StretchFigure {
    /// Reads the table `figure`, if there is one, and complains of everything in it that does not stand.
    pub(super) fn read(root: &Section<'_, '_>) -> Self {
        let pose = root.table("figure").and_then(|table| parse_pose(&table));
        Self {
            text: "",
            pose: OnceLock::from(pose.map(Box::new)),
        }
    }

    /// Divides the text of a shipped file into what is not the figure, and the figure.
    pub(super) fn set_aside(text: &'static str) -> (&'static str, Self) {
        let (words, text) = text.split_at(text.find(HEAD).unwrap_or(text.len()));
        let pose = OnceLock::new();
        (words, Self { text, pose })
    }

    /// The pose, if the file has one.
    pub fn pose(&self) -> Option<&Pose> {
        let read = || {
            let pose = Document::read("", self.text, |root| {
                root.table("figure").and_then(|table| read_pose(&table))
            });
            pose.ok().map(Box::new)
        };
        self.pose.get_or_init(read).as_deref()
    }
}

impl PartialEq for StretchFigure {
    fn eq(&self, other: &Self) -> bool {
        let same_text = !self.text.is_empty() && self.text == other.text;
        same_text || self.pose() == other.pose()
    }
}
