//! The figure in the terminal as braille dots; see [`super::letters`] where braille does not show.

use super::drawing::{Figure, Layer, Shape, Spot, Stroke};
pub use super::letters::{ascii, ascii_cells};

/// Braille dots across and down one cell.
const ACROSS: usize = 2;
const DOWN: usize = 4;

/// One cell of the terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell {
    /// The letter.
    pub glyph: char,
    /// The foremost layer in it, for its colour; `None` when empty.
    pub layer: Option<Layer>,
}

/// A dot grid: which layer covers each dot.
#[derive(Clone, Debug)]
pub(super) struct Dots {
    across: usize,
    down: usize,
    layers: Vec<Option<Layer>>,
    /// Dots to one stature.
    pub(super) scale: f64,
    pub(super) left: f64,
    pub(super) top: f64,
}

impl Dots {
    /// The figure as large as it fits, in the middle. `squareness` is the height of a dot divided by its
    /// breadth.
    pub(super) fn fitted(figure: &Figure, across: usize, down: usize, squareness: f64) -> Self {
        let window = figure.window;
        let (wide, high) = (
            window.most.x - window.least.x,
            window.most.y - window.least.y,
        );
        let scale = (across as f64 / wide).min(down as f64 * squareness / high);
        Self {
            across,
            down,
            layers: vec![None; across * down],
            scale,
            left: window.least.x - (across as f64 / scale - wide) / 2.0,
            top: window.most.y + (down as f64 * squareness / scale - high) / 2.0,
        }
    }

    /// Marks every dot within half the stroke's width; thin strokes are at least one dot wide.
    fn paint(&mut self, stroke: &Stroke) {
        let radius = (stroke.width / 2.0 * self.scale).max(0.5) / self.scale;
        for down in 0..self.down {
            for across in 0..self.across {
                let spot = Spot {
                    x: self.left + (across as f64 + 0.5) / self.scale,
                    y: self.top - (down as f64 + 0.5) / self.scale,
                };
                if covers(stroke, spot, radius) {
                    let layer = Some(stroke.layer).filter(|layer| *layer != Layer::Gap);
                    self.layers[down * self.across + across] = layer;
                }
            }
        }
    }

    /// Far limbs, other ends and furniture stand back: of their dots every other one is shown.
    fn shows(&self, across: usize, down: usize) -> Option<Layer> {
        let layer = self.layers[down * self.across + across]?;
        let thinned =
            matches!(layer, Layer::Far | Layer::Ghost | Layer::Hidden) && (across + down) % 2 == 1;
        (!thinned).then_some(layer)
    }
}

/// Whether a stroke of this radius covers a spot.
fn covers(stroke: &Stroke, spot: Spot, radius: f64) -> bool {
    let near = |a: Spot, b: Spot| distance(spot, a, b) <= radius;
    let points = &stroke.points;
    let on_line = match points.as_slice() {
        [only] => near(*only, *only),
        _ => points.windows(2).any(|ends| near(ends[0], ends[1])),
    };
    let filled = stroke.shape == Shape::Area;
    on_line || (filled && (inside(points, spot) || near(points[points.len() - 1], points[0])))
}

