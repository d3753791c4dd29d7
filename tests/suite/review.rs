//! The look back through the program: from what was recorded by its commands to sentences, table, charts.

use serde_json::{Value, json};

use crate::support::Home;
use crate::support::typed::typed_on;

const SETTINGS: &str = r#"
timezone = "Europe/Oslo"
born = 1991
[nights]
bedtime = "22:30"
wake = "06:30"
alarm_days = ["mon", "tue", "wed", "thu", "fri"]
[evening]
minutes = 8
settle = 15
"#;

const BLOCK: &str = r#"
name = "Stairs"
starts = 2026-01-05
[[phase]]
name = "Groundwork"
weeks = 3
[phase.week]
mon = "legs"
wed = "legs"
[[phase]]
name = "Build"
weeks = 2
[phase.week]
mon = "legs"
[session.legs]
title = "Legs"
rpe = 8
minutes = 30
regions = { calves = 2 }
[[session.legs.part]]
kind = "intervals"
title = "Step-ups"
rounds = 3
work = 20
rest = 10
"#;

/// Two weeks of nights from 5 January. The clock reads Oslo's time; Fridays and Saturdays are two hours later.
fn mornings() -> String {
    let mut rows = String::from(
        "night,into_bed,lights_out,asleep_after_min,wakings,awake_for_min,woke,up,sleep_min,sleep_quality,freshness,soreness,mood,note\n",
    );
    for day in 5..19 {
        let late = matches!((day - 5) % 7, 4 | 5);
        let (evening, bed, woke) = if late {
            (day + 1, "00:30", "08:30")
        } else {
            (day, "22:30", "06:30")
        };
        rows.push_str(&format!(
            "2026-01-{day:02},2026-01-{evening:02}T{bed},2026-01-{evening:02}T{bed},15,0,0,2026-01-{:02}T{woke},2026-01-{:02}T{woke},,3,3,4,3,\n",
            day + 1,
            day + 1
        ));
    }
    rows
}

const SESSIONS: &str = "date,session,minutes,rpe,note\n\
    2026-01-05,legs,30,8,\n2026-01-07,legs,30,8,\n2026-01-12,legs,30,8,\n2026-01-14,legs,30,9,\n";

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS)
        .write("block.toml", BLOCK)
        .write("mornings.csv", &mornings())
        .write("sessions.csv", SESSIONS);
    for file in ["mornings.csv", "sessions.csv"] {
        let path = home.path().join(file);
        home.done(
            "2026-01-19T12:00",
            &["import", path.to_str().expect("path")],
        );
    }
    home
}

fn near(value: &Value, expected: f64) {
    let found = value.as_f64().unwrap_or_else(|| panic!("{value}"));
    assert!((found - expected).abs() < 1.0, "{found} {expected}");
}

#[test]
fn two_weeks_come_out_as_they_went_in() {
    let home = home();
    let review = home.json("2026-01-19T12:00", &["review", "--weeks", "2"]);
    assert_eq!(
        (&review["from"], &review["to"]),
        (&json!("2026-01-06"), &json!("2026-01-19"))
    );
    let sleep = &review["sleep"];
    assert_eq!(sleep["nights"], 14);
    // Eight hours less a quarter of falling asleep, every night.
    assert_eq!(sleep["mean_asleep_s"], 27_900);
    assert_eq!(
        (&sleep["short_nights"], &sleep["shortfall_s"]),
        (&json!(0), &json!(25_200 - 27_900))
    );
    // Ten nights have their middle at 02:37:30, four two hours later. Into Friday's night and out of
    // Saturday's, twice, sleep begins and ends 120 minutes apart: 4 of 13 pairs of days.
    near(
        &sleep["regularity"],
        100.0 - 200.0 * 4.0 * 240.0 / (13.0 * 1440.0),
    );
    near(&sleep["social_jetlag_s"], 7200.0);
    // The sample deviation of ten zeros and four times 120 minutes.
    near(
        &sleep["midpoint_sd_s"],
        60.0 * 120.0 * (10.0 * 4.0 / (14.0 * 13.0_f64)).sqrt(),
    );
    let load = &review["load"];
    assert_eq!(load["weeks"][0]["known_load"], 480.0);
    assert_eq!(load["weeks"][1]["from"], "2026-01-13");
    assert_eq!(load["weeks"][1]["known_load"], 270.0);
    assert_eq!(review["readiness"]["scored"], 14);
    let sentences = review["sentences"].as_array().expect("sentences");
    assert!((1..=5).contains(&sentences.len()));
    let all = review["sentences"].to_string();
    assert!(
        all.contains("On 14 recorded nights you slept 7 h 45 min"),
        "{all}"
    );
    assert!(all.contains("120 min later on free days"), "{all}");
}

