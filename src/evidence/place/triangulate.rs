//! Where a point in the air is, from two or more calibrated cameras at one moment.
//!
//! The linear solution (Hartley & Zisserman, *Multiple View Geometry*, 2nd ed., 12.2, inhomogeneous), then the least
//! sum of squared pixels in standard errors, of the click and of the camera's pose together (12.3; generalised least
//! squares). Its covariance is that of first order. Rays that miss each other are a contradiction: not one point, or
//! not one moment.

use super::homography::INCONSISTENT;
use super::least_squares::{Normal, minimise};
use super::measure::{Click, Distance, Line, interval};
use super::pose::Posed;
use crate::error::{Error, MOST_CAMERAS};
use crate::place::point::Space;
use crate::verdict::Verdict;
use nalgebra::{Cholesky, Matrix2, Matrix3, SMatrix, SVector, Vector3};
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// A click in the picture of one camera.
#[derive(Debug, Clone, Copy)]
pub struct Sighting<'a> {
    pub camera: &'a Posed,
    /// With noise above zero.
    pub click: Click,
}

/// A point in the hall with its error.
#[derive(Debug, Clone)]
pub struct Fix<'a> {
    pub place: Space,
    /// Of first order, in yards²: its eigenvectors are the axes of the ellipsoid.
    pub covariance: Matrix3<f64>,
    /// The sum of squared pixels in standard errors.
    pub chi_square: f64,
    /// How probable it is that rays to one point at one moment miss each other by this much.
    pub consistency: f64,
    weighed: Vec<Weighed<'a>>,
}

/// A sighting, and what turns its pixels into standard errors.
#[derive(Debug, Clone, Copy)]
struct Weighed<'a> {
    sighting: Sighting<'a>,
    whiten: Matrix2<f64>,
}

/// Triangulates the point that these cameras see.
///
/// # Errors
/// [`Error`] if the clicks fix no point.
pub fn triangulate<'a>(sightings: &[Sighting<'a>]) -> Result<Fix<'a>, Error> {
    if sightings.len() < 2 {
        return Err(Error::OneCamera);
    }
    if sightings.len() > MOST_CAMERAS {
        return Err(Error::TooManyCameras);
    }
    let usable = |click: &Click| click.image.is_finite() && click.sigma_px > 0.0 && click.sigma_px < 1e100;
    if let Some(bad) = sightings.iter().position(|sighting| !usable(&sighting.click)) {
        return Err(Error::NoClick(bad + 1));
    }
    let mut place = linear(sightings)?;
    let mut weighed = Vec::new();
    // The pose's share of the noise depends a little on where the point is: weigh, fit, and once more.
    for _ in 0..2 {
        weighed = weigh(sightings, place).ok_or(Error::RaysBehind)?;
        place = minimise(place, |at| normal(&weighed, *at), |at, step| at + step)
            .ok_or(Error::RaysAlongOneLine)?;
    }
    let least = normal(&weighed, place).ok_or(Error::RaysBehind)?;
    let covariance = least.inverse().ok_or(Error::RaysAlongOneLine)?;
    let spread = ChiSquared::new((2 * sightings.len() - 3) as f64).map_err(|_| Error::OneCamera)?;
    let (chi_square, consistency) = (least.cost, spread.sf(least.cost));
    Ok(Fix { place: Space::from(place), covariance, chi_square, consistency, weighed })
}

