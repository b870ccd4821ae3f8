//! A first pose, from linear solutions.

use super::{Focal, Sight};
use crate::error::Error;
use crate::place::camera::Camera;
use crate::place::homography::{Calibration, Landmark, Optics};
use crate::place::lens::Lens;
use crate::place::point::Space;
use nalgebra::{DMatrix, Matrix3, Rotation3, SMatrix, SVector, SymmetricEigen, Vector3};

/// A height below which a place counts as on the ground, in yards.
const ON_GROUND: f64 = 1e-9;

pub(super) fn camera(sights: &[Sight], lens: Lens, focal: Focal) -> Result<Camera, Error> {
    let ground: Vec<Landmark> = sights
        .iter()
        .filter(|sight| sight.place.z.abs() < ON_GROUND)
        .map(|sight| Landmark { image: sight.image, field: sight.place.ground() })
        .collect();
    let (given, on_ground) = (sights.len(), ground.len());
    let raised = given > on_ground;
    if on_ground >= 4 {
        // One bad landmark may be left out here; the pose itself uses them all, and its residuals show it.
        let by_ground = Calibration::fit(&ground, 1.0, Optics::Known(lens))
            .and_then(|fit| from_ground(fit.homography.ground_to_ideal(), lens, focal));
        if by_ground.is_ok() || !(raised && given >= 6) {
            return by_ground;
        }
    }
    if !(raised && given >= 6) {
        return Err(Error::TooFewForPose { given, on_ground });
    }
    from_space(sights, lens, focal)
}

/// From the ground's matrix: its columns are the hall's east and north, and the way to its corner, in camera axes.
fn from_ground(ground: Matrix3<f64>, mut lens: Lens, focal: Focal) -> Result<Camera, Error> {
    let mut columns = ground;
    if focal == Focal::Free {
        // With the focal length g times the assumed one, east and north are square to each other and equally
        // long: two linear equations in 1 / g².
        let flat = columns.fixed_rows::<2>(0);
        let (east, north, deep) = (flat.column(0), flat.column(1), columns.row(2));
        let square = [east.dot(&north), east.norm_squared() - north.norm_squared()];
        let depth = [deep[0] * deep[1], deep[0] * deep[0] - deep[1] * deep[1]];
        let inverse =
            -(square[0] * depth[0] + square[1] * depth[1]) / (square[0] * square[0] + square[1] * square[1]);
        if !(inverse > 0.0 && inverse.is_finite()) {
            return Err(Error::NoFocal);
        }
        let factor = inverse.sqrt().recip();
        lens.focal_px *= factor;
        columns.row_mut(0).scale_mut(factor.recip());
        columns.row_mut(1).scale_mut(factor.recip());
    }
    let (east, north) = (columns.column(0).into_owned(), columns.column(1).into_owned());
    let scale = 0.5 * (east.norm() + north.norm());
    let turn = Matrix3::from_columns(&[east / scale, north / scale, east.cross(&north) / (scale * scale)]);
    let rotation = nearest_rotation(turn)?;
    let position = -(rotation.inverse() * (columns.column(2) / scale));
    upright(Camera { position: Space::from(position), rotation, lens })
}

/// From places in space: the linear solution of the whole projection.
fn from_space(sights: &[Sight], mut lens: Lens, focal: Focal) -> Result<Camera, Error> {
    let center = sights.iter().map(|sight| sight.place.vector()).sum::<Vector3<f64>>() / sights.len() as f64;
    let size = sights.iter().map(|sight| (sight.place.vector() - center).norm()).fold(0.0, f64::max);
    let spread = DMatrix::from_fn(sights.len(), 3, |row, axis| {
        sights.get(row).map_or(0.0, |sight| (sight.place.vector() - center)[axis] / size)
    });
    // All on one plane: the whole projection is not fixed.
    if size == 0.0 || spread.singular_values().min() < 1e-6 {
        return Err(Error::TooFewForPose { given: sights.len(), on_ground: 0 });
    }
    let mut normal = SMatrix::<f64, 12, 12>::zeros();
    for sight in sights {
        let ideal = lens.undistort(sight.image).ok_or(Error::NoCameraView)?;
        let near = (sight.place.vector() - center) / size;
        let near = [near.x, near.y, near.z, 1.0];
        for axis in 0..2 {
            let row = SVector::<f64, 12>::from_fn(|entry, _| match entry / 4 {
                line if line == axis => near[entry % 4],
                2 => -ideal[axis] * near[entry % 4],
                _ => 0.0,
            });
            normal += row * row.transpose();
        }
    }
    let eigen = SymmetricEigen::new(normal);
    let entries = eigen.eigenvectors.column(eigen.eigenvalues.imin());
    let whole = SMatrix::<f64, 3, 4>::from_row_iterator(entries.iter().copied());
    // In front of the camera the depth of the middle is positive.
    let whole = whole * whole[(2, 3)].signum();
    let mut turn: Matrix3<f64> = whole.fixed_view::<3, 3>(0, 0).into();
    let mut shift: Vector3<f64> = whole.column(3).into();
    let scale = turn.row(2).norm();
    turn /= scale;
    shift /= scale;
    if focal == Focal::Free {
        let factor = 0.5 * (turn.row(0).norm() + turn.row(1).norm());
        lens.focal_px *= factor;
        for axis in 0..2 {
            turn.row_mut(axis).scale_mut(factor.recip());
            shift[axis] /= factor;
        }
    }
    let rotation = nearest_rotation(turn)?;
    let position = center - rotation.inverse() * shift * size;
    upright(Camera { position: Space::from(position), rotation, lens })
}

/// The rotation nearest to a matrix that nearly is one.
fn nearest_rotation(matrix: Matrix3<f64>) -> Result<Rotation3<f64>, Error> {
    let svd = matrix.svd(true, true);
    let turn = svd.u.zip(svd.v_t).map(|(u, v_t)| u * v_t).ok_or(Error::NoCameraView)?;
    if turn.determinant() <= 0.0 {
        return Err(Error::NoCameraView);
    }
    Ok(Rotation3::from_matrix_unchecked(turn))
}

fn upright(camera: Camera) -> Result<Camera, Error> {
    let lens = camera.lens.checked().map_err(|_| Error::NoFocal)?;
    if camera.position.is_finite() && camera.position.z > 0.0 {
        Ok(Camera { lens, ..camera })
    } else {
        Err(Error::NoCameraView)
    }
}