fn distance(spot: Spot, a: Spot, b: Spot) -> f64 {
    let (x, y) = (b.x - a.x, b.y - a.y);
    let square = x * x + y * y;
    let share = if square > 0.0 {
        (((spot.x - a.x) * x + (spot.y - a.y) * y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (spot.x - a.x - share * x).hypot(spot.y - a.y - share * y)
}

/// Whether a spot is inside a closed outline (even-odd rule).
fn inside(outline: &[Spot], spot: Spot) -> bool {
    let mut inside = false;
    for (index, a) in outline.iter().enumerate() {
        let b = outline[(index + 1) % outline.len()];
        if (a.y > spot.y) != (b.y > spot.y)
            && spot.x < (b.x - a.x) * (spot.y - a.y) / (b.y - a.y) + a.x
        {
            inside = !inside;
        }
    }
    inside
}

/// The figure in `wide` times `high` cells of braille, with the layer of each cell.
pub fn braille_cells(figure: &Figure, wide: usize, high: usize) -> Vec<Vec<Cell>> {
    let mut dots = Dots::fitted(figure, wide * ACROSS, high * DOWN, 1.0);
    for stroke in &figure.strokes {
        dots.paint(stroke);
    }
    let cell = |row: usize, column: usize| {
        let mut pattern = 0u32;
        let mut front = None;
        for down in 0..DOWN {
            for across in 0..ACROSS {
                let shown = dots.shows(column * ACROSS + across, row * DOWN + down);
                if let Some(layer) = shown {
                    pattern |= 1 << bit(across, down);
                    front = front.max(Some(layer));
                }
            }
        }
        Cell {
            glyph: char::from_u32(0x2800 + pattern).unwrap_or(' '),
            layer: front,
        }
    };
    (0..high)
        .map(|row| (0..wide).map(|column| cell(row, column)).collect())
        .collect()
}

/// The bit of a dot in the braille block of Unicode (U+2800): dots 1 to 3 run down on the left, 4 to 6
/// on the right, 7 and 8 are the bottom row.
fn bit(across: usize, down: usize) -> usize {
    match (across, down) {
        (_, 3) => 6 + across,
        _ => across * 3 + down,
    }
}

/// The figure in `wide` times `high` cells of braille.
pub fn braille(figure: &Figure, wide: usize, high: usize) -> Vec<String> {
    text(&braille_cells(figure, wide, high), '\u{2800}')
}

/// Rows of cells as text, without the blanks at their ends.
pub(super) fn text(cells: &[Vec<Cell>], blank: char) -> Vec<String> {
    let line = |row: &Vec<Cell>| row.iter().map(|cell| cell.glyph).collect::<String>();
    cells
        .iter()
        .map(|row| line(row).trim_end_matches(blank).to_owned())
        .collect()
}

/// Every dot of a raster `across` dots wide and `down` high, in units of stature, for a canvas that
/// draws points itself.
pub fn points(figure: &Figure, across: usize, down: usize) -> Vec<(Layer, Spot)> {
    let mut dots = Dots::fitted(figure, across, down, 1.0);
    for stroke in &figure.strokes {
        dots.paint(stroke);
    }
    let mut points = Vec::new();
    for row in 0..down {
        for column in 0..across {
            if let Some(layer) = dots.shows(column, row) {
                let spot = Spot {
                    x: dots.left + (column as f64 + 0.5) / dots.scale,
                    y: dots.top - (row as f64 + 0.5) / dots.scale,
                };
                points.push((layer, spot));
            }
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar(points: Vec<Spot>, width: f64) -> Figure {
        Figure {
            strokes: vec![Stroke {
                points,
                width,
                shape: Shape::Line,
                layer: Layer::Near,
                part: None,
            }],
            window: super::super::drawing::Window {
                least: Spot { x: 0.0, y: 0.0 },
                most: Spot { x: 1.0, y: 1.0 },
            },
        }
    }

    #[test]
    fn a_line_along_the_bottom_fills_the_bottom_dots() {
        let ends = vec![Spot { x: 0.0, y: 0.06 }, Spot { x: 1.0, y: 0.06 }];
        let rows = braille(&bar(ends, 0.02), 4, 2);
        assert_eq!(rows, [String::new(), "⣀⣀⣀⣀".to_owned()]);
    }

    #[test]
    fn a_raster_stays_within_its_cells() {
        let ends = vec![Spot { x: -1.0, y: 0.5 }, Spot { x: 3.0, y: 0.5 }];
        let figure = bar(ends, 0.1);
        for row in braille_cells(&figure, 7, 3) {
            assert_eq!(row.len(), 7);
        }
        assert!(points(&figure, 14, 12).len() >= 14);
    }
}
