//! The pictures of the guide, drawn into a buffer of any size. Nothing here touches a terminal.
//!
//! Each page is a column of rows. When rows are scarce, the important ones stay: first the seconds and
//! the word, then the name, what to do, what comes next, the keys.

use std::time::Duration;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};

use super::look::Look;
use super::run::Note;
use super::words::{self, GuideWords};
use crate::pure::pace::{Place, Player, Progress, Trace};
use crate::pure::routine::{CueKind, safety};

mod breath;
mod held;

/// What a page is about.
pub struct Scene<'s> {
    /// The words.
    pub words: &'s GuideWords,
    /// The player.
    pub player: &'s Player<'s>,
    /// The breath.
    pub trace: &'s Trace,
    /// The list of keys lies over the page.
    pub help: bool,
}

/// Which page.
#[derive(Clone, Copy, Debug)]
pub enum Page {
    /// What comes, and the cautions; scrolled down by some rows.
    First {
        /// Rows scrolled.
        scroll: u16,
    },
    /// A position of the routine.
    Play {
        /// The position.
        position: Duration,
        /// Whether time stands still.
        note: Note,
    },
    /// The end.
    End {
        /// How far it went.
        progress: Progress,
    },
}

/// Draws a page. For the first page it gives the rows that did not fit.
pub fn draw(buffer: &mut Buffer, scene: &Scene<'_>, page: Page, look: Look) -> u16 {
    let whole = buffer.area;
    buffer.set_style(whole, look.text());
    let mut sheet = Sheet {
        buffer,
        area: inside(whole),
        look,
    };
    match page {
        Page::First { .. } | Page::Play { .. } if scene.help => help(&mut sheet),
        Page::First { scroll } => return first(&mut sheet, scene, scroll),
        Page::End { progress } => end(&mut sheet, scene, progress),
        Page::Play { position, note } => {
            let place = scene.player.place(position);
            match place.cue.kind {
                CueKind::Move | CueKind::Stretch => {
                    held::draw(&mut sheet, scene, position, &place, note)
                }
                CueKind::Inhale | CueKind::Hold | CueKind::Exhale | CueKind::HoldOut => {
                    breath::draw(&mut sheet, scene, position, &place, note);
                }
                CueKind::End => sheet.left(0, &place.cue.text, look.strong()),
            }
            footer(&mut sheet, note);
        }
    }
    0
}

/// The area inside the margins; there are none where space is scarce.
fn inside(area: Rect) -> Rect {
    let across = match area.width {
        0..=29 => 0,
        30..=49 => 1,
        _ => 3,
    };
    let down = u16::from(area.height >= 14);
    Rect {
        x: area.x + across,
        y: area.y + down,
        width: area.width.saturating_sub(2 * across),
        height: area.height.saturating_sub(2 * down),
    }
}

/// An area of the buffer to write rows into; anything outside is left out.
struct Sheet<'b> {
    buffer: &'b mut Buffer,
    area: Rect,
    look: Look,
}

