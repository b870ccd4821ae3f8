//! Where the sole of a shoe ends under the toe in a picture. A shoe is two balls and what lies between them, in a colour
//! and a light that are known; around it lies its own soft shade; the leg stands on its back.

use super::fit::{self, Known, Scene};
use super::look::{Found, Plain, UNSURE_PX, expected, inside, roughly, samples};
use evidence::place::point::{Pixel, Space};
use footage::picture::Picture;
use nalgebra::{Matrix2, SVector, Vector2, Vector3};
use scene::dice::Dice;
use scene::play::Side;
use scene::rig::Station;

/// Heights of the balls' middles above the sole and their radii, at the heel and at the toe, in yards.
const BALLS: [(f64, f64); 2] = [(0.045, 0.050), (0.035, 0.040)];
/// Radii of the shin at the knee and at the ankle, in yards.
const SHIN: (f64, f64) = (0.085, 0.055);
/// How far its shade reaches around it, in yards, and how dark it is in the middle.
const SHADE: (f64, f64) = (0.20, 0.62);
/// How well its direction is known beforehand, in radians.
const UNSURE_RAD: f64 = 0.1;
/// How well its brightness is known, as a share; and against how many grey levels of what is left over that counts.
const UNSURE_SHARE: f64 = 0.1;
const GREY: f64 = 5.0;
/// Brighter or darker by more than this share, or turned by more than `STRANGE_RAD`, it is something else.
const STRANGE_SHARE: f64 = 0.2;
const STRANGE_RAD: f64 = 0.3;
const PLAIN: Plain = Plain { contrast: 5.0, beyond_next: 1.15 };

/// A foot that stands: the ends of its sole, its ankle and knee, and whose it is.
#[derive(Debug, Clone, Copy)]
pub struct Foot {
    pub heel: Space,
    pub toe: Space,
    pub ankle: Space,
    pub knee: Space,
    pub side: Side,
}

impl Foot {
    /// How bright its shoe is, as a share of white in full light.
    fn bright(&self) -> f64 {
        match self.side {
            Side::Home => 0.10,
            Side::Away => 0.80,
            Side::Official => 0.06,
        }
    }
}

/// A way between two balls in a picture: from the first, to the second, in pixels, and their radii.
#[derive(Debug, Clone, Copy)]
struct Rod {
    on: Vector2<f64>,
    way: Vector2<f64>,
    radii: (f64, f64),
}

impl Rod {
    fn of(station: &Station, ends: [(Vector3<f64>, f64); 2]) -> Option<Rod> {
        let camera = &station.camera;
        let ball = |(at, radius): (Vector3<f64>, f64)| {
            let beside = at + camera.rotation.inverse() * Vector3::new(radius, 0.0, 0.0);
            let (at, beside) =
                (camera.project(Space::from(at))?.vector(), camera.project(Space::from(beside))?.vector());
            Some((at, (beside - at).norm()))
        };
        let ((on, first), (to, second)) = (ball(ends[0])?, ball(ends[1])?);
        Some(Rod { on, way: to - on, radii: (first, second) })
    }

    /// The nearest place of its middle to a place: the way there from it, and its radius.
    fn nearest(&self, place: Vector2<f64>) -> (Vector2<f64>, f64) {
        let from = place - self.on;
        let along = (from.dot(&self.way) / self.way.norm_squared()).clamp(0.0, 1.0);
        (from - self.way * along, self.radii.0 + (self.radii.1 - self.radii.0) * along)
    }

    /// How much of a pixel it covers.
    fn covers(&self, place: Vector2<f64>) -> f64 {
        let (off, radius) = self.nearest(place);
        inside(radius - off.norm())
    }
}

/// Its look from a camera, about the middle of its front ball.
struct Look {
    /// From the front ball back.
    shoe: Rod,
    /// From the ankle up.
    shin: Rod,
    /// Whether the shin stands before the toe.
    hides: bool,
    bright: f64,
    /// Up, and toward the brightest lamps, by the camera's axes.
    up: Vector3<f64>,
    lamps: Vector3<f64>,
    /// From the front ball to the place on the ground below it, in pixels.
    below: Vector2<f64>,
    /// From pixels to yards of the ground about the toe.
    to_ground: Matrix2<f64>,
    /// From the toe to the heel on the ground, in yards.
    heel: Vector2<f64>,
}

impl Look {
    fn of(station: &Station, foot: &Foot) -> Option<Look> {
        let camera = &station.camera;
        let Foot { heel, toe, ankle, knee, .. } = *foot;
        let ball = |at: Space, (up, radius): (f64, f64)| (at.vector() + Vector3::z() * up, radius);
        let shoe = Rod::of(station, [ball(toe, BALLS[1]), ball(heel, BALLS[0])])?;
        let shin = Rod::of(station, [ball(ankle, (0.0, SHIN.1)), ball(knee, (0.0, SHIN.0))])?;
        let slope: Matrix2<f64> = camera.slope(toe)?.fixed_view::<2, 2>(0, 0).into_owned();
        Some(Look {
            shin: Rod { on: shin.on - shoe.on, ..shin },
            shoe: Rod { on: Vector2::zeros(), ..shoe },
            hides: camera.seen_from(ankle).z < camera.seen_from(toe).z,
            bright: foot.bright() * station.mounted.gain,
            up: camera.rotation * Vector3::z(),
            lamps: camera.rotation * Vector3::new(0.25, -0.45, 0.85).normalize(),
            below: camera.project(toe)?.vector() - shoe.on,
            to_ground: slope.try_inverse()?,
            heel: Vector2::new(heel.x - toe.x, heel.y - toe.y),
        })
    }

