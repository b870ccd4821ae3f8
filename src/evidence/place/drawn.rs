//! What is drawn over a picture: a line of the rules with its 95 % band, and the grid of the field.
//!
//! The band is pointwise: at any one place of the picture it holds the line with 95 %. Its width comes from the noise
//! of the landmarks and, if wanted, of a click.

use super::homography::Homography;
use super::measure::Z95;
use super::view::Size;
use crate::place::point::{Ground, Pixel};
use field::Field;
use nalgebra::{Matrix2, Vector2};

/// A piece of a line within the picture: three polylines of equally many points.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    pub line: Vec<Pixel>,
    /// One edge of the band, to the left as one goes along the line.
    pub left: Vec<Pixel>,
    pub right: Vec<Pixel>,
}

/// Stretches that a line is cut into; the bend of a lens within one is far less than a pixel.
const STRETCHES: u32 = 96;

/// How far outside the picture a point is still kept, as a share of the picture: what is drawn is clipped anyway.
const MARGIN: f64 = 0.25;

/// A straight line of the ground in the picture, where it is in front of the camera and in or near the picture.
/// `click_sigma_px` widens the band by the noise of a click, so that a click outside it tells the side; zero
/// for the line alone.
pub fn line(homography: &Homography, [from, to]: [Ground; 2], click_sigma_px: f64, size: Size) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut piece = Piece { line: Vec::new(), left: Vec::new(), right: Vec::new() };
    let way = to.vector() - from.vector();
    for place in stretched([from, to]) {
        match crossing(homography, place, way, click_sigma_px).filter(|(pixel, _)| is_near(*pixel, size)) {
            Some((pixel, aside)) => {
                piece.line.push(pixel);
                piece.left.push(Pixel::from(pixel.vector() - aside));
                piece.right.push(Pixel::from(pixel.vector() + aside));
            }
            None => finish(&mut piece, &mut pieces),
        }
    }
    finish(&mut piece, &mut pieces);
    pieces
}

/// Evenly spaced places along a line, both ends included.
fn stretched([from, to]: [Ground; 2]) -> impl Iterator<Item = Ground> {
    let way = to.vector() - from.vector();
    (0..=STRETCHES)
        .map(move |step| Ground::from(from.vector() + way * (f64::from(step) / f64::from(STRETCHES))))
}

fn finish(piece: &mut Piece, pieces: &mut Vec<Piece>) {
    let empty = Piece { line: Vec::new(), left: Vec::new(), right: Vec::new() };
    let done = std::mem::replace(piece, empty);
    if done.line.len() > 1 {
        pieces.push(done);
    }
}

/// A point of the line, and the way from it to the right edge of the band.
fn crossing(
    homography: &Homography,
    place: Ground,
    way: Vector2<f64>,
    click_sigma_px: f64,
) -> Option<(Pixel, Vector2<f64>)> {
    let pixel = homography.image(place)?;
    let along = (homography.slope(place)? * way).try_normalize(1e-12)?;
    // With y down, the right hand of someone going along x is y.
    let right = Vector2::new(-along.y, along.x);
    let noise = homography.image_covariance(place)? + Matrix2::identity() * (click_sigma_px * click_sigma_px);
    Some((pixel, right * (Z95 * right.dot(&(noise * right)).max(0.0).sqrt())))
}

fn is_near(pixel: Pixel, size: Size) -> bool {
    let near = |value: f64, size: u32| {
        let margin = MARGIN * f64::from(size);
        value > -margin && value < f64::from(size) + margin
    };
    near(pixel.x, size.width) && near(pixel.y, size.height)
}

/// The field's grid in the picture: a line every `every_yd` yards, the goal lines, end lines and side lines.
pub fn grid(homography: &Homography, field: &Field, every_yd: f64, size: Size) -> Vec<Vec<Pixel>> {
    let (length, width, end) = (field.length.as_f64(), field.width.as_f64(), field.end_zone.as_f64());
    let across = |x: f64| [Ground::new(x, 0.0), Ground::new(x, width)];
    let along = |y: f64| [Ground::new(-end, y), Ground::new(length + end, y)];
    let mut lines = vec![along(0.0), along(width), across(-end), across(length + end), across(length)];
    if every_yd > 0.0 {
        // A field is some hundred yards long; a grid finer than a tenth of a yard shows nothing.
        let step = every_yd.max(0.1);
        let count = (length / step).ceil().min(10_000.0) as u32;
        lines.extend((0..count).map(|index| across(f64::from(index) * step)));
    }
    lines.into_iter().flat_map(|ends| paths(homography, ends, size)).collect()
}

/// The parts of a straight line of the ground that are in or near the picture, without their band.
fn paths(homography: &Homography, ends: [Ground; 2], size: Size) -> Vec<Vec<Pixel>> {
    let pixels: Vec<Option<Pixel>> =
        stretched(ends).map(|place| homography.image(place).filter(|pixel| is_near(*pixel, size))).collect();
    pixels
        .split(Option::is_none)
        .map(|part| part.iter().flatten().copied().collect::<Vec<Pixel>>())
        .filter(|part| part.len() > 1)
        .collect()
}

/// The χ² of two degrees of freedom that has 95 % below it: -2 ln 0.05.
const CHI95_2: f64 = 5.991_464_547_107_979;

/// Points of the outline of a place's ellipse.
const OUTLINE: u32 = 48;

/// The 95 % outline, in the picture, of a place on the ground with this covariance in yards². Empty where part of it
/// is not in front of the camera.
pub fn ellipse(homography: &Homography, place: Ground, covariance: &Matrix2<f64>) -> Vec<Pixel> {
    let Some(factor) = covariance.cholesky() else { return Vec::new() };
    let outline = (0..=OUTLINE).map(|step| {
        let turn = std::f64::consts::TAU * f64::from(step) / f64::from(OUTLINE);
        let aside = factor.l() * Vector2::new(turn.cos(), turn.sin()) * CHI95_2.sqrt();
        homography.image(Ground::from(place.vector() + aside))
    });
    outline.collect::<Option<_>>().unwrap_or(Vec::new())
}
