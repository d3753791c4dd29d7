//! The figure as SVG text.
//!
//! The body takes `currentColor`, so that page and documents choose it; far limbs and surfaces are the
//! same colour, fainter. The accent is the custom property `--accent` and the ground between crossing
//! limbs `--ground`, each with the look of the program as its fallback.

use std::fmt::Write;

use super::drawing::{Figure, Layer, Shape, Spot, Stroke};
use crate::pure::routine::Side;

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

/// What a drawing shows, for its title: the name, and the side where there are two.
pub fn title(name: &str, side: Side) -> String {
    match side {
        Side::Both => name.to_owned(),
        Side::Left | Side::Right => format!("{name}, {} side", side.id()),
    }
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
    for layer in figure.strokes.chunk_by(|a, b| a.layer == b.layer) {
        let _ = write!(text, "<g {}>", paint(layer[0].layer));
        for run in layer.chunk_by(joins) {
            write_run(&mut text, run);
        }
        text.push_str("</g>");
    }
    text.push_str("</g>");
    text
}

/// Class and colour of a layer.
fn paint(layer: Layer) -> &'static str {
    match layer {
        Layer::Surface => r#"class="surface" opacity=".4""#,
        Layer::Ghost => r#"class="ghost" opacity=".45""#,
        Layer::Prop => r#"class="prop" opacity=".8""#,
        Layer::Far => {
            r#"class="far" stroke="color-mix(in srgb,currentColor 55%,var(--ground,#17110d))""#
        }
        Layer::Near => r#"class="near""#,
        Layer::Gap => r#"class="gap" stroke="var(--ground,#17110d)""#,
        Layer::Hidden => {
            r#"class="accent hidden" stroke="var(--accent,#e39a36)" stroke-dasharray="1 24""#
        }
        Layer::Accent => r#"class="accent" stroke="var(--accent,#e39a36)""#,
    }
}

/// Whether two strokes of a layer can be one path with two courses.
fn joins(first: &Stroke, other: &Stroke) -> bool {
    first.width == other.width && [first, other].map(|stroke| stroke.shape) == [Shape::Line; 2]
}

fn write_run(text: &mut String, run: &[Stroke]) {
    let width = units(run[0].width);
    let path: String = run.iter().map(path).collect();
    let fill = if run[0].shape == Shape::Area {
        " fill=\"currentColor\""
    } else {
        ""
    };
    let _ = write!(text, "<path{fill} stroke-width=\"{width}\" d=\"{path}\"/>");
}

/// One course: its start, then each step from the point before.
fn path(stroke: &Stroke) -> String {
    let mut path = String::new();
    let mut last: Option<(i64, i64)> = None;
    for spot in &stroke.points {
        let (x, y) = place(*spot);
        let _ = match last {
            None => write!(path, "M{x} {y}"),
            Some(before) if before == (x, y) => continue,
            Some(before) => write!(path, "l{} {}", x - before.0, y - before.1),
        };
        last = Some((x, y));
    }
    match stroke.shape {
        Shape::Area => path.push('Z'),
        Shape::Disc => path.push_str("h0"),
        Shape::Line if !path.contains('l') => path.push_str("h0"),
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
