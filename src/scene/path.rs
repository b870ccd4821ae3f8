//! The path of a body's middle over the ground: smooth through the places of a play.

use super::space::{Point, ground};

/// A smooth path through places at given times.
#[derive(Debug, Clone)]
pub struct Path {
    knots: Vec<Knot>,
}

#[derive(Debug, Clone, Copy)]
struct Knot {
    t: f64,
    place: Point,
    velocity: Point,
}

/// Places closer than this, in yards, count as standing still.
const STILL: f64 = 0.02;

impl Path {
    /// From `at` at time 0 through `places` (seconds, x, y), in order of time. The player stands still at both ends.
    pub fn new(at: (f64, f64), places: &[(f64, f64, f64)]) -> Path {
        let first = std::iter::once((0.0, at.0, at.1));
        let mut knots: Vec<Knot> = first
            .chain(places.iter().copied())
            .map(|(t, x, y)| Knot { t, place: ground(x, y), velocity: Point::zeros() })
            .collect();
        let slopes: Vec<(f64, Point)> = knots
            .windows(2)
            .map(|pair| match pair {
                [a, b] => (b.t - a.t, (b.place - a.place) / (b.t - a.t)),
                _ => (1.0, Point::zeros()),
            })
            .collect();
        for (knot, pair) in knots.iter_mut().skip(1).zip(slopes.windows(2)) {
            if let [(before, came), (after, goes)] = pair {
                let stands = came.norm() * before < STILL || goes.norm() * after < STILL;
                if !stands {
                    // The slope of the parabola through three places (Bessel's tangent), limited so that the path
                    // does not swing beyond a place.
                    let slope = (came * *after + goes * *before) / (before + after);
                    let most = 2.0 * came.norm().min(goes.norm());
                    knot.velocity = slope * (most / slope.norm().max(1e-9)).min(1.0);
                }
            }
        }
        Path { knots }
    }

    /// Place and velocity at a time, in yards and yards a second.
    pub fn at(&self, t: f64) -> (Point, Point) {
        let after = self.knots.partition_point(|knot| knot.t <= t);
        let still = |knot: Option<&Knot>| (knot.map_or(Point::zeros(), |knot| knot.place), Point::zeros());
        let (Some(a), Some(b)) =
            (after.checked_sub(1).and_then(|i| self.knots.get(i)), self.knots.get(after))
        else {
            return still(if after == 0 { self.knots.first() } else { self.knots.last() });
        };
        let h = b.t - a.t;
        let s = (t - a.t) / h;
        // Hermite's cubic.
        let (s2, s3) = (s * s, s * s * s);
        let place = a.place * (2.0 * s3 - 3.0 * s2 + 1.0)
            + a.velocity * (h * (s3 - 2.0 * s2 + s))
            + b.place * (3.0 * s2 - 2.0 * s3)
            + b.velocity * (h * (s3 - s2));
        let velocity = (b.place - a.place) * (6.0 * (s - s2) / h)
            + a.velocity * (3.0 * s2 - 4.0 * s + 1.0)
            + b.velocity * (3.0 * s2 - 2.0 * s);
        (place, velocity)
    }

    /// When the player first moves, in seconds; `otherwise` if never.
    pub(crate) fn moves_at(&self, otherwise: f64) -> f64 {
        let moves = self.knots.windows(2).find_map(|pair| match pair {
            [a, b] if (b.place - a.place).norm() >= STILL => Some(a.t),
            _ => None,
        });
        moves.unwrap_or(otherwise)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_goes_through_its_places_and_stands_at_both_ends() {
        let path = Path::new((1.0, 2.0), &[(1.0, 1.0, 2.0), (2.0, 4.0, 2.0), (3.0, 8.0, 3.0)]);
        for (t, x, y) in
            [(-1.0, 1.0, 2.0), (0.5, 1.0, 2.0), (1.0, 1.0, 2.0), (2.0, 4.0, 2.0), (9.0, 8.0, 3.0)]
        {
            assert!((path.at(t).0 - ground(x, y)).norm() < 1e-9, "{t}");
        }
        assert_eq!(path.moves_at(9.0), 1.0);
        assert_eq!(path.at(0.5).1, Point::zeros());
        // The velocity is the slope of the way: central difference.
        let slope = (path.at(2.31).0 - path.at(2.29).0) / 0.02;
        assert!((slope - path.at(2.3).1).norm() < 1e-3);
    }
}
