//! Landmarks, points and lines in JSON, and what was measured.

use super::error::Error;
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::lens::Lens;
use evidence::place::measure::judged::Judged;
use evidence::place::measure::{Click, Line, Located};
use evidence::place::point::{Ground, Pixel};
use rules::shown::shown;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One picture: landmarks to calibrate it by, points on the ground, and lines to measure them against. Pixels are from
/// the top left, yards in the hall frame.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// At least four places of the field, no three of four on one line.
    pub landmarks: Vec<LandmarkJson>,
    /// Standard deviation of a landmark in each direction of the picture, in pixels.
    pub landmark_sigma_px: f64,
    /// That of a point.
    pub point_sigma_px: f64,
    /// The lens, if it is known; without one, straight lines are taken to stay straight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lens: Option<LensJson>,
    /// The points.
    #[serde(default)]
    pub points: Vec<PointJson>,
    /// The lines.
    #[serde(default)]
    pub lines: Vec<LineJson>,
    /// The probability that establishes it, more than 0.5 and at most 1; left out: no verdict.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard: Option<f64>,
}

/// A place of the field and where it stands in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Landmark")]
pub struct LandmarkJson {
    /// Pixels, x and y.
    pub image: [f64; 2],
    /// Yards, x and y.
    pub field: [f64; 2],
}

/// A lens: what would stand at r from the centre, in focal lengths, stands at r (1 + k1 r² + k2 r⁴).
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Lens")]
pub struct LensJson {
    /// Coefficient of r².
    #[serde(default)]
    pub k1: f64,
    /// Coefficient of r⁴.
    #[serde(default)]
    pub k2: f64,
    /// Where its axis meets the picture, in pixels.
    pub center: [f64; 2],
    /// Focal length in pixels.
    pub focal_px: f64,
    /// Whether k1 is to be fitted to the landmarks instead, which takes six of them.
    #[serde(default, skip_serializing_if = "is_false")]
    pub fit_k1: bool,
}

impl LensJson {
    /// A lens as it is written.
    pub fn new(lens: Lens, fit_k1: bool) -> LensJson {
        let Lens { focal_px, center, k1, k2 } = lens;
        LensJson { k1, k2, center: [center.x, center.y], focal_px, fit_k1 }
    }

    /// What is known of the lens.
    ///
    /// # Errors
    /// [`Error`] if it can be none.
    pub fn optics(self) -> Result<Optics, Error> {
        let LensJson { k1, k2, center, focal_px, fit_k1 } = self;
        let lens = Lens { focal_px, center: pixel(center), k1, k2 }.checked();
        let lens = lens.map_err(|error| Error::from(error).within("lens"))?;
        Ok(if fit_k1 { Optics::Fitted(lens) } else { Optics::Known(lens) })
    }
}

fn is_false(value: &bool) -> bool {
    !value
}

fn yes() -> bool {
    true
}

/// A point in the picture.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Point")]
pub struct PointJson {
    /// What it is.
    pub name: String,
    /// Pixels, x and y.
    pub image: [f64; 2],
    /// Whether it touches the ground. One camera cannot place what does not.
    #[serde(default = "yes")]
    pub on_ground: bool,
}

/// A line on the ground.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "MeasuredLine")]
pub struct LineJson {
    /// Its name.
    pub name: String,
    /// Two points of it, in yards.
    pub through: [[f64; 2]; 2],
    /// Any point on the side that counts as past it.
    pub past: [f64; 2],
}

/// What was measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Found {
    /// From the picture, its distortion taken out, to the field, last entry 1; none if the pixel (0, 0) is at the
    /// horizon.
    pub homography: Option<[[f64; 3]; 3]>,
    /// How far the landmarks are from where the fit puts them.
    pub residual_px: ResidualJson,
    /// The coefficient of r² that was fitted, if one was to be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub k1: Option<FittedJson>,
    /// What a person should know of the landmarks before relying on this.
    pub cautions: Vec<String>,
    /// The points.
    pub points: Vec<PlacedJson>,
}

/// A fitted figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Fitted")]
pub struct FittedJson {
    /// Its value.
    pub value: f64,
    /// Its standard error.
    pub sigma: f64,
}

/// Residuals in pixels.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Residuals")]
pub struct ResidualJson {
    /// Root mean square of the landmarks used.
    pub rms: f64,
    /// The largest of them.
    pub worst: f64,
    /// Every landmark in order; none for one that would lie behind the camera.
    pub each: Vec<Option<f64>>,
    /// The landmark that contradicts the others and was not used, from 0; or several, if one of them does and which
    /// one cannot be told.
    pub set_aside: Vec<usize>,
}

/// A point with its place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Placed")]
pub struct PlacedJson {
    /// What it is.
    pub name: String,
    /// Yards, x and y.
    pub field: [f64; 2],
    /// Of first order, in yards², from landmark and point noise.
    pub covariance: [[f64; 2]; 2],
    /// Whether it lies within the landmarks.
    pub inside_landmarks: bool,
    /// Its distance to each line.
    pub lines: Vec<DistanceJson>,
}

