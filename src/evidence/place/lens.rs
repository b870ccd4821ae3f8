//! What a lens does to a picture: scale, centre, and radial distortion.
//!
//! The model is the usual polynomial one (Brown 1971; Hartley & Zisserman, *Multiple View Geometry*, 2nd ed.,
//! 7.4): with r the distance from the axis in units of the focal length, what would stand at r stands at
//! r (1 + k1 r² + k2 r⁴). It is used only as far out as it still grows with r.

use crate::error::Error;
use crate::place::point::Pixel;
use nalgebra::{Matrix2, Vector2};

/// Square pixels, one focal length, and two coefficients of radial distortion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    pub focal_px: f64,
    /// Where the axis meets the picture.
    pub center: Pixel,
    /// Coefficient of r²; negative for a barrel.
    pub k1: f64,
    /// Coefficient of r⁴.
    pub k2: f64,
}

impl Lens {
    /// A lens without distortion.
    pub const fn straight(focal_px: f64, center: Pixel) -> Lens {
        Lens { focal_px, center, k1: 0.0, k2: 0.0 }
    }

    /// The same lens, if its figures are usable.
    ///
    /// # Errors
    /// [`Error`] for a focal length that is not positive, or a figure that is not finite.
    pub fn checked(self) -> Result<Lens, Error> {
        if !(self.focal_px > 0.0 && self.focal_px.is_finite()) {
            return Err(Error::LensFocal);
        }
        if !(self.center.is_finite() && self.k1.is_finite() && self.k2.is_finite()) {
            return Err(Error::LensNotFinite);
        }
        Ok(self)
    }

    /// The square of the distance from the axis, in focal lengths, up to which the polynomial grows: the
    /// smallest positive root of 1 + 3 k1 s + 5 k2 s².
    fn reach(&self) -> f64 {
        let (a, b) = (5.0 * self.k2, 3.0 * self.k1);
        if a == 0.0 {
            return if b < 0.0 { -1.0 / b } else { f64::INFINITY };
        }
        let inside = b * b - 4.0 * a;
        if inside < 0.0 {
            return f64::INFINITY;
        }
        // The stable pair of roots: q / a and 1 / q.
        let q = -0.5 * (b + inside.sqrt().copysign(if b == 0.0 { 1.0 } else { b }));
        [q / a, 1.0 / q].into_iter().filter(|root| *root > 0.0).fold(f64::INFINITY, f64::min)
    }

    /// Where a direction, given as (x / z, y / z) before the lens, stands in the picture; `None` where the
    /// model no longer holds.
    pub(crate) fn distort(&self, ideal: Vector2<f64>) -> Option<Pixel> {
        let s = ideal.norm_squared();
        if !(s.is_finite() && s < self.reach()) {
            return None;
        }
        let scale = 1.0 + s * (self.k1 + s * self.k2);
        Some(Pixel::from(self.center.vector() + self.focal_px * scale * ideal))
    }

    /// The derivative of [`Lens::distort`]: pixels per unit of (x / z, y / z).
    pub fn slope(&self, ideal: Vector2<f64>) -> Matrix2<f64> {
        let s = ideal.norm_squared();
        let scale = 1.0 + s * (self.k1 + s * self.k2);
        let outward = 2.0 * (self.k1 + 2.0 * s * self.k2);
        self.focal_px * (Matrix2::identity() * scale + outward * ideal * ideal.transpose())
    }

    /// The direction (x / z, y / z) that stands at this pixel; `None` where no direction does.
    pub fn undistort(&self, pixel: Pixel) -> Option<Vector2<f64>> {
        let seen = (pixel.vector() - self.center.vector()) / self.focal_px;
        let wanted = seen.norm();
        if !wanted.is_finite() {
            return None;
        }
        if (self.k1 == 0.0 && self.k2 == 0.0) || wanted == 0.0 {
            return Some(seen);
        }
        let at = |r: f64| {
            let s = r * r;
            r * (1.0 + s * (self.k1 + s * self.k2))
        };
        // INVARIANT: the polynomial grows on [0, end], so the root there is the only one and stays bracketed.
        let (mut low, mut high) = (0.0, self.reach().sqrt());
        if high.is_infinite() {
            high = wanted.max(1.0);
            while at(high) < wanted {
                high *= 2.0;
            }
        }
        if at(high) <= wanted {
            return None;
        }
        let mut r = wanted.min(0.5 * (low + high));
        for _ in 0..60 {
            let over = at(r) - wanted;
            if over > 0.0 {
                high = r
            } else {
                low = r
            }
            let s = r * r;
            let next = r - over / (1.0 + s * (3.0 * self.k1 + 5.0 * self.k2 * s));
            let next = if next > low && next < high { next } else { 0.5 * (low + high) };
            let moved = (next - r).abs();
            r = next;
            if moved <= 1e-15 * r.max(1e-3) {
                break;
            }
        }
        Some(seen * (r / wanted))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lens(k1: f64, k2: f64) -> Lens {
        Lens { focal_px: 1400.0, center: Pixel::new(960.0, 540.0), k1, k2 }
    }

    /// `cv2.projectPoints` of (0.5, 0.3, 1) with distortion (k1, k2, 0, 0), OpenCV 5.0.0.
    #[test]
    fn distortion_is_that_of_the_usual_polynomial() {
        for (k1, k2, x, y) in
            [(0.0, 0.0, 1660.0, 960.0), (-0.2, 0.05, 1616.446, 933.8676), (0.1, 0.0, 1683.8, 974.28)]
        {
            let seen = lens(k1, k2).distort(Vector2::new(0.5, 0.3)).expect("within reach");
            assert!((seen.x - x).abs() < 1e-6 && (seen.y - y).abs() < 1e-6, "{k1} {k2}: {seen:?}");
        }
    }

    #[test]
    fn undistorting_takes_distortion_back() {
        for (k1, k2) in [(0.0, 0.0), (-0.25, 0.06), (0.2, 0.1), (-0.3, 0.0), (0.05, -0.02), (-1.0, 1.0)] {
            for step in 0..50 {
                let ideal = Vector2::new(0.0123 * f64::from(step), -0.0071 * f64::from(step));
                let Some(seen) = lens(k1, k2).distort(ideal) else { continue };
                let back = lens(k1, k2).undistort(seen).expect("it was seen");
                assert!((back - ideal).norm() < 1e-9, "{k1} {k2} {ideal}");
            }
        }
    }

    #[test]
    fn where_the_polynomial_turns_back_there_is_no_picture() {
        // 1 - 0.9 r² turns at r = 1.054; the picture reaches 0.703 there.
        assert!(lens(-0.3, 0.0).distort(Vector2::new(1.06, 0.0)).is_none());
        assert!(lens(-0.3, 0.0).undistort(Pixel::new(960.0 + 1400.0 * 0.71, 540.0)).is_none());
        assert!(lens(-0.3, 0.0).undistort(Pixel::new(960.0 + 1400.0 * 0.69, 540.0)).is_some());
        assert!(lens(0.0, 0.0).distort(Vector2::new(f64::NAN, 0.0)).is_none());
    }

    #[test]
    fn figures_that_make_no_lens_are_refused() {
        assert_eq!(Lens::straight(0.0, Pixel::new(0.0, 0.0)).checked(), Err(Error::LensFocal));
        assert_eq!(Lens::straight(f64::INFINITY, Pixel::new(0.0, 0.0)).checked(), Err(Error::LensFocal));
        assert_eq!(lens(f64::NAN, 0.0).checked(), Err(Error::LensNotFinite));
        assert!(lens(-0.2, 0.0).checked().is_ok());
    }
}
