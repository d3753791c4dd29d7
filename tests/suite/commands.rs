//! The command line as its user and other programs meet it: words, machine output, exit status.

use serde_json::Value;

use crate::support::Home;

const SETTINGS: &str = r#"
timezone = "Europe/Oslo"
born = 1991
[nights]
bedtime = "22:30"
wake = "06:30"
fri = { bedtime = "23:15", wake = "07:45" }
[[nights.on]]
date = 2026-12-24
bedtime = "00:30"
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
tue = "rest"
[session.legs]
title = "Legs and lungs"
rpe = 8
regions = { thigh_front = 3, glutes = 2, calves = 2 }
at = "18:30"
[[session.legs.part]]
kind = "intervals"
title = "Step-ups"
rounds = 8
work = 20
rest = 10
"#;

fn home() -> Home {
    let home = Home::new();
    home.write("settings.toml", SETTINGS)
        .write("block.toml", BLOCK);
    home
}

fn instant(value: &Value) -> chrono::DateTime<chrono::FixedOffset> {
    let text = value
        .as_str()
        .unwrap_or_else(|| panic!("no instant: {value}"));
    chrono::DateTime::parse_from_rfc3339(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

#[test]
fn tonight_is_timed_back_from_lights_out() {
    let tonight = home().json("2026-01-05T20:00", &["tonight"]);
    assert_eq!(tonight["night"], "2026-01-05");
    assert_eq!(tonight["timezone"], "Europe/Oslo");
    assert_eq!(tonight["day"]["kind"], "training");
    assert_eq!(tonight["day"]["session"], "legs");
    assert_eq!(tonight["day"]["phase"], "Groundwork");
    assert_eq!(
        (&tonight["day"]["week"], &tonight["day"]["block_week"]),
        (&Value::from(1), &Value::from(1))
    );
    assert_eq!(tonight["lights_out"], "2026-01-05T22:30:00+01:00");
    assert_eq!(tonight["starts_at"], "2026-01-05T22:07:00+01:00");
    assert_eq!(tonight["prompt_at"], "2026-01-05T22:02:00+01:00");
    assert_eq!(tonight["wake"], "2026-01-06T06:30:00+01:00");
    assert_eq!(tonight["in_bed_s"], 8 * 3600);
    assert_eq!(
        tonight["need_s"],
        7 * 3600,
        "adults of 26 to 64: 7 to 9 hours (Hirshkowitz M et al. 2015)"
    );
    let routine = &tonight["routine"];
    assert_eq!(routine["id"], "composed");
    let seconds = routine["seconds"].as_i64().expect("seconds");
    assert!(
        seconds <= 480,
        "longer than the minutes of the settings: {seconds} s"
    );
    let pattern = &routine["pattern"];
    assert!(pattern["seconds"].as_i64().expect("seconds") >= 120);
    for field in [
        "id",
        "inhale_s",
        "hold_s",
        "exhale_s",
        "hold_out_s",
        "cycles",
        "seconds",
    ] {
        assert!(!pattern[field].is_null(), "pattern.{field} is missing");
    }
    let trained = ["thigh_front", "glutes", "calves"];
    let stretches = routine["stretches"].as_array().expect("stretches");
    assert!(!stretches.is_empty());
    let hits = stretches.iter().filter(|stretch| {
        let regions = stretch["regions"].as_array().expect("regions");
        regions
            .iter()
            .any(|region| trained.contains(&region.as_str().unwrap_or_default()))
    });
    assert!(
        hits.count() > 0,
        "nothing for what was trained: {stretches:?}"
    );
}

#[test]
fn tonight_follows_overrides_one_offs_and_nights_after_midnight() {
    let home = home();
    let friday = home.json("2026-01-09T20:00", &["tonight"]);
    assert_eq!(friday["lights_out"], "2026-01-09T23:15:00+01:00");
    assert_eq!(friday["wake"], "2026-01-10T07:45:00+01:00");
    let once = home.json("2026-12-24T20:00", &["tonight"]);
    assert_eq!(
        (&once["night"], &once["lights_out"]),
        (
            &Value::from("2026-12-24"),
            &Value::from("2026-12-25T00:30:00+01:00")
        )
    );
    let after_midnight = home.json("2026-12-25T00:10", &["tonight"]);
    assert_eq!(after_midnight["night"], "2026-12-24");
    let next_day = home.json("2026-12-25T09:00", &["tonight"]);
    assert_eq!(next_day["night"], "2026-12-25");
}

#[test]
fn a_clock_change_is_said_and_counted_in_real_hours() {
    // Clocks in Oslo go forward on 29 March 2026 (IANA time zone data).
    let tonight = home().json("2026-03-28T20:00", &["tonight"]);
    assert_eq!(tonight["in_bed_s"], 7 * 3600);
    let notes = tonight["notes"].to_string();
    assert!(notes.contains("clock"), "nothing about the clocks: {notes}");
}

#[test]
fn the_agenda_lists_prompts_in_order_with_their_nights() {
    let agenda = home().json(
        "2026-01-05T08:00",
        &["agenda", "--from", "2026-01-05", "--days", "7"],
    );
    let prompts = agenda["prompts"].as_array().expect("prompts");
    let due: Vec<_> = prompts
        .iter()
        .map(|prompt| instant(&prompt["due_at"]))
        .collect();
    assert!(due.is_sorted());
    let of = |kind: &str| {
        prompts
            .iter()
            .filter(|prompt| prompt["kind"] == kind)
            .count()
    };
    assert_eq!(
        [
            of("wind_down"),
            of("morning"),
            of("lights_out"),
            of("session"),
            of("week_review")
        ],
        [7, 7, 7, 2, 1]
    );
    let morning = prompts
        .iter()
        .find(|prompt| prompt["kind"] == "morning")
        .expect("morning");
    assert_eq!(
        (&morning["night"], &morning["due_at"]),
        (
            &Value::from("2026-01-04"),
            &Value::from("2026-01-05T06:40:00+01:00")
        )
    );
    assert!(
        prompts
            .iter()
            .all(|prompt| prompt["text"].as_str().is_some_and(|text| !text.is_empty()))
    );
}

#[test]
fn compiled_cues_tile_the_time_of_every_evening_and_pattern() {
    let home = home();
    let library = home.json("", &["routine", "list"]);
    let ids = ["evenings", "patterns"]
        .iter()
        .flat_map(|kind| library[kind].as_array().expect("ids").clone());
    let mut ids: Vec<Value> = ids.collect();
    ids.push(Value::from("tonight"));
    assert!(ids.len() >= 15);
    for id in ids {
        let id = id.as_str().expect("id");
        let timeline = home.json("2026-01-05T20:00", &["routine", "timeline", id]);
        let mut at = 0;
        for cue in timeline["cues"].as_array().expect("cues") {
            assert_eq!(cue["at_ms"].as_u64(), Some(at), "{id}: gap or overlap");
            at += cue["for_ms"].as_u64().expect("for_ms");
            assert!(cue["text"].is_string());
        }
        assert_eq!(timeline["total_ms"].as_u64(), Some(at), "{id}");
        let last = timeline["cues"]
            .as_array()
            .and_then(|cues| cues.last())
            .expect("end");
        assert_eq!(last["cue"], "end", "{id}");
    }
}

#[test]
fn the_library_is_listed_filtered_and_shown() {
    let home = home();
    let all = home.json("", &["routine", "list"]);
    assert_eq!(all["stretches"].as_array().expect("stretches").len(), 48);
    assert_eq!(all["patterns"].as_array().expect("patterns").len(), 8);
    let calves = home.json(
        "",
        &[
            "routine",
            "list",
            "--region",
            "calves",
            "--position",
            "standing",
        ],
    );
    for stretch in calves["stretches"].as_array().expect("stretches") {
        assert_eq!(stretch["position"], "standing");
        assert!(stretch["regions"].to_string().contains("calves"));
    }
    let said = home.run("", &["routine", "list", "--region", "calfs"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("calves"), "{}", said.err);
    let shown = home.run("", &["routine", "show", "wall_calf_straight"]);
    assert!(shown.out.contains("heel"), "{}", shown.out);
    assert_eq!(home.run("", &["routine", "show", "nonsense"]).code, 2);
}

#[test]
fn a_shown_figure_names_its_side_and_keeps_to_the_letters_of_the_terminal() {
    let home = home();
    let shown = |locale: &str, id: &str| {
        let mut command = home.command("", &["routine", "show", id]);
        let output = command.env("LC_ALL", locale).output().expect("it starts");
        String::from_utf8(output.stdout).expect("text")
    };
    let braille = |text: &str| text.contains(|c| ('\u{2801}'..='\u{28ff}').contains(&c));
    assert!(braille(&shown("C.UTF-8", "strap_leg_across")));
    let plain = shown("C", "strap_leg_across");
    assert!(plain.is_ascii() && plain.contains("OO"), "{plain}");
    assert!(plain.contains("left side"), "{plain}");
    assert!(!shown("C", "both_knees_to_chest").contains("left side"));
}

#[test]
fn what_cannot_be_written_is_told_by_the_name_that_was_given() {
    let home = home();
    let track = |name: &str| home.run("", &["routine", "sound", "even_5", name]);
    assert_eq!(track("tonight.mp3").code, 2);
    let nowhere = track("/no-such-folder/tonight.wav");
    assert_eq!(nowhere.code, 1);
    assert!(
        nowhere.err.contains("/no-such-folder/tonight.wav cannot"),
        "{}",
        nowhere.err
    );
}

#[test]
fn what_is_still_to_come_is_not_recorded() {
    let home = home();
    let at = "2026-01-06T08:00";
    let night = ["morning", "--night", "2026-02-01", "--sleep", "3"];
    assert_eq!(home.run(at, &night).code, 2);
    let day = [
        "train",
        "--date",
        "2026-02-01",
        "--rpe",
        "7",
        "--minutes",
        "30",
    ];
    let said = home.run(at, &day);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("2026-01-06"), "{}", said.err);
    assert_eq!(home.run(at, &["agenda", "--from", "2026-02-30"]).code, 2);
}

#[test]
fn all_complaints_come_at_once_and_nothing_else_happens() {
    let home = Home::new();
    home.write(
        "settings.toml",
        "timezone = \"Europe/Olso\"\n[nights]\nbedtime = \"25:00\"\n",
    );
    home.write(
        "routines/stretches/mine.toml",
        "name = \"Mine\"\nholds = [15, 30]\n",
    );
    let said = home.run("", &["check"]);
    assert_eq!(said.code, 2);
    for place in [
        "settings.toml:1:12:",
        "settings.toml:3:11:",
        "mine.toml:2:1:",
    ] {
        assert!(said.err.contains(place), "no {place} in {}", said.err);
    }
    assert!(said.err.contains("Europe/Oslo"));
    assert_eq!(home.run("2026-01-05T20:00", &["tonight"]).code, 2);
}

#[test]
fn a_faulty_routine_file_does_not_take_the_evening_away() {
    let home = home();
    home.write(
        "routines/stretches/mine.toml",
        "name = \"Mine\"\nholds = [15, 30]\n",
    );
    let said = home.run("2026-01-05T20:00", &["tonight"]);
    assert_eq!(said.code, 0);
    assert!(said.err.contains("mine.toml:2:1:"), "{}", said.err);
}

#[test]
fn defaults_work_at_once_and_say_so_once() {
    let home = Home::new();
    let said = home.run("2026-01-07T20:00", &["tonight"]);
    assert_eq!(said.code, 0);
    assert_eq!(said.err.lines().count(), 1, "{}", said.err);
    assert!(said.err.contains("evenfall setup"), "{}", said.err);
    let tonight = home.json("2026-01-05T20:00", &["tonight"]);
    assert_eq!(
        tonight["day"]["kind"], "training",
        "the default block starts on the Monday on or after today"
    );
    assert_eq!(
        home.json("2026-01-07T20:00", &["tonight"])["day"]["kind"],
        "outside"
    );
}

#[test]
fn setup_writes_files_that_check_accepts_and_replaces_none() {
    let home = Home::new();
    assert_eq!(
        home.run("2026-01-07T20:00", &["setup", "--defaults"]).code,
        0
    );
    assert_eq!(home.run("", &["check"]).code, 0);
    assert_eq!(
        home.json("2026-01-12T20:00", &["tonight"])["day"]["kind"],
        "training"
    );
    let again = home.run("", &["setup", "--defaults"]);
    assert_eq!(again.code, 1);
    assert!(again.err.contains("--replace"), "{}", again.err);
    let mode = std::os::unix::fs::PermissionsExt::mode(
        &std::fs::metadata(home.path().join("settings.toml"))
            .expect("settings")
            .permissions(),
    );
    assert_eq!(mode & 0o777, 0o600);
}

#[test]
fn wrong_arguments_are_two_and_help_is_nothing_wrong() {
    let home = home();
    assert_eq!(home.run("", &["tonihgt"]).code, 2);
    assert_eq!(home.run("yesterday", &["tonight"]).code, 2);
    assert_eq!(home.run("2026-01-05T20:00", &["daemon"]).code, 2);
    assert_eq!(home.run("", &["--help"]).code, 0);
    assert_eq!(
        home.run("", &["later"]).code,
        1,
        "nothing stands to be answered"
    );
}

#[test]
fn the_block_moves_back_and_history_stays() {
    let home = home();
    assert_eq!(
        home.run("2026-01-07T08:00", &["block", "shift", "7"]).code,
        0
    );
    let day = |at: &str| home.json(at, &["tonight"])["day"].clone();
    assert_eq!(day("2026-01-05T20:00")["kind"], "training");
    assert_eq!(day("2026-01-07T20:00")["kind"], "outside");
    assert_eq!(day("2026-01-14T20:00")["session"], "legs");
    assert_eq!(day("2026-01-14T20:00")["block_week"], 1);
}

#[test]
fn one_is_said_in_the_singular() {
    let home = Home::new();
    home.write(
        "block.toml",
        "name = \"Short\"\nstarts = 2026-01-05\n[[phase]]\nname = \"One\"\nweeks = 1\n[phase.week]\nmon = \"legs\"\n\
         [session.legs]\ntitle = \"Legs\"\nrpe = 7\nminutes = 30\n",
    );
    let at = "2026-01-09T12:00";
    let look_back = home.run(at, &["review", "--block"]);
    let heading = look_back.out.lines().next().unwrap_or_default();
    assert!(
        heading.starts_with("Short, 1 week from "),
        "{}",
        look_back.out
    );
    let shifted = home.run(at, &["block", "shift", "1"]);
    assert!(shifted.out.contains("comes 1 day later"), "{}", shifted.out);
}

#[test]
fn a_late_start_is_a_shorter_evening() {
    let tonight = home().json("2026-01-05T22:55", &["tonight"]);
    assert!(
        tonight["routine"]["seconds"].as_i64().expect("seconds") <= 300,
        "{tonight}"
    );
    assert!(tonight["notes"].to_string().contains("late"), "{tonight}");
}

#[test]
fn the_doctor_names_what_would_stop_prompts_and_what_helps() {
    let home = home();
    home.write("block.toml", "name = \"Stairs\"\n");
    let bus = crate::support::bus::Bus::start();
    let look = || {
        let mut command = home.command("", &["doctor"]);
        command
            .env("DBUS_SESSION_BUS_ADDRESS", &bus.address)
            .output()
            .expect("doctor")
    };
    let said = look();
    let words = String::from_utf8_lossy(&said.stdout).into_owned();
    assert_eq!(said.status.code(), Some(1), "{words}");
    for finding in [
        "block.toml:1:1:",
        "Service: does not run",
        "nothing on the session bus shows notifications",
        "is intact",
    ] {
        assert!(words.contains(finding), "no {finding} in {words}");
    }
    home.write("block.toml", BLOCK);
    let _server = crate::support::bus::Server::start(&bus, crate::support::bus::Script::default());
    let _service = crate::support::service::Service::start(&home, &bus);
    let said = look();
    assert_eq!(
        said.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&said.stdout)
    );
}
