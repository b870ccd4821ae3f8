//! A placed point, as JSON, form 1: the clicks in pixels of the upright picture, whose size is `picture`; landmarks and
//! line in yards of the hall.

use super::measured::{MeasurementForm, ShotOrNone};
use super::spelling::AsInPicture;
use evidence::mark::{Measurement, Shot};
use evidence::place::clicked::{Clicked, Edge, Landmarks};
use evidence::place::measure::Click;
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::Sight;
use evidence::place::view::Size;
use evidence::time::timecode::Timecode;
use review::event::{Placed, SeenFrom};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlacedForm {
    question: usize,
    step: String,
    point: String,
    line: String,
    edge: EdgeForm,
    seen: Vec<SeenForm>,
    #[serde(with = "MeasurementForm")]
    measurement: Measurement,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct EdgeForm {
    through: [[f64; 2]; 2],
    past: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SeenForm {
    camera: String,
    #[serde(with = "AsInPicture")]
    timecode: Timecode,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "ShotOrNone")]
    shot: Option<Shot>,
    picture: [u32; 2],
    landmarks: Vec<LandmarkForm>,
    landmark_sigma_px: f64,
    point: [f64; 2],
    point_sigma_px: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct LandmarkForm {
    image: [f64; 2],
    place: [f64; 3],
}

impl PlacedForm {
    pub(super) fn serialize<S: Serializer>(placed: &Placed, to: S) -> Result<S::Ok, S::Error> {
        Serialize::serialize(&PlacedForm::from(placed), to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Box<Placed>, D::Error> {
        let form: PlacedForm = Deserialize::deserialize(from)?;
        Ok(Box::new(Placed::from(form)))
    }
}

impl From<&Placed> for PlacedForm {
    fn from(placed: &Placed) -> PlacedForm {
        let Edge { through: [from, to], past } = placed.edge;
        let ground = |place: Ground| [place.x, place.y];
        PlacedForm {
            question: placed.question,
            step: placed.step.clone(),
            point: placed.point.clone(),
            line: placed.line.clone(),
            edge: EdgeForm { through: [ground(from), ground(to)], past: ground(past) },
            seen: placed.seen.iter().map(SeenForm::from).collect(),
            measurement: placed.measurement.clone(),
        }
    }
}

impl From<PlacedForm> for Placed {
    fn from(form: PlacedForm) -> Placed {
        let ground = |[x, y]: [f64; 2]| Ground::new(x, y);
        Placed {
            question: form.question,
            step: form.step,
            point: form.point,
            line: form.line,
            edge: Edge { through: form.edge.through.map(ground), past: ground(form.edge.past) },
            seen: form.seen.into_iter().map(SeenFrom::from).collect(),
            measurement: form.measurement,
        }
    }
}

impl From<&SeenFrom> for SeenForm {
    fn from(seen: &SeenFrom) -> SeenForm {
        let Clicked { landmarks: Landmarks { size, sights, sigma_px }, point } = &seen.clicked;
        let landmark = |sight: &Sight| LandmarkForm {
            image: [sight.image.x, sight.image.y],
            place: sight.place.vector().into(),
        };
        SeenForm {
            camera: seen.camera.clone(),
            timecode: seen.timecode,
            shot: seen.shot.clone(),
            picture: [size.width, size.height],
            landmarks: sights.iter().map(landmark).collect(),
            landmark_sigma_px: *sigma_px,
            point: [point.image.x, point.image.y],
            point_sigma_px: point.sigma_px,
        }
    }
}

impl From<SeenForm> for SeenFrom {
    fn from(form: SeenForm) -> SeenFrom {
        let pixel = |[x, y]: [f64; 2]| Pixel::new(x, y);
        let sight = |one: &LandmarkForm| {
            let [x, y, z] = one.place;
            Sight { image: pixel(one.image), place: Space::new(x, y, z) }
        };
        let [width, height] = form.picture;
        SeenFrom {
            camera: form.camera,
            timecode: form.timecode,
            shot: form.shot,
            clicked: Clicked {
                landmarks: Landmarks {
                    size: Size { width, height },
                    sights: form.landmarks.iter().map(sight).collect(),
                    sigma_px: form.landmark_sigma_px,
                },
                point: Click { image: pixel(form.point), sigma_px: form.point_sigma_px },
            },
        }
    }
}
