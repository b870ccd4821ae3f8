//! Marks without pictures: an official's clicks and frames, projected from the truth with noise.
//!
//! This way, thousands of plays for testing evidence take seconds. `Evidence::of` gives clicks on landmarks, on a toe
//! and on the ball, and the frames in which each camera first shows each moment; `varied` makes another play from one,
//! with other times and places.

use super::action::Action;
use super::body::sign;
use super::dice::Dice;
use super::error::Error;
use super::play::{Act, BallAct, Play};
use super::rig::Station;
use super::space::Point;
use super::truth::Truth;
use evidence::place::point::{Pixel, Space};

/// A click, and the place it was aimed at.
#[derive(Debug, Clone, PartialEq)]
pub struct Click {
    /// A landmark's name, `toe` or `ball`.
    pub name: String,
    /// The true place, in yards of the hall frame.
    pub place: Space,
    pub pixel: Pixel,
}

/// The clicks and frames of one camera.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness {
    /// True pose, lens, offset and drift.
    pub station: Station,
    /// The landmarks in its picture.
    pub landmarks: Vec<Click>,
    /// On the player's leading toe; `None` outside the picture.
    pub toe: Option<Click>,
    /// On the middle of the ball; `None` outside the picture.
    pub ball: Option<Click>,
    /// The first frame that shows each moment of the truth, by name.
    pub frames: Vec<(String, u64)>,
    /// The offset as the desk knows it: the true one with an error of `offset_sigma_s`.
    pub told_offset_s: f64,
}

/// The clicks and frames of all cameras for one play.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// Common time of the clicks on toe and ball.
    pub at_s: f64,
    pub witnesses: Vec<Witness>,
}

/// How exactly people click and clocks are tied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Care {
    /// Standard deviation of a click, in each direction.
    pub click_px: f64,
    /// Standard deviation of an offset.
    pub offset_sigma_s: f64,
}

impl Evidence {
    /// Clicks and frames of a play. `asked`: the player whose toe is clicked, by index, and the time of the clicks.
    pub fn of(action: &Action, truth: &Truth, rig: &[Station], asked: (usize, f64), care: Care) -> Evidence {
        let (who, at_s) = asked;
        let mut dice = Dice::new(action.play.seed ^ 0xE71D);
        let toe = action.pose(who, at_s).map(|pose| {
            let ahead = |side: usize| pose.toes[side].dot(&pose.trunk.forward) + sign(side) * 1e-9;
            pose.toes[usize::from(ahead(1) > ahead(0))]
        });
        let ball = action.ball(at_s).place;
        let witness = |station: &Station| {
            let mut click = |name: &str, place: Point| click(station, name, place, care.click_px, &mut dice);
            let landmarks = truth.landmarks.iter();
            let landmarks = landmarks.filter_map(|(name, [x, y, z])| click(name, Point::new(*x, *y, *z)));
            let landmarks = landmarks.collect();
            let (toe, ball) = (toe.and_then(|toe| click("toe", toe)), click("ball", ball));
            let frame = |name: &str, at_s: f64| Some((name.to_owned(), station.first_frame(at_s)?));
            let frames = truth.moments.iter().filter_map(|moment| frame(&moment.name, moment.at_s)).collect();
            let told_offset_s = station.mounted.offset_s + dice.normal() * care.offset_sigma_s;
            Witness { station: station.clone(), landmarks, toe, ball, frames, told_offset_s }
        };
        Evidence { at_s, witnesses: rig.iter().map(witness).collect() }
    }
}

/// A click near a place; `None` where the place is outside the picture.
fn click(station: &Station, name: &str, place: Point, sigma_px: f64, dice: &mut Dice) -> Option<Click> {
    let place = Space::from(place);
    let true_pixel = station.camera.project(place)?;
    let (width, height) = station.mounted.size;
    let inside = (0.0..width as f64).contains(&true_pixel.x) && (0.0..height as f64).contains(&true_pixel.y);
    let mut near = |at: f64| at + dice.normal() * sigma_px;
    inside.then(|| Click {
        name: name.to_owned(),
        place,
        pixel: Pixel::new(near(true_pixel.x), near(true_pixel.y)),
    })
}

/// Another play like this one: another seed, players moved a little, moments a little earlier or later. It may not look
/// right, but it can be played, and its truth is correct.
pub fn varied(play: &Play, seed: u64) -> Play {
    let mut dice = Dice::new(seed);
    let mut other = Play { seed, ..play.clone() };
    for player in &mut other.players {
        let (dx, dy) = (dice.between(-0.4, 0.4), dice.between(-0.4, 0.4));
        player.at = (player.at.0 + dx, player.at.1 + dy);
        player.path.iter_mut().for_each(|(_, x, y)| (*x, *y) = (*x + dx, *y + dy));
        for act in &mut player.acts {
            match act {
                Act::Leap { at_s, lands_s, .. } => {
                    *lands_s = (*lands_s + dice.between(-0.2, 0.2)).max(*at_s + 0.4)
                }
                Act::Fall { at_s, knee_s } => *knee_s = (*knee_s + dice.between(-0.1, 0.1)).max(*at_s + 0.1),
                Act::Face { .. } | Act::Hands { .. } | Act::GetDown { .. } | Act::GetUp { .. } => {}
            }
        }
    }
    let times: Vec<f64> = other.ball.iter().map(BallAct::at_s).collect();
    for (number, act) in other.ball.iter_mut().enumerate() {
        // Stay between the neighbours, to keep the order.
        let before = number.checked_sub(1).and_then(|index| times.get(index)).copied();
        let after = times.get(number + 1).copied().unwrap_or(play.seconds);
        match act {
            BallAct::Catch { at_s, control_s, .. } => {
                *control_s = (*at_s + dice.between(0.0, 0.6)).min(after - 0.01).max(*at_s);
            }
            BallAct::Loose { at_s, .. } => {
                let least = before.map_or(0.0, |before| before + 0.05);
                *at_s = (*at_s + dice.between(-0.12, 0.12)).clamp(least.min(after - 0.01), after - 0.01);
            }
            BallAct::Snap { .. } | BallAct::Hand { .. } | BallAct::Pass { .. } | BallAct::Recover { .. } => {}
        }
    }
    other
}

/// The same cameras with other clocks: offsets within 0.1 s, drifts within 50 millionths.
///
/// # Errors
/// None for cameras that [`crate::rig::read`] accepted.
pub fn other_clocks(rig: &[Station], seed: u64) -> Result<Vec<Station>, Error> {
    let mut dice = Dice::new(seed ^ 0xC10C);
    let clock = |station: &Station| {
        let mut mounted = station.mounted.clone();
        mounted.offset_s = dice.between(-0.1, 0.1);
        mounted.drift_ppm = dice.between(-50.0, 50.0);
        Station::new(mounted)
    };
    rig.iter().map(clock).collect()
}
