//! Places without a display: cameras with known truth, clicked as a person would.

use super::{Act, Asks, Mode, PaneView, Place, Subject, Views};
use crate::booth::pictures::place::text::Weight;
use evidence::place::camera::Camera;
use evidence::place::clicked::{Edge, read};
use evidence::place::point::{Ground, Pixel, Space};
use rules::book::{load, shipped};
use std::path::Path;
use testing::hall::{SIZE, bent, end, near};

fn views(lead: usize) -> Views {
    let pane = |camera: usize, label: &str, name: &str| PaneView {
        camera,
        label: label.to_owned(),
        name: name.to_owned(),
        size: SIZE,
        frame: Some(120),
        at_ns: 0,
        clock: 0,
    };
    Views { panes: vec![pane(0, "A near side", "near side"), pane(1, "B high end", "high end")], lead }
}

fn subject(in_air: bool) -> Subject {
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    let field = load::load("saltmarsh", &sources).expect("it is sound").field;
    let line = |x: f64| Edge {
        through: [Ground::new(x, 0.0), Ground::new(x, 27.0)],
        past: Ground::new(x + 1.0, 0.0),
    };
    let lines = [("alignment line", 40.0), ("goal line", 50.0)];
    let lines = lines.map(|(name, x)| (name.to_owned(), vec![line(x)])).to_vec();
    let asks = Asks {
        point: "toes".to_owned(),
        line: "alignment line".to_owned(),
        in_air,
        at: "snap".to_owned(),
        marked: vec![(0, 120)],
    };
    let ball = Ground::new(35.0, 0.0);
    Subject { question: 0, step: "toes".to_owned(), asks: Some(asks), lines, field, standard: 0.99, ball }
}

fn place(in_air: bool) -> Place {
    let mut place = Place::default();
    place.about(Some(subject(in_air)), &views(0));
    place
}

/// Clicks proposed landmarks where the camera sees them, and skips those out of view. Each click is off by a fixed
/// pattern of about a pixel.
fn calibrate(place: &mut Place, camera: &Camera, lead: usize, clicks: usize) {
    let views = views(lead);
    place.toggle(Mode::Calibrating, &views);
    for index in 0..clicks {
        click_next(place, camera, lead, index);
    }
}

fn click_next(place: &mut Place, camera: &Camera, lead: usize, index: usize) {
    let views = views(lead);
    for _ in 0..60 {
        let marks = &place.clicks[&lead];
        let known = marks.known[marks.next].clone();
        let seen = camera.project(known.place).filter(|pixel| SIZE.holds(*pixel));
        match seen.filter(|_| !marks.clicked.contains_key(&marks.next)) {
            Some(pixel) => {
                let turn = 2.4 * index as f64;
                let at = Pixel::new(pixel.x + 0.7 * turn.cos(), pixel.y + 0.7 * turn.sin());
                return place.click(at, &views);
            }
            None => drop(place.act(Act::Next, &views)),
        }
    }
    panic!("nothing of the field is in the picture");
}

fn doubts(place: &Place, lead: usize) -> Vec<String> {
    let said = place.remarks(&views(lead)).into_iter();
    said.filter(|line| line.weight == Weight::Doubt).map(|line| line.words).collect()
}

// PROPERTY: a camera calibrated by clicks measures a toe within its band, and the clicks give the figures again
#[test]
fn eight_clicks_calibrate_a_camera_and_a_ninth_measures_a_toe() {
    let mut place = place(false);
    calibrate(&mut place, &near(), 0, 8);
    assert_eq!(doubts(&place, 0), Vec::<String>::new());
    assert!(!place.overlays(&views(0))[0].grid.is_empty(), "the grid is drawn at once");
    assert_eq!(place.act(Act::Keep, &views(0)), None);
    assert_eq!(place.mode, None);
    assert_eq!(place.overlays(&views(0))[0].lines.len(), 1, "the step's line is drawn");
    place.toggle(Mode::Measuring, &views(0));
    let toe = near().project(Space::new(39.8, 11.0, 0.0)).expect("in view");
    place.click(toe, &views(0));
    let (_, reading) = place.read.clone().expect("clicked").expect("on the ground");
    assert!((reading.distance.yd + 0.2).abs() < 2.0 * reading.distance.sigma_yd, "{:?}", reading.distance);
    assert!(reading.distance.sigma_yd < 3.0 / 36.0, "{:?}", reading.distance);
    assert!(reading.verdict(0.99).word() == "refuted");
    assert!(place.overlays(&views(0))[0].ring.len() > 10);
    let placed = place.act(Act::Keep, &views(0)).expect("it is kept");
    assert_eq!((placed.step.as_str(), placed.seen.len()), ("toes", 1));
    let (camera, frame, clicked) = &placed.seen[0];
    assert_eq!((*camera, *frame, clicked.point.image), (0, 120, toe));
    // The stored clicks give the same figures.
    let line = subject(false).lines[0].1[0].line().expect("a line");
    assert_eq!(read(std::slice::from_ref(clicked), &line), Ok(reading));
}

