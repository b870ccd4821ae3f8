//! What really happened in a play, and how its cameras really stood: the truth beside the footage.
//!
//! Moments that geometry shows are computed from the bodies and the ball as drawn, to a tenth of a millisecond; the
//! others are those of the play.

use super::action::Action;
use super::ball::HALF_LENGTH;
use super::body::{HAND_RADIUS, HIP_RADIUS, Part, Pose};
use super::hall::Hall;
use super::play::{Act, BallAct, Landing, Side};
use super::rig::Station;
use super::stamp::Stamp;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The truth of one play. Times are seconds of the common clock, places yards of the hall frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Truth {
    /// What the play is about.
    pub title: String,
    /// The question of the rule book that it was made for.
    pub question: String,
    /// How long it lasts.
    pub seconds: f64,
    /// What happened when, in the order of time.
    pub moments: Vec<Moment>,
    /// The cameras.
    pub cameras: Vec<CameraTruth>,
    /// The people on the field.
    pub players: Vec<PlayerTruth>,
    /// Where the middle of the ball was: time, along, across, up; 120 times a second.
    pub ball: Vec<[f64; 4]>,
    /// Places by which a camera can be calibrated.
    pub landmarks: BTreeMap<String, [f64; 3]>,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Moment {
    /// Its name in the rule book.
    pub name: String,
    /// When.
    pub at_s: f64,
    /// The short name of the player who did it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub who: Option<String>,
    /// Where the ball was then.
    pub ball: [f64; 3],
}

/// A camera as it really stood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CameraTruth {
    /// How the crew calls it.
    pub name: String,
    /// Width and height of its picture in pixels.
    pub size: [usize; 2],
    /// Pictures a second, `N/D`.
    pub rate: String,
    /// How many frames its clip has.
    pub frames: u64,
    /// The timecode of its frame 0, which the clip carries as a track.
    pub timecode: Option<String>,
    /// Common time of its frame 0. Frame k shows the common time `offset_s` + k / rate × (1 + drift).
    pub offset_s: f64,
    /// Drift in millionths.
    pub drift_ppm: f64,
    /// For how long before that instant its shutter is open.
    pub exposure_s: f64,
    /// Where it stands.
    pub position: [f64; 3],
    /// Rows of the rotation from the hall to its own axes: right, down, ahead.
    pub rotation: [[f64; 3]; 3],
    /// Focal length in pixels.
    pub focal_px: f64,
    /// Where its axis meets the picture, in pixels from the centre of the top left one.
    pub center: [f64; 2],
    /// Radial distortion.
    pub k1: f64,
    /// Radial distortion, fourth order.
    pub k2: f64,
    /// The first frame that shows each moment, whether or not the camera sees it.
    pub first_frames: BTreeMap<String, u64>,
}

/// Somebody's feet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlayerTruth {
    /// The short name.
    pub id: String,
    /// The team.
    pub side: Side,
    /// The number on the shirt.
    pub number: u8,
    /// When and where the left foot stood.
    pub left: Vec<Stood>,
    /// When and where the right foot stood.
    pub right: Vec<Stood>,
}

/// A foot on the ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stood {
    /// From; 0 for the stance.
    pub from_s: f64,
    /// To; the end of the play for the last one.
    pub to_s: f64,
    /// The tip of the toe, along and across.
    pub toe: [f64; 2],
    /// The heel.
    pub heel: [f64; 2],
}

/// The step of the search for a moment before bisection, in seconds.
const TICK: f64 = 1.0 / 480.0;

impl Truth {
    /// The truth of a play in a hall, with these cameras.
    pub fn of(action: &Action, hall: &Hall, rig: &[Station]) -> Truth {
        let play = &action.play;
        let moments = moments(action);
        let ball = (0..=(play.seconds * 120.0) as u32).map(|step| {
            let t = f64::from(step) / 120.0;
            let place = action.ball(t).place;
            [tidy(t), tidy(place.x), tidy(place.y), tidy(place.z)]
        });
        Truth {
            title: play.title.clone(),
            question: play.question.clone(),
            seconds: play.seconds,
            cameras: rig.iter().map(|station| camera(station, action, &moments)).collect(),
            players: players(action),
            ball: ball.collect(),
            landmarks: hall.landmarks().into_iter().map(|(name, at)| (name, [at.x, at.y, at.z])).collect(),
            moments,
        }
    }

