//! Which camera would help most: the error that each would leave on a question, before anyone clicks.

use super::homography::Calibration;
use super::measure::{Line, Z95};
use super::pose::Posed;
use super::triangulate::Plane;
use crate::place::point::{Ground, Pixel, Space};
use nalgebra::{Matrix2, Matrix3};

/// The size of a picture, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    pub width: u32,
    pub height: u32,
}

impl Size {
    /// Whether a pixel lies in the picture.
    pub fn holds(self, pixel: Pixel) -> bool {
        let inside = |value: f64, size: u32| value > -0.5 && value < f64::from(size) - 0.5;
        inside(pixel.x, self.width) && inside(pixel.y, self.height)
    }
}

/// A camera's view of the ground.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    pub calibration: &'a Calibration,
    pub size: Size,
}

/// A camera's view of the hall.
#[derive(Debug, Clone, Copy)]
pub struct HallView<'a> {
    pub camera: &'a Posed,
    pub size: Size,
}

/// The error that a camera, or a pair, would leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left<C> {
    /// Index in the list of views.
    pub camera: C,
    pub sigma_yd: f64,
}

impl<C> Left<C> {
    /// Half the width of the 95 % interval, in yards.
    pub fn half_width_yd(&self) -> f64 {
        Z95 * self.sigma_yd
    }
}

/// The cameras whose picture holds a place, best first, by the error of its distance to a line for a click of this
/// noise. Only the geometry counts: whether someone blocks the view, the picture shows.
pub fn rank(views: &[View<'_>], about: Ground, line: &Line, click_sigma_px: f64) -> Vec<Left<usize>> {
    let left = |(camera, view): (usize, &View<'_>)| {
        let homography = &view.calibration.homography;
        let covariance = homography
            .image(about)
            .filter(|pixel| view.size.holds(*pixel))
            .and_then(|_| homography.covariance(about, click_sigma_px))?;
        let sigma_yd = line.past().dot(&(covariance * line.past())).max(0.0).sqrt();
        Some(Left { camera, sigma_yd })
    };
    let mut ranked: Vec<Left<usize>> = views.iter().enumerate().filter_map(left).collect();
    ranked.sort_by(|one, other| one.sigma_yd.total_cmp(&other.sigma_yd));
    ranked
}

/// The pairs of cameras whose pictures hold a place in the air, best first, by the error of its distance to a
/// plane for clicks of this noise.
pub fn rank_pairs(
    views: &[HallView<'_>],
    about: Space,
    plane: &Plane,
    click_sigma_px: f64,
) -> Vec<Left<(usize, usize)>> {
    let weight = |view: &HallView<'_>| {
        let (pixel, slope, pose) = view.camera.image(about)?;
        let noise = pose + Matrix2::identity() * (click_sigma_px * click_sigma_px);
        let weight: Matrix3<f64> = slope.transpose() * noise.try_inverse()? * slope;
        view.size.holds(pixel).then_some(weight)
    };
    let weights: Vec<Option<Matrix3<f64>>> = views.iter().map(weight).collect();
    let mut ranked = Vec::new();
    for (first, one) in weights.iter().enumerate() {
        for (second, other) in weights.iter().enumerate().skip(first + 1) {
            let both = one.zip(*other).and_then(|(one, other)| (one + other).try_inverse());
            if let Some(covariance) = both {
                ranked.push(Left { camera: (first, second), sigma_yd: plane.sigma(&covariance) });
            }
        }
    }
    ranked.sort_by(|one, other| one.sigma_yd.total_cmp(&other.sigma_yd));
    ranked
}
