//! Where the middle of a tick stands in a picture: 4 inches by 0.64 yd of paint, as large as it is there.

use super::fit::{self, Known, Scene};
use super::look::{Found, Plain, UNSURE_PX, expected, inside, roughly, samples};
use evidence::place::camera::Camera;
use evidence::place::point::{Ground, Space};
use footage::picture::Picture;
use nalgebra::{SVector, Vector2};
use scene::dice::Dice;

/// Half of it along and across the field, in yards.
const HALF: (f64, f64) = (2.0 / 36.0, 0.32);
const PLAIN: Plain = Plain { contrast: 7.0, beyond_next: 1.3 };
/// Narrower than this, in pixels, its middle is lost in the grain, and the next one is near.
const NARROWEST_PX: f64 = 0.8;
/// How much of the ground around it is looked at, in pixels.
const AROUND_PX: f64 = 3.0;

/// Its outline in a picture, from its middle: an edge is a place of it and the way inward.
struct Outline {
    edges: [(Vector2<f64>, Vector2<f64>); 4],
    /// From the middle to the farthest corner.
    reach: f64,
}

impl Outline {
    fn of(camera: &Camera, middle: Ground) -> Option<Outline> {
        let at = |dx: f64, dy: f64| {
            let place = Space::new(middle.x + dx * HALF.0, middle.y + dy * HALF.1, 0.0);
            Some(camera.project(place)?.vector())
        };
        let really = at(0.0, 0.0)?;
        let corners = [at(-1.0, -1.0)?, at(1.0, -1.0)?, at(1.0, 1.0)?, at(-1.0, 1.0)?];
        let corners = corners.map(|corner| corner - really);
        let edges = std::array::from_fn(|edge| {
            let (from, to) = (corners[edge], corners[(edge + 1) % 4]);
            let along = (to - from).normalize();
            let square = Vector2::new(-along.y, along.x);
            (from, if square.dot(&from) > 0.0 { -square } else { square })
        });
        let reach = corners.iter().map(|corner| corner.amax()).fold(0.0, f64::max);
        Some(Outline { edges, reach })
    }

    /// How far inside an edge a place is, in pixels. Edges 0 and 2 are its ends, 1 and 3 its sides.
    fn within(&self, edge: usize, from: Vector2<f64>) -> f64 {
        let (on, inward) = self.edges[edge];
        inward.dot(&(from - on))
    }

    fn length(&self) -> f64 {
        self.within(0, Vector2::zeros()) + self.within(2, Vector2::zeros())
    }

    fn width(&self) -> f64 {
        self.within(1, Vector2::zeros()) + self.within(3, Vector2::zeros())
    }

    /// How much of a pixel it covers.
    fn covers(&self, from: Vector2<f64>) -> f64 {
        let band = |edge: usize| inside(self.within(edge, from)) - inside(-self.within(edge + 2, from));
        band(0) * band(1)
    }

    /// Whether a place is in it or around it, or `more` pixels farther off.
    fn is_about(&self, from: Vector2<f64>, more: f64) -> bool {
        // The white line along a wall lies a fifth of its length beyond the end of the tick beside it.
        let ends = (0.15 * self.length()).min(AROUND_PX);
        (0..4).all(|edge| self.within(edge, from) > -(if edge % 2 == 0 { ends } else { AROUND_PX } + more))
    }
}

/// The middle of the tick about a place of the field, if it is plain to see.
pub fn tick(picture: &Picture, camera: &Camera, middle: Ground, dice: &mut Dice) -> Option<Found> {
    let outline = Outline::of(camera, middle)?;
    if outline.width().min(outline.length()) < NARROWEST_PX {
        return None;
    }
    let look = |place: &SVector<f64, 2>, x: f64, y: f64| {
        let from = Vector2::new(x - place.x, y - place.y);
        SVector::<f64, 4>::new(outline.covers(from), 1.0, 0.1 * from.x, 0.1 * from.y)
    };
    let start = expected(camera.project(middle.raised(0.0))?, dice);
    let around = |about: Vector2<f64>, more: f64| {
        let is_about = |x: f64, y: f64| outline.is_about(Vector2::new(x, y) - about, more);
        samples(picture, about, outline.reach + AROUND_PX + more, is_about)
    };
    let known = Known::nothing();
    let rough = roughly(Scene { samples: &around(start, UNSURE_PX)?, known }, start, &look)?;
    let nearly = fit::fit(Scene { samples: &around(rough.place, 0.0)?, known }, rough.place, &look)?;
    let found = fit::fit(Scene { samples: &around(nearly.place, 0.0)?, known }, nearly.place, &look)?;
    PLAIN.accepts(&found, &rough, (start, found.parts[0]))
}
