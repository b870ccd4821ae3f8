//! Calibrating, measuring, pose and triangulation against OpenCV and SciPy.
//!
//! The clicks and what those libraries make of them stand in `tests/references/place.json`, made by
//! `scripts/place-references.py`.

use evidence::place::camera::Camera;
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::lens::Lens;
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::{Focal, Posed, Sight};
use evidence::place::triangulate::{Sighting, triangulate};
use serde::Deserialize;

#[derive(Deserialize)]
struct References {
    measure: Vec<MeasureCase>,
    pose: Vec<PoseCase>,
    triangulation: Vec<TriangulationCase>,
}

#[derive(Deserialize, Clone, Copy)]
struct LensAs {
    focal_px: f64,
    center: [f64; 2],
    k1: f64,
    k2: f64,
}

#[derive(Deserialize)]
struct OnField {
    image: [f64; 2],
    field: [f64; 2],
}

#[derive(Deserialize)]
struct MeasureCase {
    name: String,
    sigma_px: f64,
    point_sigma_px: f64,
    lines: Vec<LineAs>,
    landmarks: Vec<OnField>,
    homography: [[f64; 3]; 3],
    opencv_homography: Option<[[f64; 3]; 3]>,
    points: Vec<PointAs>,
    rms_px: f64,
    worst_px: f64,
    lens: Option<LensAs>,
}

#[derive(Deserialize)]
struct LineAs {
    through: [[f64; 2]; 2],
    past: [f64; 2],
}

#[derive(Deserialize)]
struct PointAs {
    image: [f64; 2],
    field: [f64; 2],
    covariance: [[f64; 2]; 2],
    lines: Vec<DistanceAs>,
}

#[derive(Deserialize)]
struct DistanceAs {
    distance_yd: f64,
    sigma_yd: f64,
    past_probability: f64,
}

#[derive(Deserialize)]
struct InSpace {
    image: [f64; 2],
    place: [f64; 3],
}

#[derive(Deserialize)]
struct PoseCase {
    name: String,
    sigma_px: f64,
    free_focal: bool,
    lens: LensAs,
    landmarks: Vec<InSpace>,
    position: [f64; 3],
    position_covariance: [[f64; 3]; 3],
    focal_px: f64,
    opencv_position: Option<[f64; 3]>,
}

#[derive(Deserialize)]
struct CameraAs {
    position: [f64; 3],
    target: [f64; 3],
    lens: LensAs,
}

#[derive(Deserialize)]
struct TriangulationCase {
    name: String,
    sigma_px: f64,
    cameras: Vec<CameraAs>,
    pixels: Vec<[f64; 2]>,
    opencv_linear_of_the_first_two: [f64; 3],
    place: [f64; 3],
    covariance: [[f64; 3]; 3],
    chi_square: f64,
}

fn references() -> References {
    serde_json::from_str(include_str!("../../../tests/references/place.json"))
        .expect("it was written by the script")
}

fn pixel([x, y]: [f64; 2]) -> Pixel {
    Pixel::new(x, y)
}

fn ground([x, y]: [f64; 2]) -> Ground {
    Ground::new(x, y)
}

fn space([x, y, z]: [f64; 3]) -> Space {
    Space::new(x, y, z)
}

fn lens(LensAs { focal_px, center, k1, k2 }: LensAs) -> Lens {
    Lens { focal_px, center: pixel(center), k1, k2 }
}

fn calibrated(case: &MeasureCase) -> Calibration {
    let optics = case.lens.map_or(Optics::Straight, |one| Optics::Known(lens(one)));
    let landmarks: Vec<Landmark> = case
        .landmarks
        .iter()
        .map(|one| Landmark { image: pixel(one.image), field: ground(one.field) })
        .collect();
    Calibration::fit(&landmarks, case.sigma_px, optics).expect(&case.name)
}

/// The largest difference, as a share of the largest entry.
fn apart(one: impl IntoIterator<Item = f64>, other: impl IntoIterator<Item = f64>) -> f64 {
    let (one, other): (Vec<f64>, Vec<f64>) = (one.into_iter().collect(), other.into_iter().collect());
    assert_eq!(one.len(), other.len());
    let size = other.iter().fold(0.0, |most: f64, entry| most.max(entry.abs()));
    one.iter().zip(&other).map(|(a, b)| (a - b).abs() / size).fold(0.0, f64::max)
}

