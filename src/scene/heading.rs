//! Which way a body faces over time: along its path while it runs, unless an act turns it.

use super::path::Path;
use super::space::Point;

/// Facing directions, sampled evenly.
#[derive(Debug, Clone)]
pub(crate) struct Heading {
    /// Angles from east towards north, in radians, without jumps.
    angles: Vec<f64>,
}

const TICK: f64 = 1.0 / 60.0;
/// How fast a body turns, in radians a second.
const TURN: f64 = 7.0;
/// Below this speed, in yards a second, a player keeps the way they face.
const SLOW: f64 = 0.9;

impl Heading {
    /// From `faces` (radians) at time 0. `turned`: the direction to which an act turns the player, by time and place.
    pub fn new(path: &Path, faces: f64, until: f64, turned: impl Fn(f64, Point) -> Option<Point>) -> Heading {
        let count = (until.max(0.0) / TICK).ceil() as usize + 2;
        let (mut angle, mut wanted) = (faces, faces);
        let mut angles = Vec::with_capacity(count);
        for step in 0..count {
            let t = step as f64 * TICK;
            let (place, velocity) = path.at(t);
            match turned(t, place) {
                Some(towards) if towards.norm() > 0.05 => wanted = towards.y.atan2(towards.x),
                _ if velocity.norm() > SLOW => {
                    // Look a little ahead along the path.
                    let (ahead, _) = path.at(t + 0.15);
                    let way = ahead - place;
                    wanted = way.y.atan2(way.x);
                }
                _ => {}
            }
            let turn = (wanted - angle + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU)
                - std::f64::consts::PI;
            let most = TURN * TICK;
            angle += (turn * 0.22).clamp(-most, most);
            angles.push(angle);
        }
        Heading { angles }
    }

    /// The direction at a time, level.
    pub fn at(&self, t: f64) -> Point {
        let last = self.angles.len().saturating_sub(1);
        let place = (t / TICK).clamp(0.0, last as f64);
        let before = place.floor() as usize;
        let of = |index: usize| self.angles.get(index.min(last)).copied().unwrap_or(0.0);
        let angle = of(before) + (of(before + 1) - of(before)) * (place - before as f64);
        Point::new(angle.cos(), angle.sin(), 0.0)
    }
}