impl Sheet<'_> {
    fn height(&self) -> u16 {
        self.area.height
    }

    fn width(&self) -> u16 {
        self.area.width
    }

    /// Writes a line at the left edge, cut at the right one.
    fn line(&mut self, row: u16, line: &Line<'_>) {
        if row < self.area.height && self.area.width > 0 {
            self.buffer
                .set_line(self.area.x, self.area.y + row, line, self.area.width);
        }
    }

    fn left(&mut self, row: u16, text: &str, style: Style) {
        let text = self.look.letters.fit(text);
        self.line(row, &Line::styled(text, style));
    }

    /// Writes at the right edge if `taken` columns and a space stay free at the left.
    fn right(&mut self, row: u16, text: &str, style: Style, taken: usize) {
        let line = Line::styled(self.look.letters.fit(text), style);
        let width = line.width();
        let free = usize::from(self.area.width);
        if width + taken + 2 <= free && row < self.area.height {
            let x = self.area.x + (free - width) as u16;
            self.buffer
                .set_line(x, self.area.y + row, &line, width as u16);
        }
    }

    /// Writes wrapped text from a row on, at most `rows` of them; gives the rows used.
    fn wrapped(&mut self, row: u16, rows: u16, text: &str, style: Style) -> u16 {
        let lines = wrap(&self.look.letters.fit(text), self.area.width);
        let used = lines.len().min(usize::from(rows));
        for (offset, line) in lines.iter().take(used).enumerate() {
            self.left(row + offset as u16, line, style);
        }
        used as u16
    }

    /// A part of this sheet.
    fn part(&mut self, x: u16, y: u16, width: u16, height: u16) -> Sheet<'_> {
        let wanted = Rect {
            x: self.area.x.saturating_add(x),
            y: self.area.y.saturating_add(y),
            width,
            height,
        };
        let area = self.area.intersection(wanted);
        Sheet {
            buffer: self.buffer,
            area,
            look: self.look,
        }
    }
}

/// Text in lines of at most that many columns.
fn wrap(text: &str, width: u16) -> Vec<String> {
    if width == 0 {
        return Vec::new();
    }
    textwrap::wrap(text, usize::from(width))
        .into_iter()
        .map(|line| line.into_owned())
        .collect()
}

/// What comes and the cautions. The cautions stand before the details, so that they are read first and
/// are on the screen even where it is small.
fn first(sheet: &mut Sheet<'_>, scene: &Scene<'_>, scroll: u16) -> u16 {
    let look = sheet.look;
    let timeline = scene.player.timeline();
    let width = sheet.width();
    let mut lines: Vec<(String, Style)> = Vec::new();
    let add = |text: &str, style: Style, lines: &mut Vec<(String, Style)>| {
        let wrapped = wrap(&look.letters.fit(text), width);
        lines.extend(wrapped.into_iter().map(|line| (line, style)));
    };
    let roomy = sheet.height() >= 18;
    let space = |lines: &mut Vec<(String, Style)>| {
        if roomy && lines.last().is_some_and(|(line, _)| !line.is_empty()) {
            lines.push((String::new(), look.text()));
        }
    };
    for line in &scene.words.intro {
        add(line, look.text(), &mut lines);
    }
    add(&scene.words.summary(timeline), look.text(), &mut lines);
    space(&mut lines);
    for caution in scene.words.all_cautions(timeline) {
        let style = if caution == safety::STOP_RULE {
            look.strong()
        } else {
            look.text()
        };
        add(&caution, style, &mut lines);
    }
    space(&mut lines);
    for line in scene.words.outline() {
        add(&line, look.dim(), &mut lines);
    }

    let title = &scene.words.title;
    sheet.left(0, title, look.strong_accent());
    let length = words::length(timeline.total_ms.div_ceil(1000));
    let taken = Line::raw(title.as_str()).width();
    sheet.right(0, &length, look.text(), taken);
    let top = if sheet.height() >= 12 { 2 } else { 1 };
    let bottom = if sheet.height() >= 18 { 2 } else { 1 };
    let room = sheet.height().saturating_sub(top + bottom);
    let over = (lines.len() as u16).saturating_sub(room);
    let scroll = scroll.min(over);
    for (row, (line, style)) in lines
        .iter()
        .skip(usize::from(scroll))
        .take(room.into())
        .enumerate()
    {
        sheet.left(top + row as u16, line, *style);
    }
    let row = sheet.height().saturating_sub(1);
    if row >= top {
        let more = match (over > scroll, scroll > 0) {
            (true, _) => "   down: more",
            (false, true) => "   up: back",
            (false, false) => "",
        };
        sheet.left(
            row,
            &format!("Enter starts{more}   q leaves   ? keys"),
            look.accent(),
        );
    }
    over
}

