//! Whether stated intervals hold the truth as often as they say, over synthetic plays with known truth.
//!
//! `TELLFRAME_PLAYS=20000 cargo test --release --test behaviour place_coverage -- --nocapture` prints the table of
//! `docs/place-as-evidence.md`.

use evidence::place::homography::{Calibration, Optics};
use evidence::place::lens::Lens;
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::{Ground, Space};
use evidence::place::pose::{Focal, Posed};
use evidence::place::triangulate::{Plane, Sighting, triangulate};
use evidence::verdict::Verdict;
use nalgebra::Vector2;
use testing::dice::Dice;
use testing::hall::{Placed, SIZE, cameras, click, field, on_ground, sights};

/// The book's standard in these plays.
const STANDARD: f64 = 0.99;

/// How often statements held.
#[derive(Default)]
struct Tally {
    plays: u32,
    /// The 95 % interval of a distance held the true one.
    held: u32,
    /// The 95 % ellipse or ellipsoid held the true place.
    held_place: u32,
    /// Verdicts that were established, either way, and how many of them were wrong.
    established: u32,
    wrong: u32,
    /// Distances for which first order was not good enough.
    beyond_first_order: u32,
    errors_yd: Vec<f64>,
}

impl Tally {
    fn verdict(&mut self, verdict: Verdict, is_past: bool) {
        let said = match verdict {
            Verdict::Established { .. } => Some(true),
            Verdict::Refuted { .. } => Some(false),
            Verdict::Inconclusive { .. } | Verdict::Contradiction => None,
        };
        if let Some(said) = said {
            self.established += 1;
            self.wrong += u32::from(said != is_past);
        }
    }

    fn share(&self, count: u32) -> f64 {
        f64::from(count) / f64::from(self.plays)
    }

    /// The 95th percentile of the errors, in inches.
    fn p95_in(&mut self) -> f64 {
        self.errors_yd.sort_by(f64::total_cmp);
        let index = (0.95 * self.errors_yd.len() as f64) as usize;
        36.0 * self.errors_yd.get(index).copied().unwrap_or(f64::NAN)
    }

    fn row(&mut self, name: &str) -> String {
        let p95_in = self.p95_in();
        let wrong = 100.0 * f64::from(self.wrong) / f64::from(self.established.max(1));
        format!(
            "| {name} | {} | {:.1} % | {:.1} % | {} | {wrong:.2} % | {:.1} % | {p95_in:.1} in |",
            self.plays,
            100.0 * self.share(self.held),
            100.0 * self.share(self.held_place),
            self.established,
            100.0 * self.share(self.beyond_first_order),
        )
    }

    /// Against 95 %, with room for chance: three standard errors of a share of this many plays, and two points for
    /// what first order leaves out.
    fn holds(&self, name: &str) {
        let chance = 3.0 * (0.95 * 0.05 / f64::from(self.plays)).sqrt();
        for share in [self.share(self.held), self.share(self.held_place)] {
            assert!((share - 0.95).abs() < 0.02_f64.max(chance), "{name}: {share} of {}", self.plays);
        }
        // One in a hundred, with room for chance in few plays.
        let most = 0.01 * f64::from(self.established) + 3.0 * (0.01 * f64::from(self.established)).sqrt();
        assert!(f64::from(self.wrong) <= most, "{name}: {} of {} wrong", self.wrong, self.established);
    }
}

fn plays(few: u32) -> u32 {
    std::env::var("TELLFRAME_PLAYS").ok().and_then(|plays| plays.parse().ok()).unwrap_or(few)
}

/// A line across the field, about as far from a place as the measurement is good for: where verdicts are hard.
fn hard_line(dice: &mut Dice, place: Ground, reach_yd: f64) -> Line {
    let x = place.x + dice.between(-reach_yd, reach_yd);
    Line::new([Ground::new(x, 0.0), Ground::new(x, 27.0)], Ground::new(x + 1.0, 0.0)).expect("a line")
}

/// One play: landmarks clicked, a toe clicked, its place and its distance to a line stated.
fn ground_play(dice: &mut Dice, placed: &Placed, known: bool, tally: &mut Tally) {
    let camera = &placed.camera;
    let seen = sights(dice, camera, &FIELD.with(Clone::clone), 1.0);
    let optics = match (known, camera.lens.k1 == 0.0) {
        (true, true) => Optics::Straight,
        (true, false) => Optics::Known(camera.lens),
        (false, _) => Optics::Fitted(Lens { k1: 0.0, ..camera.lens }),
    };
    let calibration = Calibration::fit(&on_ground(&seen), 1.0, optics).expect("landmarks of the field");
    let (truth, image) = loop {
        let place = Ground::new(dice.between(0.0, 50.0), dice.between(0.0, 27.0));
        if calibration.is_inside(place)
            && let Some(image) = click(dice, camera, place.raised(0.0), 1.0)
        {
            break (place, image);
        }
    };
    let located = locate(&calibration, Click { image, sigma_px: 1.0 }).expect("inside the landmarks");
    let reach = 4.0 * located.covariance[(0, 0)].sqrt();
    let line = hard_line(dice, truth, reach);
    let distance = located.distance_to(&line, &calibration);
    let off = truth.vector() - located.place.vector();
    let square = (off.transpose() * located.covariance.try_inverse().expect("noise") * off).x;
    let actual = line.distance(truth);
    tally.plays += 1;
    tally.held += u32::from(distance.interval_yd[0] <= actual && actual <= distance.interval_yd[1]);
    // 95 % of χ² of two degrees of freedom: -2 ln 0.05.
    tally.held_place += u32::from(square <= 5.991_464_547_107_979);
    tally.beyond_first_order += u32::from(!distance.first_order);
    tally.errors_yd.push((distance.yd - actual).abs());
    tally.verdict(distance.verdict(STANDARD), actual > 0.0);
}

