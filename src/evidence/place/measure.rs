//! How far a point on the ground is from a line of the rules, how sure that is, and what it proves.
//!
//! First order carries the noise from picture to ground (JCGM 102, 6.2.1) while it is good enough. That is checked in
//! the picture, where the noise is: a line at offset t from the rule's line is rejected as the point's own place by
//! z(t), the smallest distance of the click from that line's image in standard errors. The offsets with `|z| ≤ 1.96`
//! are the exact 95 % interval, as of Fieller (1954) for a quotient; it may be lopsided, or open where the view is
//! flat. Where its ends differ from those of first order by more than a tenth of the half width, it is the interval
//! that counts, and Φ(z(0)) is the probability.

pub(crate) mod interval;
pub mod judged;
pub mod text;

use super::homography::Calibration;
use crate::error::Error;
use crate::place::point::{Ground, Pixel};
use nalgebra::{Matrix2, Vector2};

/// A straight line of the ground with a side that counts as past it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    on: Ground,
    /// Of length 1.
    along: Vector2<f64>,
    /// Square to the line, toward the side that is past, of length 1.
    past: Vector2<f64>,
}

impl Line {
    /// The line through two points; past it is the side of the third.
    ///
    /// # Errors
    /// [`Error`] if the points give no line or no side.
    pub fn new(through: [Ground; 2], past: Ground) -> Result<Line, Error> {
        let [from, to] = through;
        let usable = |point: Ground| point.is_finite() && point.vector().amax() < 1e100;
        if ![from, to, past].into_iter().all(usable) {
            return Err(Error::LineNotFinite);
        }
        let along = (to.vector() - from.vector()).try_normalize(1e-9).ok_or(Error::LineThroughOnePoint)?;
        let left = Vector2::new(-along.y, along.x);
        let side = left.dot(&(past.vector() - from.vector()));
        if side.abs() < 1e-9 {
            return Err(Error::LineWithoutSide);
        }
        Ok(Line { on: from, along, past: left * side.signum() })
    }

    /// How far a place is past the line, in yards; negative short of it.
    pub fn distance(&self, place: Ground) -> f64 {
        self.past.dot(&(place.vector() - self.on.vector()))
    }

    /// A point on the line.
    pub fn on(&self) -> Ground {
        self.on
    }

    /// The direction square to the line, toward the side that is past, of length 1.
    pub fn past(&self) -> Vector2<f64> {
        self.past
    }
}

/// A click on a point that touches the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Click {
    pub image: Pixel,
    /// Standard deviation in each direction, in pixels.
    pub sigma_px: f64,
}

/// A place on the ground with its error.
#[derive(Debug, Clone, PartialEq)]
pub struct Located {
    pub click: Click,
    pub place: Ground,
    /// Of first order, from the noise of landmarks and click, in yards².
    pub covariance: Matrix2<f64>,
    /// Whether it lies within the landmarks; outside, everything is extrapolated.
    pub inside_landmarks: bool,
}

/// A distance to a line with its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// Past the line; negative short of it.
    pub yd: f64,
    /// Standard error: of first order, or where that is not good enough the half width of the interval / 1.96,
    /// infinite where the interval is open.
    pub sigma_yd: f64,
    /// Ends of the 95 % interval, in yards; infinite where the view is too flat to say.
    pub interval_yd: [f64; 2],
    pub past_probability: f64,
    /// Whether first order was good enough.
    pub first_order: bool,
}

/// The quantile of the standard normal that has 97.5 % below it.
pub const Z95: f64 = 1.959_963_984_540_054;

/// The place on the ground that a click shows.
///
/// # Errors
/// [`Error`] if the click is not finite, or shows no place of the ground.
pub fn locate(calibration: &Calibration, click: Click) -> Result<Located, Error> {
    if !(click.image.is_finite() && click.sigma_px >= 0.0 && click.sigma_px < 1e100) {
        return Err(Error::ClickNotFinite);
    }
    let place = calibration.homography.ground(click.image).ok_or(Error::Horizon)?;
    let covariance = calibration.homography.covariance(place, click.sigma_px).ok_or(Error::Horizon)?;
    let inside_landmarks = calibration.is_inside(place);
    Ok(Located { click, place, covariance, inside_landmarks })
}

