//! The hall: field, padded wall, stands, roof, posts and scoreboards, as a camera's rays hit them.
//!
//! Everything that does not move is rendered once for each camera (`src/scene/backdrop.rs`), so this is written for
//! looks, not for speed.

pub mod board;
mod crowd;
mod turf;

use super::ball::Walls;
use super::dice::grain;
use super::glyph;
use super::space::{Point, UP, direction};
use field::Field;

/// Red, green, blue from 0 to 1, gamma-encoded for a screen.
pub type Colour = [f32; 3];

/// The measures of a hall, in yards.
#[derive(Debug, Clone)]
pub struct Hall {
    /// Inner faces.
    pub walls: Walls,
    /// Goal line to goal line.
    pub length: f64,
    /// Side to side.
    pub width: f64,
    pub end_zone: f64,
    posts: f64,
    crossbar: f64,
    /// In the west and the east end zone.
    words: [String; 2],
}

/// What a ray hits.
#[derive(Debug, Clone, Copy)]
pub struct Seen {
    /// Lit by the hall's lamps.
    pub colour: Colour,
    /// Distance along the ray, in yards.
    pub far: f64,
    /// `None` where it is not ground.
    pub ground: Option<(f64, f64)>,
    /// The place on a scoreboard's face, from its lower left, as shares of its width and height.
    pub board: Option<(f64, f64)>,
}

/// Breadth of the walkway between wall and stands, in yards.
pub(crate) const WALK: f64 = 2.6;
/// Thickness of the wall.
const THICK: f64 = 0.4;
/// Where the stands end, outward from the wall, and the height of the roof.
const BOWL: f64 = 22.0;
const ROOF: f64 = 19.0;
/// The front of the stands, and their slope.
const FRONT: f64 = 1.3;
const SLOPE: f64 = 0.52;
/// Height of the posts above the ground.
const POSTS_TOP: f64 = 9.0;
const POST_RADIUS: f64 = 0.06;
/// The scoreboard behind each end: distance from the wall, half its width, its lower and upper edge.
const BOARD: (f64, f64, f64, f64) = (17.0, 6.0, 10.4, 14.9);

impl Hall {
    /// The hall around the field of a book. `words` are painted in the west and the east end zone.
    pub fn new(field: &Field, words: [&str; 2]) -> Hall {
        let (length, width, end_zone) =
            (field.length.as_f64(), field.width.as_f64(), field.end_zone.as_f64());
        let feet = |feet: f64| feet / 3.0;
        // Without a wall, a low kerb marks the boundary.
        let height = field.wall_ft.map_or(0.1, |wall| feet(wall.as_f64()));
        let walls = Walls { along: (-end_zone, length + end_zone), across: (0.0, width), height };
        let (posts, crossbar) = (feet(field.posts_ft.as_f64()), feet(field.crossbar_ft.as_f64()));
        Hall { walls, length, width, end_zone, posts, crossbar, words: words.map(str::to_owned) }
    }

    /// Distance of a place outside the walls, along and across; negative inside.
    fn outside(&self, x: f64, y: f64) -> (f64, f64) {
        let (w, e) = self.walls.along;
        ((w - x).max(x - e), (-y).max(y - self.width))
    }

    /// What a ray from `from`, inside the hall, along the unit vector `way` hits first.
    pub fn look(&self, from: Point, way: Point) -> Seen {
        let mut nearest = self.shell(from, way);
        for seen in
            [self.wall(from, way), self.stands(from, way), self.frames(from, way)].into_iter().flatten()
        {
            if seen.far < nearest.far {
                nearest = seen;
            }
        }
        self.boards(from, way, nearest.far).unwrap_or(nearest)
    }

    /// Ground, roof, and outer walls of the building.
    fn shell(&self, from: Point, way: Point) -> Seen {
        if way.z < -1e-6 {
            let far = -from.z / way.z;
            let at = from + way * far;
            let colour = turf::colour(self, at.x, at.y);
            // Painted turf shines a little towards a low camera.
            let sheen = 0.10 * (1.0 + way.z).powi(3) as f32;
            let colour = colour.map(|part| part + (0.9 - part) * sheen);
            return Seen { colour, far, ground: Some((at.x, at.y)), board: None };
        }
        let (w, e) = (self.walls.along.0 - BOWL, self.walls.along.1 + BOWL);
        let (s, n) = (-BOWL, self.width + BOWL);
        let until = |from: f64, way: f64, low: f64, high: f64| {
            if way > 1e-9 {
                (high - from) / way
            } else if way < -1e-9 {
                (low - from) / way
            } else {
                f64::INFINITY
            }
        };
        let roof = if way.z > 1e-9 { (ROOF - from.z) / way.z } else { f64::INFINITY };
        let sides = until(from.x, way.x, w, e).min(until(from.y, way.y, s, n));
        let far = roof.min(sides);
        let at = from + way * far;
        let colour = if roof < sides { roof_colour(at) } else { building_colour(at) };
        Seen { colour, far, ground: None, board: None }
    }

