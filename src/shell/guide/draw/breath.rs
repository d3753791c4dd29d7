//! The page of a breath: lung volume over time as a line that scrolls under a marker, and the word.

use std::time::Duration;

use ratatui::style::Style;
use ratatui::text::{Line, Span};

use super::super::look::Letters;
use super::super::run::Note;
use super::super::words;
use super::{Scene, Sheet, footer_rows, next_row};
use crate::pure::pace::Place;

/// Time that one column of the picture stands for: slow enough to rest the eye on, and a screen of 80
/// columns shows two breaths of ten seconds.
pub const COLUMN: Duration = Duration::from_millis(334);

/// Rows of the picture at most: a flatter line is calmer.
const MOST_ROWS: u16 = 10;

pub fn draw(
    sheet: &mut Sheet<'_>,
    scene: &Scene<'_>,
    position: Duration,
    place: &Place<'_>,
    note: Note,
) {
    let look = sheet.look;
    let height = sheet.height();
    let foot = footer_rows(height);
    let next = u16::from(height >= 5);
    let air = u16::from(height >= 14);
    let word_row = height.saturating_sub(foot + next + 1 + air);
    let head = u16::from(word_row >= 1);
    if head > 0 {
        let breath = place.cue.breath.map_or(0, |breath| breath + 1);
        let count = format!(
            "breath {breath} of {}",
            words::breaths(scene.player.timeline())
        );
        let title = if scene.words.pattern.is_empty() {
            "Breathe"
        } else {
            &scene.words.pattern
        };
        let taken = Line::raw(title).width();
        if taken + count.len() + 2 <= usize::from(sheet.width()) {
            sheet.left(0, title, look.strong_accent());
            sheet.right(0, &count, look.text(), taken);
        } else {
            sheet.left(0, &count, look.text());
        }
    }
    let room = word_row.saturating_sub(head + 2 * air);
    let rows = room.min(MOST_ROWS);
    let width = sheet.width();
    let top = head + air + (room - rows) / 2;
    picture(&mut sheet.part(0, top, width, rows), scene, position);
    let (word, left) = scene.words.breath_word(place);
    let seconds = words::seconds_left(left);
    sheet.line(
        word_row,
        &Line::from(vec![
            Span::styled(format!("{word}  "), look.strong_accent()),
            Span::styled(seconds.to_string(), look.strong()),
        ]),
    );
    if next > 0 {
        let text = words::next(scene.words, scene.player.timeline(), place.index);
        next_row(sheet, scene, height - foot - 1, &text, position, note);
    }
}

/// The line: what was breathed left of the marker in the accent, what comes right of it dim.
fn picture(sheet: &mut Sheet<'_>, scene: &Scene<'_>, position: Duration) {
    let (width, height) = (usize::from(sheet.width()), usize::from(sheet.height()));
    if width == 0 || height == 0 {
        return;
    }
    let look = sheet.look;
    let dots = look.letters.pick(2, 1);
    let here = width / 3;
    let step = COLUMN / dots as u32;
    let volumes = scene
        .trace
        .window(position, step, here * dots, width * dots);
    let mut rows = match look.letters {
        Letters::Unicode => braille(&volumes, height),
        Letters::Ascii => strokes(&volumes, height),
    };
    let Some(volume) = scene.trace.volume(position) else {
        return;
    };
    let at = ((1.0 - volume) * (height - 1) as f64).round() as usize;
    rows[at][here] = look.letters.pick('\u{25cf}', 'O');
    for (row, letters) in rows.iter().enumerate() {
        let text = |range: &[char]| range.iter().collect::<String>();
        let span = |range: &[char], style: Style| Span::styled(text(range), style);
        let line = Line::from(vec![
            span(&letters[..here], look.accent()),
            span(&letters[here..=here], look.strong_accent()),
            span(&letters[here + 1..], look.dim()),
        ]);
        sheet.line(row as u16, &line);
    }
}

/// The line in braille: two dots across and four down in a cell, each column joined to the last.
fn braille(volumes: &[Option<f64>], height: usize) -> Vec<Vec<char>> {
    const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
    let mut cells = vec![vec![0_u32; volumes.len() / 2]; height];
    let levels = levels(volumes, 4 * height);
    for (x, (level, before)) in levels.iter().enumerate() {
        let Some(level) = *level else { continue };
        for y in joined(level, *before) {
            if let Some(cell) = cells[y / 4].get_mut(x / 2) {
                *cell |= DOTS[x % 2][y % 4];
            }
        }
    }
    let letter = |bits: u32| {
        if bits == 0 {
            ' '
        } else {
            char::from_u32(0x2800 + bits).unwrap_or(' ')
        }
    };
    cells
        .into_iter()
        .map(|row| row.into_iter().map(letter).collect())
        .collect()
}

/// The line in ASCII: three heights in a cell, upright strokes where it is steep.
fn strokes(volumes: &[Option<f64>], height: usize) -> Vec<Vec<char>> {
    let mut cells = vec![vec![' '; volumes.len()]; height];
    for (x, (level, before)) in levels(volumes, 3 * height).iter().enumerate() {
        let Some(level) = *level else { continue };
        // Heights within three of each other touch by themselves.
        if before.is_some_and(|before| before.abs_diff(level) > 3) {
            joined(level, *before).for_each(|y| cells[y / 3][x] = '|');
        }
        cells[level / 3][x] = ['\'', '-', '.'][level % 3];
    }
    cells
}

/// Dot rows from the top, each with the one of the column before.
fn levels(volumes: &[Option<f64>], dots: usize) -> Vec<(Option<usize>, Option<usize>)> {
    let level = |volume: f64| ((1.0 - volume) * (dots.saturating_sub(1)) as f64).round() as usize;
    let all: Vec<Option<usize>> = volumes.iter().map(|volume| volume.map(level)).collect();
    (0..all.len())
        .map(|x| (all[x], x.checked_sub(1).and_then(|before| all[before])))
        .collect()
}

/// The rows that join this column's dot to the one before, without that one itself.
fn joined(level: usize, before: Option<usize>) -> std::ops::RangeInclusive<usize> {
    match before {
        Some(before) if before < level => before + 1..=level,
        Some(before) if before > level => level..=before - 1,
        _ => level..=level,
    }
}
