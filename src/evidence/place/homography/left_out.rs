//! The same fit without each of its landmarks in turn: what the others say, and whether a mistake in one would show.
//!
//! A mistake in one landmark shows in the residuals only as far as the others fix where it should be. Where they do
//! not (four landmarks; two beside three on one line) it goes into the map whole. The fit without the bad landmark is
//! right whatever the mistake, so what all of these fits agree on holds where at most one landmark is bad (the
//! internal and external reliability of Baarda, *A Testing Procedure for Use in Geodetic Networks*, 1968, applied to
//! each in turn).

use super::noise::Weighed;
use super::start::unknowns;
use super::{Calibration, Residual, refine};

/// The fit without one of its landmarks.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Counted from 0.
    pub landmark: usize,
    /// By the others; `None` where they fix no map, so that a mistake in this one would not show.
    pub fit: Option<Box<Calibration>>,
}

impl Calibration {
    /// The fits without each landmark that this one uses.
    pub(crate) fn each_left_out(&self) -> Vec<LeftOut> {
        let used = self.residuals.iter().enumerate().filter(|(_, residual)| residual.used);
        used.map(|(landmark, _)| LeftOut { landmark, fit: self.without(landmark).map(Box::new) }).collect()
    }

    fn without(&self, landmark: usize) -> Option<Calibration> {
        let clicked = Weighed {
            landmarks: self.landmarks.clone(),
            weights: self.weights.clone(),
            sigma_px: self.landmark_sigma_px,
        };
        let is_out = |index: usize| self.residuals.get(index).is_none_or(|residual| !residual.used);
        let out: Vec<usize> =
            (0..self.landmarks.len()).filter(|index| *index == landmark || is_out(*index)).collect();
        let fitted = refine::fit(&clicked.less(&out, self.optics)?, self.optics).ok()?;
        let residuals = self.residuals.iter().enumerate();
        let residuals = residuals
            .map(|(index, residual)| Residual { used: residual.used && index != landmark, ..*residual })
            .collect();
        Some(Calibration { homography: fitted.homography, residuals, consistency: None, ..self.clone() })
    }

    /// Whether there are no more landmarks in use than the unknowns need. Such a fit has no residuals.
    pub fn always_fits(&self) -> bool {
        let used = self.residuals.iter().filter(|residual| residual.used).count();
        2 * used <= unknowns(self.optics)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::homography::Landmark;
    use crate::place::homography::Optics;
    use crate::place::point::{Ground, Pixel};

    /// Places of the ground, seen at 40 pixels a yard from straight above.
    fn fit(places: &[(f64, f64)]) -> Calibration {
        let one = |(x, y): &(f64, f64)| Landmark {
            image: Pixel::new(100.0 + 40.0 * x, 600.0 - 40.0 * y),
            field: Ground::new(*x, *y),
        };
        let landmarks: Vec<Landmark> = places.iter().map(one).collect();
        Calibration::fit(&landmarks, 1.0, Optics::Straight).expect("they fix a map")
    }

    #[test]
    fn a_landmark_is_checked_where_the_others_fix_a_map_without_it() {
        const CORNERS: [(f64, f64); 4] = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let unchecked = |more: &[(f64, f64)]| -> Vec<usize> {
            let left_out = fit(&[&CORNERS[..], more].concat()).each_left_out();
            left_out.iter().filter(|one| one.fit.is_none()).map(|one| one.landmark).collect()
        };
        assert_eq!(unchecked(&[]), [0, 1, 2, 3]);
        // A third one on a side: nothing says where those of the other side lie along it.
        assert_eq!(unchecked(&[(5.0, 0.0)]), [2, 3]);
        // On both diagonals: nothing says how far along a diagonal a corner lies.
        assert_eq!(unchecked(&[(5.0, 5.0)]), [0, 1, 2, 3]);
        assert!(unchecked(&[(3.0, 6.0)]).is_empty());
        assert!(unchecked(&[(5.0, 0.0), (5.0, 10.0)]).is_empty());
        assert!(fit(&CORNERS).always_fits() && !fit(&[&CORNERS[..], &[(3.0, 6.0)]].concat()).always_fits());
    }

    #[test]
    fn what_the_others_say_does_not_hang_on_the_one_that_is_left_out() {
        let places = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (3.0, 6.0), (6.0, 2.0)];
        let mut bad = fit(&places);
        let good = bad.clone();
        bad.landmarks[4].image.x += 3.0;
        let at = Pixel::new(300.0, 300.0);
        let without = |fit: &Calibration| {
            let left_out = fit.each_left_out().swap_remove(4);
            left_out.fit.and_then(|fit| fit.homography.ground(at)).expect("the others fix a map")
        };
        assert_eq!(without(&bad), without(&good));
        assert_eq!(bad.each_left_out().len(), 6);
    }
}
