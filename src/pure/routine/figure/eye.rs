//! Where a pose is seen from, and what a point looks like from there.

use super::drawing::{Layer, Shape, Spot, Stroke};
use super::pose::{Pose, View};
use super::space::Vector;

/// The eye: where right, up and toward the viewer are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    right: Vector,
    up: Vector,
    pub(super) toward: Vector,
}

impl Eye {
    pub(super) fn of(pose: &Pose) -> Self {
        let (x, y, z) = (
            Vector::new(1.0, 0.0, 0.0),
            Vector::new(0.0, 1.0, 0.0),
            Vector::new(0.0, 0.0, 1.0),
        );
        let (toward, swung) = match pose.view {
            View::Side => (z, x),
            View::OtherSide => (z * -1.0, x),
            View::Front => (x, z),
            View::Back => (x * -1.0, z),
            View::Above => (z, x),
        };
        let (sin, cos) = pose.view_turn.to_radians().sin_cos();
        let level = toward * cos + swung * sin;
        let tilt = match pose.view {
            View::Above => 90.0_f64,
            _ => pose.view_tilt,
        };
        let (sin, cos) = tilt.to_radians().sin_cos();
        Self {
            right: Vector::new(level.z, 0.0, -level.x),
            up: y * cos - level * sin,
            toward: level * cos + y * sin,
        }
    }

    /// Where a point is on the drawing.
    pub(super) fn spot(&self, at: Vector) -> Spot {
        Spot {
            x: at.dot(self.right),
            y: at.dot(self.up),
        }
    }

    /// How near a point is: greater is nearer to the viewer.
    pub(super) fn depth(&self, at: Vector) -> f64 {
        at.dot(self.toward)
    }

    /// Whether it looks down, so that level surfaces show as outlines.
    pub(super) fn looks_down(&self) -> bool {
        self.toward.y > 0.01
    }

    pub(super) fn line(&self, points: &[Vector], width: f64, layer: Layer) -> Stroke {
        Stroke {
            points: points.iter().map(|point| self.spot(*point)).collect(),
            width,
            shape: Shape::Line,
            layer,
            part: None,
        }
    }
}