    fn length(&self) -> f64 {
        self.shoe.way.norm()
    }

    /// Whether its front stands free: nobody clicks a toe behind a leg.
    fn is_free(&self) -> bool {
        let (off, radius) = self.shin.nearest(Vector2::zeros());
        !(self.hides && off.norm() < radius + 1.5 * self.shoe.radii.0)
    }

    /// The parts of the picture at a pixel, seen from the front ball with the shoe turned by `turn`: shoe, ground in its
    /// shade, ground that grows lighter to the right and down, shin.
    fn parts(&self, from: Vector2<f64>, turn: f64) -> SVector<f64, 5> {
        let (sin, cos) = turn.sin_cos();
        let way = self.shoe.way;
        let way = Vector2::new(way.x * cos - way.y * sin, way.x * sin + way.y * cos);
        let rod = Rod { way, ..self.shoe };
        let (off, radius) = rod.nearest(from);
        let far = off.norm();
        let (mut shoe, mut shin) = (inside(radius - far), self.shin.covers(from));
        if self.hides {
            shoe *= 1.0 - shin
        } else {
            shin *= 1.0 - shoe
        }
        let out = (1.0 - (far / radius).powi(2)).max(0.0).sqrt();
        let rim = off / far.max(radius);
        let normal = Vector3::new(rim.x, rim.y, -out);
        let light = 0.57 + 0.23 * normal.dot(&self.up) + 0.30 * normal.dot(&self.lamps).max(0.0);
        let ground = 1.0 - shoe - shin;
        SVector::<f64, 5>::from([
            shoe * (16.0 + 219.0 * self.bright * light),
            ground * (1.0 - SHADE.1 * self.shade(from - self.below)),
            ground * 0.1 * from.x,
            ground * 0.1 * from.y,
            shin,
        ])
    }

    /// How dark its shade is at a place, given in pixels from the toe's, as a share of its middle.
    fn shade(&self, from: Vector2<f64>) -> f64 {
        let place = self.to_ground * from;
        let along = (place.dot(&self.heel) / self.heel.norm_squared()).clamp(0.0, 1.0);
        let part = (1.0 - (place - self.heel * along).norm_squared() / (SHADE.0 * SHADE.0)).max(0.0);
        part * part
    }

    /// How much of the ground around it is looked at, in pixels.
    fn around(&self) -> f64 {
        (0.8 * self.shoe.radii.0).clamp(2.5, 5.0)
    }

    /// Whether a place is in its front half or around that, or `more` pixels farther off.
    fn is_about(&self, from: Vector2<f64>, more: f64) -> bool {
        let (way, length) = (self.shoe.way, self.length());
        let along = from.dot(&way) / length;
        let across = (from.x * way.y - from.y * way.x).abs() / length;
        let beyond = self.shoe.radii.0 + self.around() + more;
        across < beyond && along > -beyond && along < 0.6 * length + more
    }
}

/// The place under the toe of a shoe, if it is plain to see.
pub fn shoe(picture: &Picture, station: &Station, foot: &Foot, dice: &mut Dice) -> Option<Found> {
    let shoe = Look::of(station, foot)?;
    // A shoe of a few pixels, or one that points at the camera, has no toe to click.
    if shoe.shoe.radii.0 < 0.7 || shoe.length() < 1.5 * shoe.shoe.radii.0 || !shoe.is_free() {
        return None;
    }
    let front = station.camera.project(foot.toe)?.vector() - shoe.below;
    let start = expected(Pixel::from(front), dice);
    let pointing = dice.between(-UNSURE_RAD, UNSURE_RAD);
    let look = |place: &SVector<f64, 3>, x: f64, y: f64| {
        shoe.parts(Vector2::new(x - place.x, y - place.y), place.z / shoe.length())
    };
    let around = |about: Vector2<f64>, more: f64| {
        let is_about = |x: f64, y: f64| shoe.is_about(Vector2::new(x, y) - about, more);
        samples(picture, about, shoe.length() + shoe.shoe.radii.1 + shoe.around() + more, is_about)
    };
    let mut known = Known::nothing();
    (known.parts[0], known.counts[0]) = (1.0, (GREY / UNSURE_SHARE).powi(2));
    let begin = SVector::<f64, 3>::new(start.x, start.y, pointing * shoe.length());
    let rough = roughly(Scene { samples: &around(start, UNSURE_PX)?, known }, begin, &look)?;
    let about = rough.place.xy();
    let nearly = fit::fit(Scene { samples: &around(about, 0.0)?, known }, rough.place, &look)?;
    let found = fit::fit(Scene { samples: &around(nearly.place.xy(), 0.0)?, known }, nearly.place, &look)?;
    let is_a_shoe =
        (found.parts[0] - 1.0).abs() < STRANGE_SHARE && (found.place.z / shoe.length()).abs() < STRANGE_RAD;
    // Against the ground at its rim.
    let contrast = 16.0 + 219.0 * 0.6 * shoe.bright - 0.6 * found.parts[1];
    let front = PLAIN.accepts(&found, &rough, (start, contrast)).filter(|_| is_a_shoe)?;
    Some(Found { pixel: Pixel::from(front.pixel.vector() + shoe.below), ..front })
}
