//! The maximum-likelihood fit: the least sum of squared pixels, and the covariance that goes with it.

use super::noise::Weighed;
use super::{Homography, Optics, UNKNOWNS, start};
use crate::error::Error;
use crate::place::least_squares::{Normal, minimise};
use nalgebra::{SMatrix, SVector};

/// A fit that uses every landmark, and its weighted sum of squared pixels.
pub(super) struct Fitted {
    pub(super) homography: Homography,
    pub(super) squares: f64,
}

pub(super) fn fit(clicked: &Weighed, optics: Optics) -> Result<Fitted, Error> {
    let lens = start::lens(optics);
    let (matrix, field, ideal) = start::linear(&clicked.landmarks, &lens).ok_or(Error::NoGroundView)?;
    let linear = Homography { lens, matrix, field, ideal, covariance: SMatrix::zeros() };
    let holds_k1 = match optics {
        Optics::Straight | Optics::Known(_) => true,
        Optics::Fitted(_) => false,
    };
    let normal = |at: &Homography| {
        let mut normal = Normal::<UNKNOWNS>::zero();
        for (landmark, weight) in clicked.landmarks.iter().zip(&clicked.weights) {
            let seen = at.see(landmark.field)?;
            let off = seen.pixel.vector() - landmark.image.vector();
            normal.add(&(off * *weight), &(seen.by_unknown * *weight));
        }
        if holds_k1 {
            normal.hold(8);
        }
        Some(normal)
    };
    let mut best = minimise(linear, normal, moved).ok_or(Error::NoGroundView)?;
    let normal = normal(&best).ok_or(Error::NoGroundView)?;
    let mut covariance = normal.inverse().ok_or(Error::NoGroundView)? * (clicked.sigma_px * clicked.sigma_px);
    if holds_k1 {
        covariance[(8, 8)] = 0.0;
    }
    best.covariance = covariance;
    Ok(Fitted { homography: best, squares: normal.cost })
}

fn moved(from: &Homography, step: &SVector<f64, UNKNOWNS>) -> Homography {
    let mut to = from.clone();
    for entry in 0..8 {
        to.matrix[(entry / 3, entry % 3)] += step[entry];
    }
    to.lens.k1 += step[8];
    to
}
