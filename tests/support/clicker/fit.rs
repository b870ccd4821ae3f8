//! A thing's look moved over a picture until the least of the picture is left over, and how sure the place is.
//!
//! A look is a sum of parts, each with a brightness that is free, at a place (and a turn) that is looked for: a separable
//! least-squares problem (G. Golub, V. Pereyra, *Separable nonlinear least squares*, Inverse Problems 19, 2003), solved by
//! Gauss–Newton steps in the place alone. What is left over is not white: neighbours share their compression, their
//! grain and what the look does not know. So the error is not σ² S⁻¹ but the sandwich with the products of what is left
//! over at pixels near each other (T. Conley, *GMM estimation with cross sectional dependence*, J. Econometrics 92, 1999).

use nalgebra::{Matrix2, SMatrix, SVector};

/// A pixel that is looked at.
#[derive(Debug, Clone, Copy)]
pub struct Sample {
    pub x: f64,
    pub y: f64,
    pub luma: f64,
}

/// What is known of the parts beforehand: their brightness, and how much that counts against squared grey levels.
#[derive(Debug, Clone, Copy)]
pub struct Known<const PARTS: usize> {
    pub parts: SVector<f64, PARTS>,
    pub counts: SVector<f64, PARTS>,
}

impl<const PARTS: usize> Known<PARTS> {
    /// For parts of which nothing is known.
    pub fn nothing() -> Known<PARTS> {
        Known { parts: SVector::zeros(), counts: SVector::zeros() }
    }
}

/// The pixels, and what is known of the parts.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a, const PARTS: usize> {
    pub samples: &'a [Sample],
    pub known: Known<PARTS>,
}

/// Where a look fits.
#[derive(Debug, Clone, Copy)]
pub struct Found<const PLACE: usize, const PARTS: usize> {
    /// What was looked for: x and y first.
    pub place: SVector<f64, PLACE>,
    /// How bright each part is.
    pub parts: SVector<f64, PARTS>,
    /// The covariance of x and y, in pixels².
    pub covariance: Matrix2<f64>,
    /// The root mean square of what is left over, in grey levels.
    pub left_over: f64,
}

/// How far what is left over at one pixel has to do with that at another, in pixels.
const NEAR: f64 = 4.0;
/// What a place is moved by to see how the look changes: in pixels, or in radians.
const MOVE: f64 = 0.02;

/// One look at the samples from a place.
struct Seen<const PLACE: usize, const PARTS: usize> {
    parts: SVector<f64, PARTS>,
    left: Vec<f64>,
    cost: f64,
    inverse: SMatrix<f64, PARTS, PARTS>,
}

fn seen<const PLACE: usize, const PARTS: usize>(
    scene: Scene<'_, PARTS>,
    place: &SVector<f64, PLACE>,
    look: &impl Fn(&SVector<f64, PLACE>, f64, f64) -> SVector<f64, PARTS>,
) -> Option<Seen<PLACE, PARTS>> {
    let Scene { samples, known } = scene;
    let mut normal = SMatrix::<f64, PARTS, PARTS>::from_diagonal(&known.counts);
    let mut right = known.counts.component_mul(&known.parts);
    let looks: Vec<_> = samples.iter().map(|one| look(place, one.x, one.y)).collect();
    for (parts, sample) in looks.iter().zip(samples) {
        normal += parts * parts.transpose();
        right += parts * sample.luma;
    }
    let inverse = normal.cholesky()?.inverse();
    let parts = inverse * right;
    let left: Vec<f64> =
        looks.iter().zip(samples).map(|(look, sample)| sample.luma - look.dot(&parts)).collect();
    let strange = parts - known.parts;
    let cost =
        left.iter().map(|left| left * left).sum::<f64>() + strange.dot(&known.counts.component_mul(&strange));
    Some(Seen { parts, left, cost, inverse })
}

/// How much of the samples is left over from a place, as a root mean square; `None` where the parts are not fixed.
pub fn left_over<const PLACE: usize, const PARTS: usize>(
    scene: Scene<'_, PARTS>,
    place: &SVector<f64, PLACE>,
    look: &impl Fn(&SVector<f64, PLACE>, f64, f64) -> SVector<f64, PARTS>,
) -> Option<f64> {
    Some((seen(scene, place, look)?.cost / scene.samples.len() as f64).sqrt())
}

