//! Points in the hall, in yards of the hall frame (`x` east, `y` north, `z` up), and smooth change between them.

use nalgebra::Vector3;

/// A point or a direction in the hall, in yards.
pub type Point = Vector3<f64>;

/// In yards a second squared: 9.80665 m/s² in yards of 0.9144 m.
pub(crate) const GRAVITY: f64 = 9.80665 / 0.9144;

pub(crate) const UP: Point = Point::new(0.0, 0.0, 1.0);

/// A point at height 0.
pub fn ground(x: f64, y: f64) -> Point {
    Point::new(x, y, 0.0)
}

/// 0 before `from`, 1 after `to`, with a smooth change between them.
pub(crate) fn ramp(t: f64, from: f64, to: f64) -> f64 {
    if to <= from {
        return if t < from { 0.0 } else { 1.0 };
    }
    let part = ((t - from) / (to - from)).clamp(0.0, 1.0);
    part * part * (3.0 - 2.0 * part)
}

/// Linear interpolation: `a` at 0, `b` at 1.
pub fn between(a: f64, b: f64, part: f64) -> f64 {
    a + (b - a) * part
}

/// The unit vector along `of`; `otherwise` where its length is 0.
pub(crate) fn direction(of: Point, otherwise: Point) -> Point {
    let length = of.norm();
    if length > 1e-9 { of / length } else { otherwise }
}

/// The right-hand side of someone who faces `forward`, a level unit vector.
pub(crate) fn right_of(forward: Point) -> Point {
    Point::new(forward.y, -forward.x, 0.0)
}

/// The middle joint and the end of two bones from `root` towards `target`. The joint bends towards `bend`; the end
/// comes as close to a target out of reach as the bones allow.
pub(crate) fn two_bones(root: Point, target: Point, bones: (f64, f64), bend: Point) -> (Point, Point) {
    let (first, second) = bones;
    let towards = direction(target - root, -UP);
    let least = (first - second).abs() + 1e-4;
    let reach = (target - root).norm().clamp(least, first + second - 1e-4);
    // The law of cosines gives the joint's distance along the line and beside it.
    let along = (first * first - second * second + reach * reach) / (2.0 * reach);
    let beside = (first * first - along * along).max(0.0).sqrt();
    let side = direction(bend - towards * bend.dot(&towards), right_of(towards));
    (root + towards * along + side * beside, root + towards * reach)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bones_keep_their_lengths_within_and_beyond_reach() {
        for target in [Point::new(0.3, 0.2, -0.6), Point::new(5.0, 0.0, 0.0), Point::new(0.01, 0.0, 0.0)] {
            let root = Point::new(1.0, 2.0, 3.0);
            let (joint, end) = two_bones(root, root + target, (0.5, 0.45), Point::new(1.0, 0.0, 0.1));
            assert!(((joint - root).norm() - 0.5).abs() < 1e-6, "{target}");
            assert!(((end - joint).norm() - 0.45).abs() < 1e-6, "{target}");
        }
    }
}
