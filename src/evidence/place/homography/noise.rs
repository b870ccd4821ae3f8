//! How well landmarks were clicked: all alike, or each with its own error.
//!
//! A residual counts by its own standard error (weighted least squares, the maximum likelihood for independent normal
//! noise of different sizes; Hartley & Zisserman, *Multiple View Geometry*, 2nd ed., 4.3). The sums stay in pixels: a
//! weight is the root mean square of all standard errors over that of the one, and 1 where all are alike.

use super::start::unknowns;
use super::{Landmark, Optics, start};
use crate::error::Error;

/// The standard deviation of clicks on landmarks, in each direction, in pixels.
#[derive(Debug, Clone, Copy)]
pub enum Noise<'a> {
    Every(f64),
    /// In the order of the landmarks.
    Each(&'a [f64]),
}

impl From<f64> for Noise<'_> {
    fn from(sigma_px: f64) -> Self {
        Noise::Every(sigma_px)
    }
}

impl<'a> From<&'a [f64]> for Noise<'a> {
    fn from(sigmas_px: &'a [f64]) -> Self {
        Noise::Each(sigmas_px)
    }
}

/// Landmarks that may be fitted, and how much each counts.
#[derive(Debug, Clone)]
pub(super) struct Weighed {
    pub(super) landmarks: Vec<Landmark>,
    pub(super) weights: Vec<f64>,
    /// The standard error of weight 1.
    pub(super) sigma_px: f64,
}

impl Weighed {
    /// Landmarks with their noise, if they can fix a map.
    pub(super) fn new(landmarks: &[Landmark], noise: Noise<'_>, optics: Optics) -> Result<Weighed, Error> {
        let (sigma_px, weights) = match noise {
            Noise::Every(sigma_px) => (sigma_px, vec![1.0; landmarks.len()]),
            Noise::Each(sigmas_px) => {
                let usable = sigmas_px.iter().all(|sigma| (1e-9..1e100).contains(sigma));
                if sigmas_px.len() != landmarks.len() || !usable {
                    return Err(Error::EachLandmarkSigma(landmarks.len()));
                }
                let count = sigmas_px.len().max(1) as f64;
                let mean = (sigmas_px.iter().map(|sigma| sigma * sigma).sum::<f64>() / count).sqrt();
                (mean, sigmas_px.iter().map(|sigma| mean / sigma).collect())
            }
        };
        start::check(landmarks, sigma_px, optics)?;
        Ok(Weighed { landmarks: landmarks.to_vec(), weights, sigma_px })
    }

    /// The landmarks without some, if the rest can fix a map.
    pub(super) fn without(&self, out: &[usize], optics: Optics) -> Option<Weighed> {
        let rest = self.rest(out);
        start::check(&rest.landmarks, self.sigma_px, optics).ok().map(|()| rest)
    }

    /// As [`Weighed::without`], down to as few as there are unknowns: nothing need be left over that shows a mistake.
    pub(super) fn less(&self, out: &[usize], optics: Optics) -> Option<Weighed> {
        let rest = self.rest(out);
        let enough = 2 * rest.landmarks.len() >= unknowns(optics);
        start::fixes(&rest.landmarks, optics).ok().filter(|()| enough).map(|()| rest)
    }

    fn rest(&self, out: &[usize]) -> Weighed {
        let all = self.landmarks.iter().copied().zip(self.weights.iter().copied()).enumerate();
        let kept = all.filter(|(index, _)| !out.contains(index)).map(|(_, one)| one);
        let (landmarks, weights) = kept.unzip();
        Weighed { landmarks, weights, sigma_px: self.sigma_px }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::homography::Calibration;
    use crate::place::point::{Ground, Pixel};

    /// A picture that is the ground at 40 pixels a yard, clicked off by a known pattern.
    fn clicked(off_px: impl Fn(usize) -> f64) -> Vec<Landmark> {
        let places = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (5.0, 5.0), (2.0, 7.0), (8.0, 3.0)];
        let one = |(index, (x, y)): (usize, (f64, f64))| Landmark {
            image: Pixel::new(100.0 + 40.0 * x + off_px(index), 600.0 - 40.0 * y - 0.5 * off_px(index)),
            field: Ground::new(x, y),
        };
        places.into_iter().enumerate().map(one).collect()
    }

    #[test]
    fn a_landmark_counts_by_its_own_error() {
        let landmarks = clicked(|index| if index == 4 { 2.0 } else { 0.0 });
        let at = |noise: Noise<'_>| {
            let fit = Calibration::fit(&landmarks, noise, Optics::Straight).expect("seven landmarks");
            let image = fit.homography.image(Ground::new(5.0, 5.0)).expect("in front");
            (image.x - 300.0, fit)
        };
        let alike = at(Noise::Every(1.0));
        let mut sigmas = [1.0; 7];
        let (same, fit) = at(Noise::Each(&sigmas));
        assert_eq!((same, &fit), (alike.0, &alike.1), "all alike is all alike");
        sigmas[4] = 50.0;
        let (unsure, fit) = at(Noise::Each(&sigmas));
        assert!(alike.0 > 0.2 && unsure.abs() < 0.01, "{} {unsure}", alike.0);
        assert!(fit.set_aside.is_empty() && !fit.is_inconsistent(), "50 px explain 2");
        // A landmark of 50 px adds nothing: the rest alone know as much.
        let others: Vec<Landmark> =
            (0..7).filter(|index| *index != 4).map(|index| landmarks[index]).collect();
        let others = Calibration::fit(&others, 1.0, Optics::Straight).expect("six landmarks");
        let sigma = |fit: &Calibration| {
            fit.homography.covariance(Ground::new(4.0, 4.0), 0.0).expect("in front")[(0, 0)].sqrt()
        };
        assert!((sigma(&fit) / sigma(&others) - 1.0).abs() < 1e-3, "{} {}", sigma(&fit), sigma(&others));
    }

    #[test]
    fn noise_that_is_not_one_for_each_is_refused() {
        let landmarks = clicked(|_| 0.0);
        for sigmas in [&[1.0; 6][..], &[1.0, 1.0, 0.0, 1.0, 1.0, 1.0, 1.0], &[f64::NAN; 7]] {
            let refused = Calibration::fit(&landmarks, sigmas, Optics::Straight);
            assert_eq!(refused, Err(Error::EachLandmarkSigma(7)));
        }
    }
}