#[test]
fn arrows_move_the_click_by_a_tenth_of_a_pixel_and_backspace_takes_it_away() {
    let mut place = place(false);
    calibrate(&mut place, &near(), 0, 8);
    place.act(Act::Keep, &views(0));
    place.toggle(Mode::Measuring, &views(0));
    place.click(Pixel::new(600.0, 400.0), &views(0));
    for act in [Act::Nudge(1, 0), Act::Nudge(0, -10)] {
        place.act(act, &views(0));
    }
    let at = place.points[&0].at;
    assert!((at.x - 600.1).abs() < 1e-9 && (at.y - 399.0).abs() < 1e-9, "{at:?}");
    // The pointer went elsewhere: the arrows move the cross, not the click.
    place.over(Pixel::new(100.0, 100.0));
    place.act(Act::Nudge(100, 0), &views(0));
    assert_eq!((place.points[&0].at, place.loupe()), (at, Some(Pixel::new(110.0, 100.0))));
    place.act(Act::Remove, &views(0));
    assert_eq!((place.points.len(), place.read.clone()), (0, None));
}

#[test]
fn a_bad_click_is_named_and_a_camera_that_was_not_calibrated_measures_nothing() {
    let mut place = place(false);
    calibrate(&mut place, &near(), 0, 8);
    let marks = place.clicks.get_mut(&0).expect("clicked");
    let number = *marks.clicked.keys().nth(3).expect("eight of them");
    let name = marks.known[number].name.clone();
    marks.clicked.get_mut(&number).expect("clicked").x += 40.0;
    for index in 8..10 {
        click_next(&mut place, &near(), 0, index);
    }
    let said = doubts(&place, 0).concat().to_lowercase();
    assert!(said.contains(&name), "{said} does not name {name}");
    place.act(Act::Leave, &views(0));
    place.toggle(Mode::Measuring, &views(1));
    place.click(Pixel::new(600.0, 400.0), &views(1));
    assert!(doubts(&place, 1).concat().contains("not calibrated"));
    assert_eq!(place.act(Act::Keep, &views(1)), None);
}

#[test]
fn a_point_in_the_air_takes_a_second_camera() {
    let mut place = place(true);
    for (lead, camera) in [(0, near()), (1, end())] {
        calibrate(&mut place, &camera, lead, 10);
        place.act(Act::Keep, &views(lead));
        assert_eq!(place.mode, None, "{:?}", place.told);
    }
    let ball = Space::new(40.6, 12.0, 1.3);
    place.toggle(Mode::Measuring, &views(0));
    place.click(near().project(ball).expect("in view"), &views(0));
    assert!(doubts(&place, 0).concat().contains("ne camera cannot place a point in the air"));
    assert_eq!(place.act(Act::Keep, &views(0)), None);
    place.click(end().project(ball).expect("in view"), &views(1));
    let (_, reading) = place.read.clone().expect("clicked").expect("both see it");
    assert!((reading.distance.yd - 0.6).abs() < 3.0 * reading.distance.sigma_yd, "{:?}", reading.distance);
    assert!(!reading.contradiction);
    let placed = place.act(Act::Keep, &views(1)).expect("it is kept");
    assert_eq!(placed.seen.iter().map(|(camera, ..)| *camera).collect::<Vec<_>>(), [1, 0]);
}

