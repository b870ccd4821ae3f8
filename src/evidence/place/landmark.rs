//! The landmarks that a field offers, by name, in the hall frame.

use crate::place::point::{Ground, Space};
use field::Field;

/// Feet in a yard.
const FEET: f64 = 3.0;

/// A place that can be clicked.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// What an official calls it: "15 from the west, south side".
    pub name: String,
    pub place: Space,
}

/// The crossings of lines and sides every `every_yd` yards, the corners, and what stands above the ground: the tops
/// of the wall's corners, the feet and crossbars of the goal posts. `goals_yd` is how far behind the goal lines
/// the posts stand.
pub fn known(field: &Field, every_yd: f64, goals_yd: f64) -> Vec<Known> {
    let (length, width, end) = (field.length.as_f64(), field.width.as_f64(), field.end_zone.as_f64());
    let mut all = Vec::new();
    let mut add = |name: String, ground: Ground, height: f64| {
        all.push(Known { name, place: ground.raised(height) });
    };
    let sides = [("south", 0.0), ("north", width)];
    let count = if every_yd > 0.0 { (length / every_yd.max(0.1)).floor().min(10_000.0) as u32 } else { 0 };
    for (side, y) in sides {
        add(format!("west end line, {side} side"), Ground::new(-end, y), 0.0);
        add(format!("west goal line, {side} side"), Ground::new(0.0, y), 0.0);
        for index in 1..=count {
            let x = f64::from(index) * every_yd;
            if x < length {
                add(format!("{}, {side} side", spot(x, length)), Ground::new(x, y), 0.0);
            }
        }
        add(format!("east goal line, {side} side"), Ground::new(length, y), 0.0);
        add(format!("east end line, {side} side"), Ground::new(length + end, y), 0.0);
    }
    for (goal, x) in [("west", -goals_yd), ("east", length + goals_yd)] {
        for (side, sign) in [("south", -0.5), ("north", 0.5)] {
            let post = Ground::new(x, 0.5 * width + sign * field.posts_ft.as_f64() / FEET);
            let bar = field.crossbar_ft.as_f64() / FEET;
            add(format!("{goal} goal, {side} post at the crossbar"), post, bar);
        }
    }
    if let Some(wall) = field.wall_ft {
        for (corner, x) in [("west", -end), ("east", length + end)] {
            for (side, y) in sides {
                add(
                    format!("top of the wall, {corner} {side} corner"),
                    Ground::new(x, y),
                    wall.as_f64() / FEET,
                );
            }
        }
    }
    all
}

/// A spot as the field is numbered: from the nearer goal line.
fn spot(x: f64, length: f64) -> String {
    let near = x.min(length - x);
    if (x - 0.5 * length).abs() < 1e-9 {
        format!("midfield ({near})")
    } else if x < 0.5 * length {
        format!("{near} from the west goal line")
    } else {
        format!("{near} from the east goal line")
    }
}
