//! What is shown first and then asked about, on a real terminal: nights that move, training days from a
//! calendar, and what is shared. Only a yes writes, and one command takes it back.

use std::path::PathBuf;

use crate::support::Home;
use crate::support::typed::typed;

const SETTINGS: &str = "# mine\ntimezone = \"Europe/Oslo\"\n[nights]\nbedtime = \"23:00\"   # late\nwake = \"07:00\"\n";

const BLOCK: &str = "name = \"Stairs\"\nstarts = 2026-01-05\n[[phase]]\nname = \"Groundwork\"\nweeks = 3\n\
    [phase.week]\nmon = \"legs\"\n[session.legs]\ntitle = \"Legs\"\nrpe = 7\nminutes = 30\nregions = { calves = 2 }\n";

const CALENDAR: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//our own//sample//EN\r\nBEGIN:VEVENT\r\n\
    UID:legs@sample\r\nDTSTAMP:20260101T000000Z\r\nSUMMARY:Legs\r\nDTSTART:20260106T120000Z\r\n\
    DURATION:PT45M\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS)
        .write("block.toml", BLOCK)
        .write("training.ics", CALENDAR);
    home
}

fn path(home: &Home, name: &str) -> PathBuf {
    home.path().join(name)
}

fn settings(home: &Home) -> String {
    std::fs::read_to_string(path(home, "settings.toml")).expect("settings")
}

const NOW: &str = "2026-01-05T12:00";

/// Runs it on a terminal with answers typed.
fn answered(home: &Home, words: &[&str], answers: &[&str]) -> (i32, String) {
    typed(home.command(NOW, words), answers)
}

const NIGHTS: [&[&str]; 2] = [
    &["shift-bedtime", "--to", "22:30", "--by", "2026-01-08"],
    &[
        "travel",
        "--zone",
        "America/New_York",
        "--from",
        "2026-01-10",
        "--to",
        "2026-01-12",
    ],
];

#[test]
fn nights_are_shown_then_asked_about_and_taken_back() {
    for words in NIGHTS {
        let home = home();
        let (code, shown) = answered(&home, words, &["no"]);
        assert_eq!(code, 0, "{shown}");
        let table = shown.find("lights out").expect("the nights");
        let question = shown
            .find("Write these nights into the settings?")
            .expect("a question");
        assert!(table < question, "{shown}");
        assert!(shown.contains("Nothing was written."), "{shown}");
        assert_eq!(settings(&home), SETTINGS);
        // Enter takes what stands in brackets, and that is no.
        let (code, shown) = answered(&home, words, &[""]);
        assert!(
            code == 0 && shown.contains("[no]") && shown.contains("Nothing was written."),
            "{shown}"
        );
        assert_eq!(settings(&home), SETTINGS);
        // What is neither is asked again.
        let (code, shown) = answered(&home, words, &["perhaps", "yes"]);
        assert_eq!(code, 0, "{shown}");
        assert!(shown.contains("Write yes or no."), "{shown}");
        assert!(
            shown.contains(&format!("evenfall {} --undo", words[0])),
            "{shown}"
        );
        let written = settings(&home);
        assert!(
            written.contains("[[nights.on]]") && written.contains("# late"),
            "{written}"
        );
        home.done(NOW, &[words[0], "--undo"]);
        assert_eq!(settings(&home), SETTINGS);
    }
}

#[test]
fn answers_that_end_early_write_nothing() {
    let home = home();
    let (code, shown) = answered(&home, NIGHTS[0], &[]);
    // One empty line is typed at the end of every run; the question takes it for its default.
    assert!(
        code == 0 && shown.contains("Nothing was written."),
        "{shown}"
    );
    assert_eq!(settings(&home), SETTINGS);
}

#[test]
fn training_days_are_shown_then_asked_about_and_taken_back() {
    let home = home();
    let file = path(&home, "training.ics");
    let words = ["import", file.to_str().expect("path")];
    let session =
        |date: &str| home.json(&format!("{date}T12:00"), &["tonight"])["day"]["session"].clone();
    let (code, shown) = answered(&home, &words, &["no"]);
    assert_eq!(code, 0, "{shown}");
    let days = shown.find("Tue 06 Jan  13:00  legs").expect("the days");
    assert!(
        days < shown
            .find("Take these training days in?")
            .expect("a question"),
        "{shown}"
    );
    assert!(shown.contains("Nothing was taken in."), "{shown}");
    assert!(session("2026-01-06").is_null());
    let (code, shown) = answered(&home, &words, &["yes"]);
    assert!(
        code == 0 && shown.contains("evenfall import --undo"),
        "{shown}"
    );
    assert_eq!(session("2026-01-06"), "legs");
    assert!(
        session("2026-01-05").is_null(),
        "the calendar's day stands for the block's of that week"
    );
    home.done(NOW, &["import", "--undo"]);
    assert!(session("2026-01-06").is_null());
    assert_eq!(session("2026-01-05"), "legs");
}

#[test]
fn sharing_asks_item_by_item_and_shows_before_it_writes() {
    let home = home();
    home.done(
        "2026-01-05T08:00",
        &[
            "morning",
            "--lights-out",
            "23:00",
            "--asleep-after",
            "15",
            "--woke",
            "07:00",
            "--sleep",
            "2",
            "--fresh",
            "2",
            "--sore",
            "3",
            "--mood",
            "3",
            "--note",
            "quarrel with the neighbour",
        ],
    );
    let page = path(&home, "coach.html");
    let words = ["share", "--weeks", "1", page.to_str().expect("path")];
    // Seven items in the order of the list; Enter takes the default: no to ratings, pain and notes.
    let (code, shown) = answered(&home, &words, &["", "", "", "", "", "", "", "no"]);
    assert_eq!(code, 0, "{shown}");
    assert_eq!(shown.matches("[yes]").count(), 4, "{shown}");
    assert_eq!(
        shown.matches("[no]").count(),
        4,
        "three items and the last question: {shown}"
    );
    assert!(
        shown.contains("Nothing was written.") && !page.exists(),
        "{shown}"
    );
    assert!(!shown.contains("neighbour"), "{shown}");
    // Yes to the notes shows them in full before the question.
    let (code, shown) = answered(&home, &words, &["no", "", "", "", "", "", "yes", "yes"]);
    assert_eq!(code, 0, "{shown}");
    let note = shown
        .find("quarrel with the neighbour")
        .expect("the note is shown");
    assert!(
        note < shown.find("Write this to").expect("a question"),
        "{shown}"
    );
    let html = std::fs::read_to_string(&page).expect("page");
    assert!(
        html.contains("quarrel with the neighbour") && !html.contains("<script"),
        "{html}"
    );
    assert!(
        html.contains("Not shared: evenings, ratings, pain."),
        "{html}"
    );
    assert!(page.with_extension("csv").exists());
}
