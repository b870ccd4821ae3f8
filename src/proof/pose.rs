//! Where a camera stands and looks, from landmarks of the field and above it.
//!
//! One camera with its full pose is half of what places a point in the air. The start is taken from the ground's
//! homography (the first two columns of its matrix are two axes of the hall, Zhang 2000; Hartley & Zisserman, 2nd ed.,
//! example 8.18 for the focal length), or from the linear solution for places in space (the same, 7.1); the
//! pose is the least sum of squared pixels (7.2), its covariance σ² (JᵀJ)⁻¹.

mod start;

use super::camera::Camera;
use super::homography::{INCONSISTENT, MOST_LANDMARKS, NoFit};
use super::least_squares::{Normal, minimise};
use super::lens::Lens;
use super::place::{Pixel, Space};
use nalgebra::{Matrix2, Matrix2x3, Rotation3, SMatrix, SVector, Vector2, Vector3};
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// A place of the hall, on the ground or above it, and where it stands in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// In the picture.
    pub image: Pixel,
    /// In the hall.
    pub place: Space,
}

/// Whether the focal length is known. Centre and distortion are always taken from the lens; pixels are square.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Focal {
    /// It is the lens's.
    Known,
    /// It is fitted, starting from the lens's.
    Free,
}

/// The unknowns: a small turn (3, radians, camera axes), the position (3, yards), the logarithm of the focal length.
pub(super) const UNKNOWNS: usize = 7;

/// A camera with the errors of its pose.
#[derive(Debug, Clone, PartialEq)]
pub struct Posed {
    /// The camera.
    pub camera: Camera,
    /// Of the unknowns: turn (radians, camera axes), position (yards), logarithm of the focal length.
    pub covariance: SMatrix<f64, UNKNOWNS, UNKNOWNS>,
    /// From where the pose puts each landmark to where it was clicked, in pixels.
    pub residuals: Vec<Vector2<f64>>,
    /// How probable residuals of this size are for the stated noise; `None` where nothing is left over to tell.
    pub consistency: Option<f64>,
}

/// Why landmarks do not give a pose.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoPose {
    /// Neither enough on the ground nor enough in all.
    #[error(
        "{given} landmarks, {on_ground} of them on the ground: it takes four on the ground, or six in all that are \
         not all on one plane"
    )]
    TooFew {
        /// In all.
        given: usize,
        /// With height zero.
        on_ground: usize,
    },
    /// What is wrong with them, as for a homography.
    #[error(transparent)]
    Landmarks(#[from] NoFit),
    /// The view says nothing of the focal length.
    #[error("this view does not tell the focal length: give it, or click landmarks above the ground too")]
    NoFocal,
    /// No camera sees them so.
    #[error("no camera above the ground sees the landmarks so: check which place each one is")]
    NoView,
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

    /// The pose that landmarks with this noise show.
    ///
    /// # Errors
    /// [`NoPose`] says what is missing or wrong.
    pub fn fit(sights: &[Sight], sigma_px: f64, lens: Lens, focal: Focal) -> Result<Posed, NoPose> {
        if sights.len() > MOST_LANDMARKS {
            return Err(NoFit::TooMany(sights.len()).into());
        }
        if let Some(bad) =
            sights.iter().position(|sight| !(sight.image.is_finite() && sight.place.is_finite()))
        {
            return Err(NoFit::NotFinite(bad + 1).into());
        }
        if !(sigma_px >= 0.0 && sigma_px.is_finite()) {
            return Err(NoFit::Sigma.into());
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
        let camera = minimise(start, normal, moved).ok_or(NoPose::NoView)?;
        let least = normal(&camera).ok_or(NoPose::NoView)?;
        let mut covariance = least.inverse().ok_or(NoPose::NoFocal)? * (sigma_px * sigma_px);
        let unknowns = match focal {
            Focal::Known => {
                covariance[(6, 6)] = 0.0;
                6
            }
            Focal::Free => UNKNOWNS,
        };
        if camera.position.z <= 0.0 {
            return Err(NoPose::NoView);
        }
        let off = |sight: &Sight| Some(sight.image.vector() - camera.project(sight.place)?.vector());
        let residuals = sights.iter().map(off).collect::<Option<_>>().ok_or(NoPose::NoView)?;
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
