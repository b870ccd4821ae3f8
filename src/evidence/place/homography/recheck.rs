//! Whether a saved calibration still holds for the picture of the day.

use super::{Calibration, INCONSISTENT, Landmark};
use crate::error::Error;
use nalgebra::{Cholesky, DMatrix, DVector, Vector2};
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// Landmarks of one check, at most: a few are enough.
pub(crate) const MOST_CHECKED: usize = 50;

/// What today's landmarks say of a calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct Recheck {
    /// From where the calibration puts each landmark to where it was clicked today, in pixels.
    pub off: Vec<Vector2<f64>>,
    /// How probable offsets of this size are if the camera has not moved.
    pub probability: f64,
}

impl Recheck {
    /// Whether the calibration may still be used.
    pub fn holds(&self) -> bool {
        self.probability >= INCONSISTENT
    }

    /// The mean offset, in pixels: what a small pan looks like.
    pub fn shift(&self) -> Vector2<f64> {
        self.off.iter().sum::<Vector2<f64>>() / self.off.len().max(1) as f64
    }
}

impl Calibration {
    /// Compares some of today's clicks with where this calibration puts them, by the errors of both together.
    ///
    /// # Errors
    /// [`Error`] for no landmark, too many, an unusable noise, or a landmark that this camera cannot see.
    pub fn recheck(&self, today: &[Landmark], sigma_px: f64) -> Result<Recheck, Error> {
        let count = today.len();
        if count == 0 {
            return Err(Error::TooFewLandmarks { given: 0, needed: 1 });
        }
        if count > MOST_CHECKED {
            return Err(Error::TooManyLandmarks(count));
        }
        if !(sigma_px > 0.0 && sigma_px < 1e100) {
            return Err(Error::LandmarkSigma);
        }
        if let Some(bad) = today.iter().position(|one| !(one.image.is_finite() && one.field.is_finite())) {
            return Err(Error::LandmarkNotFinite(bad + 1));
        }
        let homography = &self.homography;
        let mut slopes = DMatrix::zeros(2 * count, super::UNKNOWNS);
        let mut off = Vec::with_capacity(count);
        for (index, landmark) in today.iter().enumerate() {
            let seen = homography.see(landmark.field).ok_or(Error::NoGroundView)?;
            off.push(landmark.image.vector() - seen.pixel.vector());
            slopes.rows_mut(2 * index, 2).copy_from(&seen.by_unknown);
        }
        // The offsets share the calibration's error: B Σ Bᵀ has entries between any two of them.
        let shared = &slopes * homography.covariance * slopes.transpose();
        let noise = shared + DMatrix::identity(2 * count, 2 * count) * (sigma_px * sigma_px);
        let stacked = DVector::from_iterator(2 * count, off.iter().flat_map(|one| [one.x, one.y]));
        let factored = Cholesky::new(noise).ok_or(Error::LandmarkSigma)?;
        let square = stacked.dot(&factored.solve(&stacked));
        let spread = ChiSquared::new((2 * count) as f64).map_err(|_| Error::LandmarkSigma)?;
        Ok(Recheck { off, probability: spread.sf(square) })
    }
}
