//! Points and turns in three dimensions, as little as the figure needs.

use std::ops::{Add, Mul, Sub};

/// A point or a direction.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vector {
    /// Forward of a standing person.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// To the right of a standing person.
    pub z: f64,
}

impl Vector {
    /// From its three numbers.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Length.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The point a part `share` of the way to `other`.
    pub fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// Distance to the nearest point of the straight piece from `a` to `b`.
    pub fn distance_to_piece(self, a: Self, b: Self) -> f64 {
        let along = b - a;
        let square = along.dot(along);
        let share = if square > 0.0 {
            ((self - a).dot(along) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (self - a.towards(b, share)).length()
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by, self.z * by)
    }
}

/// The axes of a body segment: where its forward, up and right point to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axes {
    /// Forward.
    pub forward: Vector,
    /// Up: from the far end of a limb segment toward its near end.
    pub up: Vector,
    /// Right.
    pub right: Vector,
}

impl Axes {
    /// A person standing upright.
    pub const UPRIGHT: Self = Self {
        forward: Vector::new(1.0, 0.0, 0.0),
        up: Vector::new(0.0, 1.0, 0.0),
        right: Vector::new(0.0, 0.0, 1.0),
    };

    /// A vector given in these axes.
    pub fn at(&self, forward: f64, up: f64, right: f64) -> Vector {
        self.forward * forward + self.up * up + self.right * right
    }

    /// Turned about its own right axis: positive takes forward to up, as a lifted thigh or a bent elbow.
    pub fn pitched(&self, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self {
            forward: self.at(cos, sin, 0.0),
            up: self.at(-sin, cos, 0.0),
            right: self.right,
        }
    }

    /// Turned about its own forward axis: positive takes up to right, as a lean to the right.
    pub fn leant(&self, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self {
            forward: self.forward,
            up: self.at(0.0, cos, sin),
            right: self.at(0.0, -sin, cos),
        }
    }

    /// Turned about its own up axis: positive takes forward to right, as a look to the right.
    pub fn turned(&self, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self {
            forward: self.at(cos, 0.0, sin),
            up: self.up,
            right: self.at(-sin, 0.0, cos),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: Vector, b: Vector) -> bool {
        (a - b).length() < 1e-12
    }

    #[test]
    fn turns_go_the_way_their_names_say() {
        let quarter = Axes::UPRIGHT.pitched(90.0);
        assert!(near(quarter.forward, Vector::new(0.0, 1.0, 0.0)));
        assert!(near(quarter.up, Vector::new(-1.0, 0.0, 0.0)));
        assert!(near(
            Axes::UPRIGHT.leant(90.0).up,
            Vector::new(0.0, 0.0, 1.0)
        ));
        assert!(near(
            Axes::UPRIGHT.turned(90.0).forward,
            Vector::new(0.0, 0.0, 1.0)
        ));
    }

    #[test]
    fn a_piece_is_nearest_at_its_end_or_beside_it() {
        let (a, b) = (Vector::default(), Vector::new(1.0, 0.0, 0.0));
        assert!((Vector::new(0.5, 2.0, 0.0).distance_to_piece(a, b) - 2.0).abs() < 1e-12);
        assert!((Vector::new(4.0, 4.0, 0.0).distance_to_piece(a, b) - 5.0).abs() < 1e-12);
    }
}
