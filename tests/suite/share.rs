//! Sharing with a coach, and a coach's look at many people's files.

mod people;

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::symlink;

use evenfall::pure::readiness::Band;
use serde_json::{Value, json};

use crate::support::Home;

const SETTINGS: &str =
    "timezone = \"Europe/Oslo\"\n[nights]\nbedtime = \"22:30\"\nwake = \"06:30\"\n";

const NOTE: &str = "quarrelled with the neighbour";

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS);
    for day in 6..12 {
        home.done(
            &format!("2026-01-{day:02}T07:00"),
            &[
                "morning",
                "--lights-out",
                "22:30",
                "--asleep-after",
                "15",
                "--wakings",
                "0",
                "--woke",
                "06:30",
                "--sleep",
                "4",
                "--fresh",
                "3",
                "--sore",
                "2",
                "--mood",
                "5",
                "--note",
                NOTE,
            ],
        );
    }
    home.done(
        "2026-01-07T19:00",
        &["train", "--other", "--minutes", "40", "--rpe", "6"],
    );
    home.done(
        "2026-01-08T08:00",
        &[
            "pain",
            "--in",
            "knee_left",
            "--level",
            "4",
            "--kind",
            "sharp",
        ],
    );
    home.done(
        "2026-01-09T08:00",
        &["pain", "--sign", "thoughts_of_self_harm"],
    );
    home
}

fn share(home: &Home, more: &[&str]) -> (Value, String, String) {
    let file = home.path().join("out/ada.html");
    let mut arguments = vec![
        "share",
        file.to_str().expect("path"),
        "--weeks",
        "2",
        "--as",
        "Ada",
        "--write",
    ];
    arguments.extend(more);
    let said = home.json("2026-01-11T12:00", &arguments);
    let read = |ending: &str| fs::read_to_string(file.with_extension(ending)).expect("file");
    (said, read("html"), read("csv"))
}

fn header(csv: &str) -> Vec<&str> {
    csv.lines().next().expect("header").split(',').collect()
}

#[test]
fn notes_pain_and_ratings_stay_at_home_unless_they_are_named() {
    let home = home();
    let (said, page, csv) = share(&home, &[]);
    assert_eq!(
        said["items"],
        json!(["evenings", "sleep", "load", "readiness"])
    );
    let columns: BTreeSet<&str> = header(&csv).into_iter().collect();
    for kept in [
        "note",
        "pain",
        "caution",
        "sleep_quality",
        "freshness",
        "soreness",
        "mood",
    ] {
        assert!(!columns.contains(kept), "{kept} is in the csv");
    }
    for kept in [NOTE, "knee", "clinician", "sharp pain"] {
        assert!(
            !page.contains(kept) && !csv.contains(kept),
            "{kept} went out"
        );
    }
    // Pain in a loaded region would show in the band, so it is that of the score alone.
    assert!(
        csv.contains("Ada,2026-01-11,1,") && !csv.contains("stop_and_seek_help"),
        "{csv}"
    );
    let (_, page, csv) = share(&home, &["--with", "pain,notes"]);
    assert!(csv.contains(NOTE) && page.contains(NOTE));
    assert!(
        csv.contains("clinician_soon") && csv.contains("sharp pain (left knee)"),
        "{csv}"
    );
    let (_, _, csv) = share(&home, &["--without", "evenings,sleep,load,readiness"]);
    assert_eq!(header(&csv), ["person", "date", "answered"]);
}

#[test]
fn some_things_are_never_shared() {
    let home = home();
    let (_, page, csv) = share(&home, &["--with", "pain,notes,ratings"]);
    for text in [&page, &csv] {
        assert!(
            !text.contains("harm") && !text.contains("emergency_now"),
            "{text}"
        );
        // Neither by what it does to the band, nor by how many such days are counted.
        assert!(!text.contains("stop_and_seek_help"), "{text}");
        assert!(
            !text.contains(Band::StopAndSeekHelp.words()),
            "a band tells of it: {text}"
        );
    }
    assert!(
        page.contains("the band was lower than as planned on 0 days."),
        "{page}"
    );
    // Said once for all its days.
    assert_eq!(page.matches("sharp pain (left knee)").count(), 1, "{page}");
    assert!(page.contains("Thu 8 Jan to Sun 11 Jan: "), "{page}");
}