#[test]
fn alarm_days_are_asked_and_not_guessed() {
    let home = home();
    home.write(
        "settings.toml",
        &SETTINGS.replace("alarm_days", "# alarm_days"),
    );
    let review = home.json("2026-01-19T12:00", &["review", "--weeks", "2"]);
    assert_eq!(review["sleep"]["social_jetlag_s"], Value::Null);
    let said = home.run("2026-01-19T12:00", &["review", "--weeks", "2"]);
    let unwrapped = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        unwrapped.contains("alarm_days in the settings"),
        "{}",
        said.out
    );
}

#[test]
fn evenings_are_counted_from_what_became_of_their_prompts() {
    let home = home();
    for night in ["2026-01-13", "2026-01-14"] {
        home.done(
            &format!("{night}T22:07"),
            &["follow", "--plain", "--pace", "1000", "--record"],
        );
    }
    home.done("2026-01-15T22:05", &["not-tonight"]);
    let review = home.json("2026-01-19T12:00", &["review"]);
    assert_eq!(
        (&review["from"], &review["to"]),
        (&json!("2026-01-13"), &json!("2026-01-19"))
    );
    let evenings = &review["evenings"];
    assert_eq!(
        (
            &evenings["prompted"],
            &evenings["done"],
            &evenings["declined"],
            &evenings["partly"],
            &evenings["missed"]
        ),
        (&json!(3), &json!(2), &json!(1), &json!(0), &json!(0))
    );
    assert_eq!(
        review["sentences"][0],
        "Of 3 evenings with a wind-down: 2 followed to the end, 1 declined."
    );
}

#[test]
fn a_kept_plan_and_a_followed_suggestion_are_told_apart() {
    let home = home();
    for (day, train) in [("2026-01-26", "30"), ("2026-02-02", "15")] {
        home.done(
            &format!("{day}T07:00"),
            &[
                "morning", "--sleep", "3", "--fresh", "2", "--sore", "4", "--mood", "2",
            ],
        );
        if train == "30" {
            home.json(&format!("{day}T12:00"), &["today", "--keep"]);
        }
        let rpe = if train == "30" { "8" } else { "6" };
        home.done(
            &format!("{day}T19:00"),
            &[
                "train",
                "--session",
                "legs",
                "--minutes",
                train,
                "--rpe",
                rpe,
                "--reps",
                "Step-ups=10,9,9",
            ],
        );
    }
    let review = home.json("2026-02-02T20:00", &["review", "--weeks", "2"]);
    let lowered = &review["readiness"]["lowered"];
    assert_eq!(
        (&lowered["days"], &lowered["kept"], &lowered["followed"]),
        (&json!(2), &json!(1), &json!(1)),
        "{review}"
    );
    let bests = review["bests"].as_array().expect("bests");
    assert_eq!(bests[0]["phase"], "Build");
    assert_eq!(
        (&bests[0]["part"], &bests[0]["total"]),
        (&json!("Step-ups"), &json!(28))
    );
}

#[test]
fn the_whole_block_fits_a_screen() {
    let home = home();
    let said = home.done("2026-01-19T12:00", &["review", "--block"]);
    let weeks: Vec<&str> = said
        .out
        .lines()
        .filter(|line| line.trim_start().starts_with(char::is_numeric))
        .collect();
    assert_eq!(weeks.len(), 5);
    assert!(
        weeks[0].contains("x.x....") && weeks[0].contains("480"),
        "{}",
        weeks[0]
    );
    assert!(
        weeks[2].contains("o.o....") && weeks[4].contains("o......"),
        "{}",
        said.out
    );
    let block = home.json("2026-01-19T12:00", &["review", "--block"]);
    assert_eq!(block["from"], "2026-01-05");
    assert_eq!(block["block"]["weeks"][1]["load"]["known_load"], 510.0);
    assert_eq!(block["block"]["weeks"][4]["load"], Value::Null);
}

/// What the program shows on a terminal of so many columns and 24 rows, line by line.
fn on_terminal(home: &Home, columns: u16, words: &[&str]) -> Vec<String> {
    let mut command = home.command("2026-01-19T12:00", words);
    command.env("NO_COLOR", "1");
    let (code, shown) = typed_on(command, &[], (columns, 24));
    assert_eq!(code, 0, "{shown}");
    assert!(!shown.contains('\u{1b}'), "{shown:?}");
    shown.lines().map(str::to_owned).collect()
}

