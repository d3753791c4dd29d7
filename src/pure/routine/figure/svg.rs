//! The figure as SVG text.
//!
//! The body takes `currentColor`, so that page and documents choose it; far limbs and surfaces are the
//! same colour, fainter. The accent is the custom property `--accent` and the ground between crossing
//! limbs `--ground`, each with the look of the program as its fallback.

use std::fmt::Write;

use super::drawing::{Figure, Layer, Shape, Spot, Stroke};

/// Units of the drawing to one stature.
const SCALE: f64 = 1000.0;

/// A whole SVG document; `name` becomes its title for screen readers.
pub fn document(figure: &Figure, name: &str) -> String {
    let window = figure.window;
    let (left, top) = place(Spot {
        x: window.least.x,
        y: window.most.y,
    });
    let (right, bottom) = place(Spot {
        x: window.most.x,
        y: window.least.y,
    });
    let (width, height) = (right - left, bottom - top);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"figure\" role=\"img\" viewBox=\"{left} {top} {width} {height}\"><title>{}</title>{}</svg>\n",
        escaped(name),
        content(figure)
    )
}

/// Width and height of the drawing in its own units.
pub fn size(figure: &Figure) -> (f64, f64) {
    let window = figure.window;
    (
        (window.most.x - window.least.x) * SCALE,
        (window.most.y - window.least.y) * SCALE,
    )
}

/// The strokes alone, without the document around them.
pub fn content(figure: &Figure) -> String {
    let mut text = String::from(
        "<g fill=\"none\" stroke=\"currentColor\" stroke-linecap=\"round\" stroke-linejoin=\"round\">",
    );
    let mut rest = figure.strokes.as_slice();
    while let Some(first) = rest.first() {
        let alike = rest
            .iter()
            .take_while(|stroke| joins(first, stroke))
            .count();
        let (run, others) = rest.split_at(alike.max(1));
        write_run(&mut text, run);
        rest = others;
    }
    text.push_str("</g>");
    text
}

/// Whether two strokes can be one path with two courses.
fn joins(first: &Stroke, other: &Stroke) -> bool {
    first.layer == other.layer
        && first.width == other.width
        && [first, other].map(|stroke| stroke.shape) == [Shape::Line; 2]
}

fn write_run(text: &mut String, run: &[Stroke]) {
    let (class, paint) = match run[0].layer {
        Layer::Surface => ("surface", "opacity=\".4\""),
        Layer::Ghost => ("ghost", "opacity=\".45\""),
        Layer::Prop => ("prop", "opacity=\".8\""),
        Layer::Far => (
            "far",
            "stroke=\"color-mix(in srgb,currentColor 55%,var(--ground,#17110d))\"",
        ),
        Layer::Near => ("near", ""),
        Layer::Gap => ("gap", "stroke=\"var(--ground,#17110d)\""),
        Layer::Hidden => (
            "accent hidden",
            "stroke=\"var(--accent,#e39a36)\" stroke-dasharray=\"1 24\"",
        ),
        Layer::Accent => ("accent", "stroke=\"var(--accent,#e39a36)\""),
    };
    let width = units(run[0].width);
    let path: String = run.iter().map(path).collect();
    let fill = if run[0].shape == Shape::Area {
        " fill=\"currentColor\""
    } else {
        ""
    };
    let space = if paint.is_empty() { "" } else { " " };
    let _ = write!(
        text,
        "<path class=\"{class}\"{space}{paint}{fill} stroke-width=\"{width}\" d=\"{path}\"/>"
    );
}

fn path(stroke: &Stroke) -> String {
    let mut path = String::new();
    let mut last = None;
    for spot in &stroke.points {
        let (x, y) = place(*spot);
        if last == Some((x, y)) {
            continue;
        }
        let verb = if last.is_none() { "M" } else { "L" };
        let _ = write!(path, "{verb}{x} {y}");
        last = Some((x, y));
    }
    match stroke.shape {
        Shape::Area => path.push('Z'),
        Shape::Disc => path.push_str("h0"),
        Shape::Line if !path.contains('L') => path.push_str("h0"),
        Shape::Line => {}
    }
    path
}

fn place(spot: Spot) -> (i64, i64) {
    (units(spot.x), units(-spot.y))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a drawing is a few thousand units wide"
)]
fn units(length: f64) -> i64 {
    (length * SCALE).round() as i64
}

/// Text with the characters that mean something in XML written out.
pub fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            _ => escaped.push(letter),
        }
    }
    escaped
}
