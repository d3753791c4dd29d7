//! The four morning ratings over a span, one strip each.

use chrono::NaiveDate;

use super::canvas::{Anchor, Canvas, Ink};
use crate::pure::diary::Item;
use crate::pure::review::summary::{Records, Span};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 84.0;
const TOP: f64 = 16.0;
const STRIP: f64 = 54.0;
const BOTTOM: f64 = 26.0;

/// The chart. A morning without an answer leaves a gap.
pub fn ratings(records: &Records<'_>, span: Span) -> String {
    let days = span.days().count().max(1);
    let height = TOP + STRIP * 4.0 + BOTTOM;
    let words = "Sleep, freshness, soreness and mood as rated each morning, 1 to 5, higher is better, 3 as usual.";
    let mut canvas = Canvas::new(WIDTH, height, "Morning ratings", words);
    let step = (WIDTH - LEFT - 24.0) / (days.max(2) - 1) as f64;
    let x = |index: usize| LEFT + step * index as f64;
    for (number, item) in Item::ALL.into_iter().enumerate() {
        let bottom = TOP + STRIP * (number as f64 + 1.0) - 12.0;
        let y = |value: u8| bottom - f64::from(value - 1) / 4.0 * (STRIP - 24.0);
        for value in [1, 3, 5] {
            canvas.line((LEFT, y(value)), (x(days - 1), y(value)), Ink::Grid);
            canvas.text(
                (LEFT - 8.0, y(value) + 4.0),
                Anchor::End,
                true,
                &value.to_string(),
            );
        }
        canvas.text((4.0, y(3) + 4.0), Anchor::Start, false, item.words());
        strip(&mut canvas, records, span, item, (&x, &y));
    }
    let every = (days / 8).max(1);
    for (index, day) in span.days().enumerate().step_by(every) {
        let label = day.format("%-d %b").to_string();
        canvas.text((x(index), height - 8.0), Anchor::Middle, true, &label);
    }
    canvas.document()
}

fn strip(
    canvas: &mut Canvas,
    records: &Records<'_>,
    span: Span,
    item: Item,
    (x, y): (&impl Fn(usize) -> f64, &impl Fn(u8) -> f64),
) {
    let rated = |day: NaiveDate| records.recorded.morning(day)?.ratings.get(item);
    let mut run: Vec<(f64, f64)> = Vec::new();
    for (index, day) in span.days().enumerate() {
        match rated(day) {
            Some(value) => {
                run.push((x(index), y(value)));
                let title = format!("{day}: {} {value}", item.words());
                canvas.point((x(index), y(value)), &title);
            }
            None => {
                trace(canvas, &run);
                run.clear();
            }
        }
    }
    trace(canvas, &run);
}

fn trace(canvas: &mut Canvas, run: &[(f64, f64)]) {
    if run.len() > 1 {
        canvas.trace(run);
    }
}