impl Located {
    /// How far the point is past a line. `calibration` is the one that located it.
    pub fn distance_to(&self, line: &Line, calibration: &Calibration) -> Distance {
        let yd = line.distance(self.place);
        let sigma_yd = line.past.dot(&(self.covariance * line.past)).max(0.0).sqrt();
        let rejected = Rejected { located: self, line, calibration };
        interval::distance(yd, sigma_yd, |offset| rejected.z(offset))
    }
}

impl Distance {
    /// Whether the view is too flat to say how far it is.
    pub(crate) fn is_too_flat(&self) -> bool {
        !self.sigma_yd.is_finite()
    }
}

/// How strongly a click rejects that its point lies at some offset from a line.
struct Rejected<'a> {
    located: &'a Located,
    line: &'a Line,
    calibration: &'a Calibration,
}

impl Rejected<'_> {
    /// By how many standard errors the click lies past the line at this offset from the rule's line; `None` where
    /// that line is not in front of the camera.
    fn z(&self, offset: f64) -> Option<f64> {
        let homography = &self.calibration.homography;
        let (click, line) = (self.located.click, self.line);
        let mut place =
            self.located.place.vector() + (offset - line.distance(self.located.place)) * line.past;
        let mut z = 0.0;
        // The nearest point of the line's image in standard errors: one step where all is straight, few otherwise.
        for _ in 0..12 {
            let at = Ground::from(place);
            let off = click.image.vector() - homography.image(at)?.vector();
            let slope = homography.slope(at)?;
            let noise =
                homography.image_covariance(at)? + Matrix2::identity() * (click.sigma_px * click.sigma_px);
            let weight = noise.try_inverse()?;
            let (along, past) = (slope * line.along, slope * line.past);
            let stiff = along.dot(&(weight * along));
            let step = along.dot(&(weight * off)) / stiff;
            let square = past - along * (along.dot(&(weight * past)) / stiff);
            z = square.dot(&(weight * off)) / square.dot(&(weight * square)).sqrt();
            if !(z.is_finite() && step.is_finite()) {
                return None;
            }
            place += step * line.along;
            if step.abs() <= 1e-6 {
                break;
            }
        }
        Some(z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every kind of interval, at any probability.
    #[test]
    fn an_interval_that_is_open_or_holds_the_line_goes_with_no_verdict() {
        let (sure, far) = (0.999_9, [0.5, 1.5]);
        for (interval_yd, sigma_yd, past_probability, word) in [
            (far, 0.25, sure, "established"),
            ([-1.5, -0.5], 0.25, 1.0 - sure, "refuted"),
            (far, 0.25, 0.98, "inconclusive"),
            ([-0.1, 1.5], 0.4, sure, "inconclusive"),
            ([0.0, 1.5], 0.4, sure, "inconclusive"),
            ([-1.5, 0.2], 0.4, 1.0 - sure, "inconclusive"),
            ([0.5, f64::INFINITY], f64::INFINITY, sure, "inconclusive"),
            ([f64::NEG_INFINITY, -0.5], f64::INFINITY, 1.0 - sure, "inconclusive"),
            ([f64::NEG_INFINITY, f64::INFINITY], f64::INFINITY, sure, "inconclusive"),
            ([f64::NAN, 1.5], 0.25, sure, "inconclusive"),
            (far, f64::NAN, sure, "inconclusive"),
            // A point and landmarks without any error are no measurement.
            ([1.0, 1.0], 0.0, 1.0, "inconclusive"),
        ] {
            let yd = 0.5 * (interval_yd[0] + interval_yd[1]);
            let distance = Distance { yd, sigma_yd, interval_yd, past_probability, first_order: false };
            assert_eq!(distance.verdict(0.99).word(), word, "{distance:?}");
        }
    }
}
