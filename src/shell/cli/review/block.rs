//! Every week of every phase on one screen of 80 columns.

use serde_json::{Value, json};

use super::report::{evenings_json, readiness_json, sleep_json, week_json};
use super::words::{bar_of, sentences};
use crate::pure::block::Block;
use crate::pure::review::summary::{BlockWeek, DayMark, Review};

/// Columns of the load's bar.
const BAR: usize = 12;

/// The block as a table.
pub fn words(block: &Block, weeks: &[BlockWeek], review: &Review) -> String {
    let mut text = format!(
        "{}, {} weeks from {}\n\n",
        block.name,
        weeks.len(),
        block.starts.format("%a %-d %b %Y"),
    );
    text.push_str(" week  from    days     load AU           planned  wind-downs  sleep  short\n");
    let most = weeks.iter().map(greatest_load).fold(0.0, f64::max);
    let mut phase = None;
    for week in weeks {
        if phase != Some(&week.phase) {
            text.push_str(&format!("{}\n", week.phase));
            phase = Some(&week.phase);
        }
        text.push_str(&row(week, most));
    }
    text.push_str(&format!("\n {}\n\n", legend()));
    text.push_str(&sentences(review));
    text
}

fn greatest_load(week: &BlockWeek) -> f64 {
    let known = week.past.as_ref();
    known
        .map_or(0.0, |past| past.load.week.known_load)
        .max(week.planned)
}

fn row(week: &BlockWeek, most: f64) -> String {
    let days: String = week.days.iter().map(|mark| mark.letter()).collect();
    let start = format!(
        " {:>4}  {:<6}  {days:<7}",
        week.block_week,
        week.span.from.format("%-d %b").to_string()
    );
    let Some(past) = &week.past else {
        return format!("{start}  {:<BAR$}        {:>5.0}\n", "", week.planned);
    };
    let load = past.load.week.known_load;
    let evenings = match past.evenings.prompted {
        0 => "-".to_owned(),
        prompted => format!("{} of {prompted}", past.evenings.done),
    };
    let sleep = past.sleep.mean_asleep_s.map_or_else(
        || "-".to_owned(),
        |mean| {
            let minutes = (mean / 60.0).round();
            format!("{:.0}:{:02.0}", (minutes / 60.0).floor(), minutes % 60.0)
        },
    );
    let short = match past.sleep.nights {
        0 => "-".to_owned(),
        nights => format!("{} of {nights}", past.sleep.short_nights),
    };
    format!(
        "{start}  {:<BAR$} {load:>5.0}  {:>5.0}    {evenings:<10}  {sleep:>5}  {short}\n",
        bar_of(load, most, BAR),
        week.planned,
    )
}

fn legend() -> String {
    let marks: Vec<String> = DayMark::ALL
        .iter()
        .map(|(_, letter, words)| format!("{letter} {words}"))
        .collect();
    marks.join("   ")
}

/// The block for machines.
pub fn as_json(block: &Block, weeks: &[BlockWeek]) -> Value {
    let row = |week: &BlockWeek| {
        let past = week.past.as_ref();
        json!({
            "phase": week.phase,
            "week": week.week,
            "block_week": week.block_week,
            "from": week.span.from.to_string(),
            "to": week.span.to.to_string(),
            "days": week.days.iter().map(|mark| mark.letter()).collect::<String>(),
            "planned": week.planned,
            "load": past.map(|past| week_json(&past.load)),
            "evenings": past.map(|past| evenings_json(&past.evenings)),
            "sleep": past.map(|past| sleep_json(&past.sleep)),
            "readiness": past.map(|past| readiness_json(&past.suggestions)),
        })
    };
    json!({
        "name": block.name,
        "starts": block.starts.to_string(),
        "weeks": weeks.iter().map(row).collect::<Vec<_>>(),
    })
}
