//! A day in words: cautions, then what the morning means, the session, the load.

use crate::pure::adjust::{Dose, words_of};
use crate::pure::load::{DayNumbers, TrainingDone, WeekBest};
use crate::pure::readiness::{number_line, score_in_words};
use crate::pure::today::{SessionToday, Today};

/// What comes before everything else.
pub fn cautions(day: &Today) -> String {
    let mut text = String::new();
    for caution in &day.cautions {
        text.push_str(&format!("! {}\n", caution.text));
    }
    if !day.cautions.is_empty() {
        text.push_str("  When it is over: evenfall pain --list names what to close.\n\n");
    }
    text
}

/// Everything else about one day.
pub fn day(day: &Today, bests: &[WeekBest]) -> String {
    let mut text = format!("{}\n\n", day.date.format("%A %-d %B %Y"));
    text.push_str(&verdict(day));
    for session in &day.sessions {
        text.push('\n');
        text.push_str(&session_words(day, session, bests));
    }
    if day.sessions.is_empty() {
        text.push_str(&format!(
            "\nNothing is planned today ({}).\n",
            match day.kind.id() {
                "rest" => "a rest day",
                _ => "outside the block",
            }
        ));
    }
    for done in &day.done {
        text.push_str(&format!("\nDone: {}\n", done_words(done)));
    }
    if let Some(move_back) = day.move_back {
        text.push_str(&format!("\n{}\n", move_back.sentence()));
    }
    text.push_str(&load_words(&day.load));
    text
}

fn verdict(day: &Today) -> String {
    let readiness = &day.readiness;
    let mut text = format!("{}\n", day.headline());
    for reason in &day.reasons {
        text.push_str(&format!("  {reason}\n"));
    }
    if !day.recorded && !day.kept {
        text.push_str("  To record it: evenfall morning\n");
    }
    if let Some(score) = readiness.score.score.filter(|_| !day.kept) {
        text.push_str(&format!("  All in all: {}.\n\n", score_in_words(score)));
        for line in number_line(score) {
            text.push_str(&format!("  {line}\n"));
        }
    }
    text
}

fn session_words(day: &Today, session: &SessionToday, bests: &[WeekBest]) -> String {
    let planned = &session.planned;
    let mut text = format!("{}, as planned: {}\n", planned.title, numbers(planned));
    text.push_str(&parts(planned, bests));
    let suggestion = &session.suggestion;
    if suggestion.as_planned {
        return text;
    }
    match &suggestion.session {
        Some(dose) => text.push_str(&format!("Suggested: {}\n", numbers(dose))),
        None => text.push_str("Suggested: nothing for now\n"),
    }
    for change in &suggestion.changes {
        text.push_str(&format!("  {change}\n"));
    }
    if day.suggests_training() {
        text.push_str("As planned anyway: evenfall today --keep\n");
    }
    text
}

fn numbers(dose: &Dose) -> String {
    format!(
        "{} min, effort up to {} of 10, load {:.0}",
        dose.minutes,
        dose.rpe,
        dose.load()
    )
}

fn parts(dose: &Dose, bests: &[WeekBest]) -> String {
    let mut text = String::new();
    for part in &dose.parts {
        let best = bests
            .iter()
            .filter(|best| best.session.as_ref() == Some(&dose.id) && best.part == part.title)
            .max_by_key(|best| best.total);
        let best = best.map_or(String::new(), |best| {
            format!(
                "; your best {} in all, {} in one round ({})",
                best.total,
                best.round,
                best.date.format("%-d %b")
            )
        });
        text.push_str(&format!(
            "  {}: {}{best}\n",
            part.title,
            words_of(&part.work)
        ));
    }
    text
}

/// One session done, in a line.
pub fn done_words(done: &TrainingDone) -> String {
    let mut pieces = vec![
        done.session
            .clone()
            .unwrap_or_else(|| "training".to_owned()),
    ];
    pieces.extend(done.minutes.map(|minutes| format!("{minutes} min")));
    pieces.push(match done.rpe {
        Some(rpe) => format!("effort {rpe}"),
        None => "effort not rated yet".to_owned(),
    });
    pieces.extend(done.load().map(|load| format!("load {load:.0}")));
    for part in &done.parts {
        let counts: Vec<String> = part.counts.iter().map(ToString::to_string).collect();
        pieces.push(format!("{} {}", part.part, counts.join(" ")));
    }
    pieces.join(", ")
}

fn load_words(load: &DayNumbers) -> String {
    if load.known_days == 0 {
        return String::new();
    }
    let mut text = format!("\nLoad of the last 7 days: {:.0}", load.week);
    match load.known_days {
        7 => text.push('\n'),
        known => text.push_str(&format!(" ({known} of the 7 days known)\n")),
    }
    if let Some(change) = &load.change {
        text.push_str(&format!("{}\n", change.sentence()));
    }
    text
}

/// One line a day, for a span.
pub fn line(day: &Today) -> String {
    let score = day
        .readiness
        .score
        .score
        .map_or("          -".to_owned(), |score| format!("{score:>11.2}"));
    let session = day
        .sessions
        .first()
        .map_or("-", |session| session.planned.title.as_str());
    let load = day
        .load
        .day
        .map_or("-".to_owned(), |load| format!("{load:.0}"));
    format!(
        "{}  {score}  {:<22} {session}, load {load}\n",
        day.date.format("%a %Y-%m-%d"),
        day.readiness.band.words()
    )
}
