//! Toes against lines, by clicks that the finder and a hand's noise make: what was stated, and what is true.

use super::look::Found;
use super::shoe::{Foot, shoe};
use super::tick::tick;
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::{Ground, Pixel, Space};
use footage::picture::Picture;
use nalgebra::Vector2;
use scene::action::Action;
use scene::dice::Dice;
use scene::rig::Station;
use scene::truth::Truth;

/// A hand's noise, in pixels in each direction.
const HAND_PX: f64 = 1.0;
/// How many ticks are clicked for a toe.
const TICKS: usize = 12;
/// Rows of ticks, in yards from the south wall.
const ROWS: [f64; 3] = [9.0, 18.0, 27.0 - 0.55];

/// A play and the camera that filmed it.
#[derive(Clone, Copy)]
pub struct Filmed<'a> {
    pub action: &'a Action,
    pub truth: &'a Truth,
    pub station: &'a Station,
}

/// A thing that was found in a picture.
#[derive(Clone, Copy)]
pub struct Thing {
    /// Where it really is.
    pub place: Space,
    /// Where it was found, and how sure the finder is.
    pub found: Found,
    /// How far off the finder was, in pixels.
    pub off: Vector2<f64>,
}

impl Thing {
    /// How far off the finder was in its own standard errors, squared: of two directions, so 2 in the mean.
    pub fn square(&self) -> f64 {
        let inverse = self.found.covariance.try_inverse().expect("it has a least error");
        (self.off.transpose() * inverse * self.off).x
    }
}

/// A toe that stands, and which one: player, foot, and the time since when it has stood there.
#[derive(Clone, Copy)]
pub struct Toe {
    pub thing: Thing,
    pub stand: (usize, usize, u64),
}

/// What was found in one frame.
pub struct Finds {
    pub ticks: Vec<Thing>,
    pub toes: Vec<Toe>,
}

/// One toe against one line.
pub struct Measured {
    pub line: &'static str,
    /// The error of the stated distance, in inches.
    pub off_in: f64,
    /// Its stated standard error, in inches.
    pub sigma_in: f64,
    /// Whether the stated 95 % interval held the true distance.
    pub held: bool,
}

fn thing(station: &Station, place: Space, found: Option<Found>) -> Option<Thing> {
    let (found, really) = (found?, station.camera.project(place)?);
    Some(Thing { place, found, off: found.pixel.vector() - really.vector() })
}

/// Ticks and standing toes of a frame, as they are found in its picture.
pub fn finds(filmed: Filmed<'_>, picture: &Picture, frame: usize, dice: &mut Dice) -> Finds {
    let station = filmed.station;
    let mut ticks = Vec::new();
    for row in ROWS {
        for x in (1..50).filter(|x| x % 5 != 0) {
            let middle = Ground::new(f64::from(x), row);
            let found = tick(picture, &station.camera, middle, dice);
            ticks.extend(thing(station, middle.raised(0.0), found));
        }
    }
    let mut toes = Vec::new();
    for (stand, foot) in standing(filmed, frame) {
        let found = shoe(picture, station, &foot, dice);
        toes.extend(thing(station, foot.toe, found).map(|thing| Toe { thing, stand }));
    }
    Finds { ticks, toes }
}

/// The feet that stand still while a frame is exposed.
fn standing(filmed: Filmed<'_>, frame: usize) -> Vec<((usize, usize, u64), Foot)> {
    let station = filmed.station;
    let shows_s = station.shows_s(frame as u64);
    let opens_s = shows_s - station.mounted.exposure * station.rate.interval().as_f64();
    let mut found = Vec::new();
    for (who, player) in filmed.truth.players.iter().enumerate() {
        let Some(pose) = filmed.action.pose(who, (opens_s + shows_s) / 2.0) else { continue };
        for (side, stood) in [&player.left, &player.right].into_iter().enumerate() {
            let stands = stood.iter().find(|one| one.from_s < opens_s - 0.03 && shows_s + 0.02 < one.to_s);
            if let Some(stands) = stands {
                let since_ms = (1000.0 * stands.from_s) as u64;
                let foot = Foot {
                    heel: Space::from(pose.heels[side]),
                    toe: Space::from(pose.toes[side]),
                    ankle: Space::from(pose.ankles[side]),
                    knee: Space::from(pose.knees[side]),
                    side: player.side,
                };
                found.push(((who, side, since_ms), foot));
            }
        }
    }
    found
}

/// A find with a hand's noise, and its standard error: the finder's and the hand's.
fn clicked(found: &Found, dice: &mut Dice) -> Click {
    let mut shaken = |at: f64| at + HAND_PX * dice.normal();
    let image = Pixel::new(shaken(found.pixel.x), shaken(found.pixel.y));
    let finder = found.covariance.trace() / 2.0;
    Click { image, sigma_px: (HAND_PX * HAND_PX + finder).sqrt() }
}

/// A toe against the lines, by clicks of its own on the ticks of its frame; nothing where those do not surround it.
pub fn measured(station: &Station, ticks: &[Thing], toe: &Thing, dice: &mut Dice) -> Vec<Measured> {
    let mut left: Vec<&Thing> = ticks.iter().collect();
    let (mut landmarks, mut sigmas) = (Vec::new(), Vec::new());
    while landmarks.len() < TICKS && !left.is_empty() {
        let picked = left.swap_remove((dice.part() * left.len() as f64) as usize);
        let Click { image, sigma_px } = clicked(&picked.found, dice);
        landmarks.push(Landmark { image, field: picked.place.ground() });
        sigmas.push(sigma_px);
    }
    let optics = Optics::Known(station.camera.lens);
    let Ok(calibration) = Calibration::fit(&landmarks, &sigmas[..], optics) else { return Vec::new() };
    let actual = toe.place.ground();
    if !calibration.is_inside(actual) {
        return Vec::new();
    }
    let Ok(located) = locate(&calibration, clicked(&toe.found, dice)) else { return Vec::new() };
    let across = actual.x.round();
    let lines = [
        (
            "across the field",
            [Ground::new(across, 0.0), Ground::new(across, 27.0)],
            Ground::new(across + 1.0, 0.0),
        ),
        ("the boundary", [Ground::new(0.0, 27.0), Ground::new(50.0, 27.0)], Ground::new(25.0, 28.0)),
    ];
    let against = |(name, through, past)| {
        let line = Line::new(through, past).expect("a line");
        let (stated, truly) = (located.distance_to(&line, &calibration), line.distance(actual));
        let [low, high] = stated.interval_yd;
        Measured {
            line: name,
            off_in: 36.0 * (stated.yd - truly).abs(),
            sigma_in: 36.0 * stated.sigma_yd,
            held: low <= truly && truly <= high,
        }
    };
    lines.map(against).into()
}
