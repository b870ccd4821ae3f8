//! Places: in a picture, on the ground, in the hall. Three types, so that they cannot be mixed up.

use nalgebra::{Vector2, Vector3};

/// A place in a picture, in pixels: x to the right, y down. (0, 0) is the centre of the top left pixel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pixel {
    pub x: f64,
    pub y: f64,
}

/// A place on the ground, in yards of the hall frame: x from the west goal line, y from the south side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    pub x: f64,
    pub y: f64,
}

/// A place in the hall, in yards of the hall frame, right-handed: z is the height above the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Space {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

impl Pixel {
    /// A place from pixels.
    pub const fn new(x: f64, y: f64) -> Pixel {
        Pixel { x, y }
    }

    /// As a vector, in pixels.
    pub fn vector(self) -> Vector2<f64> {
        Vector2::new(self.x, self.y)
    }

    /// Whether both coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl From<Vector2<f64>> for Pixel {
    fn from(vector: Vector2<f64>) -> Pixel {
        Pixel { x: vector.x, y: vector.y }
    }
}

impl Ground {
    /// A place from yards.
    pub const fn new(x: f64, y: f64) -> Ground {
        Ground { x, y }
    }

    /// As a vector, in yards.
    pub fn vector(self) -> Vector2<f64> {
        Vector2::new(self.x, self.y)
    }

    /// The place `z` yards above it.
    pub const fn raised(self, z: f64) -> Space {
        Space { x: self.x, y: self.y, z }
    }

    /// Whether both coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl From<Vector2<f64>> for Ground {
    fn from(vector: Vector2<f64>) -> Ground {
        Ground { x: vector.x, y: vector.y }
    }
}

impl Space {
    /// A place from yards.
    pub const fn new(x: f64, y: f64, z: f64) -> Space {
        Space { x, y, z }
    }

    /// As a vector, in yards.
    pub fn vector(self) -> Vector3<f64> {
        Vector3::new(self.x, self.y, self.z)
    }

    /// The place on the ground straight below it.
    pub const fn ground(self) -> Ground {
        Ground { x: self.x, y: self.y }
    }

    /// Whether all coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }
}

impl From<Vector3<f64>> for Space {
    fn from(vector: Vector3<f64>) -> Space {
        Space { x: vector.x, y: vector.y, z: vector.z }
    }
}
