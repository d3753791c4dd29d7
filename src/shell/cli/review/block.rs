//! Every week of every phase on one screen.

use serde_json::{Value, json};

use super::report::{evenings_json, readiness_json, sleep_json, week_json};
use super::words::{bar_of, sentences};
use crate::pure::block::Block;
use crate::pure::phrase::counted;
use crate::pure::review::summary::{BlockWeek, DayMark, Review};
use crate::shell::cli::lines::output_width;

/// Columns of the load's bar.
const BAR: usize = 10;

/// Columns that a row with everything in it takes.
const ALL_COLUMNS: usize = 78;

/// The block as a table: after the sentences, so that all of it stays on the screen.
pub fn words(block: &Block, weeks: &[BlockWeek], review: &Review) -> String {
    let mut text = format!(
        "{}, {} from {}\n\n{}\n",
        block.name,
        counted(weeks.len(), "weeks"),
        block.starts.format("%a %-d %b %Y"),
        sentences(review),
    );
    let most = weeks.iter().map(greatest_load).fold(0.0, f64::max);
    let full = output_width() >= ALL_COLUMNS;
    text.push_str(&line(
        &Cells {
            week: "week".to_owned(),
            from: "from".to_owned(),
            days: "days".to_owned(),
            bar: "load, AU".to_owned(),
            load: "done".to_owned(),
            planned: "plan".to_owned(),
            rest: ["evening", "slept", "short", "lower"].map(str::to_owned),
        },
        full,
    ));
    let mut phase = None;
    for week in weeks {
        if phase != Some(&week.phase) {
            text.push_str(&format!("{}\n", week.phase));
            phase = Some(&week.phase);
        }
        text.push_str(&line(&row(week, most), full));
    }
    text.push('\n');
    text.push_str(&format!("{}\n", legend()));
    text
}

/// The cells of a row.
struct Cells {
    week: String,
    from: String,
    days: String,
    bar: String,
    load: String,
    planned: String,
    /// Wind-downs, sleep, short nights, mornings with less suggested than planned.
    rest: [String; 4],
}

/// A row; on a narrow terminal without bar and plan.
fn line(cells: &Cells, full: bool) -> String {
    let Cells {
        week,
        from,
        days,
        bar,
        load,
        planned,
        rest: [evenings, slept, short, lowered],
    } = cells;
    let start = format!("{week:>4}  {from:<6}  {days:<7}  ");
    let end = format!("{evenings:<7}  {slept:>5}  {short:<6}  {lowered}");
    let load = if full {
        format!("{bar:<BAR$} {load:>5}  {planned:>5}  ")
    } else {
        format!("{load:>5}  ")
    };
    format!("{}\n", format!("{start}{load}{end}").trim_end())
}

fn greatest_load(week: &BlockWeek) -> f64 {
    let known = week.past.as_ref();
    known
        .map_or(0.0, |past| past.load.week.known_load)
        .max(week.planned)
}

fn row(week: &BlockWeek, most: f64) -> Cells {
    let of = |count: u64, all: u64| match all {
        0 => "-".to_owned(),
        all => format!("{count} of {all}"),
    };
    let mut cells = Cells {
        week: week.block_week.to_string(),
        from: week.span.from.format("%-d %b").to_string(),
        days: week.days.iter().map(|mark| mark.letter()).collect(),
        bar: String::new(),
        load: String::new(),
        planned: format!("{:.0}", week.planned),
        rest: Default::default(),
    };
    let Some(past) = &week.past else {
        return cells;
    };
    let load = past.load.week.known_load;
    cells.bar = bar_of(load, most, BAR);
    cells.load = format!("{load:.0}");
    let slept = past.sleep.mean_asleep_s.map(|mean| {
        let minutes = (mean / 60.0).round();
        format!("{:.0}:{:02.0}", (minutes / 60.0).floor(), minutes % 60.0)
    });
    cells.rest = [
        of(past.evenings.done.into(), past.evenings.prompted.into()),
        slept.unwrap_or_else(|| "-".to_owned()),
        of(past.sleep.short_nights as u64, past.sleep.nights as u64),
        of(
            past.suggestions.judged_lower().into(),
            past.suggestions.judged().into(),
        ),
    ];
    cells
}

fn legend() -> String {
    let marks: Vec<String> = DayMark::ALL
        .iter()
        .map(|(_, letter, words)| format!("{letter} {words}"))
        .collect();
    format!(
        "{}. Evening: followed to the end of those with a wind-down. Short: nights under the recommended sleep. Lower: days with less suggested than planned.",
        marks.join(", ")
    )
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
