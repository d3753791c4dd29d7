//! The reader of `settings.toml`: text in, checked settings or every complaint out.
//!
//! Nothing is required: what is not written keeps its default. Each part reads its table to the end,
//! whatever is wrong in it, so that one look at the complaints is enough to correct the file.

use std::collections::BTreeSet;

use super::{Page, Settings, ZoneChoice, evening, nights, prompts};
use crate::pure::avoid::Avoid;
use crate::pure::civil::{ZoneNames, nearest_zone};
use crate::pure::complaint::{Complaint, nearest, one_of};
use crate::pure::document::{Document, Placed, Section};

/// The ids of the routine library that settings may name.
#[derive(Clone, Copy, Debug)]
pub struct KnownIds<'a> {
    /// Breathing patterns.
    pub patterns: &'a [&'a str],
    /// Evenings given by a coach.
    pub evenings: &'a [&'a str],
}

/// Reads `settings.toml` without looking into the routine library.
///
/// # Errors
/// Every complaint about the text, in its order.
pub fn parse(file: &str, text: &str, zones: &dyn ZoneNames) -> Result<Settings, Vec<Complaint>> {
    Document::read(file, text, |root| Some(read(root, zones, None)))
}

/// Reads `settings.toml` and checks that the pattern and the evening it names are in the library.
///
/// # Errors
/// Every complaint about the text, in its order.
pub fn parse_with_ids(
    file: &str,
    text: &str,
    zones: &dyn ZoneNames,
    known: &KnownIds<'_>,
) -> Result<Settings, Vec<Complaint>> {
    Document::read(file, text, |root| Some(read(root, zones, Some(known))))
}

fn read(root: &Section<'_, '_>, zones: &dyn ZoneNames, known: Option<&KnownIds<'_>>) -> Settings {
    let page = page(root);
    Settings {
        timezone: timezone(root, zones).unwrap_or(ZoneChoice::System),
        born: root
            .integer("born", 1900..=2100)
            .and_then(|year| i32::try_from(year.value).ok()),
        avoid: avoid(root),
        emergency_number: emergency_number(root),
        nights: nights::read(root, zones),
        evening: evening::read(root, page.on, known),
        prompts: prompts::read(root),
        page,
    }
}

fn timezone(root: &Section<'_, '_>, zones: &dyn ZoneNames) -> Option<ZoneChoice> {
    let written = root.text("timezone", "Europe/Oslo")?;
    if written.value == "system" {
        return Some(ZoneChoice::System);
    }
    zone_name(root, written, zones, true).map(ZoneChoice::Named)
}

/// A written zone name that there are rules for; complains otherwise.
pub(super) fn zone_name(
    section: &Section<'_, '_>,
    written: Placed<String>,
    zones: &dyn ZoneNames,
    system_too: bool,
) -> Option<String> {
    // The shell looks names up as files: nothing that leads out of its folder may reach it.
    let is_name = written.value.split('/').all(|part| {
        !part.is_empty()
            && part
                .chars()
                .all(|letter| letter.is_ascii_alphanumeric() || "_+-".contains(letter))
    });
    if is_name && zones.knows(&written.value) {
        return Some(written.value);
    }
    let mut instead = match nearest_zone(&written.value) {
        Some(near) => format!("Did you mean \"{near}\"? Else write the IANA name of a zone"),
        None => "Write the IANA name of a zone, for example \"Europe/Oslo\"".to_owned(),
    };
    if system_too {
        instead.push_str(", or \"system\" for the zone of the machine");
    }
    section.complain(
        &written.span,
        format!(
            "{}: there is no time zone \"{}\"",
            section.name_of("timezone"),
            written.value
        ),
        instead,
    );
    None
}

fn avoid(root: &Section<'_, '_>) -> BTreeSet<Avoid> {
    let mut found = BTreeSet::new();
    for written in root.texts("avoid").unwrap_or_default() {
        if let Some(avoid) = Avoid::from_id(&written.value) {
            found.insert(avoid);
            continue;
        }
        let instead = match nearest(&written.value, Avoid::ids()) {
            Some(near) => format!("Did you mean \"{near}\"? Else remove it"),
            None => format!("Write one of: {}", one_of(Avoid::ids())),
        };
        root.complain(
            &written.span,
            format!("avoid: \"{}\" is not known", written.value),
            instead,
        );
    }
    found
}

fn emergency_number(root: &Section<'_, '_>) -> Option<String> {
    let written = root.text("emergency_number", "112")?;
    let number = written.value.trim();
    let is_number = (2..=20).contains(&number.len())
        && number.chars().any(|letter| letter.is_ascii_digit())
        && number
            .chars()
            .all(|letter| letter.is_ascii_digit() || " +-()".contains(letter));
    if is_number {
        return Some(number.to_owned());
    }
    root.complain(
        &written.span,
        format!(
            "emergency_number = \"{}\" is no telephone number",
            written.value
        ),
        "Write digits, for example \"112\"",
    );
    None
}

fn page(root: &Section<'_, '_>) -> Page {
    let mut page = Page::default();
    let Some(section) = root.table("page") else {
        return page;
    };
    if let Some(on) = section.boolean("on") {
        page.on = on.value;
    }
    // Lower ports need rights that the service of one person does not have.
    page.port = section
        .integer("port", 1024..=65535)
        .and_then(|port| u16::try_from(port.value).ok());
    section.finish();
    page
}

/// A whole number as read, narrowed; its bounds were checked.
pub(super) fn small(number: i64) -> u32 {
    u32::try_from(number).unwrap_or(0)
}
