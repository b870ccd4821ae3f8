//! Points clicked in two cameras of a real recording, triangulated, and projected into the others: how far off, in
//! pixels and against the ellipse that is stated.
//!
//! `scripts/real-recording.py` writes the file that this reads.

use evidence::place::camera::Camera;
use evidence::place::lens::Lens;
use evidence::place::measure::Click;
use evidence::place::point::{Pixel, Space};
use evidence::place::pose::Posed;
use evidence::place::triangulate::{Sighting, triangulate};
use nalgebra::{Matrix2, Matrix3, Rotation3};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Recording {
    cameras: Vec<Calibrated>,
    points: Vec<Clicked>,
}

#[derive(Deserialize)]
struct Calibrated {
    name: String,
    position: [f64; 3],
    /// Rows, from the hall to the camera's axes.
    matrix: [[f64; 3]; 3],
    focal_px: f64,
    center: [f64; 2],
    k1: f64,
    k2: f64,
}

#[derive(Deserialize)]
struct Clicked {
    name: String,
    group: String,
    sigma_px: f64,
    pixels: Vec<Option<[f64; 2]>>,
}

/// What was found of one group of points.
#[derive(Default)]
struct Found {
    off_px: Vec<f64>,
    squares: Vec<f64>,
    misses: u32,
    pairs: u32,
    agree: Vec<f64>,
}

fn main() {
    let path = std::env::args().nth(1).expect("usage: real_recording CLICKS.json");
    let text = std::fs::read_to_string(&path).expect("the file can be read");
    let recording: Recording = serde_json::from_str(&text).expect("the file is of scripts/real-recording.py");
    let cameras: Vec<Posed> = recording.cameras.iter().map(posed).collect();
    let mut groups: BTreeMap<&str, Found> = BTreeMap::new();
    for point in &recording.points {
        let seen: Vec<(usize, Click)> = point
            .pixels
            .iter()
            .enumerate()
            .filter_map(|(camera, pixel)| {
                let [x, y] = (*pixel)?;
                Some((camera, Click { image: Pixel::new(x, y), sigma_px: point.sigma_px }))
            })
            .collect();
        let found = groups.entry(&point.group).or_default();
        for (index, first) in seen.iter().enumerate() {
            for second in &seen[index + 1..] {
                let others = seen.iter().filter(|one| one.0 != first.0 && one.0 != second.0);
                pair(&cameras, [first, second], others, found);
            }
        }
        let all: Vec<Sighting<'_>> = seen
            .iter()
            .map(|(camera, click)| Sighting { camera: &cameras[*camera], click: *click })
            .collect();
        if let Ok(fix) = triangulate(&all) {
            let sigma_mm = 914.4 * fix.covariance.trace().sqrt();
            let Space { x, y, z } = fix.place;
            println!(
                "{:<18} ({x:6.3}, {y:6.3}, {z:6.3}) yd ± {sigma_mm:.1} mm from {} cameras, consistency {:.3}",
                point.name,
                all.len(),
                fix.consistency
            );
            found.agree.push(fix.consistency);
        }
    }
    for (group, found) in groups {
        summary(group, found);
    }
}

fn posed(one: &Calibrated) -> Posed {
    let [x, y] = one.center;
    let [east, north, up] = one.position;
    let rows = one.matrix.into_iter().flatten();
    // The file's camera axes are x right, y up, z backward.
    let flip = Matrix3::from_diagonal(&[1.0, -1.0, -1.0].into());
    let rotation = Rotation3::from_matrix_unchecked(flip * Matrix3::from_row_iterator(rows));
    let lens = Lens { focal_px: one.focal_px, center: Pixel::new(x, y), k1: one.k1, k2: one.k2 };
    println!("{}: at ({east:.3}, {north:.3}, {up:.3}) yd, focal length {:.1} px", one.name, one.focal_px);
    Posed::exact(Camera { position: Space::new(east, north, up), rotation, lens })
}

fn pair<'a>(
    cameras: &[Posed],
    [first, second]: [&(usize, Click); 2],
    others: impl Iterator<Item = &'a (usize, Click)>,
    found: &mut Found,
) {
    let sighting = |one: &(usize, Click)| Sighting { camera: &cameras[one.0], click: one.1 };
    found.pairs += 1;
    let Ok(fix) = triangulate(&[sighting(first), sighting(second)]) else {
        found.misses += 1;
        return;
    };
    found.misses += u32::from(fix.is_contradiction());
    for (camera, click) in others {
        let Some((pixel, slope, _)) = cameras[*camera].image(fix.place) else { continue };
        let off = click.image.vector() - pixel.vector();
        let noise = slope * fix.covariance * slope.transpose()
            + Matrix2::identity() * (click.sigma_px * click.sigma_px);
        let inverse = noise.try_inverse().expect("a click has noise");
        found.off_px.push(off.norm());
        found.squares.push((off.transpose() * inverse * off).x);
    }
}

fn summary(group: &str, mut found: Found) {
    found.off_px.sort_by(f64::total_cmp);
    found.squares.sort_by(f64::total_cmp);
    let at = |sorted: &[f64], share: f64| {
        sorted.get((share * sorted.len() as f64) as usize).copied().unwrap_or(f64::NAN)
    };
    // 95 % of χ² of two degrees of freedom.
    let inside = found.squares.iter().filter(|square| **square <= 5.991_464_547).count();
    println!(
        "{group}: {} reprojections of {} pairs: median {:.1} px, 95th percentile {:.1} px; {} of {} within the stated \
         95 % ellipse; median square {:.2} (1.39 expected); {} pairs whose rays miss each other",
        found.off_px.len(),
        found.pairs,
        at(&found.off_px, 0.5),
        at(&found.off_px, 0.95),
        inside,
        found.squares.len(),
        at(&found.squares, 0.5),
        found.misses
    );
}
