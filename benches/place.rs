//! What a click in a picture costs: calibrating it, drawing the rule's line with its band, measuring a point against
//! a line, and a point in the air from two cameras. Each has to stay below a millisecond.

use criterion::Criterion;
use evidence::place::camera::Camera;
use evidence::place::drawn::{grid, line};
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::landmark::known;
use evidence::place::lens::Lens;
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::{Focal, Posed, Sight};
use evidence::place::triangulate::{Plane, Sighting, triangulate};
use evidence::place::view::Size;
use rules::book::{load, shipped};
use std::hint::black_box;

const SIZE: Size = Size { width: 1280, height: 720 };

fn camera(from: Space, to: Space, focal_px: f64) -> Camera {
    let lens = Lens { focal_px, center: Pixel::new(639.5, 359.5), k1: -0.08, k2: 0.0 };
    Camera::look_at(from, to, 0.0, lens).expect("it looks ahead")
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    let field = load::load("saltmarsh", &sources).expect("it is sound").field;
    let near = camera(Space::new(12.5, -14.0, 9.0), Space::new(12.5, 11.0, 0.0), 800.0);
    let end = camera(Space::new(-16.0, 13.5, 11.0), Space::new(15.0, 13.5, 0.0), 1100.0);
    let sights = |camera: &Camera| -> Vec<Sight> {
        known(&field, 5.0, 7.0)
            .into_iter()
            .filter_map(|one| {
                let image = camera.project(one.place).filter(|pixel| SIZE.holds(*pixel))?;
                // Whole pixels, as clicked.
                Some(Sight { image: Pixel::new(image.x.round(), image.y.round()), place: one.place })
            })
            .collect()
    };
    let (near_sights, end_sights) = (sights(&near), sights(&end));
    let landmarks: Vec<Landmark> = near_sights
        .iter()
        .filter(|sight| sight.place.z == 0.0)
        .map(|sight| Landmark { image: sight.image, field: sight.place.ground() })
        .collect();
    let mut bad = landmarks.clone();
    bad[2].image.x += 40.0;
    println!("{} landmarks on the ground, {} in all", landmarks.len(), near_sights.len());
    criterion.bench_function("calibrate", |bench| {
        bench.iter(|| Calibration::fit(black_box(&landmarks), 1.0, Optics::Known(near.lens)));
    });
    criterion.bench_function("calibrate, one bad landmark", |bench| {
        bench.iter(|| Calibration::fit(black_box(&bad), 1.0, Optics::Known(near.lens)));
    });
    criterion.bench_function("calibrate, k1 fitted", |bench| {
        bench.iter(|| Calibration::fit(black_box(&landmarks), 1.0, Optics::Fitted(near.lens)));
    });
    let fit = Calibration::fit(&landmarks, 1.0, Optics::Known(near.lens)).expect("landmarks of the field");
    let ends = [Ground::new(15.0, 0.0), Ground::new(15.0, 27.0)];
    criterion.bench_function("draw a line with its band", |bench| {
        bench.iter(|| line(&fit.homography, black_box(ends), 1.0, SIZE));
    });
    criterion.bench_function("draw the grid", |bench| {
        bench.iter(|| grid(&fit.homography, black_box(&field), 5.0, SIZE));
    });
    let rule = Line::new(ends, Ground::new(50.0, 14.0)).expect("a line");
    let image = near.project(Space::new(14.95, 12.0, 0.0)).expect("in the picture");
    criterion.bench_function("measure a point against a line", |bench| {
        bench.iter(|| {
            let located = locate(&fit, black_box(Click { image, sigma_px: 1.0 })).expect("on the ground");
            located.distance_to(&rule, &fit)
        });
    });
    criterion.bench_function("pose of a camera", |bench| {
        bench.iter(|| Posed::fit(black_box(&near_sights), 1.0, near.lens, Focal::Free));
    });
    let pose = |sights: &[Sight], camera: &Camera| {
        Posed::fit(sights, 1.0, camera.lens, Focal::Free).expect("landmarks of the field")
    };
    let (by_near, by_end) = (pose(&near_sights, &near), pose(&end_sights, &end));
    let ball = Space::new(14.9, 12.0, 1.5);
    let click =
        |camera: &Camera| Click { image: camera.project(ball).expect("in the picture"), sigma_px: 1.0 };
    let sightings = [
        Sighting { camera: &by_near, click: click(&near) },
        Sighting { camera: &by_end, click: click(&end) },
    ];
    let plane = Plane::over(&rule);
    criterion.bench_function("a point in the air against a plane", |bench| {
        bench.iter(|| triangulate(black_box(&sightings)).expect("both see it").distance_to(&plane));
    });
    criterion.final_summary();
}
