//! A camera in the hall: where a place stands in its picture, and on which ray a pixel lies.
//!
//! A pinhole with a lens (Hartley & Zisserman, *Multiple View Geometry*, 2nd ed., 6.1 and 7.4). Yards of the hall
//! frame outside; the camera's own axes are x to the right, y down, z along the view.

use super::lens::Lens;
use crate::place::point::{Ground, Pixel, Space};
use nalgebra::{Matrix2x3, Matrix3, Rotation3, Vector2, Vector3};

/// A calibrated camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Centre of projection.
    pub position: Space,
    /// From the hall frame to the camera's axes.
    pub rotation: Rotation3<f64>,
    pub lens: Lens,
}

/// All places that a pixel can show: from the camera outward.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    pub from: Space,
    /// Of length 1.
    pub toward: Vector3<f64>,
}

impl Camera {
    /// A camera at `position` whose axis goes through `target`, level, then turned clockwise as seen from behind by
    /// `roll_rad`. `None` if both places are one, or the view is straight up or down and has no level.
    pub fn look_at(position: Space, target: Space, roll_rad: f64, lens: Lens) -> Option<Camera> {
        let forward = (target.vector() - position.vector()).try_normalize(1e-12)?;
        let right = forward.cross(&Vector3::z()).try_normalize(1e-9)?;
        let down = forward.cross(&right);
        let level = Matrix3::from_rows(&[right.transpose(), down.transpose(), forward.transpose()]);
        let roll = Rotation3::from_axis_angle(&Vector3::z_axis(), -roll_rad);
        let rotation = roll * Rotation3::from_matrix_unchecked(level);
        Some(Camera { position, rotation, lens })
    }

    /// A place in the camera's own axes, in yards; z is the depth.
    pub fn seen_from(&self, place: Space) -> Vector3<f64> {
        self.rotation * (place.vector() - self.position.vector())
    }

    /// Where a place stands in the picture, which may be outside its edges; `None` behind the camera, or
    /// farther out than the lens model reaches.
    pub fn project(&self, place: Space) -> Option<Pixel> {
        self.lens.distort(ahead(self.seen_from(place))?)
    }

    /// The derivative of [`Camera::project`] by the place: pixels per yard.
    pub fn slope(&self, place: Space) -> Option<Matrix2x3<f64>> {
        let seen = self.seen_from(place);
        let ideal = ahead(seen)?;
        let perspective =
            Matrix2x3::new(1.0, 0.0, -ideal.x, 0.0, 1.0, -ideal.y) * self.rotation.matrix() / seen.z;
        Some(self.lens.slope(ideal) * perspective)
    }

    /// The ray of a pixel; `None` where the lens shows nothing.
    pub fn ray(&self, pixel: Pixel) -> Option<Ray> {
        let ideal = self.lens.undistort(pixel)?;
        let toward = self.rotation.inverse() * Vector3::new(ideal.x, ideal.y, 1.0);
        Some(Ray { from: self.position, toward: toward.normalize() })
    }

    /// The place on the ground that stands at a pixel; `None` at or above the horizon.
    pub fn ground(&self, pixel: Pixel) -> Option<Ground> {
        let ray = self.ray(pixel)?;
        let length = -ray.from.z / ray.toward.z;
        let place = Space::from(ray.from.vector() + length * ray.toward);
        (length > 0.0 && place.is_finite()).then(|| place.ground())
    }

    /// From the ground (x, y, 1) in yards to the direction before the lens, (x / z, y / z, 1) up to scale. The
    /// scale is positive: the third part is the depth in yards.
    #[cfg(test)]
    fn ground_to_ideal(&self) -> Matrix3<f64> {
        let rotation = self.rotation.matrix();
        let shift = -(rotation * self.position.vector());
        Matrix3::from_columns(&[rotation.column(0).into(), rotation.column(1).into(), shift])
    }
}