fn linear(sightings: &[Sighting<'_>]) -> Result<Vector3<f64>, Error> {
    let mut normal = Normal::<3>::zero();
    let middle = sightings.iter().map(|one| one.camera.camera.position.vector()).sum::<Vector3<f64>>()
        / sightings.len() as f64;
    for (index, Sighting { camera, click }) in sightings.iter().enumerate() {
        let camera = &camera.camera;
        let ideal = camera.lens.undistort(click.image).ok_or(Error::ClickOutsideLens(index + 1))?;
        let turn = camera.rotation.matrix();
        // Square to the ray, in units of its length: x / z = u says (row 1 - u row 3) · (place - position) = 0.
        let length = (1.0 + ideal.norm_squared()).sqrt();
        let slope = SMatrix::<f64, 2, 3>::from_rows(&[
            (turn.row(0) - ideal.x * turn.row(2)) / length,
            (turn.row(1) - ideal.y * turn.row(2)) / length,
        ]);
        normal.add(&(slope * (middle - camera.position.vector())), &slope);
    }
    let least = normal.matrix.symmetric_eigenvalues().min();
    // Rays within a thousandth of a degree of each other meet nowhere in particular.
    if least < 1e-10 {
        return Err(Error::RaysAlongOneLine);
    }
    let step = Cholesky::new(normal.matrix).map(|factored| factored.solve(&normal.gradient));
    Ok(middle - step.ok_or(Error::RaysAlongOneLine)?)
}

fn weigh<'a>(sightings: &[Sighting<'a>], place: Vector3<f64>) -> Option<Vec<Weighed<'a>>> {
    let one = |sighting: &Sighting<'a>| {
        let (_, _, pose) = sighting.camera.image(Space::from(place))?;
        let noise = pose + Matrix2::identity() * (sighting.click.sigma_px * sighting.click.sigma_px);
        let whiten = Cholesky::new(noise)?.l().try_inverse()?;
        Some(Weighed { sighting: *sighting, whiten })
    };
    sightings.iter().map(one).collect()
}

fn normal(weighed: &[Weighed<'_>], place: Vector3<f64>) -> Option<Normal<3>> {
    let mut normal = Normal::zero();
    for Weighed { sighting, whiten } in weighed {
        let camera = &sighting.camera.camera;
        let (pixel, slope) = (camera.project(Space::from(place))?, camera.slope(Space::from(place))?);
        normal.add(&(whiten * (pixel.vector() - sighting.click.image.vector())), &(whiten * slope));
    }
    Some(normal)
}

/// A plane with a side that counts as past it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    on: Vector3<f64>,
    past: Vector3<f64>,
}

impl Plane {
    /// The plane that stands upright on a line of the ground, as over a goal line.
    pub fn over(line: &Line) -> Plane {
        let (on, past) = (line.on(), line.past());
        Plane { on: on.raised(0.0).vector(), past: Vector3::new(past.x, past.y, 0.0) }
    }

    /// The level plane at this height in yards, as of a crossbar; above it counts as past it.
    pub fn level(height_yd: f64) -> Plane {
        Plane { on: Vector3::new(0.0, 0.0, height_yd), past: Vector3::z() }
    }

    /// How far a place is past the plane, in yards.
    pub fn distance(&self, place: Space) -> f64 {
        self.past.dot(&(place.vector() - self.on))
    }

    /// The standard error across the plane, for a covariance in yards².
    pub fn sigma(&self, covariance: &Matrix3<f64>) -> f64 {
        self.past.dot(&(covariance * self.past)).max(0.0).sqrt()
    }
}

