//! Warning signs: the precautionary table, built on the CDC/NIOSH page about muscle breakdown after
//! effort, the ACSM's list of signs, concussion lists, the duration in the DSM-5's insomnia criteria and
//! common first-aid teaching; delayed soreness after Cheung K et al. 2003.

use chrono::NaiveDate;
use evenfall::pure::caution::{
    CANNOT_JUDGE, Kind, Level, PainReport, SCREENING, Sign, Site, SorenessPicture, combine,
    when_to_stop,
};
use serde_json::{Value, json};

use super::{Vectors, id};

#[test]
fn every_sign_has_its_level() {
    let vectors = Vectors::read("symptoms");
    assert_eq!(
        vectors.names(),
        ["combine", "delayed_soreness_picture", "rules"]
    );
    let rules = vectors.group("rules");
    assert_eq!(
        rules.len(),
        Sign::all().count(),
        "no sign more and none less"
    );
    for rule in rules {
        let sign = Sign::from_id(id(rule)).unwrap_or_else(|| panic!("{} is unknown", id(rule)));
        assert_eq!(sign.level().id(), rule["level"], "{}", id(rule));
        assert_eq!(sign.body_area(), rule["body_area"], "{}", id(rule));
    }
}

#[test]
fn the_worst_of_several_counts() {
    let vectors = Vectors::read("symptoms");
    for case in vectors.group("combine") {
        let signs: Vec<Sign> = case["in"]["symptoms"]
            .as_array()
            .expect("symptoms")
            .iter()
            .map(|name| Sign::from_id(name.as_str().expect("name")).expect("known"))
            .collect();
        let found = combine(&signs);
        let found = json!({
            "level": found.level.id(),
            "suggest_training": found.suggest_training,
            "pause_affected_area": found.pause_area,
        });
        assert_eq!(found, case["out"], "{}", id(case));
    }
}

#[test]
fn usual_delayed_soreness_is_told_from_other_pain() {
    let vectors = Vectors::read("symptoms");
    for case in vectors.group("delayed_soreness_picture") {
        let given = &case["in"];
        let number = |name: &str| given[name].as_f64().expect("number");
        let flag = |name: &str| given[name].as_bool().expect("flag");
        let picture = SorenessPicture {
            onset_h: number("onset_h"),
            peak_h: number("peak_h"),
            days: given["days_so_far"].as_u64().map_or(0, |days| days as u32),
            in_muscle_belly: flag("in_muscle_belly"),
            at_rest: flag("pain_at_rest"),
        };
        assert_eq!(
            Value::from(picture.fits()),
            case["out"]["fits_usual_delayed_soreness"],
            "{}",
            id(case)
        );
    }
}

/// Every text the program can show about a sign or a pain.
fn all_texts() -> Vec<(Level, String)> {
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).expect("date");
    let mut texts = vec![
        (Level::CarryOn, SCREENING.to_owned()),
        (Level::EmergencyNow, when_to_stop(None)),
    ];
    for sign in Sign::all() {
        texts.push((sign.level(), sign.text(None, None)));
        texts.push((sign.level(), sign.text(Some("112"), Some("left knee"))));
    }
    for site in Site::ids() {
        for (_, kind, _) in Kind::ALL {
            for level in [1, 5, 10] {
                let pain = PainReport {
                    site: Site::from_id(&site).expect("site"),
                    level,
                    kind,
                    since: day,
                };
                texts.push((pain.urgency(day), pain.text(day, None)));
            }
        }
    }
    texts
}

#[test]
fn texts_name_no_condition_promise_nothing_and_say_what_the_tool_cannot_judge() {
    let forbidden = [
        "you have",
        "safe",
        "ignore",
        "don't worry",
        "harmless",
        "diagnos",
        "dose",
        "tablet",
        "painkiller",
        "injury risk",
        "!",
    ];
    let texts = all_texts();
    for (level, text) in &texts {
        assert!(text.ends_with(CANNOT_JUDGE), "{text}");
        let low = text.to_lowercase();
        for word in forbidden {
            assert!(!low.contains(word), "`{word}` in: {text}");
        }
        if *level == Level::EmergencyNow {
            assert!(
                low.contains("emergency number") || text.contains("112"),
                "{text}"
            );
        }
        if *level == Level::SameDayCare {
            assert!(text.contains("today"), "{text}");
        }
        assert!(
            text.contains("112") <= !low.contains("your local emergency number"),
            "{text}"
        );
    }
    for sign in Sign::all() {
        assert!(
            sign.question().ends_with('?') && !sign.question().to_lowercase().contains("you have")
        );
        assert!(!sign.noticed().is_empty() && !sign.noticed().ends_with('.'));
    }
    assert!(texts.len() > 4_000, "{}", texts.len());
}