/// On another day the kept calibration is compared with two landmarks before it measures anything.
// PROPERTY: a kept calibration measures nothing before it was compared with the day
#[test]
fn a_kept_calibration_is_compared_with_the_picture_of_the_day() {
    let folder = tempfile::tempdir().expect("a folder");
    let open = |folder: &Path| {
        let mut place = Place::default();
        place.keep_in(folder.to_owned());
        place.about(Some(subject(false)), &views(0));
        place
    };
    let mut first = open(folder.path());
    calibrate(&mut first, &near(), 0, 8);
    first.act(Act::Keep, &views(0));
    let moved = bent([38.5, -15.5, 14.0], [38.9, 13.2, 0.0]);
    for (camera, holds) in [(near(), true), (moved, false)] {
        let mut place = open(folder.path());
        place.toggle(Mode::Measuring, &views(0));
        assert!(doubts(&place, 0).concat().contains("kept calibration"), "{:?}", doubts(&place, 0));
        place.click(Pixel::new(600.0, 400.0), &views(0));
        assert_eq!(place.read, None, "nothing is measured by what was not compared");
        calibrate(&mut place, &camera, 0, 2);
        assert_eq!(doubts(&place, 0).concat().contains("has moved since"), !holds, "{:?}", doubts(&place, 0));
        place.act(Act::Keep, &views(0));
        assert_eq!(place.mode.is_none(), holds, "{:?}", place.told);
    }
    std::fs::write(folder.path().join("near-side.json"), "{").expect("it can be written");
    assert!(doubts(&open(folder.path()), 0).concat().contains("is not a usable calibration"));
}

#[test]
fn from_the_fifth_on_every_landmark_that_is_proposed_is_in_the_picture() {
    let mut place = place(false);
    calibrate(&mut place, &near(), 0, 4);
    for index in 4..9 {
        let marks = &place.clicks[&0];
        let next = &marks.known[marks.next];
        assert!(near().project(next.place).is_some_and(|pixel| SIZE.holds(pixel)), "{}", next.name);
        click_next(&mut place, &near(), 0, index);
    }
}

/// Marks in frame 120 of the near side, or in other frames and cameras.
#[test]
fn a_point_is_kept_only_at_the_marked_moment() {
    let both = |clocks: [usize; 2]| {
        let mut views = views(0);
        for (pane, clock) in views.panes.iter_mut().zip(clocks) {
            pane.clock = clock;
        }
        views
    };
    let (one, air) = (&[(0, 120)][..], &[(0, 120), (1, 120)][..]);
    for (marked, clocks, seen, why) in [
        (vec![], [0, 0], one, Some("the snap is not marked")),
        (vec![(0, 120)], [0, 0], one, None),
        (vec![(0, 118)], [0, 0], one, Some("is marked in frame 118 of A near side, and this is frame 120")),
        (vec![(1, 120)], [0, 0], one, Some("is marked in frame 120 of B high end")),
        (vec![(1, 90), (0, 120)], [0, 0], one, None),
        (vec![(0, 120)], [0, 0], air, None),
        (vec![(0, 120)], [0, 1], air, Some("nothing ties B high end to A near side")),
        (vec![(0, 120), (1, 120)], [0, 1], air, None),
        (vec![(0, 120), (1, 121)], [0, 0], air, Some("is marked in frame 121 of B high end")),
    ] {
        let asks = Asks { marked: marked.clone(), ..subject(false).asks.expect("a place") };
        let told = asks.beside(&both(clocks), seen);
        let is_as_said = match (&told, why) {
            (None, None) => true,
            (Some(told), Some(why)) => told.contains(why),
            (Some(_), None) | (None, Some(_)) => false,
        };
        assert!(is_as_said, "{marked:?} {clocks:?} {seen:?}: {told:?}");
    }
    // With the moment marked elsewhere, a clicked point stays and is not kept.
    let mut place = place(false);
    calibrate(&mut place, &near(), 0, 8);
    place.act(Act::Keep, &views(0));
    let asks = Asks { marked: vec![(0, 118)], ..subject(false).asks.expect("a place") };
    place.about(Some(Subject { asks: Some(asks), ..subject(false) }), &views(0));
    place.toggle(Mode::Measuring, &views(0));
    place.click(near().project(Space::new(39.8, 11.0, 0.0)).expect("in view"), &views(0));
    assert!(doubts(&place, 0).concat().contains("is marked in frame 118"), "{:?}", doubts(&place, 0));
    assert_eq!(place.act(Act::Keep, &views(0)), None);
    assert_eq!((place.mode, place.points.len()), (Some(Mode::Measuring), 1));
}
