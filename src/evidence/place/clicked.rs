//! A measurement as it was clicked. Landmarks and point are kept whole, so that the figures can be computed again.
//!
//! One camera places a point on the ground; two or more calibrated cameras place one in the air. With six landmarks
//! on the ground or more, the distortion of the lens is fitted too; with fewer, the lens is taken as straight, with a
//! caution.

use super::homography::{Calibration, Landmark, Optics};
use super::lens::Lens;
use super::measure::judged::{Checked, Judged, Withheld};
use super::measure::{Click, Distance, Line, locate};
use super::pose::{Focal, Posed, Sight};
use super::triangulate::{Plane, Sighting, triangulate};
use super::view::Size;
use crate::error::Error;
use crate::place::point::{Ground, Pixel, Space};
use crate::verdict::Verdict;
use nalgebra::Matrix3;

/// The landmarks of one picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Landmarks {
    pub size: Size,
    pub sights: Vec<Sight>,
    /// Standard deviation of a click in each direction, in pixels.
    pub sigma_px: f64,
}

/// The landmarks of one picture and a point in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Clicked {
    pub landmarks: Landmarks,
    pub point: Click,
}

/// A line of the rules where the situation puts it, on the ground of the hall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    pub through: [Ground; 2],
    /// Any place on the side that counts as past it.
    pub past: Ground,
}

impl Edge {
    /// The edge as a line with a side.
    ///
    /// # Errors
    /// [`Error`] if the places give no line or no side.
    pub fn line(&self) -> Result<Line, Error> {
        Line::new(self.through, self.past)
    }
}

/// With this many landmarks on the ground, the distortion of the lens is fitted too.
pub const BEND_FROM: usize = 6;

/// Up to this many landmarks always fit a map of the ground. A pose is also held to square pixels, but that shows a
/// mistake only by chance.
const ALWAYS_FIT: usize = 4;

/// Rounds that bring lens and pose into agreement: the distortion is found on the ground for an assumed focal length,
/// of which only k1 / focal² matters, and the pose finds the focal length.
const IN_STEP: usize = 4;

impl Landmarks {
    /// The landmarks that lie on the ground.
    pub fn on_ground(&self) -> Vec<Landmark> {
        let ground = self.sights.iter().filter(|sight| sight.place.z == 0.0);
        ground.map(|sight| Landmark { image: sight.image, field: sight.place.ground() }).collect()
    }

    /// What is known of the lens. Its distortion is fitted if there are enough landmarks.
    pub fn optics(&self) -> Optics {
        let on_ground = self.sights.iter().filter(|sight| sight.place.z == 0.0).count();
        if on_ground < BEND_FROM {
            return Optics::Straight;
        }
        Optics::Fitted(self.assumed())
    }

    /// A straight lens whose axis meets the middle of the picture.
    fn assumed(&self) -> Lens {
        let (width, height) = (f64::from(self.size.width), f64::from(self.size.height));
        let middle = Pixel::new(0.5 * (width - 1.0), 0.5 * (height - 1.0));
        Lens::straight(width.max(1.0), middle)
    }

    /// The map of the ground to the picture.
    ///
    /// # Errors
    /// [`Error`] says which landmarks, and why.
    pub fn ground(&self) -> Result<Calibration, Error> {
        Calibration::fit(&self.on_ground(), self.sigma_px, self.optics())
    }

    /// The camera in the hall. A landmark that the others on the ground set aside is left out.
    ///
    /// # Errors
    /// [`Error`] says what is missing or wrong.
    pub fn pose(&self) -> Result<Posed, Error> {
        let ground = self.ground()?;
        let mut kept = ground.residuals.iter().map(|residual| residual.used);
        let used = |sight: &&Sight| sight.place.z != 0.0 || kept.next().unwrap_or(true);
        let sights: Vec<Sight> = self.sights.iter().filter(used).copied().collect();
        let mut lens = match self.optics() {
            Optics::Straight | Optics::Known(_) => self.assumed(),
            Optics::Fitted(_) => ground.homography.lens,
        };
        let mut posed = Posed::fit(&sights, self.sigma_px, lens, Focal::Free)?;
        for _ in 1..IN_STEP {
            let found = posed.camera.lens.focal_px;
            let ratio = found / lens.focal_px;
            lens = Lens { focal_px: found, k1: lens.k1 * ratio * ratio, ..lens };
            posed = Posed::fit(&sights, self.sigma_px, lens, Focal::Free)?;
        }
        Ok(posed)
    }
}

