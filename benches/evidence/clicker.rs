//! Clicks on decoded pictures, found in the pictures: an automatic clicker as a measuring instrument.
//!
//! It knows about where a thing stands and how large it is there, as a person does who looks at it, and moves the thing's
//! outline over the picture until what lies inside differs most from what lies beside it. Then a hand's noise is added.

use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;
use tellframe::footage::clip::Clip;
use tellframe::footage::picture::Picture;
use tellframe::proof::homography::{Calibration, Landmark, Optics};
use tellframe::proof::measure::{Click, Line, locate};
use tellframe::proof::place::{Ground, Pixel, Space};
use tellframe::scene::action::Action;
use tellframe::scene::canvas::View;
use tellframe::scene::dice::Dice;
use tellframe::scene::film;
use tellframe::scene::hall::Hall;
use tellframe::scene::rig::Station;
use tellframe::scene::truth::Truth;

/// A hand's noise, in pixels in each direction, and what is stated of it.
pub const HAND_PX: f64 = 1.0;
/// How far the clicker looks around where it expects a thing, in pixels.
const REACH: f64 = 3.5;
/// Its steps, in pixels.
const STEP: f64 = 0.25;

/// One toe against one line.
pub struct Measured {
    /// Which line.
    pub line: &'static str,
    /// The error of the stated distance, in inches.
    pub off_in: f64,
    /// Whether the stated 95 % interval held the true distance.
    pub held: bool,
    /// How far the finder alone was off, in pixels, before the hand's noise.
    pub finder_px: f64,
}

/// Films a play with a camera and opens the clip.
pub fn filmed(hall: &Hall, action: &Action, station: &Station, folder: &Path) -> Clip {
    let view = Arc::new(View::new(hall, station, &action.play.timecode, action.play.seed));
    let film = film::shoot(action, &view, Cursor::new(Vec::new()), |_, _| true).expect("it is filmed");
    let path = folder.join(format!("{}.mp4", station.mounted.name));
    std::fs::write(&path, film.into_inner()).expect("there is room");
    Clip::open(&path, None).expect("a clip")
}

/// Every toe that stands in a frame, against the lines, by clicks on that frame.
pub fn measured(
    (action, truth, station): (&Action, &Truth, &Station),
    clip: &Clip,
    frame: usize,
    dice: &mut Dice,
) -> Vec<Measured> {
    let picture = clip.picture(frame).expect("a picture");
    let landmarks = landmarks(&picture, station, dice);
    let lens = station.camera.lens;
    let optics = if lens.k1 == 0.0 && lens.k2 == 0.0 { Optics::Straight } else { Optics::Known(lens) };
    let Ok(calibration) = Calibration::fit(&landmarks, HAND_PX, optics) else { return Vec::new() };
    let shows_s = station.shows_s(frame as u64);
    let open_s = station.mounted.exposure * station.rate.interval().as_f64();
    let mut found = Vec::new();
    for (who, player) in truth.players.iter().enumerate() {
        let Some(pose) = action.pose(who, shows_s - open_s / 2.0) else { continue };
        for (side, stood) in [&player.left, &player.right].into_iter().enumerate() {
            let stands = |from: f64, to: f64| from < shows_s - open_s - 0.03 && shows_s + 0.02 < to;
            if !stood.iter().any(|stood| stands(stood.from_s, stood.to_s)) {
                continue;
            }
            let (toe, heel) = (Space::from(pose.toes[side]), Space::from(pose.heels[side]));
            let actual = toe.ground();
            if !calibration.is_inside(actual) {
                continue;
            }
            let Some((image, finder_px)) = shoe(&picture, station, (heel, toe), dice) else { continue };
            let Ok(located) = locate(&calibration, Click { image, sigma_px: HAND_PX }) else { continue };
            let across = actual.x.round();
            for (name, through, past) in [
                (
                    "across the field",
                    [Ground::new(across, 0.0), Ground::new(across, 27.0)],
                    Ground::new(across + 1.0, 0.0),
                ),
                ("the boundary", [Ground::new(0.0, 27.0), Ground::new(50.0, 27.0)], Ground::new(25.0, 28.0)),
            ] {
                let line = Line::new(through, past).expect("a line");
                let (stated, truly) = (located.distance_to(&line, &calibration), line.distance(actual));
                let [low, high] = stated.interval_yd;
                found.push(Measured {
                    line: name,
                    off_in: 36.0 * (stated.yd - truly).abs(),
                    held: low <= truly && truly <= high,
                    finder_px,
                });
            }
        }
    }
    found
}

