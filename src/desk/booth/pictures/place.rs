//! Places in the pictures: cameras are calibrated by clicks, and points measured against the rule's line.
//!
//! A state machine over the clicks; the library does the arithmetic. It knows the panes only by camera, size and frame,
//! so that all of it is tested without a display. While it is open, no key answers a step.

mod drawn;
mod kept;
mod keys;
mod marks;
mod moment;
#[cfg(test)]
mod tests;
mod text;
mod unplaced;

pub(crate) use crate::booth::pictures::place::text::{Remark, Weight, remark};
pub(crate) use kept::{HALL, plain as kept_name};
pub(crate) use keys::{Act, KEYS};

use evidence::place::clicked::{Clicked, Edge, Landmarks, Reading};
use evidence::place::homography::Calibration;
use evidence::place::measure::Click;
use evidence::place::point::{Ground, Pixel};
use evidence::place::pose::Posed;
use evidence::place::view::Size;
use field::Field;
use kept::Kept;
use marks::Marks;
use review::placing::reading;
use std::collections::BTreeMap;
use std::path::PathBuf;
use unplaced::{NotKept, Unplaced};

/// Standard deviation of a click in each direction, in pixels: a steady hand in the loupe, with the blur of the
/// picture.
pub(crate) const CLICK_PX: f64 = 1.0;

/// The step in hand, and what it asks about a place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Subject {
    pub question: usize,
    pub step: String,
    /// `None` if it does not ask where a point is.
    pub asks: Option<Asks>,
    /// Every line of the book with its edges in this situation. Lines that depend on marked players have no edges.
    pub lines: Vec<(String, Vec<Edge>)>,
    pub field: Field,
    /// The book's standard of proof, as a probability.
    pub standard: f64,
    /// The ball at the snap.
    pub ball: Ground,
}

/// A point and the line to measure it against.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Asks {
    pub point: String,
    pub line: String,
    pub in_air: bool,
    /// The moment of the measurement.
    pub at: String,
    /// The frames marked for that moment, one for each camera: the camera's place on the card of the game, and the
    /// frame.
    pub marked: Vec<(usize, usize)>,
}

/// What places need to know about a pane.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PaneView {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    /// The camera by its letter and name.
    pub label: String,
    /// The camera as the crew calls it.
    pub name: String,
    /// Size of its picture. 1 × 1 before its clip is open.
    pub size: Size,
    /// The frame shown, if its picture is exact.
    pub frame: Option<usize>,
    /// Time of that frame on the common clock, in nanoseconds.
    pub at_ns: i64,
    /// Cameras with the same number are tied to one clock.
    pub clock: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Views {
    pub panes: Vec<PaneView>,
    /// Index of the large pane.
    pub lead: usize,
}

impl Views {
    fn lead(&self) -> Option<&PaneView> {
        self.panes.get(self.lead)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mode {
    Calibrating,
    Measuring,
}

/// A measured point to be logged.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Placed {
    pub question: usize,
    pub step: String,
    /// For each click the camera and the frame.
    pub seen: Vec<(usize, usize, Clicked)>,
}

/// The calibration of a camera.
#[derive(Debug, Clone)]
struct Held {
    landmarks: Landmarks,
    fit: Calibration,
    pose: Option<Posed>,
    /// From an earlier day, and not yet compared with today's picture.
    unchecked: bool,
}

impl Held {
    fn of(landmarks: Landmarks, unchecked: bool) -> Result<Held, evidence::error::Error> {
        let fit = landmarks.ground()?;
        let pose = landmarks.pose().ok();
        Ok(Held { landmarks, fit, pose, unchecked })
    }
}

/// A move through landmarks or lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    On,
    Back,
    First,
}

