//! The settings: edited in a form, checked by the code that `check` uses, and written back so that the
//! person's comments stay. And the block: which one, and when it starts.

mod block;
mod fields;
mod form;
mod own;
mod single;

use std::fs;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};
use serde::Deserialize;

use super::values::Values;
use crate::pure::complaint::Complaint;
use crate::pure::edit::CannotEdit;
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
pub use own::{remove as remove_own, save as save_own};
pub use single::{remove as remove_night, save as save_night};

/// What was just done.
#[derive(Debug, Deserialize)]
pub struct Did {
    did: Option<String>,
}

fn said(did: Option<&str>) -> Option<&'static str> {
    Some(match did? {
        "saved" => "Saved. The service follows the new settings.",
        "night" => "Saved. That night is planned anew.",
        "own" => "Saved. The prompt comes as it says.",
        "removed" => "Removed.",
        "block" => "Saved. The block is planned anew.",
        "shifted" => "Moved. What was planned before stays.",
        _ => return None,
    })
}

/// What the person left in the forms, where it could not be saved.
#[derive(Clone, Debug, Default)]
struct Filled {
    /// The large form.
    settings: Option<Values>,
    /// A single night.
    night: Option<Values>,
    /// A prompt of their own.
    own: Option<Values>,
}

/// Shows the forms.
pub async fn show(State(site): State<Arc<Site>>, Query(did): Query<Did>) -> Answer {
    let files = site.files(site.now())?;
    page(
        &site,
        &files,
        &Filled::default(),
        &[],
        said(did.did.as_deref()),
    )
}

fn page(
    site: &Site,
    files: &Files,
    filled: &Filled,
    refusals: &[String],
    said: Option<&str>,
) -> Answer {
    let seen = seen(&file_text(&site.home.settings())?.unwrap_or_default());
    let known = fields::values(&files.world.settings);
    let today = files.world.zone.local(site.now()).date_naive();
    let content = html! {
        h1 { "Settings" }
        p.said #still-unsaved role="status" hidden { "What you changed in the other forms is still there, and not saved yet." }
        @if !refusals.is_empty() {
            section.note role="alert" aria-labelledby="refusals" {
                h2 #refusals { "Nothing was changed" }
                ul { @for refusal in refusals { li { (refusal) } } }
            }
        }
        (form::settings(site, files, filled.settings.as_ref().unwrap_or(&known), &seen))
        (single::section(site, files, today, &seen, filled.night.as_ref()))
        (own::section(site, files, &seen, filled.own.as_ref()))
        (block::section(site, files))
        (form::only_in_the_file(site, files))
    };
    let frame = Frame {
        view: View::Settings,
        title: "Settings",
        complaints: &files.complaints,
        said,
        scripts: &["/fields.mjs", "/unsaved.mjs"],
    };
    Ok(reply::view(&frame, &content))
}

/// Beside the button of a form: whether it holds something unsaved, told by script. The other forms keep
/// theirs by script; without it the person is told before they press the button.
fn saves_alone() -> Markup {
    html! {
        (unsaved())
        noscript { p.quiet { "This saves only what stands here. What you changed in the other forms is lost: save that first." } }
    }
}

/// The first half of [`saves_alone`].
fn unsaved() -> Markup {
    html! { p.quiet data-unsaved hidden { "Not saved yet." } }
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

/// Why a form was not saved.
enum Refused {
    /// The form cannot be read.
    Form(String),
    /// The file cannot be changed.
    File(CannotEdit),
}

impl From<CannotEdit> for Refused {
    fn from(error: CannotEdit) -> Self {
        Self::File(error)
    }
}

/// Writes what the large form changed.
pub async fn save(State(site): State<Arc<Site>>, Extension(form): Extension<Form>) -> Answer {
    let before = fields::values(&site.files(site.now())?.world.settings);
    let sent = before.sent(&form);
    let after = sent.with_times(before.fields().filter(|field| fields::is_time(field)));
    let filled = Filled {
        settings: Some(after.clone()),
        ..Filled::default()
    };
    change_file(&site, &form, filled, "saved", |text| {
        Ok(fields::written(text, &before, &after)?)
    })
    .await
}

/// Changes the settings file as a form says, unless it was edited meanwhile or would not be whole.
async fn change_file(
    site: &Site,
    form: &Form,
    filled: Filled,
    did: &str,
    change: impl FnOnce(&str) -> Result<String, Refused>,
) -> Answer {
    let files = site.files(site.now())?;
    let path = site.home.settings();
    let existing = file_text(&path)?;
    if form.text("seen") != Some(&seen(existing.as_deref().unwrap_or_default())) {
        let said =
            "The settings file was changed meanwhile. These are its values now: change them again.";
        site.forget();
        let files = site.files(site.now())?;
        return refused(page(
            site,
            &files,
            &Filled::default(),
            &[said.to_owned()],
            None,
        )?);
    }
    let text = existing.unwrap_or_else(|| new_settings_text(&Settings::default()));
    let checked = change(&text)
        .map_err(|refusal| {
            vec![match refusal {
                Refused::Form(said) => said,
                Refused::File(error) => capitalised(&error.to_string()),
            }]
        })
        .and_then(|text| check(&files, &path, &text).map(|()| text));
    match checked {
        Ok(text) => {
            write_private(&path, text.as_bytes())
                .map_err(|error| Failure::file("Cannot write", &path, &error))?;
            site.forget();
            site.tell().await;
            Ok(reply::see_other(&format!("/settings?did={did}")))
        }
        Err(refusals) => refused(page(site, &files, &filled, &refusals, None)?),
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
