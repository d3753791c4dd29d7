//! Lines that fit the terminal: broken between words, never inside one. A pipe and a file get the lines as
//! they are, so that what reads them does not depend on a window.

use std::io::{IsTerminal, stderr, stdout};

/// Prose wider than this is hard to read (common practice, no source); tables may use the whole terminal.
const PROSE: usize = 88;

/// The words as standard output is to have them.
pub fn for_output(text: &str) -> String {
    fitted(&printable(text), width_of(&stdout()))
}

/// The words as standard error is to have them.
pub fn for_error(text: &str) -> String {
    fitted(&printable(text), width_of(&stderr()))
}

/// Notes, titles and names come from files that others may have written: what does not print is shown as
/// such and does not command the terminal. JSON escapes it by itself.
fn printable(text: &str) -> String {
    let printed = |letter: char| match letter {
        '\n' | '\t' => letter,
        _ if letter.is_control() => char::REPLACEMENT_CHARACTER,
        _ => letter,
    };
    text.chars().map(printed).collect()
}

/// Prints a line, or several, for a person.
pub fn say(text: &str) {
    println!("{}", for_output(text));
}

/// Columns for a list on standard output: of the terminal, else of an ordinary one.
pub fn output_width() -> usize {
    width_of(&stdout()).unwrap_or(80)
}

/// Columns of the terminal behind a stream; `None` where there is none.
fn width_of(stream: &impl IsTerminal) -> Option<usize> {
    let terminal = stream.is_terminal();
    // Some terminals report a width of 0: nothing is known then.
    let columns = terminal.then(crossterm::terminal::size)?.ok()?.0;
    (columns > 0).then_some(usize::from(columns))
}

/// Breaks every line that is wider than `width`; what follows is set two columns further in than the line.
fn fitted(text: &str, width: Option<usize>) -> String {
    let Some(width) = width else {
        return text.to_owned();
    };
    let lines: Vec<String> = text
        .split('\n')
        .map(|line| {
            let words = line.trim_start_matches(' ');
            let width = if words.contains("  ") {
                width
            } else {
                width.min(PROSE)
            };
            let margin = " ".repeat(line.len() - words.len());
            // A paragraph keeps to its margin; an item of a list hangs behind its number, or by two.
            let further = match number_before(words) {
                0 if margin.is_empty() => String::new(),
                0 => format!("{margin}  "),
                number => format!("{margin}{}", " ".repeat(number)),
            };
            let options = textwrap::Options::new(width)
                .initial_indent(&margin)
                .subsequent_indent(&further)
                .break_words(false)
                .word_splitter(textwrap::WordSplitter::NoHyphenation);
            if textwrap::core::display_width(line) <= width {
                line.to_owned()
            } else {
                textwrap::fill(words, options)
            }
        })
        .collect();
    lines.join("\n")
}

/// Columns that a number and its gap take at the start of an item: 4 for `13  words`.
fn number_before(words: &str) -> usize {
    let behind = words.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let gap = behind.trim_start_matches(' ');
    let numbered = behind.len() < words.len() && behind.starts_with("  ");
    if numbered { words.len() - gap.len() } else { 0 }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn lines_break_between_words_and_keep_their_margin() {
        let text = "Before your first session\n  Palm on the wall behind, 20 s each side\n";
        assert_eq!(
            fitted(text, Some(24)),
            "Before your first\nsession\n  Palm on the wall\n    behind, 20 s each\n    side\n"
        );
        assert_eq!(fitted(text, None), text);
        assert_eq!(fitted(text, Some(80)), text);
    }

    #[test]
    fn what_is_numbered_hangs_behind_its_number() {
        assert_eq!(
            fitted("  13  Is your urine dark like tea", Some(22)),
            "  13  Is your urine\n      dark like tea"
        );
        assert_eq!(number_before("8 min of wind-down"), 0);
    }

    #[test]
    fn a_long_path_stays_whole_and_a_table_uses_the_terminal() {
        let path = "Written: /a/very/long/path/to/a/file/settings.toml";
        assert_eq!(
            fitted(path, Some(20)),
            "Written:\n/a/very/long/path/to/a/file/settings.toml"
        );
        let row = format!("a  {}", "b ".repeat(50).trim_end());
        assert_eq!(fitted(&row, Some(120)), row);
    }

    proptest! {
        #[test]
        fn no_word_is_lost_or_broken(text in "[a-zé ,.\n]{0,200}", width in 10_usize..120) {
            let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            prop_assert_eq!(words(&fitted(&text, Some(width))), words(&text));
        }
    }
}
