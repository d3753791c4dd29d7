//! The page of a held side: its name, what to do, the line figure, the seconds left.

use std::time::Duration;

use ratatui::text::{Line, Span};

use super::super::look::Letters;
use super::super::run::Note;
use super::super::words;
use super::super::words::StepWords;
use super::{Scene, Sheet, bar, footer_rows, next_row, wrap};
use crate::pure::pace::Place;
use crate::pure::routine::CueKind;
use crate::pure::routine::figure::{Figure, Layer, lines};

/// Least columns of the page and rows of its body for a figure.
const FIGURE_FROM: (u16, u16) = (50, 7);
/// Columns between the figure and the words.
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
    let step = scene.words.step(place.cue);
    // Two fifths for the figure: 28 columns of 80.
    let figure_width = sheet.width() * 2 / 5;
    let beside = sheet.width().saturating_sub(figure_width + FIGURE_GAP);
    let fits = |step: &&StepWords| {
        let needed = must_read(step, place.cue.kind).map(|text| wrap(text, beside).len());
        sheet.width() >= FIGURE_FROM.0
            && rows >= FIGURE_FROM.1
            && needed.sum::<usize>() <= usize::from(rows)
    };
    let figure = step.filter(fits).and_then(|step| step.figure.as_ref());
    let mut indent = 0;
    if let Some(figure) = figure {
        drawing(&mut sheet.part(0, top, figure_width, rows), figure);
        indent = figure_width + FIGURE_GAP;
    }
    let width = sheet.width().saturating_sub(indent);
    let mut part = sheet.part(indent, top, width, rows);
    let used = cue_words(&mut part, scene, place);
    // The number once more, large enough to be read from the floor.
    let digits = words::seconds_left(place.left).to_string();
    if rows > used + DIGIT_ROWS {
        large(&mut part, used + 1, &digits);
    }
}

/// What has to be read in a cue; the rest is there to look up.
fn must_read(step: &StepWords, kind: CueKind) -> impl Iterator<Item = &String> {
    let texts = match kind {
        CueKind::Move => [Some(&step.set_up), None],
        _ => [Some(&step.feel), Some(&step.ease_off)],
    };
    texts.into_iter().flatten()
}

/// The line figure, the stretched region in the accent.
fn drawing(sheet: &mut Sheet<'_>, figure: &Figure) {
    let look = sheet.look;
    let (width, height) = (usize::from(sheet.width()), usize::from(sheet.height()));
    let cells = match look.letters {
        Letters::Unicode => lines::braille_cells(figure, width, height),
        Letters::Ascii => lines::ascii_cells(figure, width, height),
    };
    for (row, cells) in cells.iter().enumerate() {
        let style = |layer| match layer {
            Some(Layer::Accent) => look.strong_accent(),
            // On the side turned away: the same colour, of fewer dots.
            Some(Layer::Hidden) => look.accent(),
            Some(Layer::Near) => look.text(),
            _ => look.dim(),
        };
        let letter = |glyph| if glyph == '\u{2800}' { ' ' } else { glyph };
        let spans = cells
            .iter()
            .map(|cell| Span::styled(letter(cell.glyph).to_string(), style(cell.layer)));
        sheet.line(row as u16, &Line::from(spans.collect::<Vec<_>>()));
    }
}

/// What to do in this cue; gives the rows used.
fn cue_words(part: &mut Sheet<'_>, scene: &Scene<'_>, place: &Place<'_>) -> u16 {
    let look = part.look;
    let rows = part.height();
    let Some(step) = scene.words.step(place.cue) else {
        return 0;
    };
    let must: Vec<&String> = must_read(step, place.cue.kind).collect();
    // A few seconds of getting ready are short to read by: how to get there stays on the page below,
    // where it fits as a whole.
    let all = [&step.set_up, &step.feel, &step.ease_off];
    let rest = all.into_iter().filter(|text| !must.contains(text));
    let gap = u16::from(rows >= 10);
    let mut used = 0;
    for text in must
        .iter()
        .copied()
        .chain(rest)
        .filter(|text| !text.is_empty())
    {
        let row = if used > 0 { used + gap } else { 0 };
        let room = rows.saturating_sub(row);
        let needed = must.contains(&text);
        if !needed && wrap(text, part.width()).len() > usize::from(room) {
            continue;
        }
        let style = if needed { look.text() } else { look.dim() };
        let lines = part.wrapped(row, room, text, style);
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
