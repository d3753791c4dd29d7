//! One file a view: a function from values to HTML, and the handlers around it.

mod tonight;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;
use maud::{Markup, html};

use super::guard::FORM_FIELD;
use super::site::Site;

/// Every route that needs a signed-in browser.
pub fn routes() -> Router<Arc<Site>> {
    Router::new().route("/", get(tonight::show))
}

/// The hidden field that every form carries.
fn form_token(site: &Site) -> Markup {
    html! { input type="hidden" name=(FORM_FIELD) value=(site.kept.form.digits()); }
}
