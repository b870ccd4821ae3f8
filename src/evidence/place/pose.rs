//! Where a camera stands and looks, from landmarks of the field and above it.
//!
//! One camera with its full pose is half of what places a point in the air. The start is taken from the ground's
//! homography (the first two columns of its matrix are two axes of the hall, Zhang 2000; Hartley & Zisserman, 2nd ed.,
//! example 8.18 for the focal length), or from the linear solution for places in space (the same, 7.1); the
//! pose is the least sum of squared pixels (7.2), its covariance σ² (JᵀJ)⁻¹.

mod start;

use super::camera::Camera;
use super::homography::INCONSISTENT;
use super::least_squares::{Normal, minimise};
use super::lens::Lens;
use crate::error::{Error, MOST_LANDMARKS};
use crate::place::point::{Pixel, Space};
use nalgebra::{Matrix2, Matrix2x3, Rotation3, SMatrix, SVector, Vector2, Vector3};
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// A place of the hall, on the ground or above it, and where it stands in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    pub image: Pixel,
    pub place: Space,
}

/// Whether the focal length is known. Centre and distortion are always taken from the lens; pixels are square.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Focal {
    /// Taken from the lens.
    Known,
    /// Fitted, starting from the lens's.
    Free,
}

/// The unknowns: a small turn (3, radians, camera axes), the position (3, yards), the logarithm of the focal length.
pub(crate) const UNKNOWNS: usize = 7;

/// A camera with the errors of its pose.
#[derive(Debug, Clone, PartialEq)]
pub struct Posed {
    pub camera: Camera,
    /// Of the unknowns: turn (radians, camera axes), position (yards), logarithm of the focal length.
    pub covariance: SMatrix<f64, UNKNOWNS, UNKNOWNS>,
    /// From where the pose puts each landmark to where it was clicked, in pixels.
    pub residuals: Vec<Vector2<f64>>,
    /// How probable residuals of this size are for the stated noise; `None` where nothing is left over to tell.
    pub consistency: Option<f64>,
}

/// A place in a picture with all derivatives.
struct Seen {
    pixel: Pixel,
    by_place: Matrix2x3<f64>,
    by_unknown: SMatrix<f64, 2, UNKNOWNS>,
}

fn see(camera: &Camera, place: Space) -> Option<Seen> {
    let seen = camera.seen_from(place);
    let pixel = camera.project(place)?;
    let by_place = camera.slope(place)?;
    let by_seen = by_place * camera.rotation.inverse().matrix();
    let mut by_unknown = SMatrix::<f64, 2, UNKNOWNS>::zeros();
    by_unknown.fixed_view_mut::<2, 3>(0, 0).copy_from(&(-by_seen * seen.cross_matrix()));
    by_unknown.fixed_view_mut::<2, 3>(0, 3).copy_from(&-by_place);
    by_unknown.set_column(6, &(pixel.vector() - camera.lens.center.vector()));
    Some(Seen { pixel, by_place, by_unknown })
}

fn moved(camera: &Camera, step: &SVector<f64, UNKNOWNS>) -> Camera {
    let turn = Rotation3::new(Vector3::new(step[0], step[1], step[2]));
    let shift = Vector3::new(step[3], step[4], step[5]);
    Camera {
        rotation: turn * camera.rotation,
        position: Space::from(camera.position.vector() + shift),
        lens: Lens { focal_px: camera.lens.focal_px * step[6].exp(), ..camera.lens },
    }
}

impl Posed {
    /// A camera whose pose is taken as exact, as from a calibration that was made elsewhere.
    pub fn exact(camera: Camera) -> Posed {
        Posed { camera, covariance: SMatrix::zeros(), residuals: Vec::new(), consistency: None }
    }

    /// Fits the pose to landmarks with this noise.
    ///
    /// # Errors
    /// [`Error`] says what is missing or wrong.
    pub fn fit(sights: &[Sight], sigma_px: f64, lens: Lens, focal: Focal) -> Result<Posed, Error> {
        if sights.len() > MOST_LANDMARKS {
            return Err(Error::TooManyLandmarks(sights.len()));
        }
        if let Some(bad) =
            sights.iter().position(|sight| !(sight.image.is_finite() && sight.place.is_finite()))
        {
            return Err(Error::LandmarkNotFinite(bad + 1));
        }
        if !(sigma_px >= 0.0 && sigma_px.is_finite()) {
            return Err(Error::LandmarkSigma);
        }
        let start = start::camera(sights, lens, focal)?;
        let normal = |camera: &Camera| {
            let mut normal = Normal::<UNKNOWNS>::zero();
            for sight in sights {
                let seen = see(camera, sight.place)?;
                normal.add(&(seen.pixel.vector() - sight.image.vector()), &seen.by_unknown);
            }
            if focal == Focal::Known {
                normal.hold(6);
            }
            Some(normal)
        };
        let camera = minimise(start, normal, moved).ok_or(Error::NoCameraView)?;
        let least = normal(&camera).ok_or(Error::NoCameraView)?;
        let mut covariance = least.inverse().ok_or(Error::NoFocal)? * (sigma_px * sigma_px);
        let unknowns = match focal {
            Focal::Known => {
                covariance[(6, 6)] = 0.0;
                6
            }
            Focal::Free => UNKNOWNS,
        };
        if camera.position.z <= 0.0 {
            return Err(Error::NoCameraView);
        }
        let off = |sight: &Sight| Some(sight.image.vector() - camera.project(sight.place)?.vector());
        let residuals = sights.iter().map(off).collect::<Option<_>>().ok_or(Error::NoCameraView)?;
        let spread = ChiSquared::new((2 * sights.len()).saturating_sub(unknowns) as f64).ok();
        let consistency =
            spread.filter(|_| sigma_px > 0.0).map(|spread| spread.sf(least.cost / (sigma_px * sigma_px)));
        Ok(Posed { camera, covariance, residuals, consistency })
    }