impl Fix<'_> {
    /// Whether the rays cannot belong to one point at one moment.
    pub fn is_contradiction(&self) -> bool {
        self.consistency < INCONSISTENT
    }

    /// How far it is past a plane, with its error. Where first order is not good enough, the interval is that of the
    /// likelihood: the offsets at which the least sum of squares grows by less than 1.96².
    pub fn distance_to(&self, plane: &Plane) -> Distance {
        let yd = plane.distance(self.place);
        interval::distance(yd, plane.sigma(&self.covariance), |offset| self.z(plane, yd, offset))
    }

    /// The verdict on "past the plane"; a contradiction if the rays miss each other.
    pub fn verdict(&self, plane: &Plane, standard: f64) -> Verdict {
        if self.is_contradiction() {
            Verdict::Contradiction
        } else {
            self.distance_to(plane).verdict(standard)
        }
    }

    /// By how many standard errors the clicks lie past an offset from the plane.
    fn z(&self, plane: &Plane, yd: f64, offset: f64) -> Option<f64> {
        let axis = if plane.past.z.abs() < 0.9 { Vector3::z() } else { Vector3::x() };
        let across = plane.past.cross(&axis).try_normalize(1e-9)?;
        let within = SMatrix::<f64, 3, 2>::from_columns(&[across, plane.past.cross(&across)]);
        // The conditional mean given the offset: where the least sum lies if all is straight.
        let steered = self.covariance * plane.past / plane.past.dot(&(self.covariance * plane.past));
        let start = self.place.vector() + (offset - yd) * steered;
        let at = |flat: &SVector<f64, 2>| start + within * flat;
        let narrowed = |flat: &SVector<f64, 2>| {
            let full = normal(&self.weighed, at(flat))?;
            Some(Normal::<2> {
                matrix: within.transpose() * full.matrix * within,
                gradient: within.tr_mul(&full.gradient),
                cost: full.cost,
            })
        };
        let least = minimise(SVector::<f64, 2>::zeros(), narrowed, |at, step| at + step)?;
        let more = (narrowed(&least)?.cost - self.chi_square).max(0.0);
        Some(more.sqrt().copysign(yd - offset))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::camera::Camera;
    use crate::place::lens::Lens;
    use crate::place::point::{Ground, Pixel};

    fn posed(from: [f64; 3], to: [f64; 3]) -> Posed {
        let lens = Lens::straight(1000.0, Pixel::new(639.5, 359.5));
        let at = |[x, y, z]: [f64; 3]| Space::new(x, y, z);
        Posed::exact(Camera::look_at(at(from), at(to), 0.0, lens).expect("ahead"))
    }

    fn click(camera: &Posed, place: Space, across_px: f64) -> Click {
        let pixel = camera.camera.project(place).expect("ahead");
        Click { image: Pixel::new(pixel.x + across_px, pixel.y), sigma_px: 1.0 }
    }

    /// Two cameras at right angles, 20 yd from the ball, 1000 px focal length: a pixel is 0.02 yd, so the plane
    /// square to the first one's line of sight is known to 0.02 yd.
    #[test]
    fn two_cameras_at_right_angles_place_a_ball_to_a_pixel_of_each() {
        let ball = Space::new(0.05, 13.5, 1.5);
        let (along, across) =
            (posed([0.05, -6.5, 1.5], [0.05, 0.0, 1.5]), posed([20.05, 13.5, 1.5], [0.0, 13.5, 1.5]));
        let sightings = [
            Sighting { camera: &along, click: click(&along, ball, 0.0) },
            Sighting { camera: &across, click: click(&across, ball, 0.0) },
        ];
        let fix = triangulate(&sightings).expect("both see it");
        assert!((fix.place.vector() - ball.vector()).norm() < 1e-9);
        assert!((fix.covariance[(0, 0)].sqrt() - 0.02).abs() < 1e-9, "{}", fix.covariance);
        // Both see the height.
        assert!((fix.covariance[(2, 2)].sqrt() - 0.02 / 2.0_f64.sqrt()).abs() < 1e-9);
        let goal = Line::new([Ground::new(0.0, 0.0), Ground::new(0.0, 27.0)], Ground::new(1.0, 0.0))
            .expect("a line");
        let over_goal = fix.distance_to(&Plane::over(&goal));
        assert!((over_goal.yd - 0.05).abs() < 1e-9 && over_goal.first_order);
        // scipy.stats.norm.cdf(2.5)
        assert!((over_goal.past_probability - 0.993_790_334_674_223_8).abs() < 1e-9);
        assert!(matches!(fix.verdict(&Plane::over(&goal), 0.99), Verdict::Established { .. }));
        assert!(matches!(fix.verdict(&Plane::level(1.5), 0.99), Verdict::Inconclusive { .. }));
        assert!(matches!(fix.verdict(&Plane::level(1.6), 0.99), Verdict::Refuted { .. }));
    }

    #[test]
    fn rays_that_miss_each_other_are_a_contradiction() {
        let ball = Space::new(0.0, 13.5, 1.5);
        let (one, other) =
            (posed([0.0, -6.5, 1.5], [0.0, 0.0, 1.5]), posed([20.0, 13.5, 1.5], [0.0, 13.5, 1.5]));
        let low = Space::new(0.0, 13.5, 1.3);
        let sightings = [
            Sighting { camera: &one, click: click(&one, ball, 0.0) },
            Sighting { camera: &other, click: click(&other, low, 0.0) },
        ];
        let fix = triangulate(&sightings).expect("the rays come near each other");
        assert!(fix.is_contradiction());
        assert_eq!(fix.verdict(&Plane::level(1.0), 0.99), Verdict::Contradiction);
    }

    /// Nearly parallel rays: depth goes as the inverse of the parallax, so the interval is lopsided or open.
    #[test]
    fn a_narrow_base_gives_a_lopsided_interval() {
        let ball = Space::new(0.0, 30.0, 1.5);
        let (one, other) =
            (posed([-0.3, 0.0, 1.5], [-0.3, 1.0, 1.5]), posed([0.3, 0.0, 1.5], [0.3, 1.0, 1.5]));
        let sightings = [
            Sighting { camera: &one, click: click(&one, ball, 0.0) },
            Sighting { camera: &other, click: click(&other, ball, 0.0) },
        ];
        let fix = triangulate(&sightings).expect("both see it");
        let line = Line::new([Ground::new(-9.0, 30.0), Ground::new(9.0, 30.0)], Ground::new(0.0, 40.0))
            .expect("a line");
        let depth = fix.distance_to(&Plane::over(&line));
        let [low, high] = depth.interval_yd;
        assert!(!depth.first_order && high > -1.1 * low, "{depth:?}");
        // Parallax 1000 px · 0.6 / depth is 20 px, known to √2 px: 600 / (20 ± 1.96 √2) less 30.
        let at = |sign: f64| 600.0 / (20.0 + sign * 1.959_964 * 2.0_f64.sqrt()) - 30.0;
        assert!((low - at(1.0)).abs() < 1e-3 && (high - at(-1.0)).abs() < 1e-3, "{low} {high}");
    }

    #[test]
    fn what_places_no_point_is_refused_in_words() {
        let ball = Space::new(0.0, 13.5, 1.5);
        let (one, other) =
            (posed([0.0, -6.5, 1.5], [0.0, 0.0, 1.5]), posed([0.0, -9.5, 1.5], [0.0, 0.0, 1.5]));
        let seen = |camera| Sighting { camera, click: click(camera, ball, 0.0) };
        let no = |sightings: &[Sighting<'_>]| triangulate(sightings).map(|_| ()).expect_err("no place");
        assert_eq!(no(&[seen(&one)]), Error::OneCamera);
        assert_eq!(no(&[seen(&one), seen(&other)]), Error::RaysAlongOneLine, "one behind the other");
        let mut sure = seen(&other);
        sure.click.sigma_px = 0.0;
        assert_eq!(no(&[seen(&one), sure]), Error::NoClick(2));
        let across = posed([20.0, 13.5, 1.5], [0.0, 13.5, 1.5]);
        let mut behind = Sighting { camera: &across, click: click(&across, ball, 0.0) };
        behind.click.image.x = 10.0 * 639.5;
        let back =
            Sighting { camera: &one, click: Click { image: Pixel::new(-9000.0, 359.5), sigma_px: 1.0 } };
        assert_eq!(no(&[back, behind]), Error::RaysBehind);
        assert_eq!(no(&vec![seen(&one); MOST_CAMERAS + 1]), Error::TooManyCameras);
    }
}
