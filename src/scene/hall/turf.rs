//! The ground: turf, the book's lines and marks, end zones, and the walkway behind the wall.

use super::super::dice::grain;
use super::super::glyph;
use super::{Colour, Hall, lit};

/// A line is 4 inches wide, a goal line 8.
const LINE: f64 = 4.0 / 36.0;
/// Yards between lines across the field.
const EVERY: f64 = 5.0;

/// The colour at a place on the ground.
pub fn colour(hall: &Hall, x: f64, y: f64) -> Colour {
    let (west, east) = hall.walls.along;
    let inside = x > west && x < east && y > 0.0 && y < hall.width;
    // Less light reaches the foot of the wall.
    let near = (x - west).min(east - x).min(y).min(hall.width - y).abs();
    let light = (1.0 - 0.38 * (-near / 0.35).exp()) as f32 * hall_light(hall, x, y);
    if !inside {
        let speck = grain((x * 14.0).floor() as i64, (y * 14.0).floor() as i64, 9);
        return lit([0.235, 0.245, 0.275], light * (0.9 + 0.2 * speck));
    }
    let in_end_zone = x < 0.0 || x > hall.length;
    let mut base = if in_end_zone { end_zone(hall, x, y) } else { grass(x) };
    if let Some(logo) = middle(hall, x, y).filter(|_| !in_end_zone) {
        base = logo;
    }
    if marked(hall, x, y) {
        let worn = 0.86 + 0.14 * grain((x * 9.0).floor() as i64, (y * 9.0).floor() as i64, 3);
        base = lit([0.90, 0.92, 0.89], worn);
    }
    lit(base, light * blades(x, y))
}

/// Light of lamps in rows: a little brighter below them, dimmer towards the corners.
fn hall_light(hall: &Hall, x: f64, y: f64) -> f32 {
    let (u, v) = ((x - hall.length / 2.0) / 45.0, (y - hall.width / 2.0) / 30.0);
    let waves = 0.025 * (x * 0.698).cos() * (y * 1.047).cos();
    (1.06 - 0.16 * u * u - 0.12 * v * v + waves) as f32
}

fn grass(x: f64) -> Colour {
    // Mown in stripes of five yards, in alternate directions.
    let stripe = ((x / EVERY).floor() as i64).rem_euclid(2) == 0;
    if stripe { [0.205, 0.415, 0.215] } else { [0.180, 0.375, 0.190] }
}

/// Blades and wear: grain of a few inches under patches of a few feet.
fn blades(x: f64, y: f64) -> f32 {
    let fine = grain((x * 26.0).floor() as i64, (y * 26.0).floor() as i64, 1);
    let tuft = smooth_grain(x * 3.1, y * 3.1, 2);
    let patch = smooth_grain(x * 0.45, y * 0.45, 4);
    0.86 + 0.10 * fine + 0.10 * tuft + 0.09 * patch
}

fn smooth_grain(x: f64, y: f64, salt: u64) -> f32 {
    let (i, j) = (x.floor(), y.floor());
    let ease = |part: f64| (part * part * (3.0 - 2.0 * part)) as f32;
    let (u, v) = (ease(x - i), ease(y - j));
    let at = |a: i64, b: i64| grain(i as i64 + a, j as i64 + b, salt);
    let low = at(0, 0) + (at(1, 0) - at(0, 0)) * u;
    let high = at(0, 1) + (at(1, 1) - at(0, 1)) * u;
    low + (high - low) * v
}

fn end_zone(hall: &Hall, x: f64, y: f64) -> Colour {
    let east = x > hall.length;
    let text = &hall.words[usize::from(east)];
    let height = hall.end_zone * 0.52;
    let wide = glyph::width(text) as f64 * height / 7.0;
    // The text must read from the field: the tops of the letters point outward.
    let (out, along) =
        if east { (x - hall.length, hall.width / 2.0 - y) } else { (-x, y - hall.width / 2.0) };
    let shrunk = (along / (hall.width * 0.86 / wide).min(1.0)) + wide / 2.0;
    let inked = glyph::painted(text, height, shrunk, out - hall.end_zone * 0.24);
    if inked {
        [0.87, 0.60, 0.20]
    } else {
        let rim = (out < 0.5) || (hall.end_zone - out < 0.4);
        if rim { [0.11, 0.24, 0.36] } else { [0.125, 0.275, 0.42] }
    }
}

