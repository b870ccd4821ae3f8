//! The landmarks of a picture as they are clicked, and which one would help most next.

use super::{CLICK_PX, Turn};
use evidence::place::clicked::Landmarks;
use evidence::place::homography::Calibration;
use evidence::place::landmark::{Known, known};
use evidence::place::point::{Ground, Pixel};
use evidence::place::pose::Sight;
use evidence::place::view::Size;
use field::Field;
use std::collections::BTreeMap;

/// Distance between lines of a field if the book gives none, in yards.
pub(super) const LINES_YD: f64 = 5.0;

/// How far along the field from the clicked landmarks others are proposed while there is no fit, in yards: about what a
/// camera of a hall shows.
const REACH_YD: f64 = 20.0;

/// Landmarks nearer than this to the edge of a picture are hard to click, in pixels.
const EDGE_PX: f64 = 8.0;

#[derive(Debug, Clone)]
pub(super) struct Marks {
    /// What the field and the hall offer. Goal posts come from the hall: no book says how far behind the goal line they
    /// are.
    pub known: Vec<Known>,
    /// By their index in `known`.
    pub clicked: BTreeMap<usize, Pixel>,
    /// Index of the landmark that the next click sets.
    pub next: usize,
    /// Index of the landmark that was clicked last.
    last: Option<usize>,
}

impl Marks {
    /// The landmarks of a field and a hall, with the clicks of an earlier calibration.
    pub(super) fn of(field: &Field, hall: &[Known], before: Option<&Landmarks>) -> Marks {
        let mut known = known(field, LINES_YD, 0.0);
        known.retain(|one| !one.name.contains("post"));
        known.extend_from_slice(hall);
        let same = |sight: &Sight| {
            let number =
                known.iter().position(|one| (one.place.vector() - sight.place.vector()).norm() < 1e-6)?;
            Some((number, sight.image))
        };
        let clicked =
            before.map_or_else(BTreeMap::new, |before| before.sights.iter().filter_map(same).collect());
        Marks { known, clicked, next: 0, last: None }
    }

    /// The clicks, as input for a fit.
    pub(super) fn landmarks(&self, size: Size) -> Landmarks {
        let sights = self.clicked.iter().filter_map(|(number, image)| {
            Some(Sight { image: *image, place: self.known.get(*number)?.place })
        });
        Landmarks { size, sights: sights.collect(), sigma_px: CLICK_PX }
    }

    /// The names of the landmarks on the ground, in the order of a fit.
    pub(super) fn ground_names(&self) -> Vec<&str> {
        let clicked = self.clicked.keys().filter_map(|number| self.known.get(*number));
        clicked.filter(|known| known.place.z == 0.0).map(|known| known.name.as_str()).collect()
    }

    /// Sets the landmark in turn.
    pub(super) fn set(&mut self, at: Pixel) {
        self.clicked.insert(self.next, at);
        self.last = Some(self.next);
    }

    /// Moves the landmark that was clicked last.
    pub(super) fn nudge(&mut self, to: Pixel) {
        if let Some(at) = self.last.and_then(|last| self.clicked.get_mut(&last)) {
            *at = to;
        }
    }

    /// Removes the last click; without one, the click of the landmark in turn.
    pub(super) fn remove(&mut self) {
        let number = self.last.take().unwrap_or(self.next);
        self.clicked.remove(&number);
        self.next = number;
    }

    /// Goes to the landmark after or before, in the order of the field. Returns its click, if it has one.
    pub(super) fn turn(&mut self, turn: Turn) -> Option<Pixel> {
        self.next = turn.from(self.next, self.known.len());
        self.last = self.clicked.contains_key(&self.next).then_some(self.next);
        self.clicked.get(&self.next).copied()
    }

    /// Puts the most useful landmark in turn. With a fit that is the visible one where the fit is least certain.
    /// Without a fit it is one far from those clicked; the first is the one nearest to the ball.
    pub(super) fn propose(&mut self, fit: Option<&Calibration>, size: Size, ball: Ground) {
        let open = self
            .known
            .iter()
            .enumerate()
            .filter(|(number, one)| one.place.z == 0.0 && !self.clicked.contains_key(number));
        let clicked: Vec<Ground> =
            self.clicked.keys().filter_map(|number| Some(self.known.get(*number)?.place.ground())).collect();
        let far = |one: Ground, other: Ground| (one.vector() - other.vector()).norm();
        let worth = |place: Ground| -> Option<f64> {
            if let Some(fit) = fit {
                let pixel = fit.homography.image(place).filter(|pixel| within(*pixel, size))?;
                debug_assert!(pixel.is_finite());
                return Some(fit.homography.image_covariance(place)?.trace());
            }
            if clicked.is_empty() {
                return Some(-far(place, ball));
            }
            let near = clicked.iter().map(|other| (other.x - place.x).abs()).fold(0.0, f64::max) <= REACH_YD;
            near.then(|| clicked.iter().map(|other| far(place, *other)).fold(f64::INFINITY, f64::min))
        };
        let ranked = open.filter_map(|(number, one)| Some((worth(one.place.ground())?, number)));
        if let Some((_, best)) = ranked.max_by(|one, other| one.0.total_cmp(&other.0)) {
            self.next = best;
        }
    }
}

fn within(pixel: Pixel, size: Size) -> bool {
    let inside = |value: f64, size: u32| value > EDGE_PX && value < f64::from(size) - EDGE_PX;
    inside(pixel.x, size.width) && inside(pixel.y, size.height)
}
