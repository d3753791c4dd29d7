//! The form on a terminal, and the service's button.

use serde_json::{Value, json};

use super::{MORNING, home};
use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, events, seconds_ahead, wait_for_event};
use crate::support::typed::typed;

#[test]
fn a_usual_night_takes_enter_a_dozen_times() {
    let home = home();
    let (code, shown) = typed(home.command(MORNING, &["morning"]), &[""; 12]);
    assert_eq!(code, 0, "{shown}");
    let said = home.json(MORNING, &["morning", "--show"]);
    assert_eq!(
        said["ratings"],
        json!({ "sleep_quality": 3, "freshness": 3, "soreness": 3, "mood": 3 })
    );
    assert_eq!(said["in_bed_s"], 8 * 3600);
    assert_eq!(said["asleep_s"], (480 - 15) * 60);
    assert_eq!(
        (&said["ill"], &said["estimated"]),
        (&json!(false), &json!(false))
    );
    assert!(shown.contains("Into bed [22:30]"), "{shown}");
}

#[test]
fn answers_are_read_slips_are_asked_again_and_open_questions_stay_open() {
    let home = home();
    let lines = [
        "22:40", "late", "22:55", "20", "2", "25", "06:10", "06:20", "2", "7", "4", "3", "14=3 10",
        "-", "yes",
    ];
    let (code, shown) = typed(home.command(MORNING, &["morning"]), &lines);
    assert_eq!(code, 0, "{shown}");
    assert!(shown.contains("`late` is not a time"), "{shown}");
    assert!(shown.contains("`7` is no rating"), "{shown}");
    let said = home.json(MORNING, &["morning", "--show"]);
    assert_eq!(said["asleep_s"], (435 - 45) * 60);
    assert_eq!(
        said["ratings"],
        json!({ "sleep_quality": 2, "freshness": 4, "soreness": 3, "mood": Value::Null })
    );
    assert_eq!(said["sore_in"], json!({ "calves": 3, "glutes": 2 }));
    assert_eq!(said["ill"], true);
    // The next morning starts from what was answered last.
    let (_, shown) = typed(home.command("2026-01-07T06:40", &["morning"]), &[""; 13]);
    assert!(shown.contains("Minutes to fall asleep [20]"), "{shown}");
    assert!(
        shown.contains("Minutes awake then, all together [25]"),
        "{shown}"
    );
}

#[test]
fn an_impossible_order_is_asked_again_and_an_end_leaves_nothing() {
    let home = home();
    let (code, shown) = typed(
        home.command(MORNING, &["morning"]),
        &[
            "", "", "", "", "07:00", "06:00", "", "", "", "", "", "", "", "", "", "", "", "", "",
        ],
    );
    assert_eq!(code, 0, "{shown}");
    assert!(
        shown.contains("up 2026-01-06 06:00 comes before woke"),
        "{shown}"
    );
    // Ctrl-D, end of input, after two answers.
    let (code, _) = typed(
        home.command("2026-01-08T06:40", &["morning"]),
        &["", "", "\u{4}"],
    );
    assert_eq!(code, 1);
    assert_eq!(home.run("2026-01-08T06:40", &["morning", "--show"]).code, 1);
}

#[test]
fn a_training_day_without_a_record_is_asked_about_once() {
    let home = home();
    home.write("block.toml", crate::today::BLOCK);
    let mut lines = vec![""; 12];
    lines.push("yes");
    let (code, shown) = typed(home.command(MORNING, &["morning"]), &lines);
    assert_eq!(code, 0, "{shown}");
    assert!(
        shown.contains("Legs and lungs of 2026-01-05 is not recorded"),
        "{shown}"
    );
    let today = home.json(MORNING, &["today", "--from", "2026-01-05", "--days", "1"]);
    assert_eq!(today["days"][0]["load"]["day"], 0.0);
}

#[test]
fn the_button_as_usual_records_the_planned_times_unless_the_morning_is_there() {
    for recorded in [false, true] {
        let home = Home::new();
        let due = seconds_ahead(3);
        home.write(
            "settings.toml",
            &format!(
                "timezone = \"UTC\"\n[prompts]\nmorning = \"{}\"\nsession = \"off\"\nlights_out = \"off\"\n\
                 week_review = \"off\"\n[page]\non = false\n[evening]\nnights = \"training\"\n",
                due.format("%H:%M:%S")
            ),
        );
        let night = (due.date_naive() - chrono::Days::new(1)).to_string();
        let bus = Bus::start();
        let server = Server::start(&bus, Script::default());
        let _service = Service::start(&home, &bus);
        let shown = server.wait_for(1);
        assert_eq!(shown.summary, "Good morning");
        if recorded {
            // Recorded in another window; the notification goes, and an old click on it changes nothing.
            home.json("", &["morning", "--night", &night, "--mood", "5"]);
            crate::support::eventually("the notification to go", || {
                server.closed().contains(&shown.id).then_some(())
            });
        }
        server.press(shown.id, "as_usual");
        wait_for_event(&home, "morning", "answered");
        let said = crate::support::eventually("the record", || {
            let said = home.run("", &["--json", "morning", "--show", &night]);
            serde_json::from_str::<Value>(&said.out).ok()
        });
        assert_eq!(said["estimated"], !recorded, "{said}");
        let answers = events(&home)
            .iter()
            .filter(|(_, event)| event["what"] == "answered")
            .count();
        assert_eq!(answers, 1);
    }
}