/// A ring with three waves at midfield.
fn middle(hall: &Hall, x: f64, y: f64) -> Option<Colour> {
    let (u, v) = (x - hall.length / 2.0, y - hall.width / 2.0);
    let far = u.hypot(v);
    if far > 2.9 {
        return None;
    }
    if far > 2.55 {
        return Some([0.87, 0.60, 0.20]);
    }
    let wave = v - 0.32 * (u * 2.6).sin();
    let crest = [-1.0, 0.0, 1.0].iter().any(|row| (wave - row).abs() < 0.24);
    Some(if crest { [0.85, 0.88, 0.88] } else { [0.125, 0.275, 0.42] })
}

/// Whether there is white paint at a place.
fn marked(hall: &Hall, x: f64, y: f64) -> bool {
    let (west, east) = hall.walls.along;
    let goal = x.abs() < LINE || (x - hall.length).abs() < LINE;
    let across = x > 0.0 && x < hall.length && {
        let from_line = (x / EVERY).round() * EVERY - x;
        from_line.abs() < LINE / 2.0
    };
    let edge = y < LINE || hall.width - y < LINE || x - west < LINE || east - x < LINE;
    goal || across || edge || ticks(hall, x, y) || numbers(hall, x, y)
}

/// A tick each yard: along both walls and a third of the way in.
fn ticks(hall: &Hall, x: f64, y: f64) -> bool {
    let on_yard = (x.round() - x).abs() < LINE / 2.0 && x > 0.5 && x < hall.length - 0.5;
    let rows = [0.55, hall.width / 3.0, hall.width * 2.0 / 3.0, hall.width - 0.55];
    on_yard && rows.iter().any(|row| (y - row).abs() < 0.32)
}

/// The distance to the nearer goal line, beside every tenth yard, readable from both sides.
fn numbers(hall: &Hall, x: f64, y: f64) -> bool {
    let line = (x / 10.0).round() * 10.0;
    if line < 5.0 || line > hall.length - 5.0 {
        return false;
    }
    let nearer = line.min(hall.length - line) as i64;
    let (tens, units) = (nearer / 10, nearer % 10);
    const HIGH: f64 = 2.0;
    for (along, up) in [(x - line, y - 2.4), (line - x, hall.width - 2.4 - y)] {
        // One digit on each side of the line; a column of dots is 2/7 yards wide.
        let (digit, from) =
            if along < 0.0 { (tens, along + 0.28 + 5.0 * HIGH / 7.0) } else { (units, along - 0.28) };
        if glyph::painted(&digit.to_string(), HIGH, from, up) {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::super::tests::hall;
    use super::*;

    #[test]
    fn the_book_s_lines_are_painted_where_the_book_has_them() {
        let hall = hall();
        let white = |x: f64, y: f64| colour(&hall, x, y)[0] > 0.5;
        for (x, y) in [(0.0, 5.0), (50.0, 20.0), (25.0, 5.0), (45.0, 12.0), (-6.95, 3.0), (13.0, 9.0)] {
            assert!(white(x, y), "{x} {y}");
        }
        for (name, at) in hall.marks().into_iter().filter(|(_, at)| at.z == 0.0) {
            assert!(white(at.x, at.y) && !white(at.x + 0.2, at.y), "{name}");
        }
        for (x, y) in [(2.5, 5.0), (47.5, 21.0), (13.5, 9.0), (44.8, 12.5)] {
            assert!(!white(x, y), "{x} {y}");
        }
    }
}
