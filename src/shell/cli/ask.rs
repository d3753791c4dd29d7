//! Questions on the terminal: one line each, Enter takes what stands in brackets.

use std::io::{BufRead, IsTerminal, Write};

use textwrap::core::display_width;

use super::lines::{for_output, output_width, say};
use crate::pure::phrase::pieces;
use crate::shell::failure::Failure;

/// Whether there is somebody to ask.
pub fn can_ask() -> bool {
    std::io::stdin().is_terminal()
}

/// Asks until the answer can be read; `read` says what is wrong and what to write instead.
pub fn ask<T>(
    question: &str,
    default: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Result<T, Failure> {
    loop {
        let line = line(&format!(
            "{} ",
            for_output(&format!("{question} [{default}]"))
        ))?;
        let answer = if line.trim().is_empty() {
            default
        } else {
            line.trim()
        };
        match read(answer) {
            Ok(value) => return Ok(value),
            Err(wrong) => say(&format!("  {wrong}")),
        }
    }
}

/// Asks for yes or no.
pub fn yes(question: &str, default: bool) -> Result<bool, Failure> {
    ask(
        question,
        if default { "yes" } else { "no" },
        |answer| match answer.to_lowercase().as_str() {
            "y" | "yes" => Ok(true),
            "n" | "no" => Ok(false),
            _ => Err("Write yes or no.".to_owned()),
        },
    )
}

/// What stands for nothing of a list.
pub const NONE: &str = "none";

/// Prints a numbered list in as many columns as fit.
pub fn show_numbered(list: &[&str]) {
    for line in in_columns(list, output_width()) {
        println!("{line}");
    }
}

fn in_columns(list: &[&str], width: usize) -> Vec<String> {
    // Two for the margin, two for the number, two between the columns.
    let longest = list.iter().map(|words| display_width(words)).max();
    let column = longest.unwrap_or(0) + 5;
    let numbered: Vec<String> = list
        .iter()
        .enumerate()
        .map(|(index, words)| {
            let gap = " ".repeat(column.saturating_sub(display_width(words) + 3));
            format!("{:>2} {words}{gap}", index + 1)
        })
        .collect();
    numbered
        .chunks((width.saturating_sub(2) / column).max(1))
        .map(|row| format!("  {}", row.concat().trim_end()))
        .collect()
}

/// Asks for numbers of a list of so many; gives the places counted from 0.
pub fn choose(question: &str, many: usize) -> Result<Vec<usize>, Failure> {
    ask(question, NONE, |answer| read_places(answer, many))
}

fn read_places(answer: &str, many: usize) -> Result<Vec<usize>, String> {
    if answer == NONE {
        return Ok(Vec::new());
    }
    pieces(answer)
        .map(|piece| {
            piece
                .parse::<usize>()
                .ok()
                .filter(|number| (1..=many).contains(number))
                .map(|number| number - 1)
                .ok_or_else(|| format!("Write numbers from 1 to {many}, or {NONE}."))
        })
        .collect()
}

fn line(prompt: &str) -> Result<String, Failure> {
    let mut out = std::io::stdout().lock();
    let shown = out.write_all(prompt.as_bytes()).and_then(|()| out.flush());
    shown.map_err(|error| Failure::failed(format!("Cannot ask on this terminal: {error}.")))?;
    let mut line = String::new();
    match std::io::stdin().lock().read_line(&mut line) {
        Ok(0) => Err(Failure::failed(
            "The answers ended early; nothing was written. Start again when you like.",
        )),
        Ok(_) => Ok(line),
        Err(error) => Err(Failure::failed(format!(
            "Cannot read the answer: {error}. Nothing was written."
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_takes_the_columns_that_fit() {
        let list = ["neck", "shoulders", "chest"];
        assert_eq!(
            in_columns(&list, 80),
            ["   1 neck        2 shoulders   3 chest"]
        );
        assert_eq!(
            in_columns(&list, 30),
            ["   1 neck        2 shoulders", "   3 chest"]
        );
        assert_eq!(in_columns(&list, 3).len(), 3);
    }

    #[test]
    fn numbers_are_places_and_others_are_told() {
        assert_eq!(read_places("2, 1 3", 3), Ok(vec![1, 0, 2]));
        assert_eq!(read_places("none", 3), Ok(Vec::new()));
        for wrong in ["0", "4", "x", "-1"] {
            assert_eq!(
                read_places(wrong, 3),
                Err("Write numbers from 1 to 3, or none.".to_owned())
            );
        }
    }
}
