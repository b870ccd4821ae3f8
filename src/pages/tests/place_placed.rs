//! A placed point in a review: the rule's line of this very situation, the figures, what is refused, what is kept, and
//! the page that shows it.

use ::review::decide::Command;
use ::review::event::{Answered, Event, Marked, Placed, SeenFrom};
use ::review::placing::{Placing, edges};
use ::review::text;
use evidence::mark::{Basis, Mark, Quantity, Shot};
use evidence::place::camera::Camera;
use evidence::place::clicked::{Clicked, Landmarks};
use evidence::place::measure::Click;
use evidence::place::point::{Pixel, Space};
use evidence::place::pose::Sight;
use evidence::verdict::Verdict;
use log::chain::label::ReviewId;
use log::forms;
use log::streams::read;
use log::streams::reviews;
use log::streams::session::Attempt;
use pages::review;
use rules::book::tree::Looks;
use rules::game::situation::{End, Situation};
use testing::booth::{Booth, answered, look};
use testing::challenge::{Challenge, command_id, stamp};
use testing::hall::{SIZE, end, near};
use testing::logs::{Desk, entry};

/// Exact clicks on every crossing of lines and sides that the picture holds, and on a place.
fn seen(camera: &Camera, name: &str, place: Space) -> SeenFrom {
    let crossings = (0..=10).flat_map(|line| [0.0, 27.0].map(|y| Space::new(5.0 * f64::from(line), y, 0.0)));
    let sight = |place: Space| {
        let image = camera.project(place).filter(|pixel| SIZE.holds(*pixel))?;
        Some(Sight { image, place })
    };
    let landmarks = Landmarks { size: SIZE, sights: crossings.filter_map(sight).collect(), sigma_px: 1.0 };
    let image = camera.project(place).expect("in view");
    SeenFrom {
        camera: name.to_owned(),
        timecode: AT.parse().expect("a timecode"),
        shot: None,
        clicked: Clicked { landmarks, point: Click { image, sigma_px: 1.0 } },
    }
}

fn place(step: &str, seen: Vec<SeenFrom>) -> Command {
    Command::Place(Placing { question: 0, step: step.to_owned(), seen })
}

/// The frame of the clicks, and another one.
const AT: &str = "00:41:14:30";
const OTHER: &str = "00:41:14:31";

fn mark(moment: &str, camera: &str, timecode: &str, frame: Option<u64>) -> Command {
    let timecode = timecode.parse().expect("a timecode");
    let mark = Mark { moment: moment.to_owned(), camera: camera.to_owned(), timecode };
    Command::Mark(Marked { mark, x: None, clock_ms: None, shot: frame.map(shot), scoreboard: None })
}

fn shot(frame: u64) -> Shot {
    Shot {
        clip_sha256: "c".repeat(64),
        frame,
        pts: 0,
        time_base: (1, 60_000),
        sha256: "a".repeat(64),
        exact: true,
        still: None,
    }
}

/// The review of a tree, with a moment marked in the frame of the clicks.
fn marked(tree: &str, call: &str, moment: &str) -> Booth {
    let mut booth = Booth::open(tree, call);
    booth.does(mark(moment, "near side", AT, None));
    booth
}

fn placed(events: &[Event]) -> Placed {
    match events {
        [Event::Placed(placed)] => (**placed).clone(),
        other => panic!("{other:?}"),
    }
}