fn end(sheet: &mut Sheet<'_>, scene: &Scene<'_>, progress: Progress) {
    let look = sheet.look;
    let mut row = sheet.height() / 3;
    let last = scene
        .player
        .timeline()
        .cues
        .last()
        .map_or("", |cue| cue.text.as_str());
    row += sheet.wrapped(row, 2, last, look.strong());
    row += sheet.wrapped(row, 2, &words::played(&progress), look.text());
    for line in &scene.words.closing {
        row += sheet.wrapped(row, 3, line, look.text());
    }
    sheet.left(row + 1, "Any key leaves.", look.dim());
}

const KEYS: [(&str, &str); 6] = [
    ("space", "pause, and go on"),
    (
        "left, b",
        "back to the start of this one, or the one before",
    ),
    ("right, n", "skip to the next"),
    ("q, Esc", "end here; what was done is recorded"),
    ("Ctrl-Z", "pause and leave the terminal for a while"),
    ("?", "this list; any key closes it"),
];

fn help(sheet: &mut Sheet<'_>) {
    let look = sheet.look;
    let top = if sheet.height() >= 10 { 2 } else { 0 };
    if top > 0 {
        sheet.left(0, "Keys", look.strong());
    }
    let indent = 10;
    let width = sheet.width().saturating_sub(indent);
    let mut row = top;
    for (key, does) in KEYS {
        sheet.left(row, key, look.accent());
        let rows = sheet.height().saturating_sub(row);
        row += sheet
            .part(indent, row, width, rows)
            .wrapped(0, rows, does, look.text())
            .max(1);
    }
}

/// Rows at the foot of a playing page, by its height: none, or the keys.
fn footer_rows(height: u16) -> u16 {
    match height {
        0..=5 => 0,
        6..=13 => 1,
        _ => 2,
    }
}

fn footer(sheet: &mut Sheet<'_>, note: Note) {
    let look = sheet.look;
    if footer_rows(sheet.height()) == 0 {
        return;
    }
    let row = sheet.height() - 1;
    let go = if note == Note::Playing {
        "pause"
    } else {
        "go on"
    };
    let wide = look.letters.pick(
        format!("space {go}   \u{2190} back   \u{2192} skip   q end   ? keys"),
        format!("space {go}   b back   n skip   q end   ? keys"),
    );
    let keys = if Line::raw(wide.as_str()).width() <= usize::from(sheet.width()) {
        wide
    } else {
        format!("space {go}   q end   ? keys")
    };
    sheet.left(row, &keys, look.dim());
}

/// The row above the keys: what comes next, or why time stands still; and the time left of it all.
fn next_row(
    sheet: &mut Sheet<'_>,
    scene: &Scene<'_>,
    row: u16,
    next: &str,
    position: Duration,
    note: Note,
) {
    let look = sheet.look;
    let (text, style) = match note {
        Note::Playing if next.is_empty() => (String::new(), look.dim()),
        Note::Playing => (format!("Next: {next}"), look.dim()),
        Note::Paused => ("Paused. Space goes on.".to_owned(), look.strong_accent()),
        Note::Interrupted => (
            "Interrupted. Space goes on.".to_owned(),
            look.strong_accent(),
        ),
    };
    sheet.left(row, &text, style);
    let left = scene.player.total().saturating_sub(position);
    let left = format!("{} left", words::length(words::seconds_left(left)));
    sheet.right(row, &left, look.dim(), Line::raw(text).width());
}

/// A quiet bar: the played share in the accent.
fn bar(place: &Place<'_>, width: u16, look: Look) -> Line<'static> {
    let whole = place.cue.for_ms.max(1) as f64;
    let share = (place.into.as_millis() as f64 / whole).clamp(0.0, 1.0);
    let full = (share * f64::from(width)).round() as usize;
    let rest = usize::from(width).saturating_sub(full);
    let (done, open) = look.letters.pick(("\u{2501}", "\u{2500}"), ("=", "-"));
    Line::from(vec![
        Span::styled(done.repeat(full), look.accent()),
        Span::styled(open.repeat(rest), look.dim()),
    ])
}
