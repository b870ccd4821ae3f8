//! Landmarks of the book's field, what is drawn over a picture, a saved calibration, and which camera helps most.

use evidence::error::Error;
use evidence::place::drawn::{grid, line};
use evidence::place::homography::{Calibration, Optics};
use evidence::place::landmark::known;
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::{Ground, Pixel, Space};
use evidence::place::pose::{Focal, Posed};
use evidence::place::triangulate::Plane;
use evidence::place::view::{HallView, View, rank, rank_pairs};
use formats::calibration::CalibrationJson;
use testing::dice::Dice;
use testing::hall::{SIZE, cameras, field, on_ground, sights};

fn goal_line() -> Line {
    Line::new([Ground::new(0.0, 0.0), Ground::new(0.0, 27.0)], Ground::new(-1.0, 14.0)).expect("a line")
}

fn calibrated(index: usize, dice: &mut Dice) -> Calibration {
    let camera = &cameras()[index].camera;
    let seen = sights(dice, camera, &field(), 1.0);
    Calibration::fit(&on_ground(&seen), 1.0, Optics::Known(camera.lens)).expect("landmarks of the field")
}

/// Section 1 of the league's rules: 50 yd by 27 yd, end zones of 7, a wall of 4 ft, posts 10 ft apart, bar at 12 ft.
#[test]
fn the_field_of_the_book_offers_its_landmarks_by_name() {
    let all = known(&field(), 5.0, 7.0);
    let at =
        |name: &str| all.iter().find(|one| one.name == name).unwrap_or_else(|| panic!("no `{name}`")).place;
    assert_eq!(at("west goal line, south side"), Space::new(0.0, 0.0, 0.0));
    assert_eq!(at("15 from the east goal line, north side"), Space::new(35.0, 27.0, 0.0));
    assert_eq!(at("midfield (25), south side"), Space::new(25.0, 0.0, 0.0));
    assert_eq!(at("east end line, north side"), Space::new(57.0, 27.0, 0.0));
    assert_eq!(at("top of the wall, west north corner"), Space::new(-7.0, 27.0, 4.0 / 3.0));
    assert_eq!(at("west goal, north post at the crossbar"), Space::new(-7.0, 13.5 + 5.0 / 3.0, 4.0));
    let mut names: Vec<&str> = all.iter().map(|one| one.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!((names.len(), all.len()), (34, 34), "two sides of 13 places, four posts, four corners");
}

#[test]
fn a_line_is_drawn_where_it_is_and_wider_where_it_is_less_sure() {
    let mut dice = Dice::new(7);
    let fit = calibrated(0, &mut dice);
    let ends = [Ground::new(10.0, 0.0), Ground::new(10.0, 27.0)];
    let pieces = line(&fit.homography, ends, 0.0, SIZE);
    let piece = pieces.first().expect("the line is in the picture");
    let camera = &cameras()[0].camera;
    let foot = camera.project(Space::new(10.0, 0.0, 0.0)).expect("ahead");
    assert!((piece.line[0].vector() - foot.vector()).norm() < 4.0, "{:?} {foot:?}", piece.line[0]);
    let width = |piece: &evidence::place::drawn::Piece, index: usize| {
        (piece.left[index].vector() - piece.right[index].vector()).norm()
    };
    assert!(width(piece, 0) > 0.5 && width(piece, 0) < 6.0, "{}", width(piece, 0));
    let outside = [Ground::new(38.0, 0.0), Ground::new(38.0, 27.0)];
    let clicked = line(&fit.homography, ends, 1.0, SIZE);
    assert!(width(&clicked[0], 10) > width(piece, 10), "a click adds to the band");
    assert!(line(&fit.homography, outside, 0.0, SIZE).iter().all(|piece| piece.line.len() > 1));
    let behind = [Ground::new(0.0, -60.0), Ground::new(50.0, -60.0)];
    assert_eq!(line(&fit.homography, behind, 0.0, SIZE), [], "behind the camera");
}

#[test]
fn the_grid_has_every_fifth_yard_that_the_picture_shows() {
    let mut dice = Dice::new(8);
    let drawn = grid(&calibrated(0, &mut dice).homography, &field(), 5.0, SIZE);
    let camera = &cameras()[0].camera;
    let seen = |x: f64, y: f64| camera.project(Space::new(x, y, 0.0)).filter(|pixel| SIZE.holds(*pixel));
    for x in [-7.0, 0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 57.0] {
        // A place of the line that the picture shows, and the nearest point that is drawn.
        let Some(pixel) = (0..=27).rev().find_map(|y| seen(x, f64::from(y))) else { continue };
        let off = |drawn: &Pixel| (drawn.vector() - pixel.vector()).norm();
        let nearest = drawn.iter().flatten().map(off).fold(f64::INFINITY, f64::min);
        assert!(nearest < 6.0, "the line at {x} is drawn {nearest} px off");
    }
    assert!(grid(&calibrated(0, &mut dice).homography, &field(), f64::NAN, SIZE).len() < drawn.len());
}

// PROPERTY: a saved calibration holds until the camera moves
#[test]
fn a_saved_calibration_comes_back_and_holds_until_the_camera_moves() {
    let mut dice = Dice::new(9);
    let placed = &cameras()[1];
    let seen = sights(&mut dice, &placed.camera, &field(), 1.0);
    let optics = Optics::Known(placed.camera.lens);
    let saved = CalibrationJson::new(placed.name, SIZE, &seen, 1.0, optics);
    let text = serde_json::to_string(&saved).expect("JSON");
    let back: CalibrationJson = serde_json::from_str(&text).expect("it was saved");
    let fit = back.ground().expect("it was fitted");
    assert_eq!(fit, Calibration::fit(&on_ground(&seen), 1.0, optics).expect("landmarks of the field"));
    let off =
        back.pose().expect("posts and ground").camera.position.vector() - placed.camera.position.vector();
    assert!(off.norm() < 0.3, "{off}");
    let mut held = 0;
    for _ in 0..50 {
        let today = on_ground(&sights(&mut dice, &placed.camera, &field(), 1.0));
        held += u32::from(fit.recheck(&today[..4], 1.0).expect("in the picture").holds());
    }
    // A camera that stayed is said to have moved once in a thousand times.
    assert!(held >= 49, "{held} of 50");
    let mut panned = on_ground(&sights(&mut dice, &placed.camera, &field(), 1.0));
    panned.truncate(4);
    panned.iter_mut().for_each(|landmark| landmark.image.x += 12.0);
    let moved = fit.recheck(&panned, 1.0).expect("in the picture");
    assert!(!moved.holds() && (moved.shift().x - 12.0).abs() < 3.0, "{moved:?}");
    assert_eq!(fit.recheck(&[], 1.0), Err(Error::TooFewLandmarks { given: 0, needed: 1 }));
    assert_eq!(fit.recheck(&panned, 0.0), Err(Error::LandmarkSigma));
}

#[test]
fn cameras_are_ranked_by_the_error_that_they_really_leave() {
    let mut dice = Dice::new(10);
    let placed = cameras();
    let fits: Vec<Calibration> = (0..placed.len()).map(|index| calibrated(index, &mut dice)).collect();
    let views: Vec<View<'_>> = fits.iter().map(|calibration| View { calibration, size: SIZE }).collect();
    let about = Ground::new(18.0, 20.0);
    let ranked = rank(&views, about, &goal_line(), 1.0);
    let names: Vec<&str> = ranked.iter().map(|left| placed[left.camera].name).collect();
    assert_eq!(names.first(), Some(&"near side"), "it looks along the lines: {names:?}");
    assert!(ranked.windows(2).all(|pair| pair[0].sigma_yd <= pair[1].sigma_yd));
    for left in &ranked {
        let camera = &placed[left.camera].camera;
        let image = camera.project(about.raised(0.0)).expect("in the picture");
        let located = locate(&fits[left.camera], Click { image, sigma_px: 1.0 }).expect("on the ground");
        let stated = located.distance_to(&goal_line(), &fits[left.camera]).sigma_yd;
        assert!(
            (stated / left.sigma_yd - 1.0).abs() < 0.1,
            "{}: {stated} {}",
            placed[left.camera].name,
            left.sigma_yd
        );
    }
    assert!(rank(&views, Ground::new(500.0, 500.0), &goal_line(), 1.0).is_empty(), "nobody sees it");
    let posed: Vec<Posed> = placed
        .iter()
        .map(|one| {
            let seen = sights(&mut dice, &one.camera, &field(), 1.0);
            Posed::fit(&seen, 1.0, one.camera.lens, Focal::Free).expect("landmarks of the field")
        })
        .collect();
    let views: Vec<HallView<'_>> = posed.iter().map(|camera| HallView { camera, size: SIZE }).collect();
    let pairs = rank_pairs(&views, Space::new(18.0, 20.0, 1.0), &Plane::over(&goal_line()), 1.0);
    assert!(!pairs.is_empty() && pairs.windows(2).all(|pair| pair[0].sigma_yd <= pair[1].sigma_yd));
    assert!(pairs[0].camera.0 == 0 || pairs[0].camera.1 == 0, "the near side is in the best pair: {pairs:?}");
}
