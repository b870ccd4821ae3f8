//! One bad landmark among good ones: found, named, left out.
//!
//! Leaving out landmark i lowers the sum of squares by a χ² of two degrees of freedom if all are good. A landmark is
//! bad if the whole set contradicts its noise, the rest without it does not, and no other choice explains it nearly
//! as well. Several choices may explain it equally well (four landmarks on one line with few beside them, for
//! example); then all of them are left out.

use super::noise::Weighed;
use super::start::unknowns;
use super::{Calibration, Optics, Residual, refine, start};
use crate::error::Error;
use nalgebra::Vector2;
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// At most this many landmarks are left out in turn: those that are farthest off.
const CANDIDATES: usize = 12;

/// How much less than the next choice, in σ², the best one must leave to be the only one: a likelihood ratio of a
/// thousand, 2 ln 1000.
const BEYOND_DOUBT: f64 = 13.8;

/// A fit and its weighted sum of squares.
struct Choice {
    calibration: Calibration,
    squares: f64,
}

/// The fit of all landmarks, or of all but the one that contradicts the others.
pub(super) fn fit(clicked: &Weighed, optics: Optics) -> Result<Calibration, Error> {
    let sigma_px = clicked.sigma_px;
    let whole = refine::fit(clicked, optics).map(|fitted| calibration(clicked, (fitted, Vec::new()), optics));
    let enough = clicked.landmarks.len() >= start::needed(optics) + 2 && sigma_px > 0.0;
    let contradicts = whole.as_ref().map_or(true, Calibration::is_inconsistent);
    if !(enough && contradicts) {
        return whole;
    }
    let mut candidates: Vec<usize> = (0..clicked.landmarks.len()).collect();
    if let Ok(whole) = &whole {
        let off = |index: &usize| {
            let weight = clicked.weights.get(*index).map_or(0.0, |weight| weight * weight);
            whole.residuals.get(*index).map_or(0.0, |one| weight * one.off.norm_squared())
        };
        candidates.sort_by(|one, other| off(other).total_cmp(&off(one)));
    }
    candidates.truncate(CANDIDATES);
    let mut consistent: Vec<Choice> =
        candidates.into_iter().filter_map(|index| without(clicked, &[index], optics)).collect();
    consistent.sort_by(|one, other| one.squares.total_cmp(&other.squares));
    let best = consistent.first().map_or(0.0, |choice| choice.squares);
    consistent.retain(|choice| choice.squares - best < BEYOND_DOUBT * sigma_px * sigma_px);
    let mut suspects: Vec<usize> =
        consistent.iter().flat_map(|choice| choice.calibration.set_aside.clone()).collect();
    suspects.sort_unstable();
    match consistent.pop() {
        None => whole,
        Some(only) if consistent.is_empty() => Ok(only.calibration),
        // Whichever of them is bad, the rest are good. If the rest fix no map, all are kept as suspects.
        Some(_) => match without(clicked, &suspects, optics) {
            Some(rest) => Ok(rest.calibration),
            None => whole.map(|whole| Calibration { suspects, ..whole }),
        },
    }
}

/// The fit without some of the landmarks, if the rest agree.
fn without(clicked: &Weighed, out: &[usize], optics: Optics) -> Option<Choice> {
    let fitted = refine::fit(&clicked.without(out, optics)?, optics).ok()?;
    let squares = fitted.squares;
    let calibration = calibration(clicked, (fitted, out.to_vec()), optics);
    (!calibration.is_inconsistent()).then_some(Choice { calibration, squares })
}

fn calibration(
    clicked: &Weighed,
    (fitted, set_aside): (refine::Fitted, Vec<usize>),
    optics: Optics,
) -> Calibration {
    let residuals = clicked.landmarks.iter().enumerate().map(|(index, landmark)| {
        let seen =
            fitted.homography.image(landmark.field).map(|pixel| landmark.image.vector() - pixel.vector());
        // A landmark that was set aside may even lie behind the camera, infinitely far off.
        Residual { off: seen.unwrap_or(Vector2::repeat(f64::INFINITY)), used: !set_aside.contains(&index) }
    });
    let used = clicked.landmarks.len() - set_aside.len();
    let free = (2 * used).saturating_sub(unknowns(optics));
    Calibration {
        residuals: residuals.collect(),
        homography: fitted.homography,
        landmarks: clicked.landmarks.clone(),
        landmark_sigma_px: clicked.sigma_px,
        set_aside,
        suspects: Vec::new(),
        consistency: consistency(fitted.squares, clicked.sigma_px, free),
        weights: clicked.weights.clone(),
        optics,
    }
}

/// How probable a sum of squared pixels of at least this size is.
fn consistency(squares: f64, sigma_px: f64, freedom: usize) -> Option<f64> {
    let spread = ChiSquared::new(freedom as f64).ok()?;
    if sigma_px > 0.0 {
        return Some(spread.sf(squares / (sigma_px * sigma_px)));
    }
    // Landmarks that are stated as exact are exact to the digits that they are written with.
    Some(f64::from(squares <= freedom as f64 * ROUNDED_PX * ROUNDED_PX))
}

/// What is left of a pixel that is written with one digit, and a little more: 0.1 / √12 is 0.029.
const ROUNDED_PX: f64 = 0.05;
