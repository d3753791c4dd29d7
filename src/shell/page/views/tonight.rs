//! Tonight's plan with its reasons, and what can be done about it.

use std::sync::Arc;

use axum::extract::State;
use maud::html;

use crate::shell::page::View;
use crate::shell::page::frame::Frame;
use crate::shell::page::reply::{self, Answer};
use crate::shell::page::site::Site;

/// Shows it.
pub async fn show(State(site): State<Arc<Site>>) -> Answer {
    let now = site.now();
    let files = site.files(now)?;
    let content = html! { h1 { "Tonight" } (super::form_token(&site)) };
    let frame = Frame {
        view: View::Tonight,
        title: "Tonight",
        complaints: &files.complaints,
        said: None,
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}
