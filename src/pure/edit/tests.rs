use proptest::prelude::*;

use super::*;

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

const TEXT: &str = "\
# head
timezone = 'Europe/Oslo' # home

[nights] # times
bedtime = \"22:30\"   # lights out
fri = { bedtime = \"23:15\" } # late

# the wind-down
[evening]
minutes = 8 # five to ten
";

/// What `now` has that `TEXT` has not, and the other way round, line by line.
fn difference(now: &str) -> (Vec<&str>, Vec<&str>) {
    let without = |lines: &str, other: &str| -> bool { !other.lines().any(|line| line == lines) };
    let added = now.lines().filter(|line| without(line, TEXT)).collect();
    let gone = TEXT.lines().filter(|line| without(line, now)).collect();
    (added, gone)
}

#[test]
fn a_changed_line_keeps_its_comment_and_the_rest_its_letters() {
    let now = set_value(TEXT, &["evening", "minutes"], 12).unwrap();
    assert_eq!(
        difference(&now),
        (
            vec!["minutes = 12 # five to ten"],
            vec!["minutes = 8 # five to ten"]
        )
    );
    let now = set_value(TEXT, &["nights", "bedtime"], "23:00").unwrap();
    assert_eq!(
        difference(&now),
        (
            vec!["bedtime = \"23:00\"   # lights out"],
            vec!["bedtime = \"22:30\"   # lights out"]
        )
    );
}

#[test]
fn a_value_that_says_the_same_keeps_its_spelling() {
    assert_eq!(set_value(TEXT, &["timezone"], "Europe/Oslo").unwrap(), TEXT);
    assert_eq!(
        set_value(
            "remind = [ 10,  10 ] # twice\n",
            &["remind"],
            Value::from_iter([10, 10])
        )
        .unwrap(),
        "remind = [ 10,  10 ] # twice\n"
    );
}

#[test]
fn new_keys_and_tables_stand_where_they_belong() {
    let cases: [(&[&str], Value, &str); 4] = [
        (&["evening", "settle"], 12.into(), "settle = 12"),
        (
            &["nights", "sat", "wake"],
            "07:00".into(),
            "sat = { wake = \"07:00\" }",
        ),
        (&["born"], 1991.into(), "born = 1991"),
        (&["page", "on"], false.into(), "[page]\non = false"),
    ];
    for (path, value, line) in cases {
        let now = set_value(TEXT, path, value.clone()).unwrap();
        assert!(now.contains(line), "{now}");
        assert!(difference(&now).1.is_empty(), "{now}");
        let read: toml::Table = toml::from_str(&now).unwrap();
        let (key, tables) = path.split_last().unwrap();
        let table = tables
            .iter()
            .fold(&read, |table, key| table[*key].as_table().unwrap());
        assert_eq!(table[*key].to_string(), value.decorated("", "").to_string());
    }
}

#[test]
fn a_table_in_braces_grows_without_a_gap() {
    let now = set_value(TEXT, &["nights", "fri", "wake"], "07:00").unwrap();
    assert!(
        now.contains("fri = { bedtime = \"23:15\", wake = \"07:00\" } # late\n"),
        "{now}"
    );
}

#[test]
fn a_removed_value_takes_only_its_line() {
    let now = remove_value(TEXT, &["nights", "fri"]).unwrap();
    assert_eq!(
        difference(&now),
        (vec![], vec!["fri = { bedtime = \"23:15\" } # late"])
    );
    assert_eq!(
        remove_value(TEXT, &["nights", "sat", "wake"]).unwrap(),
        TEXT
    );
}

const LIST: [&str; 2] = ["nights", "on"];

#[test]
fn dated_tables_are_added_changed_and_removed() {
    let christmas = date("2026-12-24");
    let wake = |time: &str| [("bedtime", None), ("wake", Some(Value::from(time)))];
    let one = put_dated_row(TEXT, &LIST, ("date", christmas), &wake("09:00")).unwrap();
    assert!(
        one.contains("\n[[nights.on]]\ndate = 2026-12-24\nwake = \"09:00\"\n"),
        "{one}"
    );
    let two = put_dated_row(&one, &LIST, ("date", date("2026-12-26")), &wake("08:00")).unwrap();
    assert_eq!(two.matches("[[nights.on]]").count(), 2);
    let changed = put_dated_row(&two, &LIST, ("date", christmas), &wake("10:00")).unwrap();
    assert_eq!(changed, two.replace("09:00", "10:00"));
    let without = remove_dated_row(&changed, &LIST, ("date", christmas)).unwrap();
    assert!(
        !without.contains("2026-12-24") && without.contains("2026-12-26"),
        "{without}"
    );
    let back = remove_dated_row(&one, &LIST, ("date", christmas)).unwrap();
    assert_eq!(back, TEXT);
}

#[test]
fn a_list_written_in_braces_stays_so() {
    let text = "[nights]\non = [{ date = \"2026-12-24\", wake = \"09:00\" }] # feast\n";
    let now = put_dated_row(
        text,
        &LIST,
        ("date", date("2026-12-26")),
        &[("wake", Some("08:00".into()))],
    )
    .unwrap();
    assert!(now.starts_with("[nights]\non = [{ date = \"2026-12-24\", wake = \"09:00\" }, { date = 2026-12-26, wake = \"08:00\" }] # feast"), "{now}");
    let changed = put_dated_row(
        text,
        &LIST,
        ("date", date("2026-12-24")),
        &[("wake", None), ("bedtime", Some("23:00".into()))],
    )
    .unwrap();
    assert!(
        changed.contains("bedtime = \"23:00\"") && !changed.contains("wake"),
        "{changed}"
    );
}

#[test]
fn what_cannot_be_changed_is_said_with_a_way_out() {
    let said = |result: Result<String, CannotEdit>| result.unwrap_err().to_string();
    assert_eq!(
        said(set_value("a = [1\n", &["b"], 1)),
        "the file is no TOML: unclosed array, expected `]`. Correct it first; the command check names the line."
    );
    assert_eq!(
        said(set_value("evening = 8\n", &["evening", "minutes"], 8)),
        "evening is no table in the file. Correct it first; the command check names the line."
    );
    assert_eq!(
        said(set_value(TEXT, &["evening"], 8)),
        "evening is a table in the file. Change it in the file itself."
    );
}

#[test]
fn lines_that_end_as_on_windows_are_still_read() {
    let now = set_value("a = 1\r\n# kept\r\nb = 2\r\n", &["b"], 3).unwrap();
    let read: toml::Table = toml::from_str(&now).unwrap();
    assert_eq!(
        (read["a"].as_integer(), read["b"].as_integer()),
        (Some(1), Some(3))
    );
    assert!(now.contains("# kept"), "{now}");
}

proptest! {
    /// Setting any number in any table leaves every other line as it was.
    #[test]
    fn other_lines_stay(key in "[a-z]{1,8}", number in 0_i64..1000) {
        let now = set_value(TEXT, &["evening", &key], number).unwrap();
        let others = TEXT.lines().filter(|line| !line.starts_with("minutes"));
        for line in others {
            prop_assert!(now.lines().any(|kept| kept == line), "{line} is gone from\n{now}");
        }
        let read: toml::Table = toml::from_str(&now).unwrap();
        prop_assert_eq!(read["evening"][&key].as_integer(), Some(number));
    }
}