#[test]
fn on_narrow_and_wide_terminals_no_line_is_too_long_and_no_row_is_broken() {
    let home = home();
    for columns in [60, 80, 120] {
        for words in [
            &["review", "--weeks", "2"][..],
            &["review", "--block"],
            &["shift-bedtime", "--to", "22:00", "--by", "2026-01-25"],
            &[
                "travel",
                "--zone",
                "Asia/Tokyo",
                "--from",
                "2026-02-02",
                "--to",
                "2026-02-04",
            ],
        ] {
            let lines = on_terminal(&home, columns, words);
            for line in &lines {
                let wide = line.chars().count();
                assert!(wide <= usize::from(columns), "{columns}: {wide}: {line}");
            }
            // A row that was broken would leave its end alone on a line.
            let rows = |begins: &str| lines.iter().filter(|line| line.contains(begins)).count();
            match words {
                ["review", "--weeks", _] => assert_eq!(rows(" done, "), 2, "{lines:?}"),
                ["review", _] => {
                    let weeks = |line: &&String| {
                        line.starts_with("   ") && (line.contains("x.x....") || line.contains('o'))
                    };
                    assert_eq!(lines.iter().filter(weeks).count(), 5, "{lines:?}");
                    assert_eq!(rows("evening  slept  short   lower"), 1, "{lines:?}");
                }
                _ => assert!(rows("2026    ") > 0, "{lines:?}"),
            }
        }
    }
}

#[test]
fn every_week_of_nine_stays_on_a_screen_of_24_rows() {
    let home = home();
    let nine = BLOCK.replace("weeks = 2", "weeks = 3").replace(
        "[session.legs]",
        "[[phase]]\nname = \"Peak\"\nweeks = 3\n[phase.week]\nmon = \"legs\"\n[session.legs]",
    );
    home.write("block.toml", &nine);
    let lines = on_terminal(&home, 80, &["review", "--block"]);
    // The last row of the screen is the shell's.
    let screen = &lines[lines.len().saturating_sub(23)..];
    for what in ["week  from", "Groundwork", "Build", "Peak", "x trained"] {
        assert!(
            screen.iter().any(|line| line.starts_with(what)),
            "{what}: {lines:#?}"
        );
    }
}

#[test]
fn without_records_nothing_is_made_up() {
    let home = Home::new();
    let review = home.json("2026-01-19T12:00", &["review", "--weeks", "4"]);
    for field in [
        "mean_asleep_s",
        "shortfall_s",
        "regularity",
        "midpoint_sd_s",
        "social_jetlag_s",
    ] {
        assert_eq!(review["sleep"][field], Value::Null, "{field}");
    }
    assert_eq!(review["sentences"].as_array().map(Vec::len), Some(1));
    // A rating alone is a record, if none of a night's length.
    home.done("2026-01-19T07:00", &["morning", "--sleep", "3"]);
    let review = home.json("2026-01-19T12:00", &["review"]);
    let said = review["sentences"][0].as_str().expect("a sentence");
    assert!(said.contains(" 1 morning was recorded, without "), "{said}");
    let refused = home.run("2026-01-19T12:00", &["review", "--weeks", "0"]);
    assert_eq!(refused.code, 2);
}

/// The tags of a document, which have to close in the order they were opened.
fn check_nesting(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for piece in svg.split('<').skip(1) {
        let (tag, _) = piece.split_once('>').expect("a tag ends");
        let name = tag
            .split([' ', '/'])
            .find(|word| !word.is_empty())
            .expect("name");
        if let Some(closed) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(closed), "{svg}");
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "{open:?} stay open");
}

#[test]
fn charts_show_every_night_and_name_nothing_from_elsewhere() {
    let home = home();
    let folder = home.path().join("charts");
    let folder = folder.to_str().expect("path");
    let said = home.json(
        "2026-01-19T12:00",
        &["review", "--weeks", "3", "--svg", folder],
    );
    assert_eq!(said["charts"].as_array().map(Vec::len), Some(3));
    let chart = |name: &str| {
        let text = std::fs::read_to_string(format!("{folder}/{name}.svg")).expect("chart");
        check_nesting(&text);
        assert!(text.contains("<title>") && text.contains("<desc>"));
        let addresses = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!addresses.contains("http") && !addresses.contains("<script"));
        text
    };
    let nights = chart("nights");
    assert_eq!(nights.matches("class=\"chart-recorded\"").count(), 14);
    // Two marks of the plan for each of the 21 nights.
    assert_eq!(nights.matches("class=\"chart-planned\"").count(), 42);
    assert!(nights.contains("2026-01-09: lights out 00:30, woke 08:30"));
    assert_eq!(chart("load").matches("class=\"chart-recorded\"").count(), 3);
    assert_eq!(
        chart("ratings").matches("class=\"chart-point\"").count(),
        14 * 4
    );
}
