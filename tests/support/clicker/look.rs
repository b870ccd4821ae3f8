//! What ticks and shoes are looked for with: where a look begins, which pixels it takes, what counts as plain to see.

use super::fit::{self, Sample, Scene};
use evidence::place::point::Pixel;
use footage::picture::Picture;
use nalgebra::{Matrix2, SVector, Vector2};
use scene::dice::Dice;

/// A place in a picture as it was found, and what the finder says of its own error.
#[derive(Debug, Clone, Copy)]
pub struct Found {
    pub pixel: Pixel,
    pub covariance: Matrix2<f64>,
}

/// Where a look fits roughly, on whole pixels.
#[derive(Debug, Clone, Copy)]
pub struct Rough<const PLACE: usize> {
    pub place: SVector<f64, PLACE>,
    /// How much more is left over at the next best place that is another one.
    pub beyond_next: f64,
}

/// What has to hold of a thing before it is clicked: its contrast is a multiple of what is left over, and at every other
/// place a multiple of that is left over. Both were chosen on the play that is not measured.
#[derive(Debug, Clone, Copy)]
pub struct Plain {
    pub contrast: f64,
    pub beyond_next: f64,
}

/// How far off, in pixels in each direction, a thing may be expected before it is looked for.
pub const UNSURE_PX: f64 = 2.0;
/// Beyond this from where it was expected it is another thing.
const REACH_PX: f64 = 5.0;
/// Places farther apart than this are not one, in pixels.
const ANOTHER_PX: f64 = 2.5;
/// What no look knows of its thing: grain, wear, what a renderer does otherwise. As a deviation in each direction, in
/// pixels; chosen on the play that is not measured.
const UNKNOWN_PX: f64 = 0.2;
/// A finder that is less sure than this, as a deviation in pixels, does not click.
const MOST_PX: f64 = 0.7;
/// How soft an edge is, as a deviation in pixels: a pixel's own breadth, and what the compression leaves of it.
const SOFT_PX: f64 = 0.5;

/// From 0 outside to 1 inside, `by` pixels inside an edge: the logistic that is nearest to the normal integral.
pub fn inside(by: f64) -> f64 {
    1.0 / (1.0 + (-1.702 * by / SOFT_PX).exp())
}

/// The pixels of a rectangle about a place that are wanted; `None` where it leaves the picture.
pub fn samples(
    picture: &Picture,
    about: Vector2<f64>,
    reach: f64,
    wanted: impl Fn(f64, f64) -> bool,
) -> Option<Vec<Sample>> {
    let (width, height) = (picture.width as f64, picture.height as f64);
    let (left, top) = ((about.x - reach).ceil(), (about.y - reach).ceil());
    let (right, bottom) = ((about.x + reach).floor(), (about.y + reach).floor());
    // The recorder's stamp stands in the lowest rows.
    if left < 1.0 || top < 1.0 || right > width - 2.0 || bottom > height - 26.0 {
        return None;
    }
    let mut found = Vec::new();
    for y in top as usize..=bottom as usize {
        for x in left as usize..=right as usize {
            let luma = f64::from(*picture.plane(0).get(y * picture.width as usize + x)?);
            if wanted(x as f64, y as f64) {
                found.push(Sample { x: x as f64, y: y as f64, luma });
            }
        }
    }
    Some(found)
}

/// Where a thing is expected: anywhere about it.
pub fn expected(really: Pixel, dice: &mut Dice) -> Vector2<f64> {
    really.vector() + Vector2::new(dice.between(-UNSURE_PX, UNSURE_PX), dice.between(-UNSURE_PX, UNSURE_PX))
}

/// The whole pixel about a place from which the least is left over.
pub fn roughly<const PLACE: usize, const PARTS: usize>(
    scene: Scene<'_, PARTS>,
    start: SVector<f64, PLACE>,
    look: &impl Fn(&SVector<f64, PLACE>, f64, f64) -> SVector<f64, PARTS>,
) -> Option<Rough<PLACE>> {
    let steps = UNSURE_PX as i32 + 2;
    let mut tried = Vec::new();
    for row in -steps..=steps {
        for column in -steps..=steps {
            let mut place = start;
            place[0] += f64::from(column);
            place[1] += f64::from(row);
            tried.extend(fit::left_over(scene, &place, look).map(|left| (left, place)));
        }
    }
    let (least, place) = *tried.iter().min_by(|one, other| one.0.total_cmp(&other.0))?;
    let others = tried.iter().filter(|(_, other)| (other - place).norm() > ANOTHER_PX);
    let next = others.map(|(left, _)| *left).fold(f64::INFINITY, f64::min);
    Some(Rough { place, beyond_next: next / least })
}

impl Plain {
    /// What was fitted, where it is plain to see, and nothing else is as likely. `expected` is where it was looked for,
    /// `contrast` what it is brighter or darker than its ground.
    pub fn accepts<const PLACE: usize, const PARTS: usize>(
        &self,
        found: &fit::Found<PLACE, PARTS>,
        rough: &Rough<PLACE>,
        (expected, contrast): (Vector2<f64>, f64),
    ) -> Option<Found> {
        let place = Vector2::new(found.place[0], found.place[1]);
        let is_plain = contrast.abs() > self.contrast * found.left_over
            && rough.beyond_next > self.beyond_next
            && (place - expected).amax() < REACH_PX;
        let covariance = found.covariance + Matrix2::identity() * (UNKNOWN_PX * UNKNOWN_PX);
        let is_sure = covariance.trace() < 2.0 * MOST_PX * MOST_PX;
        (is_plain && is_sure).then(|| Found { pixel: Pixel::from(place), covariance })
    }
}
