//! A look back in words: the sentences first, then what they rest on.

use chrono::NaiveDate;

use crate::pure::agenda::Plan;
use crate::pure::block::Block;
use crate::pure::phrase::counted;
use crate::pure::readiness::Band;
use crate::pure::review::summary::{
    LoadWeek, NightsSummary, PhaseBest, Review, SoreRegion, Suggestions,
};
use crate::shell::cli::lines::output_width;

/// The words of a look back. `compared` is what is said of a comparison in it.
pub fn review(review: &Review, plan: &Plan, compared: &[String]) -> String {
    let mut text = format!(
        "{} to {}\n\n",
        review.span.from.format("%a %-d %b %Y"),
        review.span.to.format("%a %-d %b %Y")
    );
    text.push_str(&sentences(review));
    text.push_str(&section("Sleep", &sleep(&review.sleep, plan)));
    text.push_str(&section(
        "Load by week (AU: RPE times minutes)",
        &load(&review.loads.weeks),
    ));
    text.push_str(&section("Readiness", &bands(&review.suggestions)));
    text.push_str(&section(
        "Most counted in one session",
        &bests(&review.bests, &plan.block),
    ));
    text.push_str(&section("Sore, in mornings", &sore(&review.sore)));
    text.push_str(&section("Two evenings compared", compared));
    text
}

/// The sentences, and what is to be said about long times awake.
pub fn sentences(review: &Review) -> String {
    let help = review.sleep_help.as_ref().map(|help| &help.text);
    let all = review.sentences.iter().chain(help);
    all.map(|sentence| format!("{sentence}\n")).collect()
}

fn sleep(sleep: &NightsSummary, plan: &Plan) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(shortfall) = sleep.shortfall {
        let minutes = shortfall.mean_s / 60.0;
        let way = if minutes < 0.0 { "more" } else { "less" };
        lines.push(format!(
            "On the last {} known nights you slept {:.0} min {way} a night than {}.",
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
    lines
}

/// Hours and minutes of a length in seconds.
pub fn hours(seconds: i64) -> String {
    match (seconds / 3600, seconds % 3600 / 60) {
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

fn load(weeks: &[LoadWeek]) -> Vec<String> {
    let any = weeks
        .iter()
        .any(|week| week.sessions > 0 || week.planned_sessions > 0);
    if !any {
        return Vec::new();
    }
    let most = weeks
        .iter()
        .map(|week| week.week.known_load.max(week.planned))
        .fold(0.0, f64::max);
    // What stands beside the bar takes 53 columns at most.
    let bar = output_width().saturating_sub(54).min(24);
    weeks
        .iter()
        .map(|week| {
            let missing = match week.span.days().count() - week.week.known_days {
                0 => String::new(),
                unknown => format!(", {} unknown", counted(unknown, "days")),
            };
            format!(
                "{:>6}  {:<bar$} {:>5.0} AU, {} done, {} planned{missing}",
                week.span.from.format("%-d %b").to_string(),
                bar_of(week.week.known_load, most, bar),
                week.week.known_load,
                week.sessions,
                week.planned_sessions,
            )
        })
        .collect()
}

/// A bar in eighths of a column, of at most so many columns.
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

fn bands(suggestions: &Suggestions) -> Vec<String> {
    Band::ALL
        .into_iter()
        .filter_map(|band| {
            let count = suggestions.bands.get(&band)?;
            let plural = if *count == 1 { " " } else { "s" };
            Some(format!("{count:>3} morning{plural}  {}", band.words()))
        })
        .collect()
}

fn bests(bests: &[PhaseBest], block: &Block) -> Vec<String> {
    bests
        .iter()
        .map(|best| {
            let on = |date: NaiveDate| date.format("%-d %b").to_string();
            let before = best.before.as_ref().map_or(String::new(), |before| {
                let phase = &before.phase;
                format!("; in {phase} {} on {}", before.total, on(before.date))
            });
            format!(
                "{}: in {} {} on {}{before}",
                part_name(best, block),
                best.phase,
                best.total,
                on(best.date),
            )
        })
        .collect()
}

/// A part with the title of its session.
pub fn part_name(best: &PhaseBest, block: &Block) -> String {
    let Some(id) = &best.session else {
        return best.part.clone();
    };
    let known = block.sessions.get(id);
    let session = known.map_or(id, |session| &session.title);
    format!("{session}, {}", best.part)
}

fn sore(sore: &[SoreRegion]) -> Vec<String> {
    let name = |sore: &SoreRegion| sore.region.words().chars().count();
    let wide = sore.iter().map(name).max().unwrap_or(0);
    // Longer spans show their last weeks; the sum covers all.
    let shown = (output_width().saturating_sub(wide + 20) / 2).clamp(4, 12);
    sore.iter()
        .map(|sore| {
            let last = &sore.weeks[sore.weeks.len().saturating_sub(shown)..];
            let weeks: Vec<String> = last.iter().map(ToString::to_string).collect();
            let which = if last.len() < sore.weeks.len() {
                format!("last {} weeks", last.len())
            } else {
                "by week".to_owned()
            };
            format!(
                "{:<wide$}  {:>3}   {which}  {}",
                sore.region.words(),
                sore.mornings,
                weeks.join(" ")
            )
        })
        .collect()
}

/// A heading with lines under it.
fn section(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|line| format!("  {line}\n")).collect();
    format!("\n{title}\n{lines}")
}
