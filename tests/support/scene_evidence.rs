//! How often what is stated of the scenes' plays is true: times, places on the ground, places in the air, all projected
//! from the truth of each play with noise.

use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::measure::{Click, Line, locate};
use evidence::place::point::Ground;
use evidence::place::pose::{Focal, Posed, Sight};
use evidence::place::triangulate::{Plane, Sighting, triangulate};
use evidence::time::order::{Between, Clip, Mark, Marks, between};
use evidence::verdict::Verdict;
use rayon::prelude::*;
use scene::action::Action;
use scene::dice::Dice;
use scene::evidence::{Care, Evidence, Witness, other_clocks, varied};
use scene::hall::Hall;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::truth::Truth;

/// The book's standard in these plays.
const STANDARD: f64 = 0.99;
/// How people click and clocks are tied.
const CARE: Care = Care { click_px: 1.0, offset_sigma_s: 0.004 };

/// One statement, and whether it was true.
pub struct Stated {
    /// What it is about: a camera, a pair of them, or times.
    pub about: String,
    /// The 95 % interval held the truth.
    pub held: bool,
    /// The 95 % ellipse or ellipsoid did, where there is one.
    pub held_place: Option<bool>,
    /// A verdict at the standard was right.
    pub right: Option<bool>,
    /// How far off it was, in yards or seconds.
    pub off: f64,
}

/// The statements about one thing.
#[derive(Default)]
pub struct Tally {
    pub plays: usize,
    pub held: usize,
    pub places: usize,
    pub held_places: usize,
    pub told: usize,
    pub wrong: usize,
    pub off: Vec<f64>,
}

impl Tally {
    pub fn add(&mut self, stated: &Stated) {
        self.plays += 1;
        self.held += usize::from(stated.held);
        self.places += usize::from(stated.held_place.is_some());
        self.held_places += usize::from(stated.held_place == Some(true));
        self.told += usize::from(stated.right.is_some());
        self.wrong += usize::from(stated.right == Some(false));
        self.off.push(stated.off);
    }

    /// The error that 95 % keep below.
    pub fn p95(&mut self) -> f64 {
        self.off.sort_by(f64::total_cmp);
        self.off.get(self.off.len() * 95 / 100).copied().unwrap_or(f64::NAN)
    }

    pub fn share(&self) -> f64 {
        self.held as f64 / self.plays as f64
    }
}

/// The statements of the first `plays` plays, in order.
pub fn of_plays(hall: &Hall, plays: u64) -> Vec<Stated> {
    let mut rig = rig::read(CAMERAS).expect("they are shipped");
    rig.retain(|station| station.mounted.name != "scoreboard");
    let one = |seed| of_play(hall, &rig, seed);
    let found: Vec<Vec<Stated>> = (0..plays).into_par_iter().map(one).collect();
    found.into_iter().flatten().collect()
}