#[test]
fn homographies_are_the_least_sum_of_squared_pixels_of_scipy_and_opencv() {
    for case in references().measure {
        let fit = calibrated(&case);
        let matrix = fit.homography.image_to_field().expect(&case.name);
        let rows = |matrix: [[f64; 3]; 3]| matrix.into_iter().flatten().collect::<Vec<f64>>();
        let ours = || matrix.transpose().iter().copied().collect::<Vec<f64>>();
        // The last entry, by which all are divided, may be small beside the others.
        let unit = |entries: Vec<f64>| {
            let norm = entries.iter().map(|entry| entry * entry).sum::<f64>().sqrt();
            entries.into_iter().map(move |entry| entry / norm)
        };
        let off = apart(unit(ours()), unit(rows(case.homography)));
        assert!(off < 1e-8, "{}: {off}", case.name);
        if let Some(opencv) = case.opencv_homography {
            // Its refinement ends earlier.
            let off = apart(unit(ours()), unit(rows(opencv)));
            assert!(off < 1e-6, "{}: {off}", case.name);
        }
        let (rms, worst) = fit.residual_px();
        assert!((rms - case.rms_px).abs() < 1e-6 && (worst - case.worst_px).abs() < 1e-6, "{}", case.name);
        assert!(fit.set_aside.is_empty(), "{}", case.name);
    }
}

// PROPERTY: places, errors and probabilities are those of SciPy and OpenCV
#[test]
fn places_errors_distances_and_probabilities_are_those_of_scipy() {
    for case in references().measure {
        let fit = calibrated(&case);
        for point in &case.points {
            let click = Click { image: pixel(point.image), sigma_px: case.point_sigma_px };
            let located = locate(&fit, click).expect(&case.name);
            assert!((located.place.vector() - ground(point.field).vector()).norm() < 1e-6, "{}", case.name);
            let off = apart(located.covariance.iter().copied(), point.covariance.into_iter().flatten());
            assert!(off < 1e-4, "{}: {off}", case.name);
            for (line, expected) in case.lines.iter().zip(&point.lines) {
                let line = Line::new(line.through.map(ground), ground(line.past)).expect("a line");
                let distance = located.distance_to(&line, &fit);
                assert!(distance.first_order, "{}", case.name);
                assert!((distance.yd - expected.distance_yd).abs() < 1e-6);
                assert!((distance.sigma_yd / expected.sigma_yd - 1.0).abs() < 1e-4);
                assert!((distance.past_probability - expected.past_probability).abs() < 1e-5);
            }
        }
    }
}

#[test]
fn poses_are_those_of_scipy_and_opencv() {
    for case in references().pose {
        let sights: Vec<Sight> = case
            .landmarks
            .iter()
            .map(|one| Sight { image: pixel(one.image), place: space(one.place) })
            .collect();
        let focal = if case.free_focal { Focal::Free } else { Focal::Known };
        // A focal length that is to be found starts a fifth too long.
        let mut lens = lens(case.lens);
        if case.free_focal {
            lens.focal_px *= 1.2;
        }
        let posed = Posed::fit(&sights, case.sigma_px, lens, focal).expect(&case.name);
        let off = (posed.camera.position.vector() - space(case.position).vector()).norm();
        assert!(off < 1e-5, "{}: {off} yd", case.name);
        assert!((posed.camera.lens.focal_px - case.focal_px).abs() < 1e-3, "{}", case.name);
        let ours = posed.position_covariance();
        let off = apart(ours.iter().copied(), case.position_covariance.into_iter().flatten());
        assert!(off < 1e-3, "{}: {off}", case.name);
        if let Some(opencv) = case.opencv_position {
            let off = (posed.camera.position.vector() - space(opencv).vector()).norm();
            assert!(off < 1e-5, "{}: {off} yd", case.name);
        }
    }
}

#[test]
fn triangulated_points_are_those_of_scipy_and_near_the_linear_ones_of_opencv() {
    for case in references().triangulation {
        let cameras: Vec<Posed> = case
            .cameras
            .iter()
            .map(|one| {
                let camera = Camera::look_at(space(one.position), space(one.target), 0.0, lens(one.lens));
                Posed::exact(camera.expect("it looks ahead"))
            })
            .collect();
        let sightings: Vec<Sighting<'_>> = cameras
            .iter()
            .zip(&case.pixels)
            .map(|(camera, at)| Sighting {
                camera,
                click: Click { image: pixel(*at), sigma_px: case.sigma_px },
            })
            .collect();
        let fix = triangulate(&sightings).expect(&case.name);
        let off = (fix.place.vector() - space(case.place).vector()).norm();
        assert!(off < 1e-6, "{}: {off} yd", case.name);
        let off = apart(fix.covariance.iter().copied(), case.covariance.into_iter().flatten());
        assert!(off < 1e-4, "{}: {off}", case.name);
        assert!((fix.chi_square - case.chi_square).abs() < 1e-6, "{}", case.name);
        // The linear solution weighs otherwise: it lies within a standard error, not on the point.
        let linear = space(case.opencv_linear_of_the_first_two).vector() - fix.place.vector();
        let sigma = fix.covariance.trace().sqrt();
        assert!(linear.norm() < sigma, "{}: {} against {sigma}", case.name, linear.norm());
    }
}
