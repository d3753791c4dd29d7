//! The page of a held side: its name, what to do, the line figure, the seconds left.

use std::time::Duration;

use ratatui::text::Line;

use super::super::run::Note;
use super::super::words;
use super::{Scene, Sheet, bar, can_show, footer_rows, next_row};
use crate::pure::pace::Place;
use crate::pure::routine::CueKind;

/// Columns for the figure and the gap beside it.
const FIGURE_WIDTH: u16 = 28;
const FIGURE_GAP: u16 = 3;
/// Rows of a large number; see [`DIGITS`].
const DIGIT_ROWS: u16 = 5;

pub fn draw(
    sheet: &mut Sheet<'_>,
    scene: &Scene<'_>,
    position: Duration,
    place: &Place<'_>,
    note: Note,
) {
    let height = sheet.height();
    let foot = footer_rows(height);
    // Rows from below: keys, what comes next, seconds with their bar.
    let next = u16::from(height >= 5);
    let count_row = height.saturating_sub(foot + next + 1 + u16::from(height >= 14));
    let head = head(sheet, scene, place, count_row);
    let body_rows = count_row.saturating_sub(head + u16::from(height >= 10));
    body(sheet, scene, place, head, body_rows);
    count(sheet, place, count_row);
    if next > 0 {
        let text = words::next(scene.words, scene.player.timeline(), place.index);
        next_row(sheet, scene, height - foot - 1, &text, position, note);
    }
}

/// Name, side and which of how many; gives the rows used.
fn head(sheet: &mut Sheet<'_>, scene: &Scene<'_>, place: &Place<'_>, rows: u16) -> u16 {
    let look = sheet.look;
    if rows == 0 {
        return 0;
    }
    let step = scene.words.step(place.cue);
    let name = step.map_or(place.cue.text.as_str(), |step| step.name.as_str());
    let side = step
        .and_then(|step| words::side(step.side))
        .unwrap_or_default();
    let taken = Line::raw(name).width();
    let fits = taken + side.len() + 2 <= usize::from(sheet.width());
    sheet.left(0, name, look.strong_accent());
    sheet.right(0, side, look.strong(), taken);
    let mut used = 1;
    if !fits && !side.is_empty() && rows > 1 {
        sheet.left(1, side, look.strong());
        used += 1;
    }
    if rows >= 8 {
        let doing = if place.cue.kind == CueKind::Move {
            "get ready"
        } else {
            "hold"
        };
        sheet.left(used, doing, look.dim());
        if let Some(step) = place.cue.step {
            let all = scene.words.steps.len().max(step + 1);
            sheet.right(
                used,
                &format!("{} of {all}", step + 1),
                look.dim(),
                doing.len(),
            );
        }
        used += 2;
    }
    used
}

/// The figure at the left where there is room for both, and the words.
fn body(sheet: &mut Sheet<'_>, scene: &Scene<'_>, place: &Place<'_>, top: u16, rows: u16) {
    let figure_fits = sheet.width() >= 2 * FIGURE_WIDTH + FIGURE_GAP && rows >= 6;
    let figure = scene.figure.zip(place.cue.step).filter(|_| figure_fits);
    let lines = figure
        .map(|(figure, step)| figure(step, FIGURE_WIDTH, rows))
        .unwrap_or_default();
    let mut indent = 0;
    if !lines.is_empty() && can_show(&lines, sheet.look.letters) {
        indent = FIGURE_WIDTH + FIGURE_GAP;
        let look = sheet.look;
        let mut part = sheet.part(0, top, FIGURE_WIDTH, rows);
        for (row, line) in lines.iter().take(rows.into()).enumerate() {
            part.left(row as u16, line, look.accent());
        }
    }
    let width = sheet.width().saturating_sub(indent);
    let mut part = sheet.part(indent, top, width, rows);
    let used = cue_words(&mut part, scene, place);
    // The number once more, large enough to be read from the floor.
    let digits = words::seconds_left(place.left).to_string();
    if rows >= used + 1 + DIGIT_ROWS {
        large(&mut part, used + 1, &digits);
    }
}

/// What to do in this cue; gives the rows used.
fn cue_words(part: &mut Sheet<'_>, scene: &Scene<'_>, place: &Place<'_>) -> u16 {
    let look = part.look;
    let rows = part.height();
    let Some(step) = scene.words.step(place.cue) else {
        return 0;
    };
    // A few seconds of getting ready are short to read by: how to get there stays on the page below.
    let texts = if place.cue.kind == CueKind::Move {
        [
            (&step.set_up, look.text()),
            (&step.feel, look.dim()),
            (&step.ease_off, look.dim()),
        ]
    } else {
        [
            (&step.feel, look.text()),
            (&step.ease_off, look.text()),
            (&step.set_up, look.dim()),
        ]
    };
    let gap = u16::from(rows >= 10);
    let mut used = 0;
    for (text, style) in texts.into_iter().filter(|(text, _)| !text.is_empty()) {
        let row = if used > 0 { used + gap } else { 0 };
        let lines = part.wrapped(row, rows.saturating_sub(row), text, style);
        used = if lines > 0 { row + lines } else { used };
    }
    used
}

fn count(sheet: &mut Sheet<'_>, place: &Place<'_>, row: u16) {
    let look = sheet.look;
    let seconds = format!("{:>3} s", words::seconds_left(place.left));
    sheet.left(row, &seconds, look.strong());
    let indent = seconds.len() as u16 + 2;
    let width = sheet.width().saturating_sub(indent);
    let mut part = sheet.part(indent, row, width, 1);
    part.line(0, &bar(place, width, look));
}

/// Digits three columns wide and five rows high, one bit a column from the left.
const DIGITS: [[u8; DIGIT_ROWS as usize]; 10] = [
    [0b111, 0b101, 0b101, 0b101, 0b111],
    [0b010, 0b110, 0b010, 0b010, 0b111],
    [0b111, 0b001, 0b111, 0b100, 0b111],
    [0b111, 0b001, 0b111, 0b001, 0b111],
    [0b101, 0b101, 0b111, 0b001, 0b001],
    [0b111, 0b100, 0b111, 0b001, 0b111],
    [0b111, 0b100, 0b111, 0b101, 0b111],
    [0b111, 0b001, 0b001, 0b001, 0b001],
    [0b111, 0b101, 0b111, 0b101, 0b111],
    [0b111, 0b101, 0b111, 0b001, 0b111],
];

fn large(sheet: &mut Sheet<'_>, top: u16, digits: &str) {
    let look = sheet.look;
    let dot = look.letters.pick("\u{2588}\u{2588}", "##");
    for row in 0..DIGIT_ROWS {
        let line: String = digits
            .bytes()
            .filter_map(|digit| DIGITS.get(usize::from(digit.wrapping_sub(b'0'))))
            .map(|bits| {
                let bits = bits[usize::from(row)];
                let dots = [4, 2, 1].map(|bit| if bits & bit != 0 { dot } else { "  " });
                dots.concat() + "  "
            })
            .collect();
        sheet.left(top + row, line.trim_end(), look.dim());
    }
}