    /// The padded wall: four long boxes.
    fn wall(&self, from: Point, way: Point) -> Option<Seen> {
        let ((w, e), (s, n)) = (self.walls.along, self.walls.across);
        let boxes = [
            (w - THICK, e + THICK, s - THICK, s),
            (w - THICK, e + THICK, n, n + THICK),
            (w - THICK, w, s, n),
            (e, e + THICK, s, n),
        ];
        let met = boxes.into_iter().filter_map(|(x0, x1, y0, y1)| {
            slab(from, way, Point::new(x0, y0, 0.0), Point::new(x1, y1, self.walls.height))
        });
        let (far, normal) = met.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let at = from + way * far;
        Some(Seen { colour: self.padding(at, normal), far, ground: None, board: None })
    }

    /// The wall's padding: panels with seams, a bright edge, names on every side.
    fn padding(&self, at: Point, normal: Point) -> Colour {
        let along = if normal.y.abs() > 0.5 { at.x } else { at.y };
        let top = self.walls.height;
        if normal.z > 0.5 {
            return lit([0.86, 0.55, 0.13], 1.0);
        }
        let panel = along.rem_euclid(2.0);
        let seam = panel.min(2.0 - panel);
        // A cushion is darker where it curves away at its seams, and lit from above.
        let round = (seam / 0.16).min(1.0).sqrt() as f32;
        let rise = (at.z / top) as f32;
        let light = (0.58 + 0.34 * rise) * (0.62 + 0.38 * round);
        if top - at.z < 0.11 {
            return lit([0.88, 0.58, 0.15], light + 0.1);
        }
        let letters = ["SALTMARSH", "EIGHT A SIDE", "SALTMARSH", "REEDS AND TIDES"];
        let place = (along / 16.0).floor();
        let text = letters[(place.rem_euclid(4.0)) as usize];
        let height = top * 0.52;
        let wide = glyph::width(text) as f64 * height / 7.0;
        // The text must read from inside, so along some walls it runs against the axis.
        let runs = if normal.y < -0.5 || normal.x > 0.5 { 1.0 } else { -1.0 };
        let inside = along - (place + 0.5) * 16.0;
        let middle = Point::new(self.length / 2.0, self.width / 2.0, at.z);
        let inner = normal.dot(&(middle - at)) > 0.0;
        if inner && glyph::painted(text, height, inside * runs + wide / 2.0, at.z - top * 0.2) {
            return lit([0.80, 0.84, 0.86], light);
        }
        let tone = 0.94 + 0.06 * grain((along / 2.0).floor() as i64, normal.x as i64, 5);
        lit([0.10, 0.19, 0.31], light * tone)
    }

    /// Stands on four sides, mitred at the corners, behind the walkway.
    fn stands(&self, from: Point, way: Point) -> Option<Seen> {
        let mut nearest: Option<Seen> = None;
        // Outward distance as a function of the place: sign, axis, edge.
        let sides = [
            (-1.0, 1, self.walls.across.0),
            (1.0, 1, self.walls.across.1),
            (-1.0, 0, self.walls.along.0),
            (1.0, 0, self.walls.along.1),
        ];
        for (sign, axis, edge) in sides {
            let (start, speed) = (sign * (from[axis] - edge), sign * way[axis]);
            // Where the ray hits the slope z = FRONT + SLOPE (out - WALK), and the front out = WALK.
            let closing = way.z - SLOPE * speed;
            let slope = (FRONT + SLOPE * (start - WALK) - from.z) / closing;
            let front = (WALK - start) / speed;
            for (far, is_front) in [(front, true), (slope, false)] {
                if !far.is_finite() || far <= 1e-6 || nearest.is_some_and(|seen| seen.far < far) {
                    continue;
                }
                let at = from + way * far;
                let (out_x, out_y) = self.outside(at.x, at.y);
                let (out, other) = if axis == 1 { (out_y, out_x) } else { (out_x, out_y) };
                let on = if is_front { (0.0..=FRONT).contains(&at.z) } else { (WALK..=BOWL).contains(&out) };
                if !on || other > out + 1e-9 {
                    continue;
                }
                let along = if axis == 1 { at.x } else { at.y };
                let colour = if is_front {
                    crowd::front(along, at.z / FRONT)
                } else {
                    crowd::seats(along, out - WALK, (axis as u64) << 1 | u64::from(sign > 0.0))
                };
                nearest = Some(Seen { colour, far, ground: None, board: None });
            }
        }
        nearest
    }

