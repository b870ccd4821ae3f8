//! The hall of the invented league with its cameras, and clicks with noise from a seed.

use super::dice::Dice;
use evidence::place::camera::Camera;
use evidence::place::homography::Landmark;
use evidence::place::landmark::known;
use evidence::place::lens::Lens;
use evidence::place::point::{Pixel, Space};
use evidence::place::pose::Sight;
use evidence::place::view::Size;
use field::Field;
use rules::book::{load, shipped};

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

/// A camera with a bent lens that looks from here to there.
pub fn bent(from: [f64; 3], to: [f64; 3]) -> Camera {
    let at = |[x, y, z]: [f64; 3]| Space::new(x, y, z);
    let lens = Lens { focal_px: 950.0, center: Pixel::new(639.5, 359.5), k1: -0.06, k2: 0.0 };
    Camera::look_at(at(from), at(to), 0.0, lens).expect("it looks ahead")
}

/// One of them that looks along the alignment line from its side.
pub fn near() -> Camera {
    bent([38.5, -15.5, 14.0], [38.5, 13.2, 0.0])
}

/// One that looks at the same place from the end.
pub fn end() -> Camera {
    bent([71.5, 13.5, 13.0], [41.0, 13.5, 0.0])
}

pub fn field() -> Field {
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    load::load("saltmarsh", &sources).expect("it is sound").field
}

/// A click on a place with this noise; `None` if it does not stand in the picture.
pub fn click(dice: &mut Dice, camera: &Camera, place: Space, sigma_px: f64) -> Option<Pixel> {
    let pixel = camera.project(place).filter(|pixel| SIZE.holds(*pixel))?;
    Some(Pixel::new(pixel.x + dice.normal(sigma_px), pixel.y + dice.normal(sigma_px)))
}

/// Clicks on every landmark of the field that stands in the picture, those above the ground too.
pub fn sights(dice: &mut Dice, camera: &Camera, field: &Field, sigma_px: f64) -> Vec<Sight> {
    let seen = |place| Some(Sight { image: click(dice, camera, place, sigma_px)?, place });
    known(field, 5.0, field.end_zone.as_f64()).into_iter().map(|one| one.place).filter_map(seen).collect()
}

/// Those of them that are on the ground.
pub fn on_ground(sights: &[Sight]) -> Vec<Landmark> {
    let ground = sights.iter().filter(|sight| sight.place.z == 0.0);
    ground.map(|sight| Landmark { image: sight.image, field: sight.place.ground() }).collect()
}
