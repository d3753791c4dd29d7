//! Pain and warning signs through the binary.

use serde_json::{Value, json};

use super::{home, known, rate};
use crate::science::{Vectors, id};
use crate::support::typed::typed;

// A precautionary table after public pages of CDC/NIOSH, ACSM and others; no clinical screening.
#[test]
fn every_sign_is_taken_with_its_level_and_stops_training_where_it_should() {
    let vectors = Vectors::read("symptoms");
    for case in vectors.group("rules") {
        let home = home();
        let sign = id(case);
        let said = home.json("2026-01-05T07:00", &["pain", "--sign", sign]);
        let level = &case["level"];
        assert_eq!(said["level"], *level, "{sign}");
        let stops = level == "emergency_now" || level == "same_day_care";
        assert_eq!(said["suggest_training"], !stops, "{sign}");
        let today = home.json("2026-01-05T07:00", &["today"]);
        assert_eq!(today["session"]["suggested"].is_null(), stops, "{sign}");
        let text = said["text"].as_str().expect("text");
        assert!(
            text.ends_with("This tool cannot judge injuries or illness."),
            "{text}"
        );
        for word in ["you have", "safe to", "ignore", "diagnos"] {
            assert!(!text.to_lowercase().contains(word), "{sign}: {text}");
        }
    }
}

#[test]
fn what_needs_care_today_stops_training_until_it_is_closed_by_name() {
    let home = home();
    known(&home, "2026-01-01");
    rate(&home, "2026-01-05T06:40", "4");
    let said = home.run(
        "2026-01-05T07:00",
        &[
            "pain",
            "--in",
            "knee_left",
            "--level",
            "8",
            "--kind",
            "sharp",
            "--since",
            "2026-01-04",
        ],
    );
    assert_eq!(said.code, 0);
    assert!(said.out.contains("get medical care today"), "{}", said.out);
    for date in ["2026-01-05T07:05", "2026-01-07T07:00", "2026-01-16T07:00"] {
        let today = home.json(date, &["today"]);
        assert_eq!(today["readiness"]["band"], "stop_and_seek_help", "{date}");
        assert_eq!(today["session"]["suggested"], Value::Null);
        assert_eq!(today["cautions"][0]["level"], "same_day_care");
        assert!(!today["session"]["planned"].is_null());
    }
    // Refusing does not hide it, and a milder report does not close it.
    let kept = home.json("2026-01-07T07:00", &["today", "--keep"]);
    assert_eq!(kept["session"]["suggested"], Value::Null);
    assert_eq!(kept["cautions"][0]["level"], "same_day_care");
    home.json(
        "2026-01-07T08:00",
        &[
            "pain",
            "--in",
            "knee_left",
            "--level",
            "2",
            "--kind",
            "sharp",
        ],
    );
    home.json(
        "2026-01-07T08:00",
        &["pain", "--in", "knee_left", "--level", "0"],
    );
    assert_eq!(
        home.json("2026-01-07T09:00", &["today"])["session"]["suggested"],
        Value::Null
    );
    let text = home.run("2026-01-07T09:00", &["today"]).out;
    assert!(
        text.starts_with("! You recorded sharp pain (left knee), 8 of 10"),
        "{text}"
    );
    let closed = home.json("2026-01-16T08:00", &["pain", "--over", "knee_left"]);
    assert_eq!(closed["suggest_training"], true);
    let after = home.json("2026-01-16T09:00", &["today"]);
    assert_eq!(
        (&after["cautions"], &after["readiness"]["guards"]),
        (&json!([]), &json!([]))
    );
    assert_eq!(after["session"]["suggested"]["id"], "strength");
}