/// Fourth and 1.5 at the 38.5: the alignment line is the line to gain, at the 40 (League rule 2).
// PROPERTY: a placed point is measured against the line of its situation, and read back from the log
#[test]
fn a_toe_is_measured_against_the_line_of_this_situation_and_the_answer_rests_on_it() {
    let mut booth = marked("inside-line", "foul", "snap");
    booth.does(look(0, "toes", Looks::FrameByFrame, None));
    let toe = seen(&near(), "near side", Space::new(39.8, 11.0, 0.0));
    let placed = placed(&booth.does(place("toes", vec![toe])));
    assert_eq!((placed.line.as_str(), placed.edge.through[0].x), ("alignment line", 40.0));
    let Some(Quantity::Position { x, sigma, .. }) = placed.measurement.of else { panic!("{placed:?}") };
    assert!((x - 39.8).abs() < 1e-4 && sigma > 0.01 && sigma < 0.1, "{x} ± {sigma}");
    assert!(matches!(placed.measurement.verdict, Verdict::Refuted { .. }));
    assert!(text::placed_against(&placed).starts_with("7.2 in short of the alignment line, ± "));
    let against = booth.attempt(Command::Answer(Answered {
        basis: Basis::Computed(placed.measurement.clone()),
        ..answered(0, "toes", &["yes"])
    }));
    assert!(against.expect_err("refuted").because.contains("refutes"));
    booth.does(Command::Answer(Answered {
        basis: Basis::Computed(placed.measurement.clone()),
        ..answered(0, "toes", &["no"])
    }));
    // The answer and then the placed point are taken back.
    booth.does(Command::Undo);
    assert_eq!(booth.review.placed().count(), 1);
    booth.does(Command::Undo);
    assert_eq!(booth.review.placed().count(), 0);
}

/// The same play seen from the other end is the same play.
#[test]
fn an_offense_that_goes_west_has_its_lines_and_figures_turned() {
    let booth = Booth::open("inside-line", "foul");
    let at = booth.review.situation().expect("called");
    let west = Situation { attacks: End::West, ..at };
    for (line, east_x, west_x) in [("alignment line", 40.0, 10.0), ("goal line", 50.0, 0.0)] {
        for (situation, x, past) in [(at, east_x, 1.0), (west, west_x, -1.0)] {
            let [edge] = edges(&booth.book, &situation, line)[..] else { panic!("one edge") };
            assert_eq!((edge.through.map(|end| end.x), edge.past.x), ([x, x], x + past), "{line}");
        }
    }
    assert_eq!(edges(&booth.book, &at, "boundary").len(), 2, "both sides");
    assert!(edges(&booth.book, &at, "tackle box").is_empty(), "it hangs on marked players");
}

#[test]
fn what_cannot_be_measured_so_is_refused_in_words() {
    let toe = || seen(&near(), "near side", Space::new(39.8, 11.0, 0.0));
    let mut three = toe();
    three.clicked.landmarks.sights.truncate(3);
    let mut nan = toe();
    nan.clicked.landmarks.sights[2].place.x = f64::NAN;
    for (tree, call, step, seen, because) in [
        ("inside-line", "foul", "facing", vec![toe()], "`facing` does not ask where a point is"),
        ("inside-line", "foul", "toes", vec![], "nothing was clicked"),
        ("inside-line", "foul", "toes", vec![three], "camera 1: 3 landmarks: at least 4 are needed"),
        (
            "inside-line",
            "foul",
            "toes",
            vec![nan],
            "a landmark of camera 1 has a coordinate that is not a finite number",
        ),
        (
            "line-reached",
            "short",
            "line to gain",
            vec![toe()],
            "the front of the ball is in the air: one camera cannot place it",
        ),
    ] {
        let mut booth = marked(tree, call, if tree == "inside-line" { "snap" } else { "forward point" });
        let no = booth.attempt(place(step, seen)).expect_err(because);
        assert_eq!((no.because.as_str(), no.reason_carries), (because, false));
    }
}

