//! The hall of the invented league with its cameras, and clicks with noise from a seed.

use tellframe::book::field::Field;
use tellframe::book::{load, shipped};
use tellframe::proof::angle::Size;
use tellframe::proof::camera::Camera;
use tellframe::proof::homography::Landmark;
use tellframe::proof::landmark::known;
use tellframe::proof::lens::Lens;
use tellframe::proof::place::{Pixel, Space};
use tellframe::proof::pose::Sight;

/// The pictures of all cameras.
pub const SIZE: Size = Size { width: 1280, height: 720 };

/// A camera by name.
pub struct Placed {
    pub name: &'static str,
    pub camera: Camera,
}

/// The league's cameras; the last one is poor on purpose.
pub fn cameras() -> Vec<Placed> {
    let at = |name, position: [f64; 3], target: [f64; 3], focal_px, k1| {
        let lens = Lens { focal_px, center: Pixel::new(639.5, 359.5), k1, k2: 0.0 };
        let [x, y, z] = position;
        let [to_x, to_y, to_z] = target;
        let camera = Camera::look_at(Space::new(x, y, z), Space::new(to_x, to_y, to_z), 0.0, lens);
        Placed { name, camera: camera.expect("it looks ahead") }
    };
    vec![
        at("near side", [12.5, -14.0, 9.0], [12.5, 11.0, 0.0], 800.0, 0.0),
        at("high end", [-16.0, 13.5, 11.0], [15.0, 13.5, 0.0], 1100.0, -0.08),
        at("low wall", [27.0, -5.0, 2.5], [20.0, 12.0, 0.0], 700.0, 0.0),
        at("far corner", [58.0, 34.0, 5.0], [30.0, 12.0, 0.0], 1300.0, -0.05),
    ]
}

pub fn field() -> Field {
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    load::load("saltmarsh", &sources).expect("it is sound").field
}

/// Random figures from a seed: the splitmix64 generator of Steele, Lea and Flood (2014).
pub struct Dice(pub u64);

impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// Uniform between two figures.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Standard normal (Box and Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.between(0.0, 1.0), self.between(0.0, 1.0));
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// A click on a place with this noise; `None` if it does not stand in the picture.
    pub fn click(&mut self, camera: &Camera, place: Space, sigma_px: f64) -> Option<Pixel> {
        let pixel = camera.project(place).filter(|pixel| SIZE.holds(*pixel))?;
        Some(Pixel::new(pixel.x + sigma_px * self.normal(), pixel.y + sigma_px * self.normal()))
    }

    /// Clicks on every landmark of the field that stands in the picture, those above the ground too.
    pub fn sights(&mut self, camera: &Camera, field: &Field, sigma_px: f64) -> Vec<Sight> {
        known(field, 5.0, field.end_zone.as_f64())
            .into_iter()
            .filter_map(|one| {
                Some(Sight { image: self.click(camera, one.place, sigma_px)?, place: one.place })
            })
            .collect()
    }
}

/// Those of them that are on the ground.
pub fn on_ground(sights: &[Sight]) -> Vec<Landmark> {
    let ground = sights.iter().filter(|sight| sight.place.z == 0.0);
    ground.map(|sight| Landmark { image: sight.image, field: sight.place.ground() }).collect()
}