/// A distance with its error.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Distance")]
pub struct DistanceJson {
    /// The line.
    pub name: String,
    /// Yards past it; negative short of it.
    pub distance_yd: f64,
    /// Standard error; none where the view is too flat to say.
    pub sigma_yd: Option<f64>,
    /// Lower end of the 95 % interval; none where it is open.
    pub low95_yd: Option<f64>,
    /// Upper end.
    pub high95_yd: Option<f64>,
    /// How probable it is that the point is past the line.
    pub past_probability: f64,
    /// Whether the error of first order was good enough; else the interval is the exact one.
    pub first_order: bool,
    /// Against the standard, on "past the line": established, refuted or inconclusive; none without a standard.
    pub verdict: Option<String>,
    /// Why it is inconclusive where something besides the probability speaks against a verdict.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

impl Asked {
    fn landmarks(&self) -> Vec<Landmark> {
        let read = |one: &LandmarkJson| Landmark { image: pixel(one.image), field: ground(one.field) };
        self.landmarks.iter().map(read).collect()
    }

    /// The picture, calibrated by its landmarks.
    ///
    /// # Errors
    /// [`Error`] for an error that is none, for a lens that can be none, and for landmarks that do not fit.
    pub fn calibrated(&self) -> Result<Calibration, Error> {
        let sigmas = [("landmark_sigma_px", self.landmark_sigma_px), ("point_sigma_px", self.point_sigma_px)];
        if let Some((field, _)) = sigmas.iter().find(|(_, sigma)| !(sigma.is_finite() && *sigma >= 0.0)) {
            return Err(Error::new("a standard deviation is a number of pixels, 0 or more").within(field));
        }
        let optics = self.optics()?;
        Calibration::fit(&self.landmarks(), self.landmark_sigma_px, optics)
            .map_err(|error| Error::from(error).within("landmarks"))
    }

    /// What is known of the lens.
    ///
    /// # Errors
    /// [`Error`] if it can be none.
    fn optics(&self) -> Result<Optics, Error> {
        self.lens.map_or(Ok(Optics::Straight), LensJson::optics)
    }

    /// The lines with their names.
    ///
    /// # Errors
    /// [`Error`] for one that is no line, or has no side.
    pub fn lines(&self) -> Result<Vec<(&str, Line)>, Error> {
        let read = |line: &LineJson| Line::new(line.through.map(ground), ground(line.past));
        let named = |(index, line): (usize, &LineJson)| {
            read(line).map_err(|error| Error::from(error).item(index).within("lines"))
        };
        let lines = self.lines.iter().enumerate();
        lines.map(|(index, line)| Ok((line.name.as_str(), named((index, line))?))).collect()
    }

    /// The points with their names.
    ///
    /// # Errors
    /// [`Error`] for one that does not touch the ground.
    pub fn clicks(&self) -> Result<Vec<(&str, Click)>, Error> {
        let read = |point: &PointJson| Click { image: pixel(point.image), sigma_px: self.point_sigma_px };
        let grounded = |index: usize, point: &PointJson| match point.on_ground {
            true => Ok(read(point)),
            false => Err(Error::new(format!(
                "the point `{}` is not on the ground, and one camera cannot place it",
                shown(&point.name)
            ))
            .help("it takes two cameras that are calibrated, in the window")
            .item(index)
            .within("points")),
        };
        let points = self.points.iter().enumerate();
        points.map(|(index, point)| Ok((point.name.as_str(), grounded(index, point)?))).collect()
    }

    /// The standard of proof, if one is given.
    ///
    /// # Errors
    /// [`Error`] if it can be none.
    pub fn standard(&self) -> Result<Option<f64>, Error> {
        match self.standard {
            Some(standard) if !(standard > 0.5 && standard <= 1.0) => {
                Err(Error::new("a standard is a probability above 0.5 and at most 1, such as 0.99")
                    .within("standard"))
            }
            standard => Ok(standard),
        }
    }
}

fn pixel([x, y]: [f64; 2]) -> Pixel {
    Pixel::new(x, y)
}

fn ground([x, y]: [f64; 2]) -> Ground {
    Ground::new(x, y)
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

impl From<&Calibration> for Found {
    fn from(calibration: &Calibration) -> Found {
        let (rms, worst) = calibration.residual_px();
        let homography = &calibration.homography;
        Found {
            homography: homography.image_to_field().map(|matrix| matrix.transpose().into()),
            residual_px: ResidualJson {
                rms,
                worst,
                each: calibration.residuals.iter().map(|one| finite(one.off.norm())).collect(),
                set_aside: calibration.set_aside.clone(),
            },
            k1: homography.k1_sigma().map(|sigma| FittedJson { value: homography.lens.k1, sigma }),
            cautions: calibration.cautions().iter().map(ToString::to_string).collect(),
            points: Vec::new(),
        }
    }
}

impl PlacedJson {
    /// A point, its place, and its distance to each line with the verdict.
    pub fn new(name: &str, located: &Located, lines: Vec<DistanceJson>) -> PlacedJson {
        PlacedJson {
            name: name.to_owned(),
            field: located.place.vector().into(),
            covariance: located.covariance.into(),
            inside_landmarks: located.inside_landmarks,
            lines,
        }
    }
}

impl DistanceJson {
    /// A distance to a line of this name, against a standard if there is one.
    pub fn new(name: &str, judged: &Judged, standard: Option<f64>) -> DistanceJson {
        let distance = &judged.distance;
        let (verdict, withheld) = standard.map(|standard| judged.verdict(standard)).unzip();
        let [low, high] = distance.interval_yd;
        DistanceJson {
            name: name.to_owned(),
            distance_yd: distance.yd,
            sigma_yd: finite(distance.sigma_yd),
            low95_yd: finite(low),
            high95_yd: finite(high),
            past_probability: distance.past_probability,
            first_order: distance.first_order,
            verdict: verdict.map(|verdict| verdict.word().to_owned()),
            reason: withheld.flatten().map(|withheld| withheld.to_string()),
        }
    }
}