/// Clicks in one camera's frame, and what is marked before: only the frame that is marked for the step's moment is proof.
// PROPERTY: a point is proof only in the frame that is marked for its moment
#[test]
fn a_point_is_proof_only_in_the_frame_that_is_marked_for_the_moment() {
    let near_only = &["near side"][..];
    let both = &["near side", "high end"][..];
    let on = |camera: &'static str, timecode: &'static str| ("snap", camera, timecode, None);
    let there = "`snap` is marked in";
    for (marks, cameras, frame, because) in [
        (vec![], near_only, None, Some("`snap` is not marked")),
        (vec![("hurdle", "near side", AT, None)], near_only, None, Some("`snap` is not marked")),
        (vec![on("near side", AT)], near_only, None, None),
        (vec![on("near side", OTHER)], near_only, None, Some(there)),
        (vec![on("high end", AT)], near_only, None, Some(there)),
        (vec![on("high end", OTHER), on("near side", AT)], near_only, None, None),
        // The second camera's frame is the one that its clock shows at that moment, or, if it is marked itself, the marked one.
        (vec![on("near side", AT)], both, None, None),
        (vec![on("near side", AT), on("high end", AT)], both, None, None),
        (vec![on("near side", AT), on("high end", OTHER)], both, None, Some(there)),
        (vec![on("near side", OTHER), on("high end", AT)], both, None, Some(there)),
        // The newest mark of a camera counts.
        (vec![on("near side", AT), on("near side", OTHER)], near_only, None, Some(there)),
        (vec![on("near side", OTHER), on("near side", AT)], near_only, None, None),
        // Where both pictures are proven, the frame decides.
        (vec![("snap", "near side", AT, Some(7))], near_only, Some(7), None),
        (vec![("snap", "near side", AT, Some(7))], near_only, Some(8), Some(there)),
    ] {
        let case = format!("{marks:?} {cameras:?} {frame:?}");
        let mut booth = Booth::open("inside-line", "foul");
        for (moment, camera, timecode, frame) in marks {
            booth.does(mark(moment, camera, timecode, frame));
        }
        let toe = Space::new(39.8, 11.0, 0.0);
        let of = |name: &&str| {
            let camera = if *name == "near side" { near() } else { end() };
            SeenFrom { shot: frame.map(shot), ..seen(&camera, name, toe) }
        };
        let command = place("toes", cameras.iter().map(of).collect());
        match because {
            None => drop(booth.does(command)),
            Some(because) => {
                let no = booth.refuses(command);
                assert!(no.because.contains(because) && !no.reason_carries, "{case}: {no}");
            }
        }
    }
}

/// A point in the marked frame proves nothing any more once another frame is marked, or none.
// PROPERTY: a point is proof only in the frame that is marked for its moment
#[test]
fn a_placed_point_stops_being_proof_when_its_moment_is_marked_elsewhere() {
    for then in [mark("snap", "near side", OTHER, Some(8)), Command::Undo] {
        let mut booth = Booth::open("inside-line", "foul");
        booth.does(look(0, "toes", Looks::FrameByFrame, None));
        // Placed first in the log, so that taking back the newest act takes back the mark.
        booth.does(mark("snap", "near side", AT, None));
        let toe = seen(&near(), "near side", Space::new(39.8, 11.0, 0.0));
        let placed = placed(&booth.does(place("toes", vec![toe])));
        if then == Command::Undo {
            booth.does(mark("snap", "near side", OTHER, Some(8)));
            booth.does(mark("snap", "near side", AT, Some(7)));
            booth.does(Command::Undo);
        } else {
            booth.does(then.clone());
        }
        let no = booth.refuses(Command::Answer(Answered {
            basis: Basis::Computed(placed.measurement.clone()),
            ..answered(0, "toes", &["no"])
        }));
        assert!(no.because.contains("`snap` is marked in") && !no.reason_carries, "{then:?}: {no}");
        booth.does(mark("snap", "near side", AT, Some(7)));
        booth.does(Command::Answer(Answered {
            basis: Basis::Computed(placed.measurement),
            ..answered(0, "toes", &["no"])
        }));
    }
}