/// A template: places in the picture, and what they count. Inside they add up to 1, beside to -1.
type Template = Vec<(Pixel, f64)>;

fn template(inside: Vec<Pixel>, beside: Vec<Pixel>) -> Template {
    let (one, other) = (1.0 / inside.len().max(1) as f64, -1.0 / beside.len().max(1) as f64);
    let inside = inside.into_iter().map(|pixel| (pixel, one));
    inside.chain(beside.into_iter().map(|pixel| (pixel, other))).collect()
}

/// How bright a place is, and how green.
fn value(picture: &Picture, x: f64, y: f64) -> Option<(f64, f64)> {
    let (width, height) = (picture.width as usize, picture.height as usize);
    let sample = |plane: usize, wide: usize, x: f64, y: f64| {
        let (left, top) = (x.floor(), y.floor());
        let of = |dx: usize, dy: usize| {
            let index = (top as usize + dy) * wide + left as usize + dx;
            picture.plane(plane).get(index).map(|value| f64::from(*value))
        };
        let (u, v) = (x - left, y - top);
        let row = |dy| Some(of(0, dy)? * (1.0 - u) + of(1, dy)? * u);
        Some(row(0)? * (1.0 - v) + row(1)? * v)
    };
    let inside = x >= 1.0 && y >= 1.0 && x < width as f64 - 3.0 && y < height as f64 - 3.0;
    if !inside {
        return None;
    }
    let half = |at: f64| (at - 0.5) / 2.0;
    let chroma = |plane| sample(plane, width / 2, half(x).max(0.0), half(y).max(0.0));
    Some((sample(0, width, x, y)?, 256.0 - chroma(1)? - chroma(2)?))
}

/// How much the inside differs from what is beside it, with the template moved.
fn contrast(picture: &Picture, template: &Template, (dx, dy): (f64, f64)) -> Option<f64> {
    let (mut light, mut green) = (0.0, 0.0);
    for (place, counts) in template {
        let (luma, greenness) = value(picture, place.x + dx, place.y + dy)?;
        light += counts * luma;
        green += counts * greenness;
    }
    Some(light.abs() + 1.5 * green.abs())
}

/// Where the template fits best around where it is expected, and how well; `None` where that is at the end of the reach.
fn fitted(picture: &Picture, template: &Template, about: (f64, f64)) -> Option<((f64, f64), f64)> {
    let steps = (REACH / STEP) as i32;
    let at = |column: i32, row: i32| (about.0 + f64::from(column) * STEP, about.1 + f64::from(row) * STEP);
    let mut best = (0, 0, f64::NEG_INFINITY);
    for row in -steps..=steps {
        for column in -steps..=steps {
            let found = contrast(picture, template, at(column, row))?;
            if found > best.2 {
                best = (column, row, found);
            }
        }
    }
    let (column, row, top) = best;
    (column.abs() < steps && row.abs() < steps).then_some((at(column, row), top))
}

/// The ticks of the field that are plain to see, clicked: a dozen at most, spread by chance.
fn landmarks(picture: &Picture, station: &Station, dice: &mut Dice) -> Vec<Landmark> {
    let mut found: Vec<(f64, Landmark)> = Vec::new();
    for row in [9.0, 18.0, 27.0 - 0.55] {
        for x in (1..50).filter(|x| x % 5 != 0) {
            let middle = Ground::new(f64::from(x), row);
            let Some((image, top)) = tick(picture, station, middle, dice) else { continue };
            found.push((top, Landmark { image, field: middle }));
        }
    }
    let mut tops: Vec<f64> = found.iter().map(|(top, _)| *top).collect();
    tops.sort_by(f64::total_cmp);
    // What somebody stands on, or what is worn away, is not clicked.
    let plain = tops.get(tops.len() / 2).copied().unwrap_or(0.0) * 0.7;
    let mut plain: Vec<Landmark> =
        found.into_iter().filter(|(top, _)| *top >= plain).map(|(_, landmark)| landmark).collect();
    let mut picked = Vec::new();
    while picked.len() < 12 && !plain.is_empty() {
        picked.push(plain.swap_remove((dice.part() * plain.len() as f64) as usize));
    }
    for landmark in &mut picked {
        landmark.image = shaken(landmark.image, dice);
    }
    picked
}

fn shaken(pixel: Pixel, dice: &mut Dice) -> Pixel {
    Pixel::new(pixel.x + HAND_PX * dice.normal(), pixel.y + HAND_PX * dice.normal())
}

