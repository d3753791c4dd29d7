//! What the service's prompts say of the day.

use chrono::{Days, Utc};

use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, seconds_ahead, wind_down_at};
use crate::support::{Home, eventually};

/// A block that has the same session every day, from a week ago.
fn block(more: &str) -> String {
    let starts = Utc::now().date_naive() - Days::new(7);
    let week: String = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
        .iter()
        .map(|day| format!("{day} = \"legs\"\n"))
        .collect();
    format!(
        "name = \"x\"\nstarts = {starts}\n[[phase]]\nname = \"p\"\nweeks = 4\n[phase.week]\n{week}\
         [session.legs]\ntitle = \"Legs\"\nrpe = 8\nminutes = 40\nregions = {{ calves = 2 }}\n{more}"
    )
}

fn session_prompt(block: &str, before: impl Fn(&Home)) -> String {
    let home = Home::new();
    home.write(
        "settings.toml",
        &format!(
            "timezone = \"UTC\"\n[prompts]\nmorning = \"off\"\nsession = \"{}\"\nlights_out = \"off\"\n\
             week_review = \"off\"\n[page]\non = false\n",
            seconds_ahead(4).format("%H:%M:%S")
        ),
    )
    .write("block.toml", block);
    before(&home);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    // The evening's own prompt may be due when the test runs. Nothing private is on a lock screen.
    let shown = eventually("the session's prompt", || {
        let mut shown = server.shown().into_iter();
        shown.find(|shown| shown.summary == "Today's plan")
    });
    shown.body
}

fn tired(home: &Home) {
    let today = Utc::now().date_naive();
    for ago in (1..=4).rev() {
        let night = (today - Days::new(ago)).to_string();
        let fresh = if ago == 1 { "2" } else { "3" };
        home.json("", &["morning", "--night", &night, "--fresh", fresh]);
    }
}

#[test]
fn the_session_prompt_says_what_is_suggested_and_why() {
    let body = session_prompt(&block(""), tired);
    for words in [
        "Trim it a little.",
        "You rated freshness 2, lower than your usual 3.0.",
        "30 minutes instead of 40.",
        "evenfall today --keep",
    ] {
        assert!(body.contains(words), "{words}: {body}");
    }
}

#[test]
fn a_refusal_is_not_argued_with_and_a_warning_sign_is_said_all_the_same() {
    let body = session_prompt(&block(""), |home| {
        tired(home);
        home.json("", &["today", "--keep"]);
    });
    assert!(body.contains("As planned, as you chose."), "{body}");
    let body = session_prompt(&block(""), |home| {
        home.json("", &["pain", "--sign", "fainted_or_collapsed"]);
        home.json("", &["today", "--keep"]);
    });
    assert!(
        body.contains("call your local emergency number now"),
        "{body}"
    );
    assert!(!body.contains("30 minutes"), "{body}");
}

#[test]
fn a_session_whose_time_has_passed_is_asked_for() {
    // At midnight for no time at all: over by now, whenever the test runs.
    let early = "at = \"00:00\"\n[[session.legs.part]]\nkind = \"steady\"\nminutes = 1\n";
    let early = block(early).replace("minutes = 40\n", "");
    let body = session_prompt(&early, |_| ());
    assert!(body.contains("To record it: evenfall train."), "{body}");
    let body = session_prompt(&early, |home| {
        // Soon after midnight the day before would be meant without a date.
        let today = Utc::now().date_naive().to_string();
        home.json("", &["train", "--date", &today, "--minutes", "1"]);
    });
    assert!(body.contains("How hard was today's session?"), "{body}");
}

#[test]
fn before_the_wind_down_a_missing_rating_is_asked_for() {
    let home = Home::new();
    home.write("settings.toml", &wind_down_at(seconds_ahead(0), ""))
        .write("block.toml", &block(""));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let body = server.wait_for(1).body;
    assert!(
        body.contains("Today's session is not recorded yet."),
        "{body}"
    );
}