#[test]
fn nothing_is_written_unasked_and_what_is_written_is_private() {
    use std::os::unix::fs::PermissionsExt;
    let home = home();
    let file = home.path().join("ada");
    let arguments = ["share", file.to_str().expect("path"), "--with", "notes"];
    let said = home.done("2026-01-11T12:00", &arguments);
    assert!(
        said.out.contains("no   pain") && said.out.contains("yes  notes"),
        "{}",
        said.out
    );
    assert!(said.out.contains(NOTE), "what goes out is shown in full");
    assert!(said.out.contains("--write writes it"), "{}", said.out);
    assert!(!file.with_extension("csv").exists() && !file.with_extension("html").exists());
    let (said, _, _) = share(&home, &[]);
    let csv = said["csv"].as_str().expect("path");
    let mode = fs::metadata(csv).expect("file").permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
}

#[test]
fn the_page_stands_alone() {
    let (_, page, _) = share(&home(), &["--with", "ratings"]);
    assert!(page.starts_with("<!DOCTYPE html>"));
    assert!(!page.contains("<script") && !page.contains("<link") && !page.contains("@import"));
    let elsewhere = page.replace("http://www.w3.org/2000/svg", "");
    assert!(
        !elsewhere.contains("http://")
            && !elsewhere.contains("https://")
            && !elsewhere.contains("src=")
    );
    assert_eq!(page.matches("<svg").count(), 3);
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn what_cannot_be_meant_is_refused() {
    let home = Home::new();
    for (arguments, said) in [
        (&["share", "x", "--with", "dreams"][..], "readiness"),
        (
            &["share", "x", "--with", "notes", "--without", "notes"][..],
            "Leave one of them out",
        ),
        (&["share", "x", "--as", "=1+1"][..], "letters and digits"),
    ] {
        let refused = home.run("2026-01-11T12:00", arguments);
        assert_eq!(refused.code, 2, "{arguments:?}");
        assert!(refused.err.contains(said), "{arguments:?}: {}", refused.err);
    }
    let empty = home.path().join("empty");
    fs::create_dir(&empty).expect("folder");
    let said = home.run(
        "2026-01-11T12:00",
        &["roster", empty.to_str().expect("path")],
    );
    assert_eq!(said.code, 1);
    assert!(said.err.contains("evenfall share"), "{}", said.err);
}

#[test]
fn a_shared_file_goes_straight_into_the_roster() {
    let home = home();
    share(&home, &["--with", "pain"]);
    let folder = home.path().join("out");
    let folder = folder.to_str().expect("path");
    fs::write(
        home.path().join("out/broken.csv"),
        "person,date,answered\nbo,yesterday,1\n",
    )
    .expect("file");
    // A link back up would read everything again, without end.
    symlink(home.path().join("out"), home.path().join("out/again")).expect("link");
    let roster = home.done("2026-01-13T12:00", &["roster", folder]);
    let first = roster.out.lines().next().unwrap_or_default();
    assert!(first.starts_with("1 person in 2 files, "), "{first}");
    let last = "1 row could not be read, in 1 file: not counted.\n";
    assert!(roster.out.ends_with(last), "{}", roster.out);
    assert!(
        roster
            .out
            .contains("Ada                      clinician soon on 2026-01-11"),
        "{}",
        roster.out
    );
    assert!(
        roster
            .err
            .contains("broken.csv:2:1: `yesterday` is no date"),
        "{}",
        roster.err
    );
    let later = home.json("2026-01-16T12:00", &["roster", folder]);
    assert_eq!(
        later["stopped"],
        json!([{ "person": "Ada", "last_answer": "2026-01-11", "days": 4 }])
    );
    assert_eq!(later["faults"], 1);
}
