//! Whether a place lies within the convex hull of others.

use crate::place::point::Ground;
use nalgebra::Vector2;

/// Whether `place` lies in the hull of `points`, its edge included.
pub(super) fn contains(points: impl Iterator<Item = Ground>, place: Ground) -> bool {
    let mut away: Vec<Vector2<f64>> = points.map(|point| point.vector() - place.vector()).collect();
    let size = away.iter().map(Vector2::norm).fold(0.0, f64::max);
    // A place on an edge is inside, up to rounding.
    let near = 1e-9 * size;
    if away.iter().any(|point| point.norm() <= near) {
        return true;
    }
    away.sort_by(|one, other| one.y.atan2(one.x).total_cmp(&other.y.atan2(other.x)));
    // Outside, all points lie within an open half plane: between two neighbours there is a gap of more than π.
    let next = away.iter().cycle().skip(1);
    away.len() > 1
        && away.iter().zip(next).all(|(one, other)| {
            let turn = one.perp(other);
            let flat = 1e-9 * size * size;
            turn > -flat && (turn > flat || one.dot(other) > 0.0 || on_edge(one, other, near))
        })
}

/// Whether the origin lies on the stretch between two points.
fn on_edge(one: &Vector2<f64>, other: &Vector2<f64>, near: f64) -> bool {
    one.dot(other) <= 0.0 && one.perp(other).abs() <= near * (one - other).norm()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_on_the_edge_and_outside_are_told_apart() {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 30.0), (0.0, 30.0), (10.0, 15.0)];
        let corners = || corners.into_iter().map(|(x, y)| Ground::new(x, y));
        for (x, y, inside) in [
            (1.0, 1.0, true),
            (10.0, 15.0, true),
            (20.0, 30.0, true),
            (20.0, 11.0, true),
            (10.0, 0.0, true),
            (20.001, 11.0, false),
            (-5.0, 15.0, false),
            (10.0, -0.001, false),
            (30.0, 0.0, false),
            (10.0, 40.0, false),
        ] {
            assert_eq!(contains(corners(), Ground::new(x, y)), inside, "({x}, {y})");
        }
        assert!(!contains([Ground::new(1.0, 1.0)].into_iter(), Ground::new(0.0, 0.0)));
    }
}
