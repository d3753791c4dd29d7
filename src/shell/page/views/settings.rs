//! The settings: edited in a form, checked by the code that `check` uses, and written back so that the
//! person's comments stay. And the block: which one, and when it starts.

mod block;
mod fields;
mod form;

use std::fs;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::html;
use serde::Deserialize;

use super::values::Values;
use crate::pure::complaint::Complaint;
use crate::pure::phrase::capitalised;
use crate::pure::settings::{KnownIds, Settings, new_settings_text, parse_with_ids};
use crate::shell::failure::Failure;
use crate::shell::home::write_private;
use crate::shell::page::View;
use crate::shell::page::frame::Frame;
use crate::shell::page::guard::Form;
use crate::shell::page::reply::{self, Answer};
use crate::shell::page::site::{Files, Site};

pub use block::{change as change_block, shift as shift_block};

/// What was just done.
#[derive(Debug, Deserialize)]
pub struct Did {
    did: Option<String>,
}

fn said(did: Option<&str>) -> Option<&'static str> {
    Some(match did? {
        "saved" => "Saved. The service follows the new settings.",
        "block" => "Saved. The block is planned anew.",
        "shifted" => "Moved. What was planned before stays.",
        _ => return None,
    })
}

/// Shows the forms.
pub async fn show(State(site): State<Arc<Site>>, Query(did): Query<Did>) -> Answer {
    let files = site.files(site.now())?;
    let values = fields::values(&files.world.settings);
    page(&site, &files, &values, &[], said(did.did.as_deref()))
}

fn page(
    site: &Site,
    files: &Files,
    values: &Values,
    refusals: &[String],
    said: Option<&str>,
) -> Answer {
    let seen = seen(&file_text(&site.home.settings())?.unwrap_or_default());
    let content = html! {
        h1 { "Settings" }
        @if !refusals.is_empty() {
            section.note role="alert" aria-labelledby="refusals" {
                h2 #refusals { "Nothing was changed" }
                ul { @for refusal in refusals { li { (refusal) } } }
            }
        }
        (form::settings(site, files, values, &seen))
        (block::section(site, files))
    };
    let frame = Frame {
        view: View::Settings,
        title: "Settings",
        complaints: &files.complaints,
        said,
        scripts: &[],
    };
    Ok(reply::view(&frame, &content))
}

/// The text of a file, if there is one.
fn file_text(path: &Path) -> Result<Option<String>, Failure> {
    match fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Failure::file("Cannot read", path, &error)),
    }
}

/// A mark of a file's text (FNV-1a): a file that was edited while a form was open is not overwritten.
fn seen(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}")
}

/// Writes what the form changed.
pub async fn save(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let files = site.files(site.now())?;
    let path = site.home.settings();
    let existing = file_text(&path)?;
    let before = fields::values(&files.world.settings);
    let after = before.sent(&form);
    if form.text("seen") != Some(&seen(existing.as_deref().unwrap_or_default())) {
        let said =
            "The settings file was changed meanwhile. These are its values now: change them again.";
        return refused(page(&site, &files, &before, &[said.to_owned()], None)?);
    }
    let text = existing.unwrap_or_else(|| new_settings_text(&Settings::default()));
    let checked = fields::written(&text, &before, &after)
        .map_err(|error| vec![capitalised(&error.to_string())])
        .and_then(|text| check(&files, &path, &text).map(|()| text));
    match checked {
        Ok(text) => {
            write_private(&path, text.as_bytes())
                .map_err(|error| Failure::file("Cannot write", &path, &error))?;
            site.forget();
            site.tell().await;
            Ok(reply::see_other("/settings?did=saved"))
        }
        Err(refusals) => refused(page(&site, &files, &after, &refusals, None)?),
    }
}

fn refused(mut response: Response) -> Answer {
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(response)
}

/// The check that every command makes.
fn check(files: &Files, path: &Path, text: &str) -> Result<(), Vec<String>> {
    let library = &files.world.library;
    let patterns: Vec<&str> = library.patterns.keys().map(String::as_str).collect();
    let evenings: Vec<&str> = library.evenings.keys().map(String::as_str).collect();
    let known = KnownIds {
        patterns: &patterns,
        evenings: &evenings,
    };
    let file = path.display().to_string();
    parse_with_ids(&file, text, &files.world.zones, &known)
        .map(drop)
        .map_err(|complaints| complaints.iter().map(in_a_form).collect())
}

/// A complaint without the place in the file: the person sees a form.
fn in_a_form(complaint: &Complaint) -> String {
    capitalised(&format!("{}. {}.", complaint.what, complaint.instead))
}
