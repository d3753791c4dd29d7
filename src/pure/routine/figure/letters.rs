//! The figure in plain letters, for terminals that do not show braille.

use super::drawing::{Figure, Layer, Shape, Spot};
use super::lines::{Cell, Dots, text};

/// How much higher than broad a terminal's cell is taken to be.
const CELL_HEIGHT: f64 = 2.0;

/// A sheet of letters being drawn on.
struct Letters {
    cells: Vec<Vec<Cell>>,
    grid: Dots,
}

impl Letters {
    /// Where a spot is, in cells from the upper left corner.
    fn at(&self, spot: Spot) -> (f64, f64) {
        (
            (spot.x - self.grid.left) * self.grid.scale,
            (self.grid.top - spot.y) * self.grid.scale / CELL_HEIGHT,
        )
    }

    fn put(&mut self, (across, down): (f64, f64), glyph: char, layer: Layer) {
        if across < 0.0 || down < 0.0 {
            return;
        }
        let row = self.cells.get_mut(down as usize);
        if let Some(cell) = row.and_then(|row| row.get_mut(across as usize)) {
            *cell = Cell {
                glyph,
                layer: Some(layer),
            };
        }
    }

    fn line(&mut self, from: Spot, to: Spot, layer: Layer) {
        let (from, to) = (self.at(from), self.at(to));
        let (across, down) = (to.0 - from.0, to.1 - from.1);
        let glyph = glyph(layer, across, down * CELL_HEIGHT);
        let steps = (across.abs().max(down.abs()) * 2.0).ceil().max(1.0);
        for step in 0..=steps as usize {
            let share = step as f64 / steps;
            self.put(
                (from.0 + across * share, from.1 + down * share),
                glyph,
                layer,
            );
        }
    }

    /// A ring a little smaller than the spot.
    fn ring(&mut self, centre: Spot, radius: f64, layer: Layer) {
        for step in 0..16 {
            let (sin, cos) = (f64::from(step) * 22.5_f64).to_radians().sin_cos();
            let spot = Spot {
                x: centre.x + 0.8 * radius * cos,
                y: centre.y + 0.8 * radius * sin,
            };
            self.put(self.at(spot), 'O', layer);
        }
    }
}

/// The figure in `wide` times `high` letters of ASCII, with the layer of each.
pub fn ascii_cells(figure: &Figure, wide: usize, high: usize) -> Vec<Vec<Cell>> {
    let blank = Cell {
        glyph: ' ',
        layer: None,
    };
    let mut letters = Letters {
        cells: vec![vec![blank; wide]; high],
        grid: Dots::fitted(figure, wide, high, CELL_HEIGHT),
    };
    for stroke in &figure.strokes {
        match stroke.shape {
            _ if stroke.layer == Layer::Gap => {}
            Shape::Disc => letters.ring(stroke.points[0], stroke.width / 2.0, stroke.layer),
            Shape::Line | Shape::Area => {
                for ends in stroke.points.windows(2) {
                    letters.line(ends[0], ends[1], stroke.layer);
                }
            }
        }
    }
    letters.cells
}

/// A letter that runs the way the line does.
fn glyph(layer: Layer, right: f64, down: f64) -> char {
    match layer {
        Layer::Surface if right.abs() > 4.0 * down.abs() => return '_',
        Layer::Far | Layer::Ghost => return '.',
        Layer::Prop => return '~',
        Layer::Accent | Layer::Hidden => return '#',
        Layer::Surface | Layer::Near | Layer::Gap => {}
    }
    if down.abs() < 0.5 * right.abs() {
        '-'
    } else if right.abs() < 0.4 * down.abs() {
        '|'
    } else if (right > 0.0) == (down > 0.0) {
        '\\'
    } else {
        '/'
    }
}

/// The figure in `wide` times `high` letters of ASCII.
pub fn ascii(figure: &Figure, wide: usize, high: usize) -> Vec<String> {
    text(&ascii_cells(figure, wide, high), ' ')
}

#[cfg(test)]
mod tests {
    use super::super::drawing::{Stroke, Window};
    use super::*;

    #[test]
    fn letters_run_with_the_line() {
        let up = vec![Spot { x: 0.0, y: 0.0 }, Spot { x: 1.0, y: 1.0 }];
        let figure = Figure {
            strokes: vec![Stroke {
                points: up,
                width: 0.02,
                shape: Shape::Line,
                layer: Layer::Near,
                part: None,
            }],
            window: Window {
                least: Spot { x: 0.0, y: 0.0 },
                most: Spot { x: 1.0, y: 1.0 },
            },
        };
        let rows = ascii(&figure, 8, 4);
        assert!(rows.concat().contains('/'), "{rows:?}");
        assert!(!rows.concat().contains('\\'), "{rows:?}");
    }
}