/// The stored form of a placed point, with figures that a person can check.
// PROPERTY: a placed point is measured against the line of its situation, and read back from the log
#[test]
fn a_placed_point_is_read_from_the_log_as_it_was_written() {
    let mut booth = marked("inside-line", "foul", "snap");
    booth.does(look(0, "toes", Looks::FrameByFrame, None));
    // A trapezium whose map is known by hand: (640, 400) shows (10, 120/13).
    let corner = |x: f64, y: f64, east: f64, north: f64| Sight {
        image: Pixel::new(x, y),
        place: Space::new(east, north, 0.0),
    };
    let sights = vec![
        corner(100.0, 600.0, 0.0, 0.0),
        corner(1180.0, 600.0, 20.0, 0.0),
        corner(880.0, 200.0, 20.0, 30.0),
        corner(400.0, 200.0, 0.0, 30.0),
    ];
    let mut toe = seen(&near(), "near side", Space::new(39.8, 11.0, 0.0));
    toe.clicked = Clicked {
        landmarks: Landmarks { size: SIZE, sights, sigma_px: 1.0 },
        point: Click { image: Pixel::new(640.0, 400.0), sigma_px: 1.0 },
    };
    let events = booth.does(place("toes", vec![toe]));
    let event = events.first().expect("one");
    let shown = forms::shown(event);
    assert_eq!(shown["kind"], "review.placed");
    let kept = include_str!("../../../tests/golden/review-placed-1.json");
    let clicks = |mut body: serde_json::Value| -> serde_json::Value {
        // The last digits of what is computed may differ from machine to machine.
        body["measurement"].take();
        body.as_object_mut().expect("an object").remove("form");
        body
    };
    let body: serde_json::Value = serde_json::from_str(kept).expect("JSON");
    assert_eq!(clicks(shown["body"].clone()), clicks(body.clone()));
    // A log from when four landmarks were enough for a figure is still read; nothing rests on them now.
    let x = body["measurement"]["of"]["position"]["x"].as_f64().expect("a figure");
    assert!((x - 10.0).abs() < 1e-9);
    assert!(shown["body"]["measurement"]["of"].is_null(), "{}", shown["body"]["measurement"]);
    let desk = Desk::with_notes(0);
    let read = read::event_of::<Event>(&desk.reader(), &entry("review.placed", body));
    let read = read.expect("readable").expect("an event").1.event;
    let (Event::Placed(read), Event::Placed(written)) = (&read, event) else { panic!("{read:?}") };
    assert_eq!((&read.seen, &read.edge), (&written.seen, &written.edge));
}

/// The demo's challenge, with the ball placed by two cameras before it is ruled: the page draws line and band over both.
#[test]
fn the_page_draws_the_line_with_its_band_and_says_the_figures() {
    let desk = Desk::with_notes(0);
    let challenge = Challenge::demo();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let ball = Space::new(45.2, 26.0, 1.5);
    let seen = vec![seen(&near(), "near side", ball), seen(&end(), "high end", ball)];
    let mut number = 0;
    let mut does = |session: &mut log::streams::reviews::Session, command, at_ms| {
        number += 1;
        let attempt = Attempt { command: command_id(session, number), at: stamp(at_ms) };
        session.act(&mut log, challenge.desk(), &attempt, command).expect("written")
    };
    for (command, at_ms) in challenge.commands() {
        if command == Command::Rule {
            for camera in ["near side", "high end"] {
                does(&mut session, mark("crosses the wall", camera, AT, None), at_ms);
            }
            does(&mut session, place("crossing", seen.clone()), at_ms);
        }
        does(&mut session, command, at_ms);
    }
    let id = ReviewId::new("r-1").expect("a label");
    let held = reviews::Held::one(&desk.reader(), &id).expect("read").expect("there");
    let page = review::of_review(&desk.reader(), &held).expect("made");
    assert_eq!(page.matches("<polygon").count(), 2, "a band in each picture");
    assert!(page.contains("4.80 yd short of the goal line"), "the figures");
    assert!(page.contains("goal line with its 95 % band"));
}
