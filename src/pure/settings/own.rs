//! Changes to the list of prompts of the person's own that keep the rest of the file as it was written.

use toml_edit::Value;

use crate::pure::edit::{CannotEdit, add_row, change_row, remove_row};

const OWN: [&str; 2] = ["prompts", "own"];

fn row<'a>(when: &str, text: &str) -> [(&'a str, Option<Value>); 2] {
    [("when", Some(when.into())), ("text", Some(text.into()))]
}

/// Adds one at the end.
///
/// # Errors
/// The text is no TOML, or `prompts` is no table.
pub fn add_own(text: &str, when: &str, says: &str) -> Result<String, CannotEdit> {
    add_row(text, &OWN, &row(when, says))
}

/// Changes the one at a place, counted from 0; its comments stay.
///
/// # Errors
/// The text is no TOML, or there is none at this place.
pub fn change_own(text: &str, place: usize, when: &str, says: &str) -> Result<String, CannotEdit> {
    change_row(text, &OWN, place, &row(when, says))
}

/// Removes the one at a place, counted from 0.
///
/// # Errors
/// The text is no TOML, or there is none at this place.
pub fn remove_own(text: &str, place: usize) -> Result<String, CannotEdit> {
    remove_row(text, &OWN, place)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "\
# mine
[prompts]
morning = \"off\" # I wake when I wake

# against the evening coffee
[[prompts.own]]
when = \"0 30 13 * * Mon-Fri\" # after lunch
text = \"Last coffee of the day\"

[[prompts.own]]
when = \"0 0 20 * * *\"
text = \"Lay out the kit\" # shoes too

[page]
on = true # always
";

    #[test]
    fn one_is_changed_and_every_comment_stays() {
        let text = change_own(FILE, 0, "0 0 14 * * *", "Last coffee of the day").expect("changed");
        let wanted = FILE.replace("0 30 13 * * Mon-Fri", "0 0 14 * * *");
        assert_eq!(text, wanted);
    }

    #[test]
    fn one_is_added_after_the_others() {
        let text = add_own(FILE, "0 0 9 * * Sat", "Wash the mat").expect("added");
        for line in FILE.lines() {
            assert!(text.contains(line), "{line} is gone from {text}");
        }
        let place = |words: &str| text.find(words).expect("there");
        assert!(place("Lay out the kit") < place("Wash the mat"));
        let first = add_own("# nothing else\n", "0 0 9 * * Sat", "Wash the mat").expect("added");
        assert!(first.contains("# nothing else\n"), "{first}");
        assert!(first.contains("[[prompts.own]]"), "{first}");
    }

    #[test]
    fn one_is_removed_and_the_others_stay() {
        let text = remove_own(FILE, 0).expect("removed");
        assert!(!text.contains("coffee of the day"), "{text}");
        for line in ["# mine", "[page]", "text = \"Lay out the kit\" # shoes too"] {
            assert!(text.contains(line), "{line} is gone from {text}");
        }
        assert!(remove_own(FILE, 2).is_err());
        assert!(change_own(FILE, 2, "@daily", "x").is_err());
        assert!(remove_own("", 0).is_err());
    }
}
