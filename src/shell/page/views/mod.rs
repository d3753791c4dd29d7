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
