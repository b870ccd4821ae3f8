//! What landmarks must fulfil, and the linear solution to start from.
//!
//! Normalised direct linear transformation (Hartley & Zisserman, *Multiple View Geometry*, 2nd ed., algorithm 4.2).

use super::{Landmark, Optics};
use crate::error::{Error, MOST_LANDMARKS, Where};
use crate::place::lens::Lens;
use crate::place::point::Pixel;
use nalgebra::{Matrix3, SMatrix, SVector, SymmetricEigen, Vector2};

/// A shift and a scale, to bring points about the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Similarity {
    center: Vector2<f64>,
    /// New units per old one.
    pub(super) scale: f64,
}

impl Similarity {
    /// Puts the centre of the points at the origin, and their mean distance at √2.
    fn of(points: &[Vector2<f64>]) -> Similarity {
        let count = points.len() as f64;
        let center = points.iter().sum::<Vector2<f64>>() / count;
        let distance = points.iter().map(|point| (point - center).norm()).sum::<f64>() / count;
        Similarity { center, scale: std::f64::consts::SQRT_2 / distance }
    }

    pub(super) fn apply(&self, point: Vector2<f64>) -> Vector2<f64> {
        (point - self.center) * self.scale
    }

    pub(super) fn undo(&self, point: Vector2<f64>) -> Vector2<f64> {
        point / self.scale + self.center
    }

    pub(super) fn matrix(&self) -> Matrix3<f64> {
        let shift = -self.center * self.scale;
        Matrix3::new(self.scale, 0.0, shift.x, 0.0, self.scale, shift.y, 0.0, 0.0, 1.0)
    }

    pub(super) fn inverse_matrix(&self) -> Matrix3<f64> {
        let (step, center) = (self.scale.recip(), self.center);
        Matrix3::new(step, 0.0, center.x, 0.0, step, center.y, 0.0, 0.0, 1.0)
    }
}

/// The lens that a fit starts with. Where nothing is known, a direction is the pixel itself.
pub(super) fn lens(optics: Optics) -> Lens {
    match optics {
        Optics::Straight => Lens::straight(1.0, Pixel::new(0.0, 0.0)),
        Optics::Known(lens) | Optics::Fitted(lens) => lens,
    }
}

pub(super) fn needed(optics: Optics) -> usize {
    match optics {
        Optics::Straight | Optics::Known(_) => 4,
        // Nine unknowns take five landmarks; a sixth shows whether they agree.
        Optics::Fitted(_) => 6,
    }
}

pub(super) fn unknowns(optics: Optics) -> usize {
    match optics {
        Optics::Straight | Optics::Known(_) => 8,
        Optics::Fitted(_) => 9,
    }
}

pub(super) fn check(landmarks: &[Landmark], sigma_px: f64, optics: Optics) -> Result<(), Error> {
    let (given, needed) = (landmarks.len(), needed(optics));
    if given < needed {
        return Err(Error::TooFewLandmarks { given, needed });
    }
    if given > MOST_LANDMARKS {
        return Err(Error::TooManyLandmarks(given));
    }
    // Beyond this a square is no longer a number.
    let usable = |value: f64| value.abs() < 1e100;
    if let Some(index) = landmarks
        .iter()
        .position(|Landmark { image, field }| ![image.x, image.y, field.x, field.y].into_iter().all(usable))
    {
        return Err(Error::LandmarkNotFinite(index + 1));
    }
    if !(sigma_px >= 0.0 && usable(sigma_px)) {
        return Err(Error::LandmarkSigma);
    }
    fixes(landmarks, optics)
}

/// Whether these landmarks, if they are enough, fix a map.
pub(super) fn fixes(landmarks: &[Landmark], optics: Optics) -> Result<(), Error> {
    let field: Vec<_> = landmarks.iter().map(|landmark| landmark.field.vector()).collect();
    let image: Vec<_> = landmarks.iter().map(|landmark| landmark.image.vector()).collect();
    for (points, place) in [(&field, Where::Field), (&image, Where::Picture)] {
        for (index, point) in points.iter().enumerate() {
            if let Some(before) = points[..index].iter().position(|other| other == point) {
                return Err(Error::SameLandmark(before + 1, index + 1, place));
            }
        }
        if on_a_line(points) {
            return Err(Error::LandmarksOnALine(place));
        }
    }
    let lens = lens(optics);
    match landmarks.iter().position(|landmark| lens.undistort(landmark.image).is_none()) {
        Some(index) => Err(Error::LandmarkOutsideLens(index + 1)),
        None => Ok(()),
    }
}

/// Spread across a line, as a share of that along it, below which points count as lying on it.
const ON_A_LINE: f64 = 1e-6;

/// Whether all points, or all but any one of them, lie on one line: then they fix no homography.
fn on_a_line(points: &[Vector2<f64>]) -> bool {
    let near = Similarity::of(points);
    let points: Vec<Vector2<f64>> = points.iter().map(|point| near.apply(*point)).collect();
    (0..points.len()).any(|left_out| {
        let others = || points.iter().enumerate().filter(move |(index, _)| *index != left_out);
        let count = (points.len() - 1) as f64;
        let center = others().map(|(_, point)| point).sum::<Vector2<f64>>() / count;
        let farthest = others()
            .map(|(_, point)| point - center)
            .max_by(|one, other| one.norm_squared().total_cmp(&other.norm_squared()));
        let Some(along) = farthest.and_then(|far| far.try_normalize(0.0)) else { return true };
        let across = others().map(|(_, point)| along.perp(&(point - center)).abs());
        across.fold(0.0, f64::max) < ON_A_LINE
    })
}

/// A linear solution in normalised coordinates, last entry 1, and the two normalisations (field, direction).
pub(super) fn linear(landmarks: &[Landmark], lens: &Lens) -> Option<(Matrix3<f64>, Similarity, Similarity)> {
    let places: Vec<Vector2<f64>> = landmarks.iter().map(|landmark| landmark.field.vector()).collect();
    let ideals: Vec<Vector2<f64>> =
        landmarks.iter().map(|landmark| lens.undistort(landmark.image)).collect::<Option<_>>()?;
    let (field, ideal) = (Similarity::of(&places), Similarity::of(&ideals));
    let mut normal = SMatrix::<f64, 9, 9>::zeros();
    for (place, seen) in places.iter().zip(&ideals) {
        let (place, seen) = (field.apply(*place), ideal.apply(*seen));
        let (x, y) = (place.x, place.y);
        let rows = [
            SVector::<f64, 9>::from([x, y, 1.0, 0.0, 0.0, 0.0, -seen.x * x, -seen.x * y, -seen.x]),
            SVector::<f64, 9>::from([0.0, 0.0, 0.0, x, y, 1.0, -seen.y * x, -seen.y * y, -seen.y]),
        ];
        for row in rows {
            normal += row * row.transpose();
        }
    }
    let eigen = SymmetricEigen::new(normal);
    let least = eigen.eigenvalues.imin();
    let entries = eigen.eigenvectors.column(least);
    // The centre of the landmarks lies between them, so in front of the camera: its depth, the last entry, is not
    // zero, and dividing by it makes depths in front positive.
    let last = entries[8];
    if last.abs() < 1e-9 {
        return None;
    }
    let matrix = Matrix3::from_row_iterator(entries.iter().map(|entry| entry / last));
    Some((matrix, field, ideal))
}
