//! Where the ground stands in a picture, from landmarks, and how sure that is.
//!
//! The map of a plane to a picture is a homography. It is fitted where the noise is, in the picture: the linear
//! solution of normalised coordinates first (`start`), then the least sum of squared pixels (`refine`), which is the
//! maximum likelihood for equal normal noise (Hartley & Zisserman, *Multiple View Geometry*, 2nd ed., 4.1, 4.4
//! and 4.2.3). Its covariance is that of first order, σ² (JᵀJ)⁻¹ (the same, 5.2.3; JCGM 102, 6.2.1), and goes
//! on to every point. One bad landmark is found and named (`bad`).
//!
//! Only the ground is on the plane: for a point above it this map is wrong.

mod bad;
pub mod caution;
mod hull;
pub mod left_out;
pub mod noise;
pub mod recheck;
mod refine;
mod start;

use super::lens::Lens;
use crate::error::Error;
use crate::place::point::{Ground, Pixel};
use nalgebra::{Matrix2, Matrix3, SMatrix, Vector2, Vector3};
use noise::{Noise, Weighed};
use start::Similarity;

/// A place of the field, and where it stands in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Landmark {
    pub image: Pixel,
    pub field: Ground,
}

/// What is known of the lens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Optics {
    /// Nothing is known: straight lines stay straight.
    Straight,
    Known(Lens),
    /// Centre and focal length are assumed (only k1 / focal² matters); k1 is fitted, starting from the lens's.
    Fitted(Lens),
}

/// The unknowns: eight entries of the homography in normalised coordinates (the ninth is 1), and k1.
pub(crate) const UNKNOWNS: usize = 9;

/// The map of the ground to the picture with its covariance.
#[derive(Debug, Clone, PartialEq)]
pub struct Homography {
    /// With the fitted k1, if it was fitted.
    pub lens: Lens,
    /// From normalised field to normalised direction, last entry 1.
    matrix: Matrix3<f64>,
    field: Similarity,
    ideal: Similarity,
    /// Of the unknowns.
    covariance: SMatrix<f64, UNKNOWNS, UNKNOWNS>,
}

/// A place of the ground in the picture, with the derivatives that carry errors.
struct Seen {
    pixel: Pixel,
    /// Pixels per yard.
    by_field: Matrix2<f64>,
    /// Pixels per unit of each unknown.
    by_unknown: SMatrix<f64, 2, UNKNOWNS>,
}

impl Homography {
    /// Where a place of the ground stands, with all derivatives.
    fn see(&self, place: Ground) -> Option<Seen> {
        let near = self.field.apply(place.vector());
        let place = Vector3::new(near.x, near.y, 1.0);
        let mapped = self.matrix * place;
        // INVARIANT: landmarks have a positive depth, so what has not lies behind the camera or at the horizon.
        if mapped.z <= 1e-9 {
            return None;
        }
        let flat = mapped.xy() / mapped.z;
        let ideal = self.ideal.undo(flat);
        let pixel = self.lens.distort(ideal)?;
        let slope = self.lens.slope(ideal) / self.ideal.scale;
        let over = place / mapped.z;
        let mut by_unknown = SMatrix::<f64, 2, UNKNOWNS>::zeros();
        for entry in 0..3 {
            by_unknown[(0, entry)] = over[entry];
            by_unknown[(1, 3 + entry)] = over[entry];
        }
        for entry in 0..2 {
            by_unknown[(0, 6 + entry)] = -flat.x * over[entry];
            by_unknown[(1, 6 + entry)] = -flat.y * over[entry];
        }
        let mut by_unknown = slope * by_unknown;
        by_unknown.set_column(8, &(self.lens.focal_px * ideal.norm_squared() * ideal));
        let linear: Matrix2<f64> = self.matrix.fixed_view::<2, 2>(0, 0).into();
        let bottom = Vector2::new(self.matrix[(2, 0)], self.matrix[(2, 1)]);
        let by_field = slope * (linear - flat * bottom.transpose()) / mapped.z * self.field.scale;
        Some(Seen { pixel, by_field, by_unknown })
    }

    /// Where a place of the ground stands in the picture; `None` behind the camera or outside the lens's reach.
    pub fn image(&self, place: Ground) -> Option<Pixel> {
        Some(self.see(place)?.pixel)
    }

    /// The derivative of [`Homography::image`] by the place, in pixels per yard.
    pub fn slope(&self, place: Ground) -> Option<Matrix2<f64>> {
        Some(self.see(place)?.by_field)
    }