#[test]
fn a_painful_place_rests_in_training_and_in_the_evening() {
    let home = home();
    known(&home, "2026-01-01");
    let said = home.json(
        "2026-01-05T07:00",
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
    assert_eq!(
        (&said["level"], &said["suggest_training"]),
        (&json!("clinician_soon"), &json!(true))
    );
    let legs = home.json("2026-01-05T08:00", &["today"]);
    assert_eq!(legs["readiness"]["guards"], json!(["pain"]));
    assert_eq!(legs["readiness"]["band"], "recover_only");
    // Shoulders and core are another matter.
    let arms = home.json("2026-01-07T08:00", &["today"]);
    assert_eq!(arms["readiness"]["guards"], json!([]));
    assert_eq!(arms["session"]["as_planned"], true);
    let spared = ["thigh_front", "thigh_back", "thigh_inner", "calves"];
    let regions = |evening: &Value| -> Vec<String> {
        let stretches = evening["routine"]["stretches"]
            .as_array()
            .expect("stretches");
        let all = stretches
            .iter()
            .flat_map(|stretch| stretch["regions"].as_array().expect("regions").clone());
        all.map(|region| region.as_str().expect("id").to_owned())
            .collect()
    };
    let evening = home.json("2026-01-05T21:00", &["tonight"]);
    assert!(!regions(&evening).is_empty());
    assert!(
        regions(&evening)
            .iter()
            .all(|region| !spared.contains(&region.as_str())),
        "{evening}"
    );
    home.json("2026-01-06T07:00", &["pain", "--over", "knee"]);
    let free = home.json("2026-01-12T21:00", &["tonight"]);
    assert!(
        regions(&free)
            .iter()
            .any(|region| spared.contains(&region.as_str())),
        "{free}"
    );
}

#[test]
fn soreness_that_stays_is_noticed_from_the_mornings_alone() {
    let home = home();
    for day in 5..=12 {
        let now = format!("2026-01-{day:02}T06:40");
        home.json(
            &now,
            &[
                "morning",
                "--sleep",
                "3",
                "--fresh",
                "3",
                "--sore",
                "3",
                "--mood",
                "3",
                "--sore-in",
                "calves=2",
            ],
        );
    }
    let eighth = home.json("2026-01-12T07:00", &["today"]);
    assert_eq!(eighth["cautions"][0]["sign"], "soreness_longer_than_7_days");
    assert_eq!(eighth["cautions"][0]["level"], "clinician_soon");
    assert_eq!(eighth["readiness"]["guards"], json!([]));
    // Of the session the part that loads the calves is left out, the warm-up stays.
    let parts = eighth["session"]["suggested"]["parts"]
        .as_array()
        .expect("parts");
    assert_eq!(parts.len(), 1, "{eighth}");
    assert_eq!(parts[0]["title"], "Warm-up");
    let seventh = home.json(
        "2026-01-12T07:00",
        &["today", "--from", "2026-01-11", "--days", "1"],
    );
    assert_eq!(seventh["days"][0]["cautions"], json!([]));
}

#[test]
fn the_emergency_number_is_named_only_if_the_person_set_it() {
    let home = home();
    let sign = ["pain", "--sign", "chest_pain_or_pressure"];
    assert!(
        home.run("2026-01-05T07:00", &sign)
            .out
            .contains("your local emergency number")
    );
    home.write(
        "settings.toml",
        "timezone = \"Europe/Oslo\"\nemergency_number = \"113\"\n",
    );
    assert!(
        home.run("2026-01-05T07:00", &["today"])
            .out
            .contains("call 113 now")
    );
}

#[test]
fn reports_are_listed_renewed_and_closed() {
    let home = home();
    let now = "2026-01-05T07:00";
    home.json(
        now,
        &[
            "pain",
            "--in",
            "calves",
            "--level",
            "3",
            "--kind",
            "sore",
            "--since",
            "2026-01-03",
            "--note",
            "after hills",
        ],
    );
    home.json(
        now,
        &[
            "pain",
            "--in",
            "wrist_left",
            "--level",
            "5",
            "--kind",
            "numb",
        ],
    );
    home.json(
        "2026-01-08T07:00",
        &[
            "pain",
            "--in",
            "wrist_left",
            "--level",
            "2",
            "--kind",
            "numb",
        ],
    );
    let list = |flags: &[&str]| {
        home.json("2026-01-08T08:00", &[&["pain", "--list"], flags].concat())["reports"].clone()
    };
    let open = list(&[]);
    assert_eq!(open.as_array().map(Vec::len), Some(2));
    assert_eq!(
        (&open[0]["in"], &open[0]["level"], &open[0]["note"]),
        (&json!("calves"), &json!("carry_on"), &json!("after hills"))
    );
    // Saying again how it is does not make it new.
    assert_eq!(
        (&open[1]["since"], &open[1]["pain_level"]),
        (&json!("2026-01-05"), &json!(2))
    );
    assert_eq!(list(&["--all"]).as_array().map(Vec::len), Some(3));
    let wrong = home.run("2026-01-08T08:00", &["pain", "--over", "knee_left"]);
    assert_eq!(wrong.code, 2);
    assert!(
        wrong.err.contains("Write calves or wrist_left"),
        "{}",
        wrong.err
    );
    let closed = home.json("2026-01-08T08:00", &["pain", "--over", "all"]);
    assert_eq!(closed["open"], json!([]));
    assert_eq!(list(&[]), json!([]));
    assert_eq!(list(&["--all"])[2]["until"], "2026-01-08");
}

#[test]
fn slips_are_named_and_nothing_is_kept() {
    let home = home();
    let now = "2026-01-05T07:00";
    for (flags, word) in [
        (
            &["--in", "kne_left", "--level", "3"][..],
            "Did you mean knee_left?",
        ),
        (&["--in", "knee_left"], "Write --level 0"),
        (&["--level", "3"], "--in knee_left"),
        (
            &["--in", "knee_left", "--level", "11"],
            "Write 0 for none to 10",
        ),
        (
            &["--in", "knee_left", "--level", "3", "--kind", "shrp"],
            "Did you mean sharp?",
        ),
        (
            &["--in", "knee_left", "--level", "3", "--since", "2026-01-09"],
            "still to come",
        ),
        (
            &["--sign", "chest_pain"],
            "Did you mean chest_pain_or_pressure?",
        ),
        (&["--sign", "xyz"], "pain --signs"),
        (&["--over", "knee_left"], "Nothing is open"),
        (&["--over", "elsewhere"], "no place"),
        (&[], "evenfall pain --signs"),
    ] {
        let said = home.run(now, &[&["pain"], flags].concat());
        assert_eq!(said.code, 2, "{flags:?}");
        assert!(said.err.contains(word), "{flags:?}: {}", said.err);
    }
    assert_eq!(
        home.json(now, &["pain", "--list", "--all"])["reports"],
        json!([])
    );
    let signs = home.json(now, &["pain", "--signs"])["signs"].clone();
    assert!(signs.as_array().expect("signs").len() > 30);
}

#[test]
fn the_questions_ask_first_for_what_cannot_wait() {
    let home = home();
    let now = "2026-01-05T07:00";
    let (code, shown) = typed(home.command(now, &["pain"]), &["99", "13"]);
    assert_eq!(code, 0, "{shown}");
    assert!(shown.contains("Write numbers from 1 to 22"), "{shown}");
    assert!(
        shown.contains("call your local emergency number now"),
        "{shown}"
    );
    let (code, shown) = typed(
        home.command(now, &["pain"]),
        &["", "ankle_left", "3", "6", "2026-01-02"],
    );
    assert_eq!(code, 0, "{shown}");
    let open = home.json(now, &["pain", "--list"])["reports"].clone();
    assert_eq!(open[0]["sign"], "dark_urine_after_hard_exercise");
    assert_eq!(
        (&open[1]["in"], &open[1]["kind"], &open[1]["pain_level"]),
        (&json!("ankle_left"), &json!("sharp"), &json!(6))
    );
    let (code, _) = typed(home.command(now, &["pain"]), &["", "", ""]);
    assert_eq!(code, 1, "nothing to record");
}

#[test]
fn a_choice_to_train_hides_no_caution_and_the_evening_says_what_it_leaves_out() {
    let home = home();
    let args = [
        "pain",
        "--in",
        "knee_left",
        "--level",
        "5",
        "--kind",
        "sharp",
    ];
    home.json("2026-01-05T08:00", &args);
    home.json("2026-01-05T08:05", &["today", "--keep"]);
    let today = home.run("2026-01-05T08:10", &["today"]).out;
    assert!(today.contains("As planned, by your choice"), "{today}");
    assert!(
        today.starts_with("! You recorded sharp pain (left knee)"),
        "{today}"
    );
    let notes = |now: &str| home.json(now, &["tonight"])["notes"].to_string();
    let said = "Left out because of what you recorded: ";
    let tonight = notes("2026-01-05T20:00");
    assert!(
        tonight.contains(said) && tonight.contains("do not suit knee pain"),
        "{tonight}"
    );
    home.json("2026-01-06T08:00", &["pain", "--over", "knee_left"]);
    assert!(!notes("2026-01-06T20:00").contains(said));
}