    /// Goal posts: a stem behind each end wall, crossbar, two uprights.
    fn frames(&self, from: Point, way: Point) -> Option<Seen> {
        let (middle, half) = (self.width / 2.0, self.posts / 2.0 + POST_RADIUS);
        let mut nearest: Option<Seen> = None;
        for (edge, out) in [(self.walls.along.0, -1.0), (self.walls.along.1, 1.0)] {
            let (bar, stem) = (edge + out * 0.25, edge + out * 1.5);
            // Skip rays that pass far beside the posts, as most do.
            let beside = |x: f64| from.y + way.y * (x - from.x) / way.x - middle;
            let (near, back) = (beside(bar), beside(stem));
            if near.abs().min(back.abs()) > half + 0.3 && near * back > 0.0 {
                continue;
            }
            let at = |y: f64, z: f64| Point::new(bar, y, z);
            let pieces = [
                (at(middle - half, self.crossbar), at(middle + half, self.crossbar)),
                (at(middle - half, self.crossbar), at(middle - half, POSTS_TOP)),
                (at(middle + half, self.crossbar), at(middle + half, POSTS_TOP)),
                (Point::new(stem, middle, 0.0), Point::new(stem, middle, self.crossbar - 0.5)),
                (Point::new(stem, middle, self.crossbar - 0.5), at(middle, self.crossbar)),
            ];
            for (a, b) in pieces {
                let Some((far, normal)) = rod(from, way, (a, b), POST_RADIUS) else { continue };
                if nearest.is_none_or(|seen| far < seen.far) {
                    let light = 0.6 + 0.4 * normal.z.max(-0.4) as f32 + 0.15 * normal.y as f32;
                    nearest =
                        Some(Seen { colour: lit([0.96, 0.82, 0.20], light), far, ground: None, board: None });
                }
            }
        }
        nearest
    }

    /// A scoreboard, if one is nearer than `nearest`.
    fn boards(&self, from: Point, way: Point, nearest: f64) -> Option<Seen> {
        let (back, half, low, high) = BOARD;
        for (x, out) in [(self.walls.along.0 - back, -1.0), (self.walls.along.1 + back, 1.0)] {
            let far = (x - from.x) / way.x;
            let at = from + way * far;
            let across = (at.y - self.width / 2.0) * -out;
            if far > 1e-6
                && far < nearest
                && across.abs() < half
                && (low..high).contains(&at.z)
                && way.x * out > 0.0
            {
                let place = ((across + half) / (2.0 * half), (at.z - low) / (high - low));
                return Some(Seen { colour: [0.02, 0.02, 0.03], far, ground: None, board: Some(place) });
            }
        }
        None
    }

    /// Named places of the field by which a camera can be calibrated.
    pub fn landmarks(&self) -> Vec<(String, Point)> {
        let (middle, half) = (self.width / 2.0, self.posts / 2.0);
        let mut found = Vec::new();
        for (end, x) in [("west", 0.0), ("east", self.length)] {
            found.push((format!("{end} goal line, south wall"), Point::new(x, 0.0, 0.0)));
            found.push((format!("{end} goal line, north wall"), Point::new(x, self.width, 0.0)));
        }
        for (end, x) in [("west", self.walls.along.0), ("east", self.walls.along.1)] {
            found.push((format!("{end} corner, south"), Point::new(x, 0.0, 0.0)));
            found.push((format!("{end} corner, north"), Point::new(x, self.width, 0.0)));
            let bar = x + if x < 0.0 { -0.25 } else { 0.25 };
            found
                .push((format!("{end} crossbar, south post"), Point::new(bar, middle - half, self.crossbar)));
            found
                .push((format!("{end} crossbar, north post"), Point::new(bar, middle + half, self.crossbar)));
        }
        for yard in (5..self.length as i64).step_by(5) {
            found.push((format!("line {yard}, south wall"), Point::new(yard as f64, 0.0, 0.0)));
            found.push((format!("line {yard}, north wall"), Point::new(yard as f64, self.width, 0.0)));
        }
        found
    }

    /// Named places of this hall that a book does not define: of the two inner rows of ticks, the second in each five
    /// yards, and the posts at the crossbar.
    pub fn marks(&self) -> Vec<(String, Point)> {
        let rows = [("south", self.width / 3.0), ("north", self.width * 2.0 / 3.0)];
        let mut found = Vec::new();
        for (row, y) in rows {
            for x in (2..self.length as i64).step_by(5) {
                let name = format!("tick {x} yd from the west goal line, {row} row");
                found.push((name, Point::new(x as f64, y, 0.0)));
            }
        }
        found.extend(self.landmarks().into_iter().filter(|(name, _)| name.contains("post")));
        found
    }
}

