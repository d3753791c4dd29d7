//! A contact sheet: many figures with their names on one page.

use std::fmt::Write;

use super::drawing::Figure;
use super::svg;

/// Width of a cell.
const CELL: f64 = 240.0;
/// Height of the part of a cell that holds the figure.
const HIGH: f64 = 200.0;
/// Height of the two lines below it.
const LINES: f64 = 44.0;
/// Ground, body and accent of the sheet: the colours of the program.
const LOOK: &str = "--ground:#17110d;--accent:#e39a36;background:#17110d;color:#e9dcc6";

/// One figure of a sheet.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// A note in small letters below the name; empty for none.
    pub note: String,
    /// The drawing.
    pub figure: Figure,
}

/// Figures in rows of `columns`, each with its name below.
pub fn sheet(entries: &[Entry], columns: usize) -> String {
    let columns = columns.max(1);
    let rows = entries.len().div_ceil(columns);
    let (width, height) = (CELL * columns as f64, (HIGH + LINES) * rows as f64);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" style=\"{LOOK}\" font-family=\"sans-serif\" text-anchor=\"middle\">\n<rect width=\"{width}\" height=\"{height}\" fill=\"var(--ground)\"/>\n"
    );
    for (index, entry) in entries.iter().enumerate() {
        let (row, column) = (index / columns, index % columns);
        let (left, top) = (CELL * column as f64, (HIGH + LINES) * row as f64);
        cell(&mut text, entry, left, top);
    }
    text.push_str("</svg>\n");
    text
}

fn cell(text: &mut String, entry: &Entry, left: f64, top: f64) {
    let document = svg::document(&entry.figure, &entry.name);
    let placed = document.trim_end().replacen(
        "<svg ",
        &format!(
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" ",
            left + 15.0,
            top + 15.0,
            CELL - 30.0,
            HIGH - 15.0
        ),
        1,
    );
    let _ = writeln!(text, "{placed}");
    let lines = [
        (&entry.name, 12.0, 18.0, ".85"),
        (&entry.note, 10.0, 32.0, ".6"),
    ];
    for (words, size, below, opacity) in lines {
        if !words.is_empty() {
            let _ = writeln!(
                text,
                "<text x=\"{}\" y=\"{}\" font-size=\"{size}\" fill=\"currentColor\" opacity=\"{opacity}\">{}</text>",
                left + CELL / 2.0,
                top + HIGH + below,
                svg::escaped(words)
            );
        }
    }
}