/// The place about `start` that leaves the least over; `None` where none settles.
pub fn fit<const PLACE: usize, const PARTS: usize>(
    scene: Scene<'_, PARTS>,
    start: SVector<f64, PLACE>,
    look: &impl Fn(&SVector<f64, PLACE>, f64, f64) -> SVector<f64, PARTS>,
) -> Option<Found<PLACE, PARTS>> {
    let samples = scene.samples;
    if samples.len() < 2 * (PLACE + PARTS) {
        return None;
    }
    let mut place = start;
    let mut here = seen(scene, &place, look)?;
    for _ in 0..30 {
        let slopes = slopes(samples, &place, &here, look)?;
        let pull: SVector<f64, PLACE> =
            slopes.each.iter().zip(&here.left).map(|(slope, left)| slope * *left).sum();
        let mut step = slopes.inverse * pull;
        // A pixel at a time: farther the look is no longer straight.
        step *= (1.0 / step.norm()).min(1.0);
        let lower = (0..6).find_map(|half| {
            let step = step * 0.5f64.powi(half);
            let there = seen(scene, &(place + step), look)?;
            (there.cost < here.cost).then_some((step, there))
        });
        let Some((step, there)) = lower else { break };
        place += step;
        here = there;
        if step.norm() < 1e-3 {
            break;
        }
    }
    let slopes = slopes(samples, &place, &here, look)?;
    let freedom = (samples.len() - PLACE - PARTS) as f64;
    let covariance = sandwich(samples, &slopes, &here.left) * (samples.len() as f64 / freedom);
    Some(Found { place, parts: here.parts, covariance, left_over: (here.cost / freedom).sqrt() })
}

/// How the look changes with the place, once the parts have followed.
struct Slopes<const PLACE: usize> {
    /// At each sample, in grey levels a pixel.
    each: Vec<SVector<f64, PLACE>>,
    /// The inverse of the sum of their squares.
    inverse: SMatrix<f64, PLACE, PLACE>,
}

fn slopes<const PLACE: usize, const PARTS: usize>(
    samples: &[Sample],
    place: &SVector<f64, PLACE>,
    here: &Seen<PLACE, PARTS>,
    look: &impl Fn(&SVector<f64, PLACE>, f64, f64) -> SVector<f64, PARTS>,
) -> Option<Slopes<PLACE>> {
    let mut raw = Vec::with_capacity(samples.len());
    let mut shared = SMatrix::<f64, PARTS, PLACE>::zeros();
    for sample in samples {
        let slope = SVector::<f64, PLACE>::from_fn(|entry, _| {
            let mut moved = [*place; 2];
            moved[0][entry] -= MOVE;
            moved[1][entry] += MOVE;
            let [less, more] = moved.map(|moved| look(&moved, sample.x, sample.y));
            (more - less).dot(&here.parts) / (2.0 * MOVE)
        });
        let parts = look(place, sample.x, sample.y);
        shared += parts * slope.transpose();
        raw.push((slope, parts));
    }
    let follow = here.inverse * shared;
    let each: Vec<_> = raw.iter().map(|(slope, parts)| slope - follow.tr_mul(parts)).collect();
    let normal: SMatrix<f64, PLACE, PLACE> = each.iter().map(|slope| slope * slope.transpose()).sum();
    Some(Slopes { each, inverse: normal.cholesky()?.inverse() })
}

/// The covariance of x and y where what is left over has to do with its neighbours.
fn sandwich<const PLACE: usize>(samples: &[Sample], slopes: &Slopes<PLACE>, left: &[f64]) -> Matrix2<f64> {
    let mut between = SMatrix::<f64, PLACE, PLACE>::zeros();
    for ((one, slope), left_one) in samples.iter().zip(&slopes.each).zip(left) {
        for ((other, beside), left_other) in samples.iter().zip(&slopes.each).zip(left) {
            let (dx, dy) = ((one.x - other.x).abs() / NEAR, (one.y - other.y).abs() / NEAR);
            if dx < 1.0 && dy < 1.0 {
                between += slope * beside.transpose() * ((1.0 - dx) * (1.0 - dy) * left_one * left_other);
            }
        }
    }
    let whole = slopes.inverse * between * slopes.inverse;
    whole.fixed_view::<2, 2>(0, 0).into_owned()
}
