//! `[prompts]`: what is shown beside the wind-down.

use chrono::NaiveTime;

use super::{CronFields, MorningPrompt, OwnPrompt, Prompts};
use crate::pure::document::{Placed, Section, parse_time};
use crate::pure::schedule;

/// The longest text of a prompt: what a desktop shows without cutting it.
const LONGEST_TEXT: usize = 200;

/// The morning prompt comes at most so many minutes after the wake time.
const LATEST_AFTER_WAKE: u32 = 240;

pub(super) fn read(root: &Section<'_, '_>) -> Prompts {
    let mut prompts = Prompts::default();
    let Some(section) = root.table("prompts") else {
        return prompts;
    };
    if let Some(morning) = morning(&section) {
        prompts.morning = morning;
    }
    if let Some(session) = session(&section) {
        prompts.session = session;
    }
    if let Some(review) = section.text("week_review", "0 0 18 * * Sun") {
        prompts.week_review = if review.value == "off" {
            None
        } else {
            cron(&section, &review)
        };
    }
    if let Some(lights_out) = section.word("lights_out", &[("on", true), ("off", false)]) {
        prompts.lights_out = lights_out.value;
    }
    for table in section.tables("own") {
        prompts.own.extend(own(&table));
        table.finish();
    }
    section.finish();
    prompts
}

fn morning(section: &Section<'_, '_>) -> Option<MorningPrompt> {
    let written = section.text_or_time("morning", "wake + 10 min")?;
    let read = read_morning(&written.value);
    if read.is_none() {
        section.complain(
            &written.span,
            format!("prompts.morning = \"{}\" cannot be read", written.value),
            format!("Write \"wake + 10 min\" (0 to {LATEST_AFTER_WAKE}), a time such as \"07:00\", or \"off\""),
        );
    }
    read
}

fn read_morning(written: &str) -> Option<MorningPrompt> {
    let written = written.trim();
    if written == "off" {
        return Some(MorningPrompt::Off);
    }
    let Some(rest) = written.strip_prefix("wake") else {
        return parse_time(written).map(MorningPrompt::At);
    };
    if rest.trim().is_empty() {
        return Some(MorningPrompt::AfterWake(0));
    }
    let minutes = rest
        .trim()
        .strip_prefix('+')?
        .trim()
        .strip_suffix("min")?
        .trim();
    let minutes = minutes
        .parse()
        .ok()
        .filter(|minutes| *minutes <= LATEST_AFTER_WAKE)?;
    Some(MorningPrompt::AfterWake(minutes))
}

fn session(section: &Section<'_, '_>) -> Option<Option<NaiveTime>> {
    let written = section.text_or_time("session", "12:00")?;
    if written.value == "off" {
        return Some(None);
    }
    let time = parse_time(&written.value);
    if time.is_none() {
        section.complain(
            &written.span,
            format!("prompts.session = \"{}\" is no time of day", written.value),
            "Write hours and minutes, for example \"12:00\", or \"off\"",
        );
    }
    time.map(Some)
}

fn cron(section: &Section<'_, '_>, written: &Placed<String>) -> Option<CronFields> {
    match schedule::parse(&written.value) {
        Ok(fields) => Some(fields),
        Err(fault) => {
            section.complain(
                &section.place_in(written, fault.at),
                fault.what,
                fault.instead,
            );
            None
        }
    }
}

fn own(table: &Section<'_, '_>) -> Option<OwnPrompt> {
    let when = table.text("when", "0 30 13 * * Mon-Fri");
    if !table.has("when") {
        table.missing(
            "when",
            "Write cron fields, for example when = \"0 30 13 * * Mon-Fri\"",
        );
    }
    let text = table.text("text", "Last coffee of the day");
    if !table.has("text") {
        table.missing(
            "text",
            "Write what the prompt says, for example text = \"Last coffee of the day\"",
        );
    }
    let when = when.and_then(|when| cron(table, &when));
    let text = text?;
    let letters = text.value.chars().count();
    if text.value.trim().is_empty() || letters > LONGEST_TEXT {
        table.complain(
            &text.span,
            format!("prompts.own.text has {letters} letters"),
            format!("Write a sentence of 1 to {LONGEST_TEXT} letters"),
        );
    }
    Some(OwnPrompt {
        when: when?,
        text: text.value,
    })
}