/// Where the clicker begins to look: somewhere about the thing.
fn about(dice: &mut Dice) -> (f64, f64) {
    (dice.between(-1.0, 1.0), dice.between(-1.0, 1.0))
}

/// The middle of a tick: 4 inches by 0.64 yd of paint.
fn tick(picture: &Picture, station: &Station, middle: Ground, dice: &mut Dice) -> Option<(Pixel, f64)> {
    let (half_x, half_y) = (2.0 / 36.0, 0.32);
    let at = |dx: f64, dy: f64| station.camera.project(Space::new(middle.x + dx, middle.y + dy, 0.0));
    let far = |a: Pixel, b: Pixel| (a.x - b.x).hypot(a.y - b.y);
    let (wide, high) = (far(at(-half_x, 0.0)?, at(half_x, 0.0)?), far(at(0.0, -half_y)?, at(0.0, half_y)?));
    // Narrower than two pixels nobody finds its middle.
    if wide < 2.0 || high < 2.0 {
        return None;
    }
    let spread = |half: f64| [-0.75, -0.25, 0.25, 0.75].map(|share| share * half);
    let inside = spread(half_x).into_iter().flat_map(|dx| spread(half_y).map(|dy| at(dx, dy)));
    let inside: Option<Vec<Pixel>> = inside.collect();
    let margin = (1.5 / wide * 2.0 * half_x, 1.5 / high * 2.0 * half_y);
    let mut beside = Vec::new();
    for share in [-1.0, -0.6, -0.2, 0.2, 0.6, 1.0] {
        for side in [-1.0, 1.0] {
            beside.push(at(side * (half_x + margin.0), share * half_y)?);
            beside.push(at(share * half_x, side * (half_y + margin.1))?);
        }
    }
    let (moved, top) = fitted(picture, &template(inside?, beside), about(dice))?;
    let true_pixel = at(0.0, 0.0)?;
    Some((Pixel::new(true_pixel.x + moved.0, true_pixel.y + moved.1), top))
}

/// Where the sole of a shoe ends under the toe, clicked, and how far off the finder was. The shoe is as it is drawn: two
/// balls and what lies between them, on the ground.
fn shoe(
    picture: &Picture,
    station: &Station,
    (heel, toe): (Space, Space),
    dice: &mut Dice,
) -> Option<(Pixel, f64)> {
    let camera = &station.camera;
    let true_pixel = camera.project(toe)?;
    let raised = |at: Space, up: f64| Space::new(at.x, at.y, at.z + up);
    let (back, front) = (camera.project(raised(heel, 0.045))?, camera.project(raised(toe, 0.035))?);
    let depth = camera.seen_from(toe).z;
    let radius = 0.043 * camera.lens.focal_px / depth;
    let (dx, dy) = (front.x - back.x, front.y - back.y);
    let length = dx.hypot(dy);
    // A shoe of a few pixels, or one that points at the camera, has no toe to click.
    if radius < 1.0 || length < 2.0 * radius {
        return None;
    }
    let (along, across) = ((dx / length, dy / length), (-dy / length, dx / length));
    let place = |share: f64, beyond: f64, side: f64| {
        let on = share * length + beyond * radius;
        Pixel::new(
            back.x + along.0 * on + across.0 * side * radius,
            back.y + along.1 * on + across.1 * side * radius,
        )
    };
    // The leg stands on the back of the shoe, so only the front half of its outline is clean.
    let (mut inside, mut beside) = (Vec::new(), Vec::new());
    for share in [0.5, 0.6, 0.7, 0.8, 0.9, 1.0] {
        for side in [-0.5, 0.0, 0.5] {
            inside.push(place(share, 0.0, side));
        }
        beside.push(place(share, 0.0, 1.8));
        beside.push(place(share, 0.0, -1.8));
    }
    for side in [-0.4, 0.0, 0.4] {
        inside.push(place(1.0, 0.6, side));
    }
    for side in [-1.2, -0.6, 0.0, 0.6, 1.2] {
        beside.push(place(1.0, 1.9 - 0.35 * f64::abs(side), side));
    }
    let (moved, top) = fitted(picture, &template(inside, beside), about(dice))?;
    // Hidden, or as dark as the ground beside it: nobody would click that.
    if top < 28.0 {
        return None;
    }
    let found = Pixel::new(true_pixel.x + moved.0, true_pixel.y + moved.1);
    Some((shaken(found, dice), moved.0.hypot(moved.1)))
}
