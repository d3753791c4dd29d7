//! The library, read when somebody first looks into it.

use std::ops::Deref;
use std::sync::OnceLock;

use super::RoutineText;
use crate::pure::complaint::Complaint;
use crate::pure::routine::embedded;
use crate::pure::routine::library::{Kind, Library, LibraryText};

/// The shipped library with the person's own files in it.
///
/// Own files are read at once, because there may be something to complain of. In the shipped ones there
/// is nothing (a test reads them all), and most commands, and the service for most of its life, do not
/// look into them: reading them would be half of what `today` costs.
#[derive(Clone, Debug, Default)]
pub struct LibraryOnDemand {
    read: OnceLock<Library>,
}

impl LibraryOnDemand {
    /// Of the person's own files, with what there is to complain of in them.
    pub(super) fn with_own(own: &[RoutineText]) -> (Self, Vec<Complaint>) {
        if own.is_empty() {
            return (Self::default(), Vec::new());
        }
        let own: Vec<LibraryText<'_>> = own
            .iter()
            .map(|text| LibraryText {
                file: &text.file,
                kind: text.kind,
                id: &text.id,
                text: &text.text,
            })
            .collect();
        let (library, complaints) = Library::load(embedded::TEXTS, &own);
        let read = OnceLock::from(library);
        (Self { read }, complaints)
    }

    /// The ids of the patterns; known without reading what is shipped.
    pub fn pattern_ids(&self) -> Vec<&str> {
        self.ids(Kind::Pattern, |library| {
            library.patterns.keys().map(String::as_str).collect()
        })
    }

    /// The ids of the evenings.
    pub fn evening_ids(&self) -> Vec<&str> {
        self.ids(Kind::Evening, |library| {
            library.evenings.keys().map(String::as_str).collect()
        })
    }

    fn ids<'s>(&'s self, kind: Kind, of: impl FnOnce(&'s Library) -> Vec<&'s str>) -> Vec<&'s str> {
        match self.read.get() {
            Some(library) => of(library),
            None => embedded::TEXTS
                .iter()
                .filter(|text| text.kind == kind)
                .map(|text| text.id)
                .collect(),
        }
    }
}

impl Deref for LibraryOnDemand {
    type Target = Library;

    fn deref(&self) -> &Library {
        self.read.get_or_init(Library::shipped)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_the_same_before_and_after_reading() {
        let library = LibraryOnDemand::default();
        let known = |library: &LibraryOnDemand| {
            [library.pattern_ids(), library.evening_ids()].map(|ids| {
                ids.into_iter()
                    .map(str::to_owned)
                    .collect::<std::collections::BTreeSet<_>>()
            })
        };
        let before = known(&library);
        assert!(library.read.get().is_none());
        assert!(!library.stretches.is_empty());
        assert!(library.read.get().is_some());
        assert_eq!(known(&library), before);
        assert!(before.iter().all(|ids| !ids.is_empty()));
    }
}