/// (x / z, y / z) of what lies ahead.
fn ahead(seen: Vector3<f64>) -> Option<Vector2<f64>> {
    // A place nearer than a micrometre is in the camera.
    (seen.z > 1e-6).then(|| seen.xy() / seen.z)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near_side() -> Camera {
        let lens = Lens { focal_px: 1100.0, center: Pixel::new(639.5, 359.5), k1: -0.12, k2: 0.02 };
        Camera::look_at(Space::new(12.5, -12.0, 9.0), Space::new(12.5, 13.5, 0.0), 0.0, lens)
            .expect("it looks ahead")
    }

    #[test]
    fn a_level_camera_has_its_target_in_the_centre_east_to_the_right_and_up_above() {
        let camera = near_side();
        let at = |place| camera.project(place).expect("ahead");
        let target = at(Space::new(12.5, 13.5, 0.0));
        assert!((target.x - 639.5).abs() < 1e-9 && (target.y - 359.5).abs() < 1e-9);
        assert!(at(Space::new(15.0, 13.5, 0.0)).x > target.x);
        assert!(at(Space::new(12.5, 13.5, 1.0)).y < target.y);
        assert!((at(Space::new(12.5, 13.5, 1.0)).x - target.x).abs() < 1e-9);
        assert_eq!(camera.project(Space::new(12.5, -30.0, 0.0)), None, "behind it");
    }

    #[test]
    fn rolled_clockwise_the_picture_turns_the_other_way() {
        let lens = near_side().lens;
        let camera = Camera::look_at(Space::new(12.5, -12.0, 9.0), Space::new(12.5, 13.5, 0.0), 0.1, lens)
            .expect("ahead");
        let east = camera.project(Space::new(15.0, 13.5, 0.0)).expect("ahead");
        assert!(east.y < 359.5, "the right side rises");
        assert!((camera.rotation.matrix().determinant() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_pixel_goes_back_to_the_place_that_it_shows() {
        let camera = near_side();
        for (x, y) in [(0.0, 0.0), (25.0, 27.0), (12.5, 3.0), (3.0, 20.0)] {
            let pixel = camera.project(Space::new(x, y, 0.0)).expect("ahead");
            let back = camera.ground(pixel).expect("below the horizon");
            assert!((back.x - x).abs() < 1e-9 && (back.y - y).abs() < 1e-9, "{back:?}");
            let raised = Space::new(x, y, 2.0);
            let ray = camera.ray(camera.project(raised).expect("ahead")).expect("in the picture");
            let off = (raised.vector() - ray.from.vector()).cross(&ray.toward).norm();
            assert!(off < 1e-9, "{off}");
        }
        assert_eq!(camera.ground(Pixel::new(639.5, -500.0)), None, "above the horizon");
    }

    #[test]
    fn the_slope_is_what_small_steps_give() {
        let camera = near_side();
        let place = Space::new(20.0, 22.0, 1.3);
        let slope = camera.slope(place).expect("ahead");
        for axis in 0..3 {
            let mut step = Vector3::zeros();
            step[axis] = 1e-5;
            let at = |sign: f64| {
                camera.project(Space::from(place.vector() + sign * step)).expect("ahead").vector()
            };
            let difference = (at(1.0) - at(-1.0)) / 2e-5;
            assert!((difference - slope.column(axis)).norm() < 1e-5, "axis {axis}");
        }
    }

    #[test]
    fn the_ground_goes_to_the_picture_by_one_matrix() {
        let camera = near_side();
        let ideal = camera.ground_to_ideal() * Vector3::new(7.0, 21.0, 1.0);
        let by_matrix = camera.lens.distort(ideal.xy() / ideal.z).expect("within reach");
        let by_place = camera.project(Space::new(7.0, 21.0, 0.0)).expect("ahead");
        assert!((by_matrix.vector() - by_place.vector()).norm() < 1e-9);
    }

    #[test]
    fn a_view_without_a_level_is_refused() {
        let lens = near_side().lens;
        let at = Space::new(1.0, 2.0, 9.0);
        assert_eq!(Camera::look_at(at, at, 0.0, lens), None);
        assert_eq!(Camera::look_at(at, Space::new(1.0, 2.0, 0.0), 0.0, lens), None);
    }
}