/// A colour times a factor of light, clipped.
pub fn lit(colour: Colour, light: f32) -> Colour {
    colour.map(|part| (part * light).clamp(0.0, 1.0))
}

fn roof_colour(at: Point) -> Colour {
    // Rows of lamps between dark trusses.
    let (x, y) = (at.x.rem_euclid(9.0) - 4.5, at.y.rem_euclid(6.0) - 3.0);
    if x.abs() < 0.9 && y.abs() < 0.45 {
        return [1.0, 1.0, 0.96];
    }
    let glow = (-(x * x * 0.5 + y * y * 0.9)).exp() as f32;
    let truss = (at.x.rem_euclid(4.5) - 2.25).abs() < 0.18 || (at.y.rem_euclid(6.0)).abs() < 0.14;
    let base = if truss { 0.13 } else { 0.065 };
    [base + glow * 0.25, base + glow * 0.25, base * 1.1 + glow * 0.25]
}

fn building_colour(at: Point) -> Colour {
    let sheet = (at.x + at.y).rem_euclid(1.6);
    let seam = if sheet < 0.06 { 0.75 } else { 1.0 };
    let rise = (at.z / ROOF).clamp(0.0, 1.0) as f32;
    lit([0.15, 0.17, 0.20], seam * (0.95 - 0.45 * rise))
}

/// Where a ray enters a box, and the normal of that face.
fn slab(from: Point, way: Point, low: Point, high: Point) -> Option<(f64, Point)> {
    let (mut enters, mut leaves, mut normal) = (f64::NEG_INFINITY, f64::INFINITY, UP);
    for axis in 0..3 {
        if way[axis].abs() < 1e-12 {
            if from[axis] < low[axis] || from[axis] > high[axis] {
                return None;
            }
            continue;
        }
        let (a, b) = ((low[axis] - from[axis]) / way[axis], (high[axis] - from[axis]) / way[axis]);
        if a.min(b) > enters {
            enters = a.min(b);
            normal = Point::zeros();
            normal[axis] = -way[axis].signum();
        }
        leaves = leaves.min(a.max(b));
    }
    (enters > 1e-6 && enters <= leaves).then_some((enters, normal))
}

/// Where a ray hits a rod between two places, and the normal there.
fn rod(from: Point, way: Point, ends: (Point, Point), radius: f64) -> Option<(f64, Point)> {
    let axis = direction(ends.1 - ends.0, UP);
    let to = from - ends.0;
    let (across_way, across_to) = (way - axis * way.dot(&axis), to - axis * to.dot(&axis));
    let (a, b) = (across_way.norm_squared(), across_way.dot(&across_to));
    let c = across_to.norm_squared() - radius * radius;
    let root = b * b - a * c;
    if a < 1e-12 || root < 0.0 {
        return None;
    }
    let far = (-b - root.sqrt()) / a;
    let along = (to + way * far).dot(&axis);
    let met = far > 1e-6 && (0.0..=(ends.1 - ends.0).norm()).contains(&along);
    met.then(|| (far, direction(across_to + across_way * far, UP)))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use field::exact::Yards;

    /// The field of the invented league.
    pub(crate) fn hall() -> Hall {
        let yards = |count: i64| Yards::whole(count);
        let field = Field {
            length: yards(50),
            width: yards(27),
            end_zone: yards(7),
            wall_ft: Some(yards(4)),
            posts_ft: yards(10),
            crossbar_ft: yards(12),
        };
        Hall::new(&field, ["KITES", "HARBOUR"])
    }

    #[test]
    fn a_ray_meets_what_stands_there() {
        let hall = hall();
        let from = Point::new(25.0, 13.5, 6.0);
        let towards = |x: f64, y: f64, z: f64| hall.look(from, direction(Point::new(x, y, z) - from, UP));
        let ground = towards(20.0, 10.0, 0.0).ground.expect("it is ground");
        assert!((ground.0 - 20.0).abs() < 1e-9 && (ground.1 - 10.0).abs() < 1e-9);
        let wall = towards(25.0, 27.0, 0.7);
        assert!(wall.ground.is_none() && (wall.far - (13.5f64.powi(2) + 5.3f64.powi(2)).sqrt()).abs() < 1e-9);
        // The posts are 10 ft apart inside, so a post's axis is 5 ft and its radius from the middle of the field.
        let post = towards(57.25, 13.5 + 5.0 / 3.0 + POST_RADIUS, 6.0);
        assert!((post.far - 32.3).abs() < 0.2 && post.colour[0] > post.colour[2] * 2.0, "{post:?}");
        let board = towards(74.0, 13.5, 12.6).board.expect("the east board");
        assert!((board.0 - 0.5).abs() < 1e-6 && (0.4..0.6).contains(&board.1));
        assert!(towards(25.0, 40.0, 5.0).ground.is_none(), "the stand");
    }
}