fn of_play(hall: &Hall, rig: &[Station], seed: u64) -> Vec<Stated> {
    let mut dice = Dice::new(seed.wrapping_mul(7919) ^ 0xC0FE);
    let (name, text) = PLAYS[seed as usize % PLAYS.len()];
    let play = Play::read(text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let action = Action::new(varied(&play, seed), hall.walls);
    let clocks = other_clocks(rig, seed).expect("they are cameras");
    let truth = Truth::of(&action, hall, &clocks);
    let mut found = Vec::new();
    // Some toe that is on the ground: the play's own seed decides whose and when.
    let asked = |dice: &mut Dice| {
        let who = (dice.part() * action.movers().len() as f64) as usize;
        let at_s = dice.between(0.2, action.play.seconds - 0.1);
        let evidence = Evidence::of(&action, &truth, &clocks, (who, at_s), CARE);
        let toes = evidence.witnesses.iter().filter_map(|witness| witness.toe.as_ref());
        let is_down = toes.clone().count() > 0 && toes.clone().all(|toe| toe.place.z.abs() < 1e-6);
        is_down.then_some(evidence)
    };
    if let Some(evidence) = (0..40).find_map(|_| asked(&mut dice)) {
        found.extend(evidence.witnesses.iter().filter_map(|witness| ground(witness, &mut dice)));
        found.extend(air(&evidence.witnesses, &mut dice));
        found.extend(time(&truth, &evidence.witnesses, &mut dice));
    }
    found
}

fn right(verdict: Verdict, is_past: bool) -> Option<bool> {
    match verdict {
        Verdict::Established { .. } => Some(is_past),
        Verdict::Refuted { .. } => Some(!is_past),
        Verdict::Inconclusive { .. } | Verdict::Contradiction => None,
    }
}

/// A line across the field about as far away as the measurement is good for.
fn hard_line(x: f64) -> Line {
    Line::new([Ground::new(x, 0.0), Ground::new(x, 27.0)], Ground::new(x + 1.0, 0.0)).expect("a line")
}

fn ground(witness: &Witness, dice: &mut Dice) -> Option<Stated> {
    let clicks = witness.landmarks.iter().filter(|click| click.place.z == 0.0);
    let landmarks: Vec<Landmark> =
        clicks.map(|click| Landmark { image: click.pixel, field: click.place.ground() }).collect();
    let lens = witness.station.camera.lens;
    let optics = if lens.k1 == 0.0 { Optics::Straight } else { Optics::Known(lens) };
    let calibration = Calibration::fit(&landmarks, CARE.click_px, optics).ok()?;
    let toe = witness.toe.as_ref()?;
    let actual = toe.place.ground();
    if !calibration.is_inside(actual) {
        return None;
    }
    let located = locate(&calibration, Click { image: toe.pixel, sigma_px: CARE.click_px }).ok()?;
    let reach = 4.0 * located.covariance[(0, 0)].sqrt();
    let line = hard_line(actual.x + dice.between(-reach, reach));
    let distance = located.distance_to(&line, &calibration);
    let off = actual.vector() - located.place.vector();
    let square = (off.transpose() * located.covariance.try_inverse()? * off).x;
    let truly = line.distance(actual);
    Some(Stated {
        about: witness.station.mounted.name.clone(),
        held: distance.interval_yd[0] <= truly && truly <= distance.interval_yd[1],
        // 95 % of χ² of two degrees of freedom: -2 ln 0.05.
        held_place: Some(square <= 5.991_464_547_107_979),
        right: right(distance.verdict(STANDARD), truly > 0.0),
        off: (distance.yd - truly).abs(),
    })
}

/// The ball, by two cameras that the dice pick.
fn air(witnesses: &[Witness], dice: &mut Dice) -> Option<Stated> {
    let seeing: Vec<&Witness> = witnesses.iter().filter(|witness| witness.ball.is_some()).collect();
    let pick = |dice: &mut Dice| (dice.part() * seeing.len() as f64) as usize;
    let (one, other) = (pick(dice), pick(dice));
    if one == other {
        return None;
    }
    let (one, other) = (seeing.get(one.min(other))?, seeing.get(one.max(other))?);
    let posed = |witness: &Witness| {
        let sights: Vec<Sight> =
            witness.landmarks.iter().map(|click| Sight { image: click.pixel, place: click.place }).collect();
        Posed::fit(&sights, CARE.click_px, witness.station.camera.lens, Focal::Free).ok()
    };
    let cameras = [posed(one)?, posed(other)?];
    let balls = [one.ball.as_ref()?, other.ball.as_ref()?];
    let sighting = |index: usize| Sighting {
        camera: &cameras[index],
        click: Click { image: balls[index].pixel, sigma_px: CARE.click_px },
    };
    let fix = triangulate(&[sighting(0), sighting(1)]).ok()?;
    let actual = balls[0].place;
    let reach = 4.0 * fix.covariance[(0, 0)].sqrt();
    let plane = Plane::over(&hard_line(actual.x + dice.between(-reach, reach)));
    let distance = fix.distance_to(&plane);
    let off = actual.vector() - fix.place.vector();
    let square = (off.transpose() * fix.covariance.try_inverse()? * off).x;
    let truly = plane.distance(actual);
    Some(Stated {
        about: format!("{} and {}", one.station.mounted.name, other.station.mounted.name),
        held: distance.interval_yd[0] <= truly && truly <= distance.interval_yd[1],
        // 95 % of χ² of three degrees of freedom.
        held_place: Some(square <= 7.814_727_903_251_179),
        right: right(fix.verdict(&plane, STANDARD), truly > 0.0),
        off: (distance.yd - truly).abs(),
    })
}

/// Two moments of the play that follow each other, each on a camera that the dice pick.
fn time(truth: &Truth, witnesses: &[Witness], dice: &mut Dice) -> Option<Stated> {
    let mut pick = |count: usize| (dice.part() * count as f64) as usize;
    let earlier = pick(truth.moments.len().checked_sub(1)?);
    let (one, two) = (truth.moments.get(earlier)?, truth.moments.get(earlier + 1)?);
    // As an official may ask it the other way round.
    let (one, two) = if pick(2) == 0 { (one, two) } else { (two, one) };
    let on = [pick(witnesses.len()), pick(witnesses.len())];
    let clips: Vec<Clip> = witnesses
        .iter()
        .map(|witness| Clip {
            rate: Some(witness.station.rate),
            offset_s: witness.told_offset_s,
            offset_sigma_s: CARE.offset_sigma_s,
            drift_ppm: witness.station.mounted.drift_ppm,
            ..Clip::default()
        })
        .collect();
    let sight = |moment: &str, on: usize| {
        let frames = &witnesses.get(on)?.frames;
        let (_, frame) = frames.iter().find(|(name, _)| name == moment)?;
        clips.get(on)?.sight(on, Mark::Frame(*frame)).ok()
    };
    let (first, then) = ([sight(&one.name, on[0])?], [sight(&two.name, on[1])?]);
    let Between::Known(gap) = between(Marks { clips: &clips, first: &first, then: &then }).ok()? else {
        return None;
    };
    let (figures, truly) = (gap.figures(), two.at_s - one.at_s);
    Some(Stated {
        about: if on[0] == on[1] { "times, one camera" } else { "times, two cameras" }.to_owned(),
        held: figures.low95 < truly && truly <= figures.high95,
        held_place: None,
        right: right(Verdict::of(gap.above(0.0), STANDARD), truly > 0.0),
        off: (figures.mean - truly).abs(),
    })
}
