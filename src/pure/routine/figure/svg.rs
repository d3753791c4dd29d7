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
    for stroke in &figure.strokes {
        write_stroke(&mut text, stroke);
    }
    text.push_str("</g>");
    text
}

fn write_stroke(text: &mut String, stroke: &Stroke) {
    let class = match stroke.layer {
        Layer::Surface => " class=\"surface\" opacity=\".4\"",
        Layer::Ghost => " class=\"ghost\" opacity=\".45\"",
        Layer::Prop => " class=\"prop\" opacity=\".8\"",
        Layer::Far => {
            " class=\"far\" stroke=\"color-mix(in srgb,currentColor 55%,var(--ground,#17110d))\""
        }
        Layer::Near => "",
        Layer::Gap => " class=\"gap\" stroke=\"var(--ground,#17110d)\"",
        Layer::Accent => " class=\"accent\" stroke=\"var(--accent,#e39a36)\"",
    };
    let width = units(stroke.width);
    let path = path(stroke);
    let fill = if stroke.shape == Shape::Area {
        " fill=\"currentColor\""
    } else {
        ""
    };
    let _ = write!(
        text,
        "<path{class}{fill} stroke-width=\"{width}\" d=\"{path}\"/>"
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