thread_local! {
    static FIELD: field::Field = field();
}

// PROPERTY: stated intervals of places hold 95 %, and verdicts at 0.99 are wrong in at most 1 %
#[test]
fn intervals_of_ground_positions_hold_the_truth_as_often_as_they_say() {
    let mut dice = Dice::new(20_260_401);
    for placed in cameras() {
        for known in [true, false] {
            let mut tally = Tally::default();
            for _ in 0..plays(80) {
                ground_play(&mut dice, &placed, known, &mut tally);
            }
            let name = format!("{}, {}", placed.name, if known { "lens known" } else { "k1 fitted" });
            println!("{}", tally.row(&name));
            tally.holds(&name);
        }
    }
}

/// One play: both cameras posed from their landmarks, a ball in the air clicked in both.
fn air_play(dice: &mut Dice, pair: [&Placed; 2], tally: &mut Tally) {
    let posed = pair.map(|placed| {
        let seen = sights(dice, &placed.camera, &FIELD.with(Clone::clone), 1.0);
        Posed::fit(&seen, 1.0, placed.camera.lens, Focal::Free).expect("landmarks of the field")
    });
    let (truth, images) = loop {
        let place = Space::new(dice.between(0.0, 30.0), dice.between(0.0, 27.0), dice.between(0.2, 3.0));
        let first = click(dice, &pair[0].camera, place, 1.0);
        let second = click(dice, &pair[1].camera, place, 1.0);
        if let Some(images) = first.zip(second) {
            break (place, [images.0, images.1]);
        }
    };
    let sighting = |index: usize| Sighting {
        camera: &posed[index],
        click: Click { image: images[index], sigma_px: 1.0 },
    };
    let fix = triangulate(&[sighting(0), sighting(1)]).expect("both see it");
    let sigma = fix.covariance[(0, 0)].sqrt();
    let plane = Plane::over(&hard_line(dice, truth.ground(), 4.0 * sigma));
    let distance = fix.distance_to(&plane);
    let off = truth.vector() - fix.place.vector();
    let square = (off.transpose() * fix.covariance.try_inverse().expect("noise") * off).x;
    let actual = plane.distance(truth);
    tally.plays += 1;
    tally.held += u32::from(distance.interval_yd[0] <= actual && actual <= distance.interval_yd[1]);
    // 95 % of χ² of three degrees of freedom.
    tally.held_place += u32::from(square <= 7.814_727_903_251_179);
    tally.beyond_first_order += u32::from(!distance.first_order);
    tally.errors_yd.push((distance.yd - actual).abs());
    tally.verdict(fix.verdict(&plane, STANDARD), actual > 0.0);
}

// PROPERTY: the same for points in the air
#[test]
fn ellipsoids_of_points_in_the_air_hold_the_truth_as_often_as_they_say() {
    let mut dice = Dice::new(20_260_402);
    let placed = cameras();
    for (first, second) in [(0, 1), (0, 2), (1, 3), (2, 3)] {
        let mut tally = Tally::default();
        for _ in 0..plays(50) {
            air_play(&mut dice, [&placed[first], &placed[second]], &mut tally);
        }
        let name = format!("{} and {}", placed[first].name, placed[second].name);
        println!("{}", tally.row(&name));
        tally.holds(&name);
    }
}

// PROPERTY: the band of a drawn line holds the true line
#[test]
fn the_band_of_a_line_in_the_picture_holds_its_true_image() {
    let mut dice = Dice::new(20_260_403);
    for placed in cameras() {
        let (mut held, mut all) = (0_u32, 0_u32);
        let count = plays(50);
        for _ in 0..count {
            let seen = sights(&mut dice, &placed.camera, &FIELD.with(Clone::clone), 1.0);
            let optics = Optics::Known(placed.camera.lens);
            let calibration =
                Calibration::fit(&on_ground(&seen), 1.0, optics).expect("landmarks of the field");
            let ends = [Ground::new(18.0, 0.0), Ground::new(18.0, 27.0)];
            for piece in evidence::place::drawn::line(&calibration.homography, ends, 0.0, SIZE) {
                // One place of the line per play, so that plays count once: the middle of what is drawn.
                let middle = piece.line.len() / 2;
                let [from, to] = [piece.left[middle], piece.right[middle]].map(|pixel| pixel.vector());
                let across: Vector2<f64> = (to - from) / (to - from).norm();
                let crossing = |y: f64| {
                    let true_image = placed.camera.project(Space::new(18.0, y, 0.0));
                    true_image.map(|pixel| pixel.vector() - from)
                };
                // Where the true line crosses the band's cross-section: the sign changes along it.
                let along = Vector2::new(-across.y, across.x);
                let steps = (0..=2700).map(|step| crossing(f64::from(step) / 100.0));
                let nearest = steps
                    .flatten()
                    .min_by(|one, other| one.dot(&along).abs().total_cmp(&other.dot(&along).abs()))
                    .expect("the line is in the picture");
                let place = nearest.dot(&across);
                all += 1;
                held += u32::from(place >= 0.0 && place <= (to - from).norm());
            }
        }
        let share = f64::from(held) / f64::from(all);
        let chance = 3.0 * (0.95 * 0.05 / f64::from(all)).sqrt();
        println!("| {} | {all} | {:.1} % |", placed.name, 100.0 * share);
        assert!(
            all >= count && (share - 0.95).abs() < 0.02_f64.max(chance),
            "{}: {share} of {all}",
            placed.name
        );
    }
}
