//! The least sum of squares of a small problem, by damped Gauss–Newton steps.
//!
//! Levenberg–Marquardt with the damping rule of Nielsen (K. Madsen, H. B. Nielsen, O. Tingleff, *Methods for
//! Non-Linear Least Squares Problems*, 2nd ed., 2004, algorithm 3.16), the damping scaled by the diagonal.

use nalgebra::{Cholesky, SMatrix, SVector};

/// A problem at one point: JᵀJ, Jᵀr and rᵀr of its residuals r.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Normal<const N: usize> {
    pub(crate) matrix: SMatrix<f64, N, N>,
    pub(crate) gradient: SVector<f64, N>,
    pub(crate) cost: f64,
}

impl<const N: usize> Normal<N> {
    pub(crate) fn zero() -> Normal<N> {
        Normal { matrix: SMatrix::zeros(), gradient: SVector::zeros(), cost: 0.0 }
    }

    /// Adds some residuals with their Jacobian.
    pub(crate) fn add<const R: usize>(&mut self, residual: &SVector<f64, R>, slope: &SMatrix<f64, R, N>) {
        self.matrix += slope.tr_mul(slope);
        self.gradient += slope.tr_mul(residual);
        self.cost += residual.norm_squared();
    }

    /// Keeps one unknown where it is.
    pub(crate) fn hold(&mut self, unknown: usize) {
        self.matrix.row_mut(unknown).fill(0.0);
        self.matrix.column_mut(unknown).fill(0.0);
        self.matrix[(unknown, unknown)] = 1.0;
        self.gradient[unknown] = 0.0;
    }

    /// The inverse of JᵀJ; `None` if the residuals do not fix every unknown.
    pub(crate) fn inverse(&self) -> Option<SMatrix<f64, N, N>> {
        // Scaled to a unit diagonal first, so that the units of the unknowns do not matter.
        let scale = SVector::<f64, N>::from_fn(|row, _| self.matrix[(row, row)].sqrt().recip());
        let unit = SMatrix::<f64, N, N>::from_fn(|row, column| {
            self.matrix[(row, column)] * scale[row] * scale[column]
        });
        let inverse = Cholesky::new(unit)?.inverse();
        let inverse =
            SMatrix::<f64, N, N>::from_fn(|row, column| inverse[(row, column)] * scale[row] * scale[column]);
        inverse.iter().all(|entry| entry.is_finite()).then_some(inverse)
    }
}

/// Steps after which a problem counts as not settling. Those met so far take fewer than twenty.
const MOST_STEPS: usize = 100;

/// The point of the least sum that is reached from `start`; `None` if `start` is not possible, or no minimum is
/// reached. `normal` is `None` where a point is not possible.
pub(crate) fn minimise<S: Clone, const N: usize>(
    start: S,
    normal: impl Fn(&S) -> Option<Normal<N>>,
    moved: impl Fn(&S, &SVector<f64, N>) -> S,
) -> Option<S> {
    let mut at = start;
    let mut here = normal(&at)?;
    let (mut damping, mut growth) = (1e-4, 2.0);
    for _ in 0..MOST_STEPS {
        let mut damped = here.matrix;
        for unknown in 0..N {
            damped[(unknown, unknown)] *= 1.0 + damping;
        }
        let step = Cholesky::new(damped).map(|factored| -factored.solve(&here.gradient))?;
        // What the linear model gains by the step. Below the rounding of the cost there is nothing left to gain.
        let gain = -step.dot(&here.gradient) - 0.5 * step.dot(&(here.matrix * step));
        if !gain.is_finite() {
            return None;
        }
        if gain <= 1e-15 * here.cost + 1e-22 {
            return Some(at);
        }
        let next = moved(&at, &step);
        match normal(&next).filter(|there| there.cost < here.cost) {
            Some(there) => {
                let ratio = (here.cost - there.cost) / (2.0 * gain);
                damping *= (1.0 - (2.0 * ratio - 1.0).powi(3)).max(1.0 / 3.0);
                growth = 2.0;
                (at, here) = (next, there);
            }
            // A cost that no damping lowers is the least that the numbers can hold.
            None if damping > 1e12 => return Some(at),
            None => {
                damping *= growth;
                growth *= 2.0;
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix2, Vector2};

    /// Rosenbrock's valley: residuals 10 (y - x²) and 1 - x, from (-1.2, 1); the least is at (1, 1).
    #[test]
    fn the_bottom_of_rosenbrocks_valley_is_found() {
        let normal = |at: &Vector2<f64>| {
            let mut normal = Normal::zero();
            let slope = Matrix2::new(-20.0 * at.x, 10.0, -1.0, 0.0);
            normal.add(&Vector2::new(10.0 * (at.y - at.x * at.x), 1.0 - at.x), &slope);
            Some(normal)
        };
        let least = minimise(Vector2::new(-1.2, 1.0), normal, |at, step| at + step).expect("it settles");
        assert!((least - Vector2::new(1.0, 1.0)).norm() < 1e-7, "{least}");
    }

    #[test]
    fn an_unknown_that_nothing_fixes_has_no_inverse_unless_it_is_held() {
        let mut normal = Normal::<2>::zero();
        normal.add(&Vector2::new(1.0, 1.0), &Matrix2::new(2.0, 0.0, 0.0, 0.0));
        assert_eq!(normal.inverse(), None);
        normal.hold(1);
        assert_eq!(normal.inverse(), Some(Matrix2::new(0.25, 0.0, 0.0, 1.0)));
    }
}