impl Turn {
    /// The index after `at`, out of `count`.
    fn from(self, at: usize, count: usize) -> usize {
        let count = count.max(1);
        match self {
            Turn::On => (at + 1) % count,
            Turn::Back => (at + count - 1) % count,
            Turn::First => 0,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Spot {
    frame: usize,
    at: Pixel,
}

#[derive(Default)]
pub(crate) struct Place {
    pub mode: Option<Mode>,
    subject: Option<Subject>,
    /// By camera.
    held: BTreeMap<usize, Held>,
    /// Landmarks being clicked, by camera.
    clicks: BTreeMap<usize, Marks>,
    /// Points of the moment, by camera.
    points: BTreeMap<usize, Spot>,
    /// The pointer's place in the large picture, or the cross as moved by keys.
    aim: Option<Pixel>,
    /// The arrows move the last click.
    nudges: bool,
    /// Name of the line that is drawn.
    line: Option<String>,
    /// The point is above the ground.
    in_air: bool,
    read: Option<Result<(Edge, Reading), Unplaced>>,
    kept: Kept,
    /// The last message.
    told: Option<String>,
}

impl Place {
    /// Sets the folder with the calibrations of this venue.
    pub(crate) fn keep_in(&mut self, folder: PathBuf) {
        if self.kept.folder.as_ref() != Some(&folder) {
            self.kept = Kept::of(folder);
        }
    }

    /// Whether it knows the step in hand.
    pub(crate) fn is_told(&self) -> bool {
        self.subject.is_some()
    }

    /// Takes in the step in hand. Another step begins with its own line.
    pub(crate) fn about(&mut self, subject: Option<Subject>, views: &Views) {
        let step = |subject: &Option<Subject>| subject.as_ref().map(|of| (of.question, of.step.clone()));
        if step(&self.subject) != step(&subject) {
            let asks = subject.as_ref().and_then(|subject| subject.asks.as_ref());
            self.in_air = asks.is_some_and(|asks| asks.in_air);
            self.line = asks.map(|asks| asks.line.clone());
            self.points.clear();
        }
        self.subject = subject;
        self.look_for_kept(views);
        self.measure(views);
    }

    /// Reads calibrations of this venue that were kept on another day.
    fn look_for_kept(&mut self, views: &Views) {
        for pane in &views.panes {
            if self.held.contains_key(&pane.camera) {
                continue;
            }
            match self.kept.find(&pane.name, pane.size) {
                None => {}
                Some(Ok(landmarks)) => match Held::of(landmarks, true) {
                    Ok(held) => {
                        self.held.insert(pane.camera, held);
                    }
                    Err(why) => self.told = Some(format!("the kept calibration of {}: {why}", pane.label)),
                },
                Some(Err(error)) => self.told = Some(error.to_string()),
            }
        }
    }

    /// Call this when the camera has another clip: points clicked in the old one are dropped.
    pub(crate) fn forget(&mut self, camera: usize) {
        self.points.remove(&camera);
        self.read = None;
    }

    /// Opens a mode, or closes it if it is open.
    pub(crate) fn toggle(&mut self, mode: Mode, views: &Views) {
        self.mode = if self.mode == Some(mode) { None } else { Some(mode) };
        (self.told, self.nudges) = (None, false);
        if self.mode == Some(Mode::Calibrating) {
            self.begin(views);
        }
        self.measure(views);
    }

    /// Goes on with the landmarks of this day. Those of another day are compared with new clicks first.
    fn begin(&mut self, views: &Views) {
        let (Some(pane), Some(subject)) = (views.lead(), &self.subject) else { return };
        let held = self.held.get(&pane.camera).filter(|held| !held.unchecked);
        let venue = match self.kept.venue() {
            Ok(venue) => venue,
            Err(error) => {
                self.told = Some(error.to_string());
                &[]
            }
        };
        let marks = self.clicks.entry(pane.camera);
        let marks =
            marks.or_insert_with(|| Marks::of(&subject.field, venue, held.map(|held| &held.landmarks)));
        marks.propose(self.held.get(&pane.camera).map(|held| &held.fit), pane.size, subject.ball);
    }

    /// Carries out an act. Returns what is to be logged.
    pub(crate) fn act(&mut self, act: Act, views: &Views) -> Option<Placed> {
        self.told = None;
        let mode = self.mode?;
        match act {
            Act::Nudge(x, y) => self.nudge(f64::from(x) / 10.0, f64::from(y) / 10.0, views),
            Act::Set => {
                if let Some(at) = self.aim {
                    self.click(at, views);
                }
            }
            Act::Next => self.turn(Turn::On, views),
            Act::Before => self.turn(Turn::Back, views),
            Act::First => self.turn(Turn::First, views),
            Act::Remove => self.remove(views),
            Act::Air if mode == Mode::Measuring => self.in_air = !self.in_air,
            Act::Air => {}
            Act::Keep => return self.keep(mode, views),
            Act::Leave => (self.mode, self.nudges) = (None, false),
        }
        self.measure(views);
        None
    }

    /// Takes in the pointer's place in the large picture.
    pub(crate) fn over(&mut self, at: Pixel) {
        (self.aim, self.nudges) = (Some(at), false);
    }

    /// Where the loupe is held.
    pub(crate) fn loupe(&self) -> Option<Pixel> {
        self.aim.filter(|_| self.mode.is_some())
    }

    /// Takes in a click in the large picture.
    pub(crate) fn click(&mut self, at: Pixel, views: &Views) {
        let (Some(pane), Some(mode)) = (views.lead(), self.mode) else { return };
        self.told = None;
        let Some(frame) = pane.frame else {
            self.told = Some("measure only on the exact frame: wait until it is decoded".to_owned());
            return;
        };
        (self.aim, self.nudges) = (Some(at), true);
        match mode {
            Mode::Calibrating => {
                let (camera, size) = (pane.camera, pane.size);
                if !self.clicks.contains_key(&camera) {
                    self.begin(views);
                }
                let held = self.held.get(&camera).map(|held| held.fit.clone());
                let ball = self.subject.as_ref().map_or(Ground::new(0.0, 0.0), |subject| subject.ball);
                if let Some(marks) = self.clicks.get_mut(&camera) {
                    marks.set(at);
                    let fit = marks.landmarks(size).ground().ok().or(held);
                    marks.propose(fit.as_ref(), size, ball);
                }
            }
            Mode::Measuring => {
                self.points.insert(pane.camera, Spot { frame, at });
            }
        }
        self.measure(views);
    }

    /// Moves the last click, or the cross alone.
    fn nudge(&mut self, x: f64, y: f64, views: &Views) {
        let Some(pane) = views.lead() else { return };
        let middle = Pixel::new(f64::from(pane.size.width) / 2.0, f64::from(pane.size.height) / 2.0);
        let from = self.aim.unwrap_or(middle);
        let within = |value: f64, size: u32| value.clamp(-0.5, f64::from(size) - 0.5);
        let to = Pixel::new(within(from.x + x, pane.size.width), within(from.y + y, pane.size.height));
        self.aim = Some(to);
        if !self.nudges {
            return;
        }
        match self.mode {
            Some(Mode::Calibrating) => {
                if let Some(marks) = self.clicks.get_mut(&pane.camera) {
                    marks.nudge(to);
                }
            }
            Some(Mode::Measuring) => {
                if let Some(spot) = self.points.get_mut(&pane.camera) {
                    spot.at = to;
                }
            }
            None => {}
        }
    }

    /// Selects another landmark or line.
    fn turn(&mut self, turn: Turn, views: &Views) {
        match self.mode {
            Some(Mode::Calibrating) => {
                let marks = views.lead().and_then(|pane| self.clicks.get_mut(&pane.camera));
                if let Some(at) = marks.and_then(|marks| marks.turn(turn)) {
                    (self.aim, self.nudges) = (Some(at), true);
                } else {
                    self.nudges = false;
                }
            }
            Some(Mode::Measuring) => {
                let Some(subject) = &self.subject else { return };
                let drawn = subject.lines.iter().filter(|(_, edges)| !edges.is_empty());
                let names: Vec<&String> = drawn.map(|(name, _)| name).collect();
                let at = names.iter().position(|name| Some(*name) == self.line.as_ref());
                let to = at.map_or(0, |at| turn.from(at, names.len()));
                self.line = names.get(to).map(|name| (*name).clone());
            }
            None => {}
        }
    }

    fn remove(&mut self, views: &Views) {
        let Some(pane) = views.lead() else { return };
        self.nudges = false;
        match self.mode {
            Some(Mode::Calibrating) => {
                if let Some(marks) = self.clicks.get_mut(&pane.camera) {
                    marks.remove();
                }
            }
            Some(Mode::Measuring) => {
                self.points.remove(&pane.camera);
            }
            None => {}
        }
    }

    fn keep(&mut self, mode: Mode, views: &Views) -> Option<Placed> {
        let pane = views.lead()?;
        match mode {
            Mode::Calibrating => {
                match self.keep_calibration(pane) {
                    Ok(done) => {
                        self.mode = None;
                        self.told = Some(done);
                    }
                    Err(error) => self.told = Some(error.to_string()),
                }
                self.measure(views);
                None
            }
            Mode::Measuring => match self.keep_point(views) {
                Ok(placed) => {
                    self.mode = None;
                    Some(placed)
                }
                Err(unplaced) => {
                    self.told = Some(unplaced.to_string());
                    None
                }
            },
        }
    }

    fn keep_calibration(&mut self, pane: &PaneView) -> Result<String, NotKept> {
        let marks = self.clicks.get(&pane.camera).ok_or(Unplaced::NoLandmark)?;
        let landmarks = marks.landmarks(pane.size);
        if let Some(held) = self.held.get_mut(&pane.camera).filter(|held| held.unchecked) {
            let today = landmarks.on_ground();
            let compared = held.fit.recheck(&today, CLICK_PX);
            if today.len() >= 2 && compared.is_ok_and(|compared| compared.holds()) {
                held.unchecked = false;
                self.clicks.remove(&pane.camera);
                return Ok(format!("the kept calibration of {} holds until the camera moves", pane.label));
            }
            if today.len() < 2 {
                return Err(Unplaced::NotCompared.into());
            }
        }
        let held = Held::of(landmarks, false).map_err(Unplaced::from)?;
        if held.fit.is_inconsistent() {
            return Err(Unplaced::Disagree.into());
        }
        let written = self.kept.write(&pane.name, &held.landmarks);
        self.held.insert(pane.camera, held);
        self.clicks.remove(&pane.camera);
        written?;
        Ok(format!("{} is calibrated, and kept for this venue", pane.label))
    }

    fn keep_point(&self, views: &Views) -> Result<Placed, Unplaced> {
        let subject = self.subject.as_ref().ok_or(Unplaced::NoStep)?;
        let asks = subject.asks.as_ref().ok_or(Unplaced::NotAsked)?;
        if self.line.as_ref() != Some(&asks.line) {
            return Err(Unplaced::OtherLine(asks.line.clone()));
        }
        match &self.read {
            Some(Ok(_)) => {}
            Some(Err(unplaced)) => return Err(unplaced.clone()),
            None => return Err(Unplaced::NotClicked(asks.point.clone())),
        }
        let seen = self.clicked(views);
        if asks.in_air && seen.len() < 2 {
            return Err(Unplaced::InTheAir(asks.point.clone()));
        }
        let frames: Vec<_> = seen.iter().map(|(camera, frame, _)| (*camera, *frame)).collect();
        if let Some(why) = asks.beside(views, &frames) {
            return Err(Unplaced::OtherMoment(why));
        }
        Ok(Placed { question: subject.question, step: subject.step.clone(), seen })
    }

    /// The points at the moment shown, each with its camera and frame. On the ground only the large camera counts; in
    /// the air all do, the large one first.
    fn clicked(&self, views: &Views) -> Vec<(usize, usize, Clicked)> {
        let lead = views.lead().map(|pane| pane.camera);
        let mut panes: Vec<&PaneView> = views.panes.iter().collect();
        panes.sort_by_key(|pane| Some(pane.camera) != lead);
        let seen = panes.into_iter().filter(|pane| self.in_air || Some(pane.camera) == lead);
        seen.filter_map(|pane| {
            let spot = self.points.get(&pane.camera).filter(|spot| pane.frame == Some(spot.frame))?;
            let held = self.held.get(&pane.camera).filter(|held| !held.unchecked)?;
            let point = Click { image: spot.at, sigma_px: CLICK_PX };
            Some((pane.camera, spot.frame, Clicked { landmarks: held.landmarks.clone(), point }))
        })
        .collect()
    }

    /// The edges of the line that is drawn.
    fn edges(&self) -> &[Edge] {
        let lines = self.subject.as_ref().map_or(&[][..], |subject| &subject.lines);
        let named = lines.iter().find(|(name, _)| Some(name) == self.line.as_ref());
        named.map_or(&[], |(_, edges)| edges)
    }

    /// Measures the points again.
    pub(crate) fn measure(&mut self, views: &Views) {
        let seen: Vec<Clicked> = self.clicked(views).into_iter().map(|(_, _, clicked)| clicked).collect();
        self.read = match (seen.len(), self.in_air) {
            (0, _) => None,
            (1, true) => Some(Err(Unplaced::OneCamera)),
            _ => Some(reading(&seen, self.edges()).map_err(|why| Unplaced::Unmeasured(why.to_string()))),
        };
    }
}
