//! The daily copies: when they are made, how many are kept.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;

use chrono::{Datelike, Duration, NaiveDate};
use evenfall::pure::civil::Instant;
use evenfall::pure::prompt::{Key, Token};
use evenfall::pure::step::{Input, Reply};
use evenfall::pure::words::Words;
use evenfall::shell::daemon::{Core, Desk, Ledger};
use evenfall::shell::store::{Store, copies};
use evenfall::shell::world::World;
use rusqlite::Connection;

use super::{count, diary, integrity, lived_in};
use crate::support::bus::{Bus, Script, Server};
use crate::support::service::{Service, seconds_ahead, wait_for_event, wind_down_at};
use crate::support::{Home, eventually};

#[test]
fn seven_daily_copies_are_kept_and_each_is_whole() {
    let home = lived_in();
    let store = Store::open(&diary(&home)).expect("open");
    let first = NaiveDate::from_ymd_opt(2026, 1, 8).expect("date");
    for day in 0..12 {
        store.keep_copy(first + Duration::days(day)).expect("copy");
    }
    let kept = copies(&diary(&home));
    let days: Vec<String> = kept
        .iter()
        .map(|path| {
            path.file_stem()
                .expect("name")
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    assert_eq!(days.len(), 7);
    assert_eq!(
        (days[0].as_str(), days[6].as_str()),
        ("diary-2026-01-19", "diary-2026-01-13")
    );
    for copy in &kept {
        assert_eq!(integrity(copy), "ok");
        assert_eq!(count(copy, "morning"), 3);
    }
    assert_eq!(first.year(), 2026);
}

#[test]
fn the_service_copies_the_store_once_a_day_and_the_showing_comes_first() {
    let home = lived_in();
    let before = count(&diary(&home), "prompt_event");
    home.write("settings.toml", &wind_down_at(seconds_ahead(0), ""));
    let bus = Bus::start();
    let server = Server::start(&bus, Script::default());
    let _service = Service::start(&home, &bus);
    let shown = server.wait_for(1);
    let copy = eventually("the copy", || copies(&diary(&home)).into_iter().next());
    assert_eq!(
        (integrity(&copy).as_str(), count(&copy, "morning")),
        ("ok", 3)
    );
    // What the person did with it is not in the copy, only that it showed.
    server.press(shown.id, "not_tonight");
    wait_for_event(&home, "wind_down", "answered");
    let left: Vec<String> = Connection::open(&copy)
        .and_then(|copy| {
            let what = "SELECT json_extract(event, '$.what') FROM prompt_event ORDER BY id";
            let mut statement = copy.prepare(what)?;
            let rows = statement.query_map([], |row| row.get(0))?;
            rows.collect()
        })
        .expect("events");
    let before = usize::try_from(before).expect("small");
    assert_eq!(left[before..], ["showing", "shown"]);
    assert_eq!(copies(&diary(&home)).len(), 1);
}

/// A desktop that notes how many copies there are when it is asked to show.
struct Counting {
    store: PathBuf,
    copies: Rc<RefCell<Vec<usize>>>,
}

impl Desk for Counting {
    fn show(&mut self, _: Key, _: u32, _: Words, _: Option<Token>) {
        let copies = copies(&self.store).len();
        self.copies.borrow_mut().push(copies);
    }
    fn knows(&mut self, _: Key, _: u32, _: Option<Token>) {}
    fn withdraw(&mut self, _: Key, _: Option<Token>) {}
    fn say(&mut self, _: Words) {}
}

/// A service with a wind-down at a quarter to nine in the evening, at that instant, and the numbers of
/// copies there were at every showing.
fn due_now(home: &Home) -> (Core<Counting>, Instant, Rc<RefCell<Vec<usize>>>) {
    let settings = "timezone = \"UTC\"\n[nights]\nbedtime = \"21:13\"\n[evening]\nminutes = 8\nsettle = 15\n\
                    [prompts]\nmorning = \"off\"\nsession = \"off\"\nlights_out = \"off\"\nweek_review = \"off\"\n";
    home.write("settings.toml", settings);
    let now: Instant = "2026-01-08T20:45:00Z".parse().expect("instant");
    let place = evenfall::shell::home::Home::at(home.path());
    let (world, _) = World::load(&place, now).expect("world");
    let counted = Rc::default();
    let desk = Counting {
        store: diary(home),
        copies: Rc::clone(&counted),
    };
    let before = now - Duration::minutes(5);
    let ledger = Ledger::open(&diary(home), before);
    let mut core = Core::new(ledger, world.plan(), desk, before);
    core.start(before);
    core.look_ahead();
    assert_eq!(
        core.wake(),
        Some(now),
        "the settings do not say what the test needs"
    );
    core.act(now, Input::Woke);
    (core, now, counted)
}

#[test]
fn no_showing_waits_for_the_daily_copy_and_the_day_still_gets_one() {
    let home = lived_in();
    let (mut core, now, counted) = due_now(&home);
    assert_eq!(
        (counted.borrow().as_slice(), copies(&diary(&home)).len()),
        (&[0][..], 0)
    );
    let key = core.records().keys().next().expect("a record").clone();
    let result = Err(());
    core.act(
        now,
        Input::ShowResult {
            key,
            showing: 1,
            result,
        },
    );
    assert_eq!(
        copies(&diary(&home)).len(),
        1,
        "no copy on a day with a showing alone"
    );
}

#[test]
fn an_answer_has_the_daily_copy_made_before_it() {
    let home = lived_in();
    let before = count(&diary(&home), "prompt_event");
    let (mut core, now, counted) = due_now(&home);
    assert_eq!(counted.borrow().as_slice(), [0]);
    let key = core.records().keys().next().expect("a record").clone();
    let reply = Reply::NotTonight;
    core.act(now, Input::Reply { key, reply });
    let copy = copies(&diary(&home)).into_iter().next().expect("copy");
    // The showing is in it, the answer is not.
    assert_eq!(
        (
            count(&copy, "prompt_event"),
            count(&diary(&home), "prompt_event")
        ),
        (before + 1, before + 2)
    );
}
