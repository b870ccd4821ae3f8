//! A saved calibration in JSON: what was clicked, in the hall frame. The fit is made again from it, so that nothing
//! is kept that a better fit would contradict.

use super::error::Error;
use super::measure::{LandmarkJson, LensJson};
use evidence::place::clicked::Landmarks;
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::lens::Lens;
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::{Focal, Posed, Sight};
use evidence::place::view::Size;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A camera's calibration.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Calibration")]
pub struct CalibrationJson {
    /// The camera, as the crew calls it.
    pub camera: String,
    /// Width and height of its picture, in pixels.
    pub picture: [u32; 2],
    /// Landmarks on the ground.
    pub landmarks: Vec<LandmarkJson>,
    /// Landmarks above the ground, such as goal posts: with them the camera's place in the hall is known better.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub raised: Vec<RaisedJson>,
    /// Standard deviation of a click in each direction, in pixels.
    pub landmark_sigma_px: f64,
    /// The lens, if it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lens: Option<LensJson>,
}

/// What can be clicked in a hall besides what the book says of its field: marks of the turf, posts.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "HallLandmarks")]
pub struct HallJson {
    /// Each with its name.
    pub landmarks: Vec<NamedJson>,
}

/// A place of a hall.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "NamedLandmark")]
pub struct NamedJson {
    /// What an official calls it.
    pub name: String,
    /// Yards, x, y and z.
    pub place: [f64; 3],
}

/// A landmark above the ground.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Raised")]
pub struct RaisedJson {
    /// Pixels, x and y.
    pub image: [f64; 2],
    /// Yards, x, y and z.
    pub place: [f64; 3],
}

impl CalibrationJson {
    /// Writes down what was clicked.
    pub fn new(
        camera: &str,
        size: Size,
        sights: &[Sight],
        landmark_sigma_px: f64,
        optics: Optics,
    ) -> CalibrationJson {
        let (on_ground, raised): (Vec<&Sight>, Vec<&Sight>) =
            sights.iter().partition(|sight| sight.place.z == 0.0);
        let image = |sight: &Sight| [sight.image.x, sight.image.y];
        CalibrationJson {
            camera: camera.to_owned(),
            picture: [size.width, size.height],
            landmarks: on_ground
                .into_iter()
                .map(|sight| LandmarkJson { image: image(sight), field: [sight.place.x, sight.place.y] })
                .collect(),
            raised: raised
                .into_iter()
                .map(|sight| RaisedJson { image: image(sight), place: sight.place.vector().into() })
                .collect(),
            landmark_sigma_px,
            lens: match optics {
                Optics::Straight => None,
                Optics::Known(lens) => Some(LensJson::new(lens, false)),
                Optics::Fitted(lens) => Some(LensJson::new(lens, true)),
            },
        }
    }

    /// Writes down the landmarks of a camera.
    pub fn of(camera: &str, landmarks: &Landmarks) -> CalibrationJson {
        let Landmarks { size, sights, sigma_px } = landmarks;
        CalibrationJson::new(camera, *size, sights, *sigma_px, landmarks.optics())
    }

    /// What was clicked; none where a lens is given that is not to be found from the landmarks.
    pub fn landmarks(&self) -> Option<Landmarks> {
        if self.lens.is_some_and(|lens| !lens.fit_k1) {
            return None;
        }
        Some(Landmarks { size: self.size(), sights: self.sights(), sigma_px: self.landmark_sigma_px })
    }

    fn sights(&self) -> Vec<Sight> {
        let ground = self.landmarks.iter().map(|one| (one.image, [one.field[0], one.field[1], 0.0]));
        let raised = self.raised.iter().map(|one| (one.image, one.place));
        let sight = |([x, y], [east, north, up]): ([f64; 2], [f64; 3])| Sight {
            image: Pixel::new(x, y),
            place: Space::new(east, north, up),
        };
        ground.chain(raised).map(sight).collect()
    }

    fn optics(&self) -> Result<Optics, Error> {
        self.lens.map_or(Ok(Optics::Straight), LensJson::optics)
    }

    /// The size of its picture.
    pub fn size(&self) -> Size {
        let [width, height] = self.picture;
        Size { width, height }
    }

    /// The ground in its picture.
    ///
    /// # Errors
    /// What is wrong with the lens or the landmarks, in words.
    pub fn ground(&self) -> Result<Calibration, Error> {
        let read = |one: &LandmarkJson| {
            let ([x, y], [east, north]) = (one.image, one.field);
            Landmark { image: Pixel::new(x, y), field: Ground::new(east, north) }
        };
        let landmarks: Vec<Landmark> = self.landmarks.iter().map(read).collect();
        Ok(Calibration::fit(&landmarks, self.landmark_sigma_px, self.optics()?)?)
    }

    /// The camera in the hall. Without a known lens, its axis is taken to meet the middle of the picture, and its
    /// focal length is fitted.
    ///
    /// # Errors
    /// What is wrong with the lens or the landmarks, in words.
    pub fn pose(&self) -> Result<Posed, Error> {
        let [width, height] = self.picture.map(f64::from);
        let middle = Pixel::new(0.5 * (width - 1.0), 0.5 * (height - 1.0));
        let (lens, focal) = match self.optics()? {
            Optics::Straight => (Lens::straight(width.max(1.0), middle), Focal::Free),
            Optics::Known(lens) => (lens, Focal::Known),
            // The bend is found on the ground first.
            Optics::Fitted(_) => (self.ground()?.homography.lens, Focal::Free),
        };
        Ok(Posed::fit(&self.sights(), self.landmark_sigma_px, lens, focal)?)
    }
}
