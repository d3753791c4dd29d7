//! What is wrong in a file, where, and what to write instead.

use std::fmt::{self, Write};

/// One fault in a text a person wrote, in the form every command prints:
/// `file:line:column: what is wrong. What to write instead.`
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Complaint {
    /// The file as the person knows it.
    pub file: String,
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// What is wrong, a sentence without its full stop.
    pub what: String,
    /// What to write instead, a sentence without its full stop.
    pub instead: String,
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            file,
            line,
            column,
            what,
            instead,
        } = self;
        // Words of a foreign file come back in it: what does not print would command the terminal.
        for letter in format!("{file}:{line}:{column}: {what}. {instead}.").chars() {
            if letter.is_control() && letter != '\n' {
                write!(f, "{}", letter.escape_unicode())?;
            } else {
                f.write_char(letter)?;
            }
        }
        Ok(())
    }
}

/// Line and column of byte offsets in a text.
#[derive(Clone, Debug)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Notes where the lines of `text` start.
    pub fn new(text: &'t str) -> Self {
        let after_breaks = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            text,
            starts: std::iter::once(0).chain(after_breaks).collect(),
        }
    }

    /// Line and column, both counted from 1, columns in characters.
    pub fn place(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= byte);
        let start = self
            .starts
            .get(line.saturating_sub(1))
            .copied()
            .unwrap_or(0);
        let column = self
            .text
            .get(start..byte)
            .map_or(1, |before| before.chars().count() + 1);
        (line, column)
    }
}

/// Slips between two words; capitals are none.
fn distance(word: &str, candidate: &str) -> usize {
    strsim::damerau_levenshtein(&word.to_lowercase(), &candidate.to_lowercase())
}

/// A word longer than this is no slip of the pen.
const LONGEST_SLIP: usize = 60;

/// The known word nearest to a misspelt one, if any is near enough to be meant.
pub fn nearest<'w>(word: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    if word.len() > LONGEST_SLIP {
        return None;
    }
    known
        .into_iter()
        .map(|candidate| (distance(word, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= candidate.len() / 3)
        .min()
        .map(|(_, candidate)| candidate)
}

/// Words in a row as a person would list them: `a, b or c`.
pub fn one_of<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    match words.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [rest @ .., last] => format!("{} or {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_characters_not_bytes() {
        let lines = Lines::new("a = 1\nnäme = 2\n");
        assert_eq!(lines.place(0), (1, 1));
        assert_eq!(lines.place(6), (2, 1));
        assert_eq!(lines.place("a = 1\nnäme ".len()), (2, 6));
        assert_eq!(lines.place(9999), (3, 1));
    }

    #[test]
    fn a_slip_is_recognised_and_nonsense_is_not() {
        assert_eq!(nearest("bedtme", ["bedtime", "wake"]), Some("bedtime"));
        assert_eq!(nearest("surprise", ["bedtime", "wake"]), None);
        assert_eq!(
            nearest("no", ["on", "off"]),
            None,
            "short words are too near to each other"
        );
    }

    #[test]
    fn lists_read_like_a_sentence() {
        assert_eq!(one_of(["a"]), "a");
        assert_eq!(one_of(["a", "b", "c"]), "a, b or c");
    }
}