    /// The covariance, from the landmarks' noise alone, of where a place stands in the picture, in pixels².
    pub fn image_covariance(&self, place: Ground) -> Option<Matrix2<f64>> {
        let seen = self.see(place)?;
        Some(seen.by_unknown * self.covariance * seen.by_unknown.transpose())
    }

    /// The place of the ground at a pixel; `None` at or above the horizon, or where the lens shows nothing.
    pub fn ground(&self, pixel: Pixel) -> Option<Ground> {
        let near = self.ideal.apply(self.lens.undistort(pixel)?);
        let back = self.matrix.try_inverse()? * Vector3::new(near.x, near.y, 1.0);
        let place = Ground::from(self.field.undo(back.xy() / back.z));
        // In front of the camera it maps back with a positive depth.
        (place.is_finite() && self.image(place).is_some()).then_some(place)
    }

    /// The first-order covariance, in yards², of the place at a pixel that was marked with this noise:
    /// A⁻¹ (σ² I + B Σ Bᵀ) A⁻ᵀ, with A the slope by the place and B that by the unknowns.
    pub fn covariance(&self, place: Ground, point_sigma_px: f64) -> Option<Matrix2<f64>> {
        let seen = self.see(place)?;
        let inverse = seen.by_field.try_inverse()?;
        let noise = self.image_covariance(place)? + Matrix2::identity() * (point_sigma_px * point_sigma_px);
        Some(inverse * noise * inverse.transpose())
    }

    /// From undistorted pixel to field, last entry 1; `None` if the pixel (0, 0) is at the horizon.
    pub fn image_to_field(&self) -> Option<Matrix3<f64>> {
        let Lens { focal_px, center, .. } = self.lens;
        let to_ideal = Matrix3::new(1.0, 0.0, -center.x, 0.0, 1.0, -center.y, 0.0, 0.0, focal_px) / focal_px;
        let back = self.matrix.try_inverse()?;
        let whole = self.field.inverse_matrix() * back * self.ideal.matrix() * to_ideal;
        let scaled = whole / whole[(2, 2)];
        scaled.iter().all(|entry| entry.is_finite()).then_some(scaled)
    }

    /// From the ground (x, y, 1) in yards to the direction before the lens, up to scale; positive in front.
    pub(crate) fn ground_to_ideal(&self) -> Matrix3<f64> {
        self.ideal.inverse_matrix() * self.matrix * self.field.matrix()
    }

    /// Whether the picture shows the ground as seen from below: left and right are swapped.
    pub fn is_mirrored(&self) -> bool {
        // North lies to the left of east; with y down in the picture, the turn is the other way round.
        self.matrix.determinant() > 0.0
    }

    /// The standard error of k1; `None` if it was not fitted.
    pub fn k1_sigma(&self) -> Option<f64> {
        let variance = self.covariance[(8, 8)];
        (variance > 0.0).then(|| variance.sqrt())
    }
}

/// How far one landmark is from the fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// From where the fit puts it to where it was clicked, in pixels.
    pub off: Vector2<f64>,
    pub used: bool,
}

/// A calibrated view of the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    pub homography: Homography,
    pub landmarks: Vec<Landmark>,
    /// In pixels; the root mean square where each landmark has its own.
    pub landmark_sigma_px: f64,
    /// One for each landmark.
    pub residuals: Vec<Residual>,
    /// Landmarks left out because they contradict the others, counted from 0. Several if one of them is wrong and the
    /// fit cannot tell which.
    pub set_aside: Vec<usize>,
    /// Like several in `set_aside`, but all were kept because the rest are too few.
    pub suspects: Vec<usize>,
    /// How probable residuals of this size are for landmarks of this noise; `None` where nothing is left over to
    /// check. Without noise: 1 where they are no more than the rounding of a click, else 0.
    pub consistency: Option<f64>,
    weights: Vec<f64>,
    optics: Optics,
}

/// Below this probability the landmarks contradict their noise: by chance once in a thousand pictures.
pub(crate) const INCONSISTENT: f64 = 0.001;

