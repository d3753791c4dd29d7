//! What can be done about tonight: later, not at all, another length, another stretch, done already.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::response::Response;

use super::{Evening, MINUTES};
use crate::pure::civil::Night;
use crate::pure::prompt::Kind;
use crate::pure::tonight::Chosen;
use crate::pure::words::LATER_MINUTES;
use crate::shell::control::{Named, Request};
use crate::shell::failure::Failure;
use crate::shell::known;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer as Reply, Trouble};
use crate::shell::page::site::Site;
use crate::shell::store::EveningRow;

/// The wind-down prompt of the night that the page showed again in some minutes; of a form that names no
/// night, the prompt put on the screen last.
pub async fn later(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Reply {
    let night = |text: &str| {
        let date = text.parse().map_err(|_| {
            Trouble::form("Which night? Load the page again and press the button there.")
        })?;
        Ok::<_, Trouble>(Named::of(Kind::WindDown, Night(date)))
    };
    let prompt = form.text("night").map(night).transpose()?;
    site.ask(Request::Later {
        minutes: LATER_MINUTES,
        prompt,
    })
    .await?;
    Ok(reply::see_other("/?did=later"))
}

/// No wind-down tonight.
pub async fn not_tonight(State(site): State<Arc<Site>>) -> Reply {
    site.ask(Request::NotTonight).await?;
    Ok(reply::see_other("/?did=not_tonight"))
}

/// Another length tonight.
pub async fn minutes(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Reply {
    let minutes: u32 = form
        .text("minutes")
        .and_then(|text| text.parse().ok())
        .filter(|minutes| (MINUTES.0..=MINUTES.1).contains(minutes))
        .ok_or_else(|| {
            Trouble::form(format!(
                "A wind-down takes {} to {} minutes. Go back and choose one of them.",
                MINUTES.0, MINUTES.1
            ))
        })?;
    choose(&site, |chosen| chosen.minutes = Some(minutes))?;
    Ok(reply::see_other("/?did=minutes"))
}

/// Another stretch in the place of one.
pub async fn swap(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Reply {
    let (Some(out), Some(by)) = (form.text("out"), form.text("in")) else {
        return Err(Trouble::form("Go back and choose a stretch."));
    };
    let files = site.files(site.now())?;
    let library = &files.world.library;
    for id in [out, by] {
        if !library.stretches.contains_key(id) {
            return Err(Trouble::form(format!(
                "There is no stretch \"{id}\". Go back and choose another one."
            )));
        }
    }
    choose(&site, |chosen| {
        chosen.swaps.push((out.to_owned(), by.to_owned()));
    })?;
    Ok(reply::see_other("/?did=swap#plan"))
}

/// Takes back what was chosen for tonight.
pub async fn usual(State(site): State<Arc<Site>>) -> Reply {
    choose(&site, |chosen| *chosen = Chosen::default())?;
    Ok(reply::see_other("/?did=usual"))
}

fn choose(site: &Site, change: impl FnOnce(&mut Chosen)) -> Result<(), Failure> {
    let now = site.now();
    let night = site.files(now)?.world.plan().tonight(now);
    let mut store = site.store();
    let mut chosen = known::chosen(&store, night)?;
    change(&mut chosen);
    known::set_chosen(&mut store, night, &chosen, now)
}

/// The evening was done from paper, from memory or by ear.
pub async fn done(State(site): State<Arc<Site>>) -> Reply {
    let now = site.now();
    let (evening, known) = Evening::of(&site, now)?;
    let routine = evening.tonight(&site, now, &known).routine;
    let seconds = u32::try_from(routine.total_ms() / 1000).unwrap_or(u32::MAX);
    let stretches = routine.stretch_ids();
    let row = EveningRow {
        night: evening.night,
        routine: routine.id,
        pattern: routine.pattern.id,
        stretches,
        started: now - chrono::Duration::seconds(i64::from(seconds)),
        planned_s: seconds,
        done_s: seconds,
    };
    // Twice in one evening is once: the button may be pressed again before the page is there.
    site.store().add_evening_once(
        &format!("by hand {}", evening.night),
        &row,
        now,
        &evening.zone,
    )?;
    site.tell().await;
    let response: Response = reply::see_other("/?did=done");
    Ok(response)
}
