//! Texts that are no TOML: the reader's messages in words that say what to write instead.

use super::Document;

/// Complains of every place at which the text is no TOML. Returns the line from which on nothing can
/// be trusted, because the structure itself is broken there; `usize::MAX` if it is not.
pub(super) fn complain(document: &Document<'_>, errors: &[toml::de::Error]) -> usize {
    let mut errors: Vec<(usize, String, String)> = errors
        .iter()
        .map(|error| {
            let span = error.span().unwrap_or(0..0);
            let message = error.message().trim().to_owned();
            let written = document
                .text
                .get(span.clone())
                .unwrap_or_default()
                .trim()
                .to_owned();
            (span.start, message, written)
        })
        .collect();
    errors.sort_by_key(|(start, ..)| *start);
    let mut last_line = 0;
    for (start, message, written) in errors {
        let (line, _) = document.lines.place(start);
        // One slip makes several messages; the first of a line is the one that helps.
        if line == last_line {
            continue;
        }
        last_line = line;
        let (what, instead) = in_words(&message, &written);
        document.complain(start, what, instead);
        if !stays_in_its_line(&message) {
            return line + 1;
        }
    }
    usize::MAX
}

/// Whether the reader finds its way again in the next line.
fn stays_in_its_line(message: &str) -> bool {
    let known = [
        "invalid time",
        "invalid date",
        "invalid float",
        "invalid boolean",
        "invalid basic string",
        "invalid literal string",
        "string values must be quoted",
        "duplicate key",
        "unexpected leading zero",
        "missing escaped value",
        "redundant",
        "unexpected key or value",
        "extra `=`",
    ];
    known.iter().any(|known| message.starts_with(known))
}

/// The reader's messages by their beginnings, in plain words with what to write instead. `{}` stands
/// for what is written at the place.
const WORDS: [(&str, &str, &str); 20] = [
    (
        "duplicate key",
        "{} is written twice",
        "Remove one of the two",
    ),
    (
        "invalid time",
        "{} is no time of day",
        "Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\"",
    ),
    (
        "invalid date",
        "{} is no date of the calendar",
        "Write a date as year-month-day, for example 2026-01-05",
    ),
    (
        "unexpected leading zero",
        "a number begins with 0",
        "Write it without the 0, or a text in quotes",
    ),
    ("invalid float", NO_VALUE.0, NO_VALUE.1),
    ("invalid boolean", NO_VALUE.0, NO_VALUE.1),
    ("redundant", NO_VALUE.0, NO_VALUE.1),
    ("unclosed table", HEADER.0, HEADER.1),
    ("unclosed array table", HEADER.0, HEADER.1),
    ("invalid basic string", OPEN_TEXT.0, OPEN_TEXT.1),
    ("invalid literal string", OPEN_TEXT.0, OPEN_TEXT.1),
    (
        "invalid multi-line",
        "a text of several lines is not closed",
        "End it with three quotes",
    ),
    (
        "missing escaped value",
        "a backslash stands for nothing here",
        "Write \\\\ for a backslash, or use single quotes",
    ),
    ("key with no value", EMPTY.0, EMPTY.1),
    ("missing value", EMPTY.0, EMPTY.1),
    ("missing comma between array", LIST.0, LIST.1),
    ("extra comma in array", LIST.0, LIST.1),
    ("unexpected `=` in array", LIST.0, LIST.1),
    ("unclosed array", LIST.0, LIST.1),
    (
        "string values must be quoted",
        "{} stands without quotes",
        "Write texts in quotes: \"{}\"",
    ),
];

const NO_VALUE: (&str, &str) = (
    "a value is neither a number, a date, true, false nor a text in quotes",
    "Write texts in quotes and numbers in digits",
);
const HEADER: (&str, &str) = (
    "the name of a table is not closed",
    "Write [name], or [[name]] for one of several",
);
const OPEN_TEXT: (&str, &str) = (
    "a text is not closed",
    "End it with the quote it began with, in the same line",
);
const EMPTY: (&str, &str) = ("a key has no value", "Write key = value");
const LIST: (&str, &str) = (
    "a list is not written to its end",
    "Write [a, b, c] with commas between and ] at the end",
);
const BRACES: (&str, &str) = (
    "a table in braces is not written to its end",
    "Write { key = value, key = value } with commas between and } at the end",
);

fn in_words(message: &str, written: &str) -> (String, String) {
    let filled = |text: &str| text.replace("{}", written);
    if message.starts_with("string values must be quoted") && written.is_empty() {
        return (EMPTY.0.to_owned(), EMPTY.1.to_owned());
    }
    if let Some((_, what, instead)) = WORDS
        .iter()
        .find(|(begins, ..)| message.starts_with(begins))
    {
        return (filled(what), filled(instead));
    }
    // Of tables in braces there are many messages, and one remedy.
    if message.contains("inline table") || message.contains("key-value pairs") {
        return (BRACES.0.to_owned(), BRACES.1.to_owned());
    }
    let what = format!("this is no TOML ({message})");
    (
        what,
        "Write key = value, [table] or a comment after #".to_owned(),
    )
}
