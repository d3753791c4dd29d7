//! A contact sheet: many figures with their names on one page.

use std::fmt::Write;

use super::drawing::Figure;
use super::svg;

/// Width of a cell.
const CELL: f64 = 240.0;
/// Height of the part of a cell that holds the figure.
const HIGH: f64 = 200.0;
/// Height of the line with the name.
const LINE: f64 = 34.0;
/// Ground, body and accent of the sheet: the colours of the program.
const LOOK: &str = "--ground:#17110d;--accent:#e39a36;background:#17110d;color:#e9dcc6";

/// Figures in rows of `columns`, each with its name below.
pub fn sheet(figures: &[(String, Figure)], columns: usize) -> String {
    let columns = columns.max(1);
    let rows = figures.len().div_ceil(columns);
    let (width, height) = (
        CELL * columns as f64,
        (HIGH + LINE) * rows as f64 + LINE / 2.0,
    );
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" style=\"{LOOK}\">\n<rect width=\"{width}\" height=\"{height}\" fill=\"var(--ground)\"/>\n"
    );
    for (index, (name, figure)) in figures.iter().enumerate() {
        let (row, column) = (index / columns, index % columns);
        let (left, top) = (CELL * column as f64, (HIGH + LINE) * row as f64);
        cell(&mut text, figure, name, left, top);
    }
    text.push_str("</svg>\n");
    text
}

fn cell(text: &mut String, figure: &Figure, name: &str, left: f64, top: f64) {
    let document = svg::document(figure, name);
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
    let _ = writeln!(
        text,
        "{placed}\n<text x=\"{}\" y=\"{}\" text-anchor=\"middle\" font-family=\"sans-serif\" font-size=\"12\" fill=\"currentColor\" opacity=\".8\">{}</text>",
        left + CELL / 2.0,
        top + HIGH + 18.0,
        svg::escaped(name)
    );
}
