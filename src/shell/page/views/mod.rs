//! One file a view: a function from values to HTML, and the handlers around it.

mod body;
mod follow;
mod morning;
mod pain;
mod settings;
mod today;
mod tonight;
mod training;
mod values;
mod weeks;

use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};
use maud::{Markup, html};

use super::guard::FORM_FIELD;
use super::site::Site;

/// Every route that needs a signed-in browser.
pub fn routes() -> Router<Arc<Site>> {
    Router::new()
        .route("/", get(tonight::show))
        .route("/tonight/later", post(tonight::later))
        .route("/tonight/not", post(tonight::not_tonight))
        .route("/tonight/minutes", post(tonight::minutes))
        .route("/tonight/swap", post(tonight::swap))
        .route("/tonight/usual", post(tonight::usual))
        .route("/tonight/done", post(tonight::done))
        .route("/morning", get(morning::show).post(morning::record))
        .route("/morning/usual", post(morning::as_usual))
        .route("/pain", get(pain::show).post(pain::record))
        .route("/pain/over", post(pain::over))
        .route("/today", get(today::show))
        .route("/today/keep", post(today::keep))
        .route("/today/read", post(today::read))
        .route("/settings", get(settings::show).post(settings::save))
        .route("/settings/night", post(settings::save_night))
        .route("/settings/night/remove", post(settings::remove_night))
        .route("/settings/own", post(settings::save_own))
        .route("/settings/own/remove", post(settings::remove_own))
        .route("/settings/block", post(settings::change_block))
        .route("/settings/shift", post(settings::shift_block))
        .route("/weeks", get(weeks::show))
        .route("/train", post(training::record))
        .route("/train/rest", post(training::rest))
        .route("/follow", get(follow::show))
        .route("/follow/begin", post(follow::begin))
        .route("/follow/at", post(follow::at))
        .route("/follow/done", post(follow::done))
}

/// Reads the files and composes tonight's routine ahead of the first look.
pub fn prepare(site: &Site) {
    let now = site.now();
    // Whatever is in the way is said by the view itself.
    if let Ok((evening, known)) = tonight::Evening::of(site, now) {
        drop(evening.tonight(site, now, &known));
    }
}

/// The hidden field that every form carries.
fn form_token(site: &Site) -> Markup {
    html! { input type="hidden" name=(FORM_FIELD) value=(site.kept.form.digits()); }
}

/// A form that is one button.
fn button(site: &Site, path: &str, words: &str, fields: &[(&str, &str)]) -> Markup {
    html! {
        form method="post" action=(path) {
            (form_token(site))
            @for (name, value) in fields { input type="hidden" name=(name) value=(value); }
            button type="submit" { (words) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::civil::Night;
    use crate::pure::tonight::Chosen;
    use crate::shell::home::Home;
    use crate::shell::known;
    use crate::shell::page::keep;

    /// A zone in which it is early in the afternoon, so that no evening is late yet.
    fn afternoon(now: crate::pure::civil::Instant) -> String {
        use chrono::Timelike;
        // POSIX names count westward.
        let west = i64::from(now.hour()) - 13;
        format!("timezone = \"Etc/GMT{west:+}\"\n")
    }

    #[test]
    fn tonight_is_composed_once_until_something_that_decides_it_changes() {
        let folder = tempfile::tempdir().expect("folder");
        let home = Home::at(folder.path());
        let kept = keep::load(&home).expect("secrets");
        let (service, _asked) = tokio::sync::mpsc::unbounded_channel();
        let site = Site::new(&home, 1, kept, service).expect("a site");
        let zone = afternoon(site.now());
        std::fs::write(home.settings(), &zone).expect("written");
        let made = || site.composed().made();
        for _ in 0..5 {
            prepare(&site);
        }
        assert_eq!(made(), 1, "one evening");
        let now = site.now();
        let plan = site.files(now).expect("files").world.plan();
        let night: Night = plan.tonight(now);
        let chosen = Chosen {
            minutes: Some(29),
            in_bed: true,
            ..Chosen::default()
        };
        known::set_chosen(&mut site.store(), night, &chosen, now).expect("kept");
        prepare(&site);
        prepare(&site);
        assert_eq!(made(), 2, "another length is another evening");
        let avoiding = format!("{zone}avoid = [\"kneeling\"]\n");
        std::fs::write(home.settings(), avoiding).expect("written");
        site.forget();
        prepare(&site);
        assert_eq!(made(), 3, "changed settings are followed");
    }
}