impl Calibration {
    /// Fits the map of the ground to the picture.
    ///
    /// `noise` is the standard deviation of a click in each direction, of every one or of each. One landmark that
    /// contradicts the others is set aside, with those that it cannot be told from. That takes six landmarks: with
    /// five it is always open which one is wrong.
    ///
    /// # Errors
    /// [`Error`] says which landmarks, and why.
    pub fn fit<'a>(
        landmarks: &[Landmark],
        noise: impl Into<Noise<'a>>,
        optics: Optics,
    ) -> Result<Calibration, Error> {
        bad::fit(&Weighed::new(landmarks, noise.into(), optics)?, optics)
    }

    /// Root mean square, and the largest, of the distances of the landmarks used, in pixels.
    pub fn residual_px(&self) -> (f64, f64) {
        let squares: Vec<f64> =
            self.residuals.iter().filter(|one| one.used).map(|one| one.off.norm_squared()).collect();
        let mean = squares.iter().sum::<f64>() / squares.len().max(1) as f64;
        (mean.sqrt(), squares.iter().fold(0.0, |most: f64, one| most.max(*one)).sqrt())
    }

    /// Whether the residuals are larger than the landmarks' noise explains.
    pub fn is_inconsistent(&self) -> bool {
        self.consistency.is_some_and(|probability| probability < INCONSISTENT)
    }

    /// Whether a place lies within the hull of the landmarks used. Outside it, everything is extrapolated.
    pub fn is_inside(&self, place: Ground) -> bool {
        let used = self.landmarks.iter().zip(&self.residuals).filter(|(_, residual)| residual.used);
        hull::contains(used.map(|(landmark, _)| landmark.field), place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::camera::Camera;
    use crate::place::point::Space;

    fn landmark((x, y): (f64, f64), (east, north): (f64, f64)) -> Landmark {
        Landmark { image: Pixel::new(x, y), field: Ground::new(east, north) }
    }

    /// A trapezium whose map is known by hand: (640, 400) shows (10, 120/13).
    fn trapezium() -> Vec<Landmark> {
        vec![
            landmark((100.0, 600.0), (0.0, 0.0)),
            landmark((1180.0, 600.0), (20.0, 0.0)),
            landmark((880.0, 200.0), (20.0, 30.0)),
            landmark((400.0, 200.0), (0.0, 30.0)),
        ]
    }

    fn near_side(k1: f64) -> Camera {
        let lens = Lens { focal_px: 1000.0, center: Pixel::new(639.5, 359.5), k1, k2: 0.0 };
        Camera::look_at(Space::new(12.5, -14.0, 9.0), Space::new(12.5, 11.0, 0.0), 0.0, lens).expect("ahead")
    }

    /// Where each of these places stands, moved by a pixel or so in a fixed pattern.
    fn clicked(camera: &Camera, places: &[(f64, f64)]) -> Vec<Landmark> {
        let moved = |(index, (x, y)): (usize, &(f64, f64))| {
            let pixel = camera.project(Space::new(*x, *y, 0.0)).expect("ahead");
            let turn = 2.4 * index as f64;
            landmark((pixel.x + 0.9 * turn.cos(), pixel.y + 0.9 * turn.sin()), (*x, *y))
        };
        places.iter().enumerate().map(moved).collect()
    }

    const GRID: [(f64, f64); 8] = [
        (0.0, 0.0),
        (5.0, 0.0),
        (15.0, 0.0),
        (25.0, 0.0),
        (0.0, 27.0),
        (5.0, 27.0),
        (15.0, 27.0),
        (25.0, 27.0),
    ];

    const IN_THE_MIDDLE: [(f64, f64); 3] = [(12.0, 13.5), (5.0, 13.5), (20.0, 13.5)];

    #[test]
    fn the_trapezium_has_the_map_known_by_hand() {
        let fit = Calibration::fit(&trapezium(), 0.0, Optics::Straight).expect("four corners");
        let place = fit.homography.ground(Pixel::new(640.0, 400.0)).expect("below the horizon");
        assert!((place.x - 10.0).abs() < 1e-9 && (place.y - 120.0 / 13.0).abs() < 1e-9, "{place:?}");
        let covariance = fit.homography.covariance(place, 1.0).expect("in front");
        assert!((covariance[(0, 0)].sqrt() - 0.025_641).abs() < 1e-6, "{covariance}");
        assert!((covariance[(1, 1)].sqrt() - 0.063_905).abs() < 1e-6, "{covariance}");
        assert_eq!(fit.homography.ground(Pixel::new(640.0, -500.0)), None, "above the horizon");
        assert!(!fit.homography.is_mirrored());
        assert_eq!((fit.set_aside.as_slice(), fit.consistency), (&[][..], None));
    }

    #[test]
    fn landmarks_that_fix_no_plane_are_refused_in_words() {
        let with = |change: fn(&mut Vec<Landmark>)| {
            let mut landmarks = trapezium();
            change(&mut landmarks);
            Calibration::fit(&landmarks, 1.0, Optics::Straight).map(|_| ()).map_err(|no| no.to_string())
        };
        type Change = fn(&mut Vec<Landmark>);
        let cases: [(Change, &str); 7] = [
            (|all| all.truncate(3), "3 landmarks: at least 4 are needed"),
            (|all| all[1].image.y = f64::NAN, "landmark 2 has a coordinate that is not a finite number"),
            (
                |all| all[3].field = all[0].field,
                "landmarks 1 and 4 are at the same place on the field: remove one",
            ),
            (
                |all| all[3].image = all[1].image,
                "landmarks 2 and 4 are at the same place in the picture: remove one",
            ),
            (
                |all| all[2].field = Ground::new(40.0, 0.0),
                "all landmarks, or all but one, lie on one line on the field: click more on both sides of it",
            ),
            (
                |all| all[2].image = Pixel::new(300.0, 600.0),
                "all landmarks, or all but one, lie on one line in the picture: click more on both sides of it",
            ),
            (
                |all| (all[2].image, all[3].image) = (all[3].image, all[2].image),
                "no camera position fits these landmarks: check which place each one is",
            ),
        ];
        for (change, words) in cases {
            assert_eq!(with(change), Err(words.to_owned()));
        }
        assert_eq!(Calibration::fit(&trapezium(), -1.0, Optics::Straight), Err(Error::LandmarkSigma));
        let narrow = Lens { focal_px: 300.0, center: Pixel::new(640.0, 360.0), k1: -0.3, k2: 0.0 };
        let known = Calibration::fit(&trapezium(), 1.0, Optics::Known(narrow));
        assert_eq!(known, Err(Error::LandmarkOutsideLens(1)));
    }

    // PROPERTY: one bad landmark is named, or its suspects are
    #[test]
    fn one_bad_landmark_is_named_and_left_out() {
        let mut landmarks = clicked(&near_side(0.0), &[&GRID[..], &IN_THE_MIDDLE].concat());
        let good = Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("eleven landmarks");
        assert!(good.set_aside.is_empty());
        assert!(good.consistency.is_some_and(|probability| probability > 0.05), "{:?}", good.consistency);
        for (bad, off) in [(0, 30.0), (3, -25.0), (5, 12.0), (6, 400.0)] {
            let was = landmarks[bad].image;
            landmarks[bad].image.x += off;
            let fit = Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("ten good ones");
            assert_eq!(fit.set_aside, [bad]);
            assert!((fit.residuals[bad].off.x - off).abs() < 6.0, "{:?}", fit.residuals[bad]);
            assert!(fit.residual_px().1 < 3.0);
            landmarks[bad].image = was;
        }
        let mut five = [0, 3, 4, 7, 8].map(|index| landmarks[index]);
        five[2].image.x += 30.0;
        let five = Calibration::fit(&five, 1.0, Optics::Straight).expect("five landmarks");
        assert!(five.is_inconsistent() && five.set_aside.is_empty(), "which one it is stays open");
    }

    #[test]
    fn landmarks_on_one_line_that_blame_each_other_are_all_left_out() {
        let mut landmarks = clicked(&near_side(0.0), &GRID);
        landmarks[0].image.x += 30.0;
        let fit = Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("eight landmarks");
        assert!(fit.set_aside.contains(&0) && fit.set_aside.len() > 1, "{:?}", fit.set_aside);
        assert!(!fit.is_inconsistent() && fit.suspects.is_empty());
        assert!(fit.cautions()[0].to_string().contains("one of them is wrong"), "{}", fit.cautions()[0]);
    }

    #[test]
    fn two_landmarks_taken_for_each_other_are_not_blamed_on_one() {
        let mut landmarks = clicked(&near_side(0.0), &GRID);
        (landmarks[1].image, landmarks[2].image) = (landmarks[2].image, landmarks[1].image);
        let fit = Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("it fits, badly");
        assert!(fit.is_inconsistent() && fit.set_aside.is_empty());
    }

    #[test]
    fn the_bend_of_a_lens_is_found_where_landmarks_allow() {
        let camera = near_side(-0.15);
        let assumed = Lens { k1: 0.0, ..camera.lens };
        let landmarks = clicked(&camera, &[&GRID[..], &IN_THE_MIDDLE].concat());
        assert!(
            Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("it fits, badly").is_inconsistent()
        );
        let fit = Calibration::fit(&landmarks, 1.0, Optics::Fitted(assumed)).expect("eleven landmarks");
        let sigma = fit.homography.k1_sigma().expect("it was fitted");
        assert!(!fit.is_inconsistent() && sigma < 0.02, "{sigma}");
        assert!((fit.homography.lens.k1 + 0.15).abs() < 3.0 * sigma, "{:?}", fit.homography.lens);
        let few = Calibration::fit(&landmarks[..5], 1.0, Optics::Fitted(assumed));
        assert_eq!(few, Err(Error::TooFewLandmarks { given: 5, needed: 6 }));
    }
}
