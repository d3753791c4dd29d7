//! `export all` and `import`: one file restores everything.

use std::collections::BTreeMap;

use proptest::prelude::*;
use rusqlite::Connection;
use rusqlite::types::Value;

use super::{diary, lived_in, morning};
use crate::support::Home;

/// Every row of every table but the facts that a home gets by itself.
fn contents(home: &Home) -> BTreeMap<String, Vec<Vec<Value>>> {
    let store = Connection::open(diary(home)).expect("open");
    let mut names = store
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        .expect("tables");
    let names: Vec<String> = names
        .query_map([], |row| row.get(0))
        .expect("names")
        .map(|name| name.expect("name"))
        .collect();
    let rows = |table: &String| {
        let mut statement = store
            .prepare(&format!("SELECT * FROM \"{table}\""))
            .expect("table");
        let width = statement.column_count();
        let mut rows: Vec<Vec<Value>> = statement
            .query_map([], |row| (0..width).map(|at| row.get(at)).collect())
            .expect("rows")
            .map(|row| row.expect("row"))
            .collect();
        rows.sort_by_key(|row| format!("{row:?}"));
        rows
    };
    names
        .into_iter()
        .map(|name| (name.clone(), rows(&name)))
        .collect()
}

fn round_trip(home: &Home) -> Home {
    let folder = tempfile::tempdir().expect("folder");
    let file = folder.path().join("all.evenfall");
    let file = file.to_str().expect("path");
    let said = home.run("2026-03-01T09:00", &["export", "all", file]);
    assert_eq!(said.code, 0, "{said:?}");
    let other = Home::new();
    let said = other.run("2026-03-01T09:00", &["import", file]);
    assert_eq!(said.code, 0, "{said:?}");
    let again = other.run("2026-03-01T09:00", &["import", file]);
    assert_eq!(again.code, 0, "{again:?}");
    assert!(again.out.contains("there already"), "{again:?}");
    other
}

#[test]
fn an_archive_restores_records_and_files() {
    let home = lived_in();
    home.write("routines/patterns/own.toml", "# mine\n");
    let other = round_trip(&home);
    assert_eq!(contents(&other), contents(&home));
    for name in ["settings.toml", "routines/patterns/own.toml"] {
        let read = |home: &Home| std::fs::read(home.path().join(name)).expect("file");
        assert_eq!(read(&other), read(&home), "{name}");
    }
}

#[test]
fn a_command_in_the_settings_of_an_archive_is_shown() {
    let home = lived_in();
    home.write(
        "settings.toml",
        "timezone = \"UTC\"\n[evening]\nstart = [\"foot\", \"-e\", \"follow\"]\n",
    );
    let folder = tempfile::tempdir().expect("folder");
    let file = folder.path().join("all.evenfall");
    let file = file.to_str().expect("path");
    let at = "2026-03-01T09:00";
    assert_eq!(home.run(at, &["export", "all", file]).code, 0);
    for more in [&["--dry-run"][..], &[]] {
        let said = Home::new().run(at, &[&["import", file], more].concat());
        assert_eq!(said.code, 0, "{said:?}");
        assert!(said.out.contains("foot -e follow"), "{said:?}");
    }
}

#[test]
fn an_archive_never_overwrites() {
    let home = lived_in();
    let folder = tempfile::tempdir().expect("folder");
    let file = folder.path().join("all.evenfall");
    let file = file.to_str().expect("path");
    assert_eq!(
        home.run("2026-03-01T09:00", &["export", "all", file]).code,
        0
    );
    // Other records.
    let other = Home::new();
    other.write("settings.toml", "timezone = \"UTC\"\nborn = 1991\n");
    assert_eq!(morning(&other, "2026-02-01").code, 0);
    let before = contents(&other);
    let said = other.run("2026-03-01T09:00", &["import", file]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("Nothing was changed"), "{said:?}");
    assert_eq!(contents(&other), before);
    // Other settings.
    let other = Home::new();
    other.write("settings.toml", "timezone = \"Europe/Oslo\"\n");
    let said = other.run("2026-03-01T09:00", &["import", file]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("settings.toml"), "{said:?}");
    assert!(!diary(&other).exists() || contents(&other)["morning"].is_empty());
}

#[test]
fn what_is_no_archive_is_refused_whole() {
    let home = Home::new();
    let whole = {
        let from = lived_in();
        let folder = tempfile::tempdir().expect("folder");
        let file = folder.path().join("all.evenfall");
        let path = file.to_str().expect("path");
        assert_eq!(
            from.run("2026-03-01T09:00", &["export", "all", path]).code,
            0
        );
        std::fs::read(file).expect("archive")
    };
    for broken in [
        &b""[..],
        b"PK\x03\x04 something else",
        &whole[..whole.len() / 2],
        &whole[..300],
    ] {
        home.write("in.evenfall", "");
        std::fs::write(home.path().join("in.evenfall"), broken).expect("write");
        let path = home.path().join("in.evenfall");
        let said = home.run(
            "2026-03-01T09:00",
            &["import", path.to_str().expect("path")],
        );
        assert_eq!(said.code, 2, "{said:?}");
        assert!(said.err.contains("no archive"), "{said:?}");
    }
    // A name that would lead out of the home.
    let path = home.path().join("out.evenfall");
    std::fs::write(&path, &whole).expect("write");
    let archive = Connection::open(&path).expect("open");
    for name in [
        "../outside.toml",
        "routines/patterns/../../../x.toml",
        "/etc/x.toml",
        "routines/patterns/.x.toml",
    ] {
        archive
            .execute("UPDATE archive_file SET path = ?1", [name])
            .expect("renamed");
        let said = home.run(
            "2026-03-01T09:00",
            &["import", path.to_str().expect("path")],
        );
        assert_eq!(said.code, 2, "{name}: {said:?}");
        assert!(said.err.contains("no place in a home"), "{said:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn whatever_was_recorded_comes_back(
        mornings in proptest::collection::vec((0_i64..50, 1_u8..=5, "[ -~äöüß☾\n]{0,40}"), 0..6),
        sessions in proptest::collection::vec((0_i64..50, 1_u8..=10, 1_u32..200), 0..4),
    ) {
        let home = Home::new();
        home.write("settings.toml", "timezone = \"UTC\"\n");
        let first = chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("date");
        for (day, rating, note) in &mornings {
            let night = (first + chrono::Duration::days(*day)).to_string();
            let note = format!("--note={note}");
            let rating = rating.to_string();
            home.run("2026-03-01T09:00", &["morning", "--night", &night, "--mood", &rating, &note]);
        }
        for (day, rpe, minutes) in &sessions {
            let date = (first + chrono::Duration::days(*day)).to_string();
            let (rpe, minutes) = (rpe.to_string(), minutes.to_string());
            home.run("2026-03-01T09:00", &["train", "--date", &date, "--rpe", &rpe, "--minutes", &minutes]);
        }
        // A home in which nothing was recorded gets its store by the export.
        let other = round_trip(&home);
        prop_assert_eq!(contents(&other), contents(&home));
    }
}
