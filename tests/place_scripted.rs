//! The demo's challenge that turns on a place: its clicks are the play's truth with a stated error, what they come to holds
//! that truth, and the answer rests on it.

use ::review::answer::offered;
use ::review::event::{Event, Placed};
use ::review::text;
use audit::figures;
use audit::sample::Sample;
use audit::sample::editions::Editions;
use evidence::place::clicked::read;
use evidence::place::drawn;
use evidence::place::point::{Pixel, Space};
use formats::script::{Act, SeenJson};
use log::exchange::records;
use log::streams::reviews;
use pages::report;
use pages::review;
use scene::action::Action;
use scene::dice::Dice;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::truth::Truth;
use std::collections::BTreeMap;
use testing::challenge::Challenge;
use testing::leagues_hall as hall;
use testing::logs::Desk;

/// The line to gain of fourth and one at the 30, and with it the alignment line (League rule 2).
const LINE: f64 = 31.0;
/// The players whose toes are clicked, one after the other.
const MEN: [&str; 2] = ["O52", "O44"];

fn action() -> Action {
    let (_, text) = PLAYS.iter().find(|(name, _)| *name == "inside-line").expect("the play is shipped");
    Action::new(Play::read(text).expect("it is sound"), hall().walls)
}

/// The toe of a player that is farther out when the ball is snapped.
fn toe(action: &Action, who: &str) -> Space {
    let truth = Truth::of(action, &hall(), &[]);
    let at_s = truth.at_s("snap").expect("it happens");
    let man = truth.players.iter().find(|player| player.id == who).expect("he plays");
    let stood = man.left.iter().chain(&man.right).filter(|stood| stood.from_s <= at_s && at_s < stood.to_s);
    let toe = stood.map(|stood| stood.toe).max_by(|one, other| one[0].total_cmp(&other[0]));
    toe.map(|[x, y]| Space::new(x, y, 0.0)).expect("he stands")
}

/// What the script comes to: a placed point for each of the players.
fn placed() -> Vec<Placed> {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::alignment());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let events = challenge.play(&mut log, &mut session, &challenge.commands(), 0);
    let placed = events.into_iter().filter_map(|event| match event {
        Event::Placed(placed) => Some(*placed),
        _ => None,
    });
    placed.collect()
}

fn station(camera: &str) -> Station {
    let rig = rig::read(CAMERAS).expect("the cameras are shipped");
    rig.into_iter().find(|station| station.mounted.name == camera).expect("it is mounted")
}

// PROPERTY: the demo's clicks are its play's truth with a stated error, and what they come to holds that truth
#[test]
fn the_clicks_are_the_true_places_with_a_hands_error() {
    let action = action();
    let script = Challenge::alignment().script;
    let placings: Vec<&SeenJson> = script
        .acts
        .iter()
        .filter_map(|timed| match &timed.act {
            Act::Place { seen, .. } => seen.first(),
            _ => None,
        })
        .collect();
    let calibration = &placings[0].calibration;
    let camera = station(&calibration.camera).camera;
    let mut dice = Dice::new(action.play.seed);
    let mut clicked = |place: Space, sigma_px: f64| {
        let at = camera.project(place).expect("it is ahead");
        let mut near = |at: f64| (10.0 * (at + sigma_px * dice.normal())).round() / 10.0;
        [near(at.x), near(at.y)]
    };
    let marks = hall().landmarks().into_iter().chain(hall().marks());
    let marks: Vec<Space> = marks.map(|(_, at)| Space::from(at)).collect();
    for landmark in &calibration.landmarks {
        let [x, y] = landmark.field;
        assert!(marks.contains(&Space::new(x, y, 0.0)), "{x}, {y} can be clicked in this hall");
        assert_eq!(landmark.image, clicked(Space::new(x, y, 0.0), calibration.landmark_sigma_px));
    }
    for (who, seen) in MEN.iter().zip(&placings) {
        assert_eq!(seen.calibration, *calibration, "one picture, calibrated once");
        assert_eq!(seen.point, clicked(toe(&action, who), seen.point_sigma_px), "{who}");
    }
    assert_eq!(placings.len(), MEN.len());
}

