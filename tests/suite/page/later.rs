//! "In 15 minutes" on the page puts off the prompt that it stands beside, whatever else stands.

use chrono::Duration;

use super::client::Service;
use crate::support::Home;
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{events, seconds_ahead, wait_for_event, wind_down_at};

fn put_off(home: &Home) -> Vec<String> {
    events(home)
        .into_iter()
        .filter(|(_, event)| event["what"] == "later")
        .map(|(kind, _)| kind)
        .collect()
}

/// The night that the button carries.
fn night_of(page: &str) -> &str {
    let form = page.find("action=\"/tonight/later\"").expect("a button");
    let from = page[form..].find("name=\"night\" value=\"").expect("night");
    page[form + from..].split('"').nth(3).expect("value")
}

#[test]
fn later_on_the_page_is_about_the_wind_down_although_another_prompt_is_newer() {
    let due = seconds_ahead(4);
    let review = (due + Duration::seconds(3)).format("%S %M %H * * *");
    let settings = wind_down_at(due, "")
        .replace(
            "week_review = \"off\"",
            &format!("week_review = \"{review}\""),
        )
        .replace("[page]\non = false\n", "");
    let home = Home::new();
    home.write("settings.toml", &settings);
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let service = Service::start_on(&home, &bus.address);
    server.wait_for(2);
    wait_for_event(&home, "week_review", "shown");
    let cookie = service.sign_in();
    let page = service.get("/", &[("cookie", &cookie)]).body;
    let night = [("night", night_of(&page))];
    let answer = service.post("/tonight/later", &cookie, &night);
    assert_eq!(answer.status, 303, "{}", answer.body);
    wait_for_event(&home, "wind_down", "later");
    assert_eq!(put_off(&home), ["wind_down"]);

    // A form that names none is about the prompt that was put on the screen last.
    assert_eq!(service.post("/tonight/later", &cookie, &[]).status, 303);
    wait_for_event(&home, "week_review", "later");
    assert_eq!(put_off(&home), ["wind_down", "week_review"]);

    // What does not stand is not put off, and that is said.
    for night in ["2020-01-01", "soon"] {
        let answer = service.post("/tonight/later", &cookie, &[("night", night)]);
        assert!((400..600).contains(&answer.status), "{}", answer.body);
    }
    assert_eq!(put_off(&home).len(), 2);
}
