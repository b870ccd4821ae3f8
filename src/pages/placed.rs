//! A placed point: the picture, or its frame alone, with the rule's line, its 95 % band, what was clicked, and the figures
//! that come of it; once as a whole and once close to the point.
//!
//! Everything is derived again from the clicks in the log; the still is that of a mark on the same picture, where one was
//! kept.

use crate::still;
use evidence::place::drawn;
use evidence::place::homography::Calibration;
use evidence::place::measure::locate;
use evidence::place::point::Pixel;
use log::store::stills::Still;
use maud::{Markup, html};
use review::event::{Placed, SeenFrom};
use review::text;
use std::fmt::Write as _;

/// Width and height of the view close to the point, in pixels of the picture: at the width of a column a pixel is two to
/// four of the screen's, so that a band of a few pixels can be seen.
const CLOSE: (f64, f64) = (160.0, 90.0);

/// The figures and the pictures of a placed point; `id` is unique on the page.
pub(super) fn shown(placed: &Placed, stills: &[Still], id: &str) -> Markup {
    html! {
        p { "Measured, " (placed.point) ": " b { (text::placed_against(placed)) } ": " (placed.measurement.verdict.word()) "." }
        div.stills.placed {
            @for (number, seen) in placed.seen.iter().enumerate() {
                (pictures(placed, seen, kept_still(stills, seen), &format!("{id}-{number}")))
            }
        }
    }
}

/// A camera's picture twice, the second time close to the point: drawn once, and shown again from there.
fn pictures(placed: &Placed, seen: &SeenFrom, still: Option<String>, id: &str) -> Markup {
    let (size, point) = (seen.clicked.landmarks.size, seen.clicked.point.image);
    let whole = format!("-0.5 -0.5 {} {}", size.width, size.height);
    let (left, top) = (figure(point.x - CLOSE.0 / 2.0), figure(point.y - CLOSE.1 / 2.0));
    let close = format!("{left} {top} {} {}", CLOSE.0, CLOSE.1);
    let label = format!("{} in the picture of {}", placed.line, seen.camera);
    html! {
        figure {
            svg viewBox=(whole) role="img" aria-label=(label) { g id=(id) { (drawing(placed, seen, still)) } }
            figcaption {
                (seen.camera) " at " (seen.timecode)
                @if let Some(shot) = &seen.shot { ", frame " (shot.frame) ", picture " span.mono { (shot.sha256.chars().take(16).collect::<String>()) "…" } }
                @else { ", a picture that could not be proven" }
                ". " (seen.clicked.landmarks.sights.len()) " landmarks, the " (placed.line) " with its 95 % band; the ring is the point that was clicked"
                @if placed.seen.len() == 1 { ", the dashed outline where it is with 95 %" }
                "."
            }
        }
        figure {
            svg viewBox=(close) role="img" aria-label=(format!("{label}, close to the point")) { use href=(format!("#{id}")) {} }
            figcaption { "The same, close to the point: " (CLOSE.0) " pixels wide." }
        }
    }
}

/// What is drawn over a picture, in its own pixels. Strokes keep their width at any magnification.
fn drawing(placed: &Placed, seen: &SeenFrom, still: Option<String>) -> Markup {
    let size = seen.clicked.landmarks.size;
    let fit = seen.clicked.landmarks.ground().ok();
    let pieces =
        fit.as_ref().map_or(Vec::new(), |fit| drawn::line(&fit.homography, placed.edge.through, 0.0, size));
    let bands: Vec<String> =
        pieces.iter().map(|piece| points(piece.left.iter().chain(piece.right.iter().rev()))).collect();
    let outline = fit.filter(|_| placed.seen.len() == 1).map_or(String::new(), |fit| outline(&fit, seen));
    let point = seen.clicked.point.image;
    let fixed = "non-scaling-stroke";
    html! {
        @match still {
            Some(data) => image x="-0.5" y="-0.5" width=(size.width) height=(size.height) href=(data) preserveAspectRatio="none" {},
            None => rect x="-0.5" y="-0.5" width=(size.width) height=(size.height) fill="#3d4a42" {},
        }
        @for band in &bands { polygon points=(band) fill="#f0b24a" fill-opacity="0.35" {} }
        @for piece in &pieces {
            polyline points=(points(piece.line.iter())) fill="none" stroke="#14161a" stroke-width="2.5" stroke-opacity="0.6" vector-effect=(fixed) {}
            polyline points=(points(piece.line.iter())) fill="none" stroke="#f0b24a" stroke-width="1" vector-effect=(fixed) {}
        }
        @for sight in &seen.clicked.landmarks.sights {
            path d=(cross(sight.image)) stroke="#f3efe6" stroke-width="1" vector-effect=(fixed) {}
        }
        @if !outline.is_empty() {
            polygon points=(outline) fill="none" stroke="#f3efe6" stroke-width="1.5" stroke-dasharray="5 3" vector-effect=(fixed) {}
        }
        circle cx=(figure(point.x)) cy=(figure(point.y)) r="12" fill="none" stroke="#f3efe6" stroke-width="1.5" vector-effect=(fixed) {}
        circle cx=(figure(point.x)) cy=(figure(point.y)) r="0.7" fill="#f3efe6" {}
    }
}

/// The address of the still of a mark on the same picture.
fn kept_still(stills: &[Still], seen: &SeenFrom) -> Option<String> {
    let sha256 = &seen.shot.as_ref()?.sha256;
    let same = |still: &&Still| still.marked.shot.as_ref().is_some_and(|shot| shot.sha256 == *sha256);
    stills.iter().filter(same).find_map(|still| still.bytes.as_deref().and_then(still::jpeg))
}

fn outline(fit: &Calibration, seen: &SeenFrom) -> String {
    let located = locate(fit, seen.clicked.point);
    located.map_or(String::new(), |located| {
        points(drawn::ellipse(&fit.homography, located.place, &located.covariance).iter())
    })
}

fn points<'a>(pixels: impl Iterator<Item = &'a Pixel>) -> String {
    pixels.fold(String::new(), |mut points, pixel| {
        // INVARIANT: writing into a string does not fail.
        let _ = write!(points, "{},{} ", figure(pixel.x), figure(pixel.y));
        points
    })
}

fn cross(at: Pixel) -> String {
    let (x, y) = (figure(at.x), figure(at.y));
    format!("M{x},{y} m-8,0 h6 m4,0 h6 M{x},{y} m0,-8 v6 m0,4 v6")
}

/// A pixel to a hundredth.
fn figure(value: f64) -> String {
    format!("{value:.2}")
}