    /// Whether the residuals are larger than the landmarks' noise explains.
    pub fn is_inconsistent(&self) -> bool {
        self.consistency.is_some_and(|probability| probability < INCONSISTENT)
    }

    /// Where a place stands in the picture; with the slope by the place (pixels per yard) and the covariance that
    /// the pose alone leaves (pixels²).
    pub fn image(&self, place: Space) -> Option<(Pixel, Matrix2x3<f64>, Matrix2<f64>)> {
        let seen = see(&self.camera, place)?;
        let covariance = seen.by_unknown * self.covariance * seen.by_unknown.transpose();
        Some((seen.pixel, seen.by_place, covariance))
    }

    /// The covariance of the position, in yards².
    pub fn position_covariance(&self) -> nalgebra::Matrix3<f64> {
        self.covariance.fixed_view::<3, 3>(3, 3).into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lens() -> Lens {
        Lens { focal_px: 800.0, center: Pixel::new(639.5, 359.5), k1: -0.05, k2: 0.0 }
    }

    fn truth() -> Camera {
        Camera::look_at(Space::new(12.5, -14.0, 9.0), Space::new(12.5, 11.0, 0.0), 0.05, lens())
            .expect("ahead")
    }

    fn seen(places: &[(f64, f64, f64)]) -> Vec<Sight> {
        let sight = |(x, y, z): &(f64, f64, f64)| {
            let place = Space::new(*x, *y, *z);
            Sight { image: truth().project(place).expect("ahead"), place }
        };
        places.iter().map(sight).collect()
    }

    const GROUND: [(f64, f64, f64); 4] =
        [(0.0, 0.0, 0.0), (25.0, 0.0, 0.0), (25.0, 27.0, 0.0), (0.0, 27.0, 0.0)];
    const RAISED: [(f64, f64, f64); 6] = [
        (0.0, 27.0, 1.3),
        (25.0, 27.0, 1.3),
        (25.0, 0.0, 1.3),
        (5.0, 12.0, 3.0),
        (0.0, 0.0, 0.0),
        (20.0, 15.0, 2.0),
    ];

    #[test]
    fn exact_clicks_give_the_true_pose_from_ground_from_air_or_both() {
        let mut guess = lens();
        guess.focal_px = 1000.0;
        for (places, lens, focal) in [
            (GROUND.to_vec(), lens(), Focal::Known),
            (GROUND.to_vec(), guess, Focal::Free),
            (RAISED.to_vec(), lens(), Focal::Known),
            (RAISED.to_vec(), guess, Focal::Free),
            ([&GROUND[..], &RAISED[..4]].concat(), guess, Focal::Free),
        ] {
            let posed = Posed::fit(&seen(&places), 1.0, lens, focal).expect("enough landmarks");
            let off = (posed.camera.position.vector() - truth().position.vector()).norm();
            assert!(off < 1e-6, "{} landmarks, {focal:?}: {off} yd off", places.len());
            let turned = posed.camera.rotation.matrix() - truth().rotation.matrix();
            assert!(turned.norm() < 1e-7, "{turned}");
            assert!((posed.camera.lens.focal_px - 800.0).abs() < 1e-4);
            assert!(posed.consistency.is_none_or(|probability| probability > 0.999));
        }
    }

    #[test]
    fn what_gives_no_pose_is_refused_in_words() {
        let refused = |sights: &[Sight], focal| {
            Posed::fit(sights, 1.0, lens(), focal).map(|_| ()).expect_err("no pose").to_string()
        };
        assert_eq!(
            refused(&seen(&RAISED[..5]), Focal::Known),
            "5 landmarks, 1 of them on the ground: it takes four on the ground, or six in all that are not all on \
             one plane"
        );
        let line: Vec<_> = (0..5).map(|step| (f64::from(step), 5.0, 0.0)).collect();
        assert!(refused(&seen(&line), Focal::Known).contains("lie on one line"));
        let mut nan = seen(&GROUND);
        nan[2].place.z = f64::NAN;
        assert_eq!(refused(&nan, Focal::Known), "landmark 3 has a coordinate that is not a finite number");
        // A picture taken straight down does not tell height from focal length.
        let down: Vec<Sight> = seen(&GROUND)
            .into_iter()
            .map(|sight| Sight {
                image: Pixel::new(
                    639.5 + 20.0 * (sight.place.x - 12.0),
                    359.5 - 20.0 * (sight.place.y - 13.0),
                ),
                ..sight
            })
            .collect();
        assert!(refused(&down, Focal::Free).contains("the focal length cannot be found from this view"));
    }

    #[test]
    fn a_wrong_landmark_makes_a_pose_inconsistent() {
        let mut sights = seen(&[&GROUND[..], &RAISED].concat());
        sights.remove(8);
        sights[5].image.x += 25.0;
        let posed = Posed::fit(&sights, 1.0, lens(), Focal::Known).expect("enough landmarks");
        assert!(posed.is_inconsistent());
    }
}