    /// When a moment happened, in seconds; `None` where it did not.
    pub fn at_s(&self, moment: &str) -> Option<f64> {
        self.moments.iter().find(|found| found.name == moment).map(|found| found.at_s)
    }
}

fn camera(station: &Station, action: &Action, moments: &[Moment]) -> CameraTruth {
    let (lens, turn) = (&station.camera.lens, station.camera.rotation.matrix());
    let frame = |moment: &Moment| Some((moment.name.clone(), station.first_frame(moment.at_s)?));
    let nominal = station.rate.as_f64().round() as u64;
    let at = station.camera.position;
    CameraTruth {
        name: station.mounted.name.clone(),
        size: [station.mounted.size.0, station.mounted.size.1],
        rate: station.rate.to_string(),
        frames: station.frames(action.play.seconds).max(1),
        timecode: Stamp::new(&action.play.timecode, nominal).map(|stamp| stamp.label(0)),
        offset_s: station.mounted.offset_s,
        drift_ppm: station.mounted.drift_ppm,
        exposure_s: station.mounted.exposure * station.rate.interval().as_f64(),
        position: [at.x, at.y, at.z],
        rotation: [0, 1, 2].map(|row| [0, 1, 2].map(|column| turn[(row, column)])),
        focal_px: lens.focal_px,
        center: [lens.center.x, lens.center.y],
        k1: lens.k1,
        k2: lens.k2,
        first_frames: moments.iter().filter_map(frame).collect(),
    }
}

fn players(action: &Action) -> Vec<PlayerTruth> {
    let until = action.play.seconds;
    let stood = |contacts: &[super::gait::Contact]| -> Vec<Stood> {
        let within = contacts.iter().filter(|contact| contact.from_s < until && contact.to_s > 0.0);
        within
            .map(|contact| {
                let heel = contact.toe - contact.points * (super::body::FOOT.0 + super::body::FOOT.1);
                Stood {
                    from_s: tidy(contact.from_s.max(0.0)),
                    to_s: tidy(contact.to_s.min(until)),
                    toe: [tidy(contact.toe.x), tidy(contact.toe.y)],
                    heel: [tidy(heel.x), tidy(heel.y)],
                }
            })
            .collect()
    };
    action
        .movers()
        .iter()
        .map(|mover| {
            let [left, right] = mover.gait().contacts();
            PlayerTruth {
                id: mover.player.id.clone(),
                side: mover.player.side,
                number: mover.player.number,
                left: stood(left),
                right: stood(right),
            }
        })
        .collect()
}

