//! Small pieces of English that sentences everywhere are made of.

use std::fmt::Display;

use chrono::NaiveDate;

/// The words with a capital at the start.
pub fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Words in a row: `calves`, `calves and feet`, `calves, feet and hips`; nothing for none.
pub fn listed(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// The pieces of a list as a person types it, with commas, blanks or both between them.
pub fn pieces(typed: &str) -> impl Iterator<Item = &str> {
    typed.split([',', ' ']).filter(|piece| !piece.is_empty())
}

/// Plurals, at the end of a noun, that are more than an s more.
const IRREGULAR: [(&str, &str); 2] = [("people", "person"), ("entries", "entry")];

/// A number with its noun, given in the plural: `1 morning`, `3 mornings`, `1 good row`, `1 person`. For
/// nouns whose plural is an s more, and the few others that are counted here.
pub fn counted(count: impl TryInto<u64>, nouns: &str) -> String {
    match count.try_into().unwrap_or(u64::MAX) {
        1 => format!("1 {}", singular(nouns)),
        count => format!("{count} {nouns}"),
    }
}

fn singular(nouns: &str) -> String {
    let irregular = IRREGULAR
        .iter()
        .find_map(|(many, one)| Some(format!("{}{one}", nouns.strip_suffix(many)?)));
    irregular.unwrap_or_else(|| nouns.strip_suffix('s').unwrap_or(nouns).to_owned())
}

/// A date in a sentence: `2 March 2026`.
pub fn long_date(date: NaiveDate) -> impl Display {
    date.format("%-d %B %Y")
}

/// `7 h 45 min`, `8 min`, `2 min 30 s`.
pub fn length(seconds: i64) -> String {
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    match (hours, minutes, rest) {
        (0, 0, rest) => format!("{rest} s"),
        (0, minutes, 0) => format!("{minutes} min"),
        (0, minutes, rest) => format!("{minutes} min {rest} s"),
        (hours, 0, _) => format!("{hours} h"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_and_capitals() {
        assert_eq!(listed(&[]), "");
        assert_eq!(listed(&["a"]), "a");
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
        assert_eq!(capitalised("élan at night"), "Élan at night");
        assert_eq!(capitalised(""), "");
    }

    #[test]
    fn one_is_singular() {
        let said = [0, 1, 2].map(|count| counted(count, "good rows"));
        assert_eq!(said, ["0 good rows", "1 good row", "2 good rows"]);
        let said = ["people", "old entries"].map(|nouns| counted(1, nouns));
        assert_eq!(said, ["1 person", "1 old entry"]);
        assert_eq!(counted(2, "people"), "2 people");
    }

    #[test]
    fn a_typed_list_may_have_commas_and_blanks() {
        assert_eq!(pieces("12,12, 11").collect::<Vec<_>>(), ["12", "12", "11"]);
        assert_eq!(pieces(" , ").count(), 0);
    }

    #[test]
    fn lengths_say_no_more_than_is_needed() {
        let said = [45, 60, 150, 3600, 27_900].map(length);
        assert_eq!(said, ["45 s", "1 min", "2 min 30 s", "1 h", "7 h 45 min"]);
    }
}
