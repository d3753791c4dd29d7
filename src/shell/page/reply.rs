//! Answers: pages, redirects after a change, and errors as plain pages with what to do.

use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use maud::{Markup, html};

use super::frame::{Frame, notice_page};
use crate::shell::failure::Failure;

/// What a handler gives: a response, or trouble as a page.
pub type Answer = Result<Response, Trouble>;

/// Something went wrong; becomes a plain page.
#[derive(Debug)]
pub struct Trouble {
    /// HTTP status.
    pub status: StatusCode,
    /// The heading: what happened.
    pub what: String,
    /// Sentences: what to do.
    pub instead: String,
}

impl Trouble {
    /// A trouble of any kind.
    pub fn new(status: StatusCode, what: impl Into<String>, instead: impl Into<String>) -> Self {
        Self {
            status,
            what: what.into(),
            instead: instead.into(),
        }
    }

    /// What a form said cannot be used.
    pub fn form(instead: impl Into<String>) -> Self {
        Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "This could not be recorded",
            instead,
        )
    }
}

impl From<Failure> for Trouble {
    fn from(failure: Failure) -> Self {
        let status = if failure.code == 2 {
            StatusCode::UNPROCESSABLE_ENTITY
        } else {
            StatusCode::INTERNAL_SERVER_ERROR
        };
        Self::new(status, "That did not work", failure.message)
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let page = notice_page(&self.what, &self.instead);
        (self.status, Html(page.into_string())).into_response()
    }
}

/// A view as a response.
pub fn view(frame: &Frame<'_>, content: &Markup) -> Response {
    Html(frame.around(content).into_string()).into_response()
}

/// After a change: to the page that shows it, so that reloading does not repeat the change.
pub fn see_other(path: &str) -> Response {
    (
        StatusCode::SEE_OTHER,
        [(header::LOCATION, path)],
        Html(html! { p { a href=(path) { "Go on" } } }.into_string()),
    )
        .into_response()
}