/// Everything that happened, in the order of time. Each name appears once, at its first time.
fn moments(action: &Action) -> Vec<Moment> {
    let mut found: Vec<(String, f64, Option<String>)> = Vec::new();
    let play = &action.play;
    for (name, at_s) in &play.moments {
        found.push((name.clone(), *at_s, None));
    }
    let mut passed = false;
    for (number, act) in play.ball.iter().enumerate() {
        let who = act.by().map(str::to_owned);
        let name = match act {
            BallAct::Snap { .. } => "snap",
            BallAct::Hand { .. } => continue,
            BallAct::Pass { .. } => {
                passed = true;
                "release"
            }
            BallAct::Catch { control_s, .. } => {
                // Without control before the next act it was only touched.
                if play.ball.get(number + 1).is_none_or(|next| next.at_s() > *control_s) {
                    found.push(("control".to_owned(), *control_s, who.clone()));
                }
                if !passed {
                    continue;
                }
                "first touch"
            }
            BallAct::Loose { .. } => "ball loose",
            BallAct::Recover { .. } => "recovery",
        };
        found.push((name.to_owned(), act.at_s(), who));
    }
    for (index, mover) in action.movers().iter().enumerate() {
        let who = Some(mover.player.id.clone());
        for act in &mover.player.acts {
            match act {
                Act::Leap { at_s, lands, lands_s } => {
                    found.push(("leaves the field".to_owned(), *at_s, who.clone()));
                    let down = |t: f64| action.pose(index, t).is_some_and(|pose| touches(&pose));
                    // The push-off also touches the ground: start a little later.
                    if let (Landing::Prone, Some(t)) = (lands, first(at_s + 0.1, lands_s + 0.6, down)) {
                        found.push(("touches down".to_owned(), t, who.clone()));
                    }
                }
                Act::Fall { at_s, knee_s } => {
                    let down = |t: f64| action.pose(index, t).is_some_and(|pose| is_down(&pose));
                    if let Some(t) = first(*at_s, knee_s + 0.8, down) {
                        found.push(("down".to_owned(), t, who.clone()));
                    }
                }
                Act::Face { .. } | Act::Hands { .. } | Act::GetDown { .. } | Act::GetUp { .. } => {}
            }
        }
    }
    let walls = action.walls;
    let carried_out = |t: f64| {
        let ball = action.ball(t);
        let out = ball.place.y > walls.across.1
            || ball.place.y < walls.across.0
            || ball.place.x > walls.along.1
            || ball.place.x < walls.along.0;
        out && ball.holder.is_some()
    };
    found.extend(first(0.0, play.seconds, carried_out).map(|t| ("crosses the wall".to_owned(), t, None)));
    let goal = walls.along.0 + walls.along.1;
    let in_the_plane = |t: f64| {
        let ball = action.ball(t);
        ball.holder.is_some() && ball.place.x + ball.axis.x.abs() * HALF_LENGTH >= goal
    };
    let there = first(0.0, play.seconds, in_the_plane);
    // A ball that is picked up beyond the plane was not carried there.
    let carried = there.filter(|t| action.ball(*t).holder == action.ball(t - 0.01).holder);
    found.extend(carried.map(|t| ("at the plane".to_owned(), t, None)));
    in_order(action, found)
}

fn in_order(action: &Action, mut found: Vec<(String, f64, Option<String>)>) -> Vec<Moment> {
    found.sort_by(|a, b| a.1.total_cmp(&b.1).then_with(|| a.0.cmp(&b.0)));
    let mut moments: Vec<Moment> = Vec::new();
    for (name, at_s, who) in found {
        if moments.iter().any(|moment| moment.name == name) {
            continue;
        }
        let ball = action.ball(at_s).place;
        moments.push(Moment {
            name,
            at_s: tidy(at_s),
            who,
            ball: [tidy(ball.x), tidy(ball.y), tidy(ball.z)],
        });
    }
    moments
}

/// Whether a part that makes a runner down touches the ground.
fn is_down(pose: &Pose) -> bool {
    let (part, above) = pose.lowest();
    // Hips below their radius are lying on the ground; knees and elbows never sink.
    above
        <= match part {
            Part::Trunk => 0.03,
            Part::Knee | Part::Elbow => 1e-4,
        }
}

/// Whether any part touches the ground, hands and feet too.
fn touches(pose: &Pose) -> bool {
    let feet = pose.toes.iter().chain(&pose.heels).any(|place| place.z <= 1e-4);
    let hands = pose.hands.iter().any(|place| place.z <= HAND_RADIUS + 1e-4);
    feet || hands || is_down(pose) || pose.trunk.pelvis.z <= HIP_RADIUS
}

/// The first time in a span at which something holds, to a tenth of a millisecond.
fn first(from: f64, to: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let mut t = from;
    while t <= to {
        if holds(t) {
            let (mut before, mut after) = (t - TICK, t);
            while after - before > 5e-5 {
                let middle = (before + after) / 2.0;
                if holds(middle) { after = middle } else { before = middle }
            }
            return Some(after);
        }
        t += TICK;
    }
    None
}

/// Rounds to five decimals: about a hundredth of a millimetre or of a millisecond.
fn tidy(value: f64) -> f64 {
    (value * 1e5).round() / 1e5
}
