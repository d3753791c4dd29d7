//! A look back in words: the sentences first, then what they rest on.

use crate::pure::agenda::Plan;
use crate::pure::readiness::Band;
use crate::pure::review::summary::{
    LoadWeek, NightsSummary, PhaseBest, Review, SoreRegion, Suggestions,
};

/// Columns that a line of prose takes at most.
const WIDE: usize = 78;

/// A bar is so long at most.
const BAR: usize = 24;

/// The words of a look back.
pub fn review(review: &Review, plan: &Plan) -> String {
    let mut text = format!(
        "{} to {}\n\n",
        review.span.from.format("%a %-d %b %Y"),
        review.span.to.format("%a %-d %b %Y")
    );
    text.push_str(&sentences(review));
    text.push_str(&sleep(&review.sleep, plan));
    text.push_str(&load(&review.loads.weeks));
    text.push_str(&bands(&review.suggestions));
    text.push_str(&bests(&review.bests));
    text.push_str(&sore(&review.sore));
    text
}

/// The sentences, and what is to be said about long times awake.
pub fn sentences(review: &Review) -> String {
    let mut text = String::new();
    let help = review.sleep_help.as_ref().map(|help| &help.text);
    for sentence in review.sentences.iter().chain(help) {
        text.push_str(&textwrap::fill(sentence, WIDE));
        text.push('\n');
    }
    text
}

fn sleep(sleep: &NightsSummary, plan: &Plan) -> String {
    let mut lines = Vec::new();
    if let Some(shortfall) = sleep.shortfall {
        let minutes = shortfall.mean_s / 60.0;
        let way = if minutes < 0.0 { "more" } else { "less" };
        lines.push(format!(
            "Over the last {} known nights {:.0} min {way} a night than {}.",
            shortfall.nights,
            minutes.abs(),
            hours(sleep.need_s)
        ));
    }
    if let Some(index) = sleep.regularity {
        lines.push(format!(
            "Regularity {index:.0} (100: every day like the day before; compare it with your own other weeks only)."
        ));
    }
    if sleep.midpoint_nights > 0 && plan.settings.nights.alarm_days.is_none() {
        lines.push(
            "Mornings with an alarm are not compared with free ones: alarm_days in the settings says which they are."
                .to_owned(),
        );
    }
    section("Sleep", &lines)
}

/// Hours and minutes of a length in seconds.
pub fn hours(seconds: i64) -> String {
    match (seconds / 3600, seconds % 3600 / 60) {
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

fn load(weeks: &[LoadWeek]) -> String {
    let any = weeks
        .iter()
        .any(|week| week.sessions > 0 || week.planned_sessions > 0);
    if !any {
        return String::new();
    }
    let most = weeks
        .iter()
        .map(|week| week.week.known_load.max(week.planned))
        .fold(0.0, f64::max);
    let lines: Vec<String> = weeks
        .iter()
        .map(|week| {
            let missing = week.span.days().count() - week.week.known_days;
            let missing = match missing {
                0 => String::new(),
                1 => ", 1 day unknown".to_owned(),
                many => format!(", {many} days unknown"),
            };
            format!(
                "{:>6}  {:<BAR$} {:>5.0} AU, {} done, {} planned{missing}",
                week.span.from.format("%-d %b").to_string(),
                bar(week.week.known_load, most),
                week.week.known_load,
                week.sessions,
                week.planned_sessions,
            )
        })
        .collect();
    section("Load by week (AU: RPE times minutes)", &lines)
}

/// A bar in eighths of a column.
pub fn bar(value: f64, most: f64) -> String {
    bar_of(value, most, BAR)
}

/// A bar of at most so many columns.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a few columns"
)]
pub fn bar_of(value: f64, most: f64, columns: usize) -> String {
    const PARTS: [&str; 8] = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let share = if most > 0.0 {
        (value / most).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let eighths = (share * (columns * 8) as f64).round() as usize;
    format!("{}{}", "█".repeat(eighths / 8), PARTS[eighths % 8])
}

fn bands(suggestions: &Suggestions) -> String {
    let lines: Vec<String> = Band::ALL
        .into_iter()
        .filter_map(|band| {
            let count = suggestions.bands.get(&band)?;
            let plural = if *count == 1 { "" } else { "s" };
            Some(format!("{count:>3} morning{plural}: {}", band.words()))
        })
        .collect();
    section("Readiness", &lines)
}

fn bests(bests: &[PhaseBest]) -> String {
    let lines: Vec<String> = bests
        .iter()
        .map(|best| {
            let part = match &best.session {
                Some(session) => format!("{session}, {}", best.part),
                None => best.part.clone(),
            };
            let before = best.before.as_ref().map_or(String::new(), |before| {
                format!(
                    "; {} on {} in {}",
                    before.total,
                    before.date.format("%-d %b"),
                    before.phase
                )
            });
            format!(
                "{part}: {} on {} in {}{before}",
                best.total,
                best.date.format("%-d %b"),
                best.phase
            )
        })
        .collect();
    section("Most counted in one session", &lines)
}

fn sore(sore: &[SoreRegion]) -> String {
    let lines: Vec<String> = sore
        .iter()
        .map(|sore| {
            // Longer spans show their last weeks; the sum covers all.
            let shown = &sore.weeks[sore.weeks.len().saturating_sub(12)..];
            let weeks: Vec<String> = shown.iter().map(ToString::to_string).collect();
            format!(
                "{:<16} {:>3}   by week {}",
                sore.region.words(),
                sore.mornings,
                weeks.join(" ")
            )
        })
        .collect();
    section("Sore, in mornings", &lines)
}

fn section(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{title}\n");
    for line in lines {
        let indented = textwrap::Options::new(WIDE)
            .initial_indent("  ")
            .subsequent_indent("  ");
        // A row of a table keeps its blanks.
        if line.chars().count() + 2 <= WIDE {
            text.push_str(&format!("  {line}\n"));
        } else {
            text.push_str(&textwrap::fill(line, indented));
            text.push('\n');
        }
    }
    text
}
