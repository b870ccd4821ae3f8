//! A point that was clicked in the picture of a calibrated camera, as a script spells it.

use crate::calibration::CalibrationJson;
use crate::error::Error;
use evidence::place::clicked::Clicked;
use evidence::place::measure::Click;
use evidence::place::point::Pixel;
use review::event::SeenFrom;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The clicks in the picture of one camera.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "SeenFrom")]
pub struct SeenJson {
    /// What stands in the picture: `HH:MM:SS:FF` or `HH:MM:SS;FF`.
    pub timecode: String,
    /// The camera and its landmarks, clicked in this very picture or one like it.
    pub calibration: CalibrationJson,
    /// Where the point was clicked: pixels, x and y.
    pub point: [f64; 2],
    /// Standard deviation of that click in each direction, in pixels.
    pub point_sigma_px: f64,
}

impl SeenJson {
    /// The clicks as an event keeps them, without proof of the picture.
    ///
    /// # Errors
    /// [`Error`] for what an event cannot keep.
    pub fn read(&self) -> Result<SeenFrom, Error> {
        let SeenJson { timecode, calibration, point: [x, y], point_sigma_px } = self;
        let camera = calibration.camera.clone();
        let landmarks = calibration.landmarks().ok_or_else(|| {
            Error::new(format!("the lens of {camera} is found from its landmarks: leave `lens` out"))
        })?;
        let point = Click { image: Pixel::new(*x, *y), sigma_px: *point_sigma_px };
        let clicked = Clicked { landmarks, point };
        Ok(SeenFrom { camera, timecode: timecode.parse()?, shot: None, clicked })
    }
}