/// Where clicks place a point, and how far that is past a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub distance: Distance,
    pub place: Space,
    /// Of first order, in yards². Its z entries are zero where one camera placed the point on the ground.
    pub covariance: Matrix3<f64>,
    /// The rays of the cameras miss each other by more than the clicks explain.
    pub contradiction: bool,
    /// For a point on the ground: what a verdict needs besides the distance.
    judged: Option<Judged>,
    /// For a point in the air: what rules out a verdict.
    withheld: Option<Withheld>,
    /// What to know before relying on it.
    pub cautions: Vec<String>,
}

/// Reads clicks of one moment. One camera places a point on the ground; two or more place one in the air, which is
/// measured against the upright plane over the line.
///
/// # Errors
/// [`Error`] if nothing was clicked, or a camera's landmarks do not fit.
pub fn read(clicked: &[Clicked], line: &Line) -> Result<Reading, Error> {
    let is_finite = |sight: &Sight| sight.image.is_finite() && sight.place.is_finite();
    let unfit = |one: &Clicked| !one.landmarks.sights.iter().all(is_finite);
    if let Some(bad) = clicked.iter().position(unfit) {
        return Err(Error::CameraNotFinite(bad + 1));
    }
    match clicked {
        [] => Err(Error::NothingClicked),
        [one] => on_ground(one, line),
        several => in_air(several, line),
    }
}

fn on_ground(clicked: &Clicked, line: &Line) -> Result<Reading, Error> {
    let calibration = clicked.landmarks.ground().map_err(|error| Error::Camera(1, Box::new(error)))?;
    if calibration.is_inconsistent() {
        return Err(Error::Inconsistent(1));
    }
    let located = locate(&calibration, clicked.point)?;
    let mut cautions: Vec<String> = calibration.cautions().iter().map(ToString::to_string).collect();
    if calibration.landmarks.len() < BEND_FROM {
        cautions.push(format!("the lens is taken as straight: {BEND_FROM} landmarks would show its bend"));
    }
    if !located.inside_landmarks {
        cautions.push("the point is outside the landmarks: click landmarks around it".to_owned());
    }
    let mut covariance = Matrix3::zeros();
    covariance.fixed_view_mut::<2, 2>(0, 0).copy_from(&located.covariance);
    let judged = Checked::new(&calibration).judge(&located, line);
    Ok(Reading {
        distance: judged.distance,
        place: located.place.raised(0.0),
        covariance,
        contradiction: false,
        judged: Some(judged),
        withheld: None,
        cautions,
    })
}

fn in_air(clicked: &[Clicked], line: &Line) -> Result<Reading, Error> {
    let pose = |(index, one): (usize, &Clicked)| {
        let posed = one.landmarks.pose().map_err(|error| Error::Camera(index + 1, Box::new(error)))?;
        if posed.is_inconsistent() { Err(Error::Inconsistent(index + 1)) } else { Ok(posed) }
    };
    let cameras: Vec<Posed> = clicked.iter().enumerate().map(pose).collect::<Result<_, _>>()?;
    let sightings = cameras.iter().zip(clicked);
    let sightings: Vec<Sighting<'_>> =
        sightings.map(|(camera, one)| Sighting { camera, click: one.point }).collect();
    let fix = triangulate(&sightings)?;
    let contradiction = fix.is_contradiction();
    let missed = "the cameras do not show one point at one moment: click again, or check the clips' sync";
    Ok(Reading {
        distance: fix.distance_to(&Plane::over(line)),
        place: fix.place,
        covariance: fix.covariance,
        contradiction,
        judged: None,
        withheld: clicked.iter().find_map(|one| {
            let count = one.landmarks.sights.len();
            (count <= ALWAYS_FIT).then_some(Withheld::AlwaysFit(count))
        }),
        cautions: contradiction.then(|| missed.to_owned()).into_iter().collect(),
    })
}

impl Reading {
    /// The verdict on "past the line".
    pub fn verdict(&self, standard: f64) -> Verdict {
        self.judged(standard).0
    }

    /// Why there is no verdict, if the probability alone is not the reason.
    pub fn withheld(&self, standard: f64) -> Option<Withheld> {
        self.judged(standard).1
    }

    fn judged(&self, standard: f64) -> (Verdict, Option<Withheld>) {
        match &self.judged {
            _ if self.contradiction => (Verdict::Contradiction, None),
            Some(judged) => judged.verdict(standard),
            None => {
                let withheld = self.withheld.clone().or_else(|| self.distance.withheld(standard));
                let probability = self.distance.past_probability;
                let verdict = match withheld {
                    Some(_) => Verdict::Inconclusive { probability },
                    None => Verdict::of(probability, standard),
                };
                (verdict, withheld)
            }
        }
    }

