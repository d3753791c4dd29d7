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

fn in_words(message: &str, written: &str) -> (String, String) {
    let said = |what: &str, instead: &str| (what.to_owned(), instead.to_owned());
    let first = |beginning: &str| message.starts_with(beginning);
    if first("string values must be quoted") && written.is_empty() {
        return said("a key has no value", "Write key = value");
    }
    if first("string values must be quoted") {
        return (
            format!("{written} stands without quotes"),
            format!("Write texts in quotes: \"{written}\""),
        );
    }
    if first("duplicate key") {
        return (
            format!("{written} is written twice"),
            "Remove one of the two".to_owned(),
        );
    }
    if first("invalid time") {
        return (
            format!("{written} is no time of day"),
            "Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\"".to_owned(),
        );
    }
    if first("invalid date") {
        return (
            format!("{written} is no date of the calendar"),
            "Write a date as year-month-day, for example 2026-01-05".to_owned(),
        );
    }
    if first("unexpected leading zero") {
        return said(
            "a number begins with 0",
            "Write it without the 0, or a text in quotes",
        );
    }
    if first("invalid float") || first("invalid boolean") || first("redundant") {
        return said(
            "a value is neither a number, a date, true, false nor a text in quotes",
            "Write texts in quotes and numbers in digits",
        );
    }
    if first("unclosed table") || first("unclosed array table") {
        return said(
            "the name of a table is not closed",
            "Write [name], or [[name]] for one of several",
        );
    }
    if first("invalid basic string") || first("invalid literal string") {
        return said(
            "a text is not closed",
            "End it with the quote it began with, in the same line",
        );
    }
    if first("invalid multi-line") {
        return said(
            "a text of several lines is not closed",
            "End it with three quotes",
        );
    }
    if first("missing escaped value") {
        return said(
            "a backslash stands for nothing here",
            "Write \\\\ for a backslash, or use single quotes",
        );
    }
    if first("key with no value") || first("missing value") {
        return said("a key has no value", "Write key = value");
    }
    if message.contains("array") {
        return said(
            "a list is not written to its end",
            "Write [a, b, c] with commas between and ] at the end",
        );
    }
    if message.contains("inline table") || message.contains("key-value pairs") {
        return said(
            "a table in braces is not written to its end",
            "Write { key = value, key = value } with commas between and } at the end",
        );
    }
    (
        format!("this is no TOML ({message})"),
        "Write key = value, [table] or a comment after #".to_owned(),
    )
}