// PROPERTY: the demo's clicks are its play's truth with a stated error, and what they come to holds that truth
#[test]
fn what_the_clicks_come_to_holds_the_truth_and_the_answer_rests_on_it() {
    let (placed, action) = (placed(), action());
    let says = [
        "2.4 in past the alignment line, ± 2.2 in (95 %), past it with 98.1 %",
        "15.1 in short of the alignment line, ± 2.6 in (95 %), past it with less than 0.0001 %",
    ];
    for ((placed, who), says) in placed.iter().zip(MEN).zip(says) {
        let truth = toe(&action, who);
        let clicked: Vec<_> = placed.seen.iter().map(|seen| seen.clicked.clone()).collect();
        assert_eq!((placed.edge.through[0].x, placed.line.as_str()), (LINE, "alignment line"));
        let line = placed.edge.line().expect("a line");
        let distance = read(&clicked, &line).expect("it is on the ground").distance;
        let off = distance.yd - (truth.x - LINE);
        assert!(off.abs() <= 1.96 * distance.sigma_yd, "{who}: {distance:?}, off by {off}");
        // The band of the drawn line holds the true one beside the player.
        let fit = clicked[0].landmarks.ground().expect("they agree");
        let camera = station(&placed.seen[0].camera).camera;
        let at = camera.project(Space::new(LINE, truth.y, 0.0)).expect("it is ahead");
        let size = clicked[0].landmarks.size;
        let pieces = drawn::line(&fit.homography, placed.edge.through, 0.0, size);
        let band = pieces.iter().flat_map(|piece| piece.left.iter().chain(piece.right.iter().rev()));
        assert!(holds(&band.copied().collect::<Vec<Pixel>>(), at), "{who}: {at:?}");
        assert_eq!(text::placed_against(placed), says);
    }
    // The answer is the one that the last of them offers; the first is not enough for this book.
    let challenge = Challenge::alignment();
    let tree = challenge.book.tree("inside-line").expect("it is in the book");
    let step = &tree.steps[tree.step("toes").expect("it asks for toes")];
    let offers = placed.iter().map(|placed| offered(step, placed.measurement.verdict).join(" or "));
    assert_eq!(offers.collect::<Vec<_>>(), ["yes or no", "no"]);
}

/// Whether a polygon holds a point: a ray from it crosses the polygon an odd number of times.
fn holds(polygon: &[Pixel], at: Pixel) -> bool {
    let next = polygon.iter().cycle().skip(1);
    let crossed = |(from, to): &(&Pixel, &Pixel)| {
        (from.y > at.y) != (to.y > at.y)
            && at.x < from.x + (to.x - from.x) * (at.y - from.y) / (to.y - from.y)
    };
    polygon.iter().zip(next).filter(crossed).count() % 2 == 1
}

#[test]
fn page_and_report_show_the_line_with_its_band_and_the_figures() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::alignment());
    let mut log = desk.open();
    challenge.rule(&mut log, "r-1");
    let log = desk.reader();
    let held = reviews::Held::one(&log, "r-1").expect("read").expect("there");
    let page = review::of_review(&log, &held).expect("made");
    let mut sample = Sample::default();
    audit::sample::read::records(&mut sample, &records::all(&log).expect("read")).expect("records");
    let logs = [log];
    let editions = Editions::of(&sample, &logs).expect("read");
    let found = figures::figures(&sample, &editions);
    let source = report::Source::of(&sample, &editions, &found, &BTreeMap::new(), &logs);
    let report = report::page(&found, &source.expect("read"));
    for page in [page, report] {
        assert_eq!(page.matches("<polygon").count(), 4, "for each player the band and the toe's place");
        assert_eq!(page.matches("<use href=\"#point-").count(), 2, "close to the point");
        for words in
            ["in past the alignment line, ±", "in short of the alignment line, ±", "with its 95 % band"]
        {
            assert!(page.contains(words), "{words}");
        }
    }
}
