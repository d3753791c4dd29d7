use super::*;

/// Reads two numbers and a time, as a small file kind of its own.
fn complaints(text: &str) -> Vec<String> {
    let read = Document::read("file.toml", text, |root| {
        root.integer("a", 1..=9);
        root.integer("b", 1..=9);
        root.time("at");
        if !root.has("name") {
            root.missing("name", "Write a name");
        }
        root.text("name", "x");
        if let Some(part) = root.table("part") {
            part.integer("c", 1..=9);
            part.texts("list");
            part.finish();
        }
        Some(())
    });
    match read {
        Ok(()) => Vec::new(),
        Err(complaints) => complaints.iter().map(ToString::to_string).collect(),
    }
}

#[test]
fn what_fits_is_not_complained_of() {
    assert_eq!(
        complaints("name = \"x\"\na = 3\nat = 06:30\n[part]\nc = 0x7\nlist = []\n"),
        [""; 0]
    );
    assert_eq!(
        complaints("# only a name\nname = 'x'\npart.c = 2\n"),
        [""; 0]
    );
}

#[test]
fn complaints_come_in_the_order_of_the_text() {
    assert_eq!(
        complaints("at = 5\nb = 10\na = \"1\"\n[part]\nc = 1.5\nlist = [1]\n"),
        [
            "file.toml:1:1: name is missing. Write a name.",
            "file.toml:1:6: at is a whole number. Write a time of day in quotes, for example \"22:30\".",
            "file.toml:2:5: b = 10 is out of range. Write a whole number from 1 to 9.",
            "file.toml:3:5: a is a text. Write a whole number from 1 to 9.",
            "file.toml:5:5: part.c is a number with decimals. Write a whole number from 1 to 9.",
            "file.toml:6:9: part.list is a whole number. Write a list of texts in quotes.",
        ]
    );
}

/// Each slip against the grammar of TOML 1.1 with the words for it.
#[test]
fn a_slip_against_the_grammar_is_said_in_plain_words() {
    let cases = [
        (
            "at = 25:99",
            "1:6: 25:99 is no time of day. Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\".",
        ),
        (
            "at = 24:00",
            "1:6: 24:00 is no time of day. Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\".",
        ),
        (
            "at = 6:30",
            "1:6: 6:30 is no time of day. Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\".",
        ),
        (
            "day = 2026-02-30",
            "1:7: 2026-02-30 is no date of the calendar. Write a date as year-month-day, for example 2026-01-05.",
        ),
        (
            "name = Evening",
            "1:8: Evening stands without quotes. Write texts in quotes: \"Evening\".",
        ),
        (
            "name = \"Evening",
            "1:16: a text is not closed. End it with the quote it began with, in the same line.",
        ),
        (
            "name = \"\"\"Evening\n",
            "2:1: a text of several lines is not closed. End it with three quotes.",
        ),
        (
            "name = \"C:\\q\"",
            "1:12: a backslash stands for nothing here. Write \\\\ for a backslash, or use single quotes.",
        ),
        (
            "a = 1\na = 2",
            "2:1: a is written twice. Remove one of the two.",
        ),
        (
            "[part\nc = 1",
            "1:6: the name of a table is not closed. Write [name], or [[name]] for one of several.",
        ),
        ("a 1", "1:3: a key has no value. Write key = value."),
        ("a", "1:2: a key has no value. Write key = value."),
        ("a =", "1:4: a key has no value. Write key = value."),
        (
            "[part]\nlist = [\"x\", \"y\"\nc = 1",
            "3:1: a list is not written to its end. Write [a, b, c] with commas between and ] at the end.",
        ),
        (
            "part = { c = 1",
            "1:15: a table in braces is not written to its end. Write { key = value, key = value } with commas between and } at the end.",
        ),
        (
            "a = 08",
            "1:5: a number begins with 0. Write it without the 0, or a text in quotes.",
        ),
    ];
    for (text, said) in cases {
        assert_eq!(complaints(text), [format!("file.toml:{said}")], "{text}");
    }
}

#[test]
fn a_slip_in_one_line_does_not_hide_the_other_lines() {
    assert_eq!(
        complaints("at = 25:00\na = 12\nsurprise = 1\nb = nine\n[part]\nc = 0\n"),
        [
            "file.toml:1:6: 25:00 is no time of day. Write hours and minutes from 00:00 to 23:59, for example \"22:30\"; half past midnight is \"00:30\".",
            "file.toml:2:5: a = 12 is out of range. Write a whole number from 1 to 9.",
            "file.toml:3:1: surprise is not known. Remove it. Known here: a, at, b, name or part.",
            "file.toml:4:5: a value is neither a number, a date, true, false nor a text in quotes. Write texts in quotes and numbers in digits.",
            "file.toml:6:5: part.c = 0 is out of range. Write a whole number from 1 to 9.",
        ]
    );
}

#[test]
fn below_a_broken_structure_nothing_is_said_that_may_be_its_echo() {
    assert_eq!(
        complaints("a = 12\n[part\nname = \"x\"\nc = 20\n"),
        [
            "file.toml:1:5: a = 12 is out of range. Write a whole number from 1 to 9.",
            "file.toml:2:6: the name of a table is not closed. Write [name], or [[name]] for one of several.",
        ]
    );
}

#[test]
fn places_inside_a_text_are_found_where_it_is_written_plainly() {
    let text = "name = \"a bad word\"\npart.list = [\"\"]\n";
    let read = Document::read("file.toml", text, |root| {
        let name = root.text("name", "x")?;
        root.complain(&root.place_in(&name, 2), "bad", "Write good");
        root.other_keys();
        Some(())
    });
    assert_eq!(
        read.unwrap_err()[0].to_string(),
        "file.toml:1:11: bad. Write good."
    );
    let escaped = "name = \"a\\tbad word\"\n";
    let read = Document::read("file.toml", escaped, |root| {
        let name = root.text("name", "x")?;
        root.complain(&root.place_in(&name, 2), "bad", "Write good");
        Some(())
    });
    assert_eq!(
        read.unwrap_err()[0].to_string(),
        "file.toml:1:8: bad. Write good."
    );
}
