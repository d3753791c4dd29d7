//! A drawing that grows shape by shape into SVG text.

use std::fmt::Write;

use crate::pure::routine::figure::svg::escaped;

/// Near-black brown, the ground.
pub const GROUND: &str = "#17110d";
/// Linen, for text.
pub const TEXT: &str = "#efe6d8";
/// Quieter linen, for what was recorded and for text beside it.
pub const QUIET: &str = "#bfae9b";
/// Still quieter, for bars.
pub const BAR: &str = "#9c8a77";
/// Lines of a grid.
pub const LINE: &str = "#4a3c30";
/// Amber, the one accent: for the plan, and for single ratings.
pub const ACCENT: &str = "#e39a36";

/// What a shape is, which gives its class and its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// What was recorded.
    Recorded,
    /// The same, fainter: what only leads to it.
    Faint,
    /// What was planned, as a line.
    Planned,
    /// A line of the grid.
    Grid,
}

impl Ink {
    fn attributes(self) -> String {
        match self {
            Self::Recorded => format!("class=\"chart-recorded\" fill=\"{BAR}\""),
            Self::Faint => format!("class=\"chart-faint\" fill=\"{BAR}\" fill-opacity=\".35\""),
            Self::Planned => {
                format!(
                    "class=\"chart-planned\" fill=\"none\" stroke=\"{ACCENT}\" stroke-width=\"2\""
                )
            }
            Self::Grid => format!("class=\"chart-grid\" fill=\"none\" stroke=\"{LINE}\""),
        }
    }
}

/// Where a text hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It is centred there.
    Middle,
    /// It ends there.
    End,
}

/// A drawing in the making; lengths in pixels.
#[derive(Debug)]
pub struct Canvas {
    width: f64,
    height: f64,
    title: String,
    words: String,
    shapes: String,
}

impl Canvas {
    /// An empty drawing. `title` names it, `words` say what it shows to somebody who cannot see it.
    pub fn new(width: f64, height: f64, title: &str, words: &str) -> Self {
        Self {
            width,
            height,
            title: title.to_owned(),
            words: words.to_owned(),
            shapes: String::new(),
        }
    }

    /// A rectangle with a title that shows on pointing; empty = none.
    pub fn bar(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), ink: Ink, title: &str) {
        let _ = write!(
            self.shapes,
            "<rect {} x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            ink.attributes(),
            number(x),
            number(y),
            number(width.max(0.0)),
            number(height.max(0.0)),
        );
        if title.is_empty() {
            self.shapes.push_str("/>");
        } else {
            let _ = write!(self.shapes, "><title>{}</title></rect>", escaped(title));
        }
    }

    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), ink: Ink) {
        let _ = write!(
            self.shapes,
            "<path {} d=\"M{} {}L{} {}\"/>",
            ink.attributes(),
            number(from.0),
            number(from.1),
            number(to.0),
            number(to.1),
        );
    }

    /// A line through points of what was recorded.
    pub fn trace(&mut self, points: &[(f64, f64)]) {
        let mut path = String::new();
        for (index, (x, y)) in points.iter().enumerate() {
            let verb = if index == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{verb}{} {}", number(*x), number(*y));
        }
        let _ = write!(
            self.shapes,
            "<path class=\"chart-trace\" fill=\"none\" stroke=\"{QUIET}\" stroke-width=\"1\" d=\"{path}\"/>"
        );
    }

    /// A point of what was recorded.
    pub fn point(&mut self, (x, y): (f64, f64), title: &str) {
        let _ = write!(
            self.shapes,
            "<circle class=\"chart-point\" fill=\"{ACCENT}\" cx=\"{}\" cy=\"{}\" r=\"2.5\"><title>{}</title></circle>",
            number(x),
            number(y),
            escaped(title)
        );
    }

    /// A word; `quiet` for what only helps to read the rest.
    pub fn text(&mut self, (x, y): (f64, f64), anchor: Anchor, quiet: bool, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let (class, colour) = if quiet {
            ("chart-quiet", QUIET)
        } else {
            ("chart-text", TEXT)
        };
        let _ = write!(
            self.shapes,
            "<text class=\"{class}\" fill=\"{colour}\" x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\">{}</text>",
            number(x),
            number(y),
            escaped(words)
        );
    }

    /// The whole document.
    pub fn document(self) -> String {
        let Self {
            width,
            height,
            title,
            words,
            shapes,
        } = self;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"chart\" role=\"img\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" font-family=\"system-ui, 'DejaVu Sans', sans-serif\" font-size=\"12\"><title>{}</title><desc>{}</desc><rect class=\"chart-ground\" fill=\"{GROUND}\" width=\"{w}\" height=\"{h}\"/>{shapes}</svg>\n",
            escaped(&title),
            escaped(&words),
            w = number(width),
            h = number(height),
        )
    }
}

/// A length to a tenth of a pixel, without needless zeros.
fn number(length: f64) -> String {
    let tenths = (length * 10.0).round() / 10.0 + 0.0;
    format!("{tenths}")
}