    /// The distance in words; `line` is the line's name.
    pub fn text(&self, line: &str) -> String {
        if self.contradiction {
            return "the clicks of the cameras contradict each other".to_owned();
        }
        self.distance.text(line)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::camera::Camera;

    const SIZE: Size = Size { width: 1280, height: 720 };

    /// A camera with lens distortion.
    fn camera(from: [f64; 3], to: [f64; 3], focal_px: f64, k1: f64) -> Camera {
        let at = |[x, y, z]: [f64; 3]| Space::new(x, y, z);
        let lens = Lens { focal_px, center: Pixel::new(639.5, 359.5), k1, k2: 0.0 };
        Camera::look_at(at(from), at(to), 0.0, lens).expect("it looks ahead")
    }

    fn near() -> Camera {
        camera([38.5, -15.5, 14.0], [38.5, 13.2, 0.0], 950.0, -0.06)
    }

    fn end() -> Camera {
        camera([71.5, 13.5, 13.0], [41.0, 13.5, 0.0], 950.0, -0.04)
    }

    /// Exact clicks on every crossing that the picture holds.
    fn landmarks(camera: &Camera) -> Landmarks {
        let places = (0..=10).flat_map(|line| [0.0, 27.0].map(|y| Space::new(5.0 * f64::from(line), y, 0.0)));
        let sight = |place: Space| {
            let image = camera.project(place).filter(|pixel| SIZE.holds(*pixel))?;
            Some(Sight { image, place })
        };
        Landmarks { size: SIZE, sights: places.filter_map(sight).collect(), sigma_px: 1.0 }
    }

    fn clicked(camera: &Camera, place: Space) -> Clicked {
        let image = camera.project(place).expect("in view");
        Clicked { landmarks: landmarks(camera), point: Click { image, sigma_px: 1.0 } }
    }

    fn line(x: f64) -> Line {
        let edge =
            Edge { through: [Ground::new(x, 0.0), Ground::new(x, 27.0)], past: Ground::new(x + 1.0, 0.0) };
        edge.line().expect("a line")
    }

    #[test]
    fn exact_clicks_in_a_bent_picture_give_the_true_distance() {
        let toe = clicked(&near(), Space::new(39.8, 11.0, 0.0));
        let reading = read(&[toe], &line(40.0)).expect("it is on the ground");
        assert!((reading.distance.yd + 0.2).abs() < 1e-4, "{:?}", reading.distance);
        assert!(reading.distance.sigma_yd > 0.01 && reading.distance.sigma_yd < 0.1);
        assert!(reading.cautions.is_empty(), "{:?}", reading.cautions);
        assert!(matches!(reading.verdict(0.99), Verdict::Refuted { .. }));
        assert!(reading.text("alignment line").starts_with("7.2 in short of the alignment line, ± "));
    }

    #[test]
    fn two_cameras_place_a_ball_in_the_air_though_nobody_knows_their_lenses() {
        let ball = Space::new(50.1, 12.0, 1.4);
        let seen = [clicked(&near(), ball), clicked(&end(), ball)];
        let reading = read(&seen, &line(50.0)).expect("both see it");
        assert!((reading.place.vector() - ball.vector()).norm() < 2e-3, "{:?}", reading.place);
        assert!((reading.distance.yd - 0.1).abs() < 2e-3);
        assert!(!reading.contradiction);
        let mut off = seen;
        off[1].point.image.y += 40.0;
        let reading = read(&off, &line(50.0)).expect("the rays come near each other");
        assert_eq!(reading.verdict(0.99), Verdict::Contradiction);
    }

    #[test]
    fn what_says_nothing_is_refused_and_what_says_little_says_so() {
        assert_eq!(read(&[], &line(40.0)), Err(Error::NothingClicked));
        let mut few = clicked(&near(), Space::new(39.8, 11.0, 0.0));
        few.landmarks.sights.truncate(3);
        assert_eq!(
            read(&[few], &line(40.0)).map_err(|no| no.to_string()),
            Err("camera 1: 3 landmarks: at least 4 are needed".to_owned())
        );
        let outside = clicked(&near(), Space::new(53.0, 11.0, 0.0));
        let reading = read(&[outside], &line(50.0)).expect("it is on the ground");
        assert!(reading.cautions.iter().any(|caution| caution.contains("outside the landmarks")));
        let mut swapped = clicked(&near(), Space::new(39.8, 11.0, 0.0));
        let places: Vec<Space> = swapped.landmarks.sights.iter().map(|sight| sight.place).collect();
        (swapped.landmarks.sights[0].place, swapped.landmarks.sights[2].place) = (places[2], places[0]);
        assert_eq!(read(&[swapped], &line(40.0)), Err(Error::Inconsistent(1)));
    }
}
