//! A play as it is written: who stands where, who does what when, and what becomes of the ball.
//!
//! Times are seconds of the common clock from the start of the clip; places are yards of the hall frame. A play states
//! intentions ("the knee is to be down at 3.2"); when a thing really happened is computed from the bodies and recorded
//! in the truth (`src/scene/truth.rs`).

mod check;

use super::error::Error;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A play as written in a file of `demo/plays`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Play {
    pub title: String,
    /// The question of the rule book that the play was made for.
    pub question: String,
    /// Seed of everything random: noise, small movements, bounces.
    pub seed: u64,
    /// At most [`Play::LONGEST`].
    pub seconds: f64,
    /// At common time 0, 59.94 drop-frame.
    pub timecode: String,
    pub board: Board,
    /// The ball's middle at the start: along and across.
    pub ball_at: (f64, f64),
    /// Officials included.
    pub players: Vec<Player>,
    /// In the order of time.
    pub ball: Vec<BallAct>,
    /// Moments that geometry does not show: name in the rule book, and time.
    #[serde(default)]
    pub moments: Vec<(String, f64)>,
}

/// What the scoreboard shows at the start of the clip.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Board {
    pub period: u8,
    /// Left at time 0.
    pub clock_s: f64,
    /// The clock runs before the snap. After the snap it runs until `stops_s`.
    pub running: bool,
    #[serde(default)]
    pub stops_s: Option<f64>,
    pub home: u16,
    pub away: u16,
    pub down: u8,
    /// In whole yards.
    pub to_go: u8,
    /// At time 0.
    pub play_clock_s: u8,
}

/// Whose shirt somebody wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The home team.
    Home,
    /// The visitors.
    Away,
    /// The crew.
    Official,
}

/// A player or an official on the field.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Player {
    /// A short name in this play: "K7".
    pub id: String,
    pub side: Side,
    #[serde(default)]
    pub number: u8,
    /// At the start: along and across.
    pub at: (f64, f64),
    /// Direction while standing: degrees from east towards north.
    pub faces_deg: f64,
    /// Until they move.
    #[serde(default)]
    pub stance: Stance,
    /// Seconds, along, across.
    #[serde(default)]
    pub path: Vec<(f64, f64, f64)>,
    /// In the order of time.
    #[serde(default)]
    pub acts: Vec<Act>,
}

/// How a player stands before they move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Stance {
    #[default]
    Upright,
    /// Knees bent, hands in front.
    Ready,
    /// One hand on the ground.
    ThreePoint,
    /// Over the ball, a hand on it.
    Snapper,
}

/// What a player does besides running. `Face` turns the body, whichever way they run. `Leap` goes along the path;
/// the last foot leaves the ground at `at_s`. In a `Fall` a knee is to touch the ground at `knee_s`. `GetDown` goes
/// from standing into a stance with a hand on the ground, which is down at `down_s`. `GetUp` rises from the stance
/// before they move, and stands at `up_s`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Act {
    Face { from_s: f64, to_s: f64, at: Target },
    Hands { from_s: f64, to_s: f64, how: Hands },
    Leap { at_s: f64, lands_s: f64, lands: Landing },
    Fall { at_s: f64, knee_s: f64 },
    GetDown { at_s: f64, down_s: f64 },
    GetUp { at_s: f64, up_s: f64 },
}

/// What a player turns towards.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub enum Target {
    /// Along and across.
    Place(f64, f64),
    /// By short name.
    Player(String),
}

/// What hands do.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub enum Hands {
    /// Both above the head.
    Up,
    /// In front of the chest, against an opponent.
    Block,
    /// On another player, by short name.
    On(String),
}

/// How a leap ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum Landing {
    /// On the feet.
    Feet,
    /// Stretched out.
    Prone,
}

/// One thing that happens to the ball.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum BallAct {
    /// It first moves at `at_s`.
    Snap { at_s: f64, to: String, arrives_s: f64 },
    /// Its holder hands it off.
    Hand { at_s: f64, to: String },
    /// It leaves its holder's hand at `at_s`; the next act determines where it goes.
    Pass { at_s: f64 },
    /// A player first touches it at `at_s` and, a little later, controls it.
    Catch {
        at_s: f64,
        control_s: f64,
        by: String,
        /// Height of the hands above the hips, in yards.
        #[serde(default = "chest")]
        high: f64,
        /// Distance of the hands in front of the hips, in yards.
        #[serde(default = "reach")]
        ahead: f64,
    },
    /// It comes loose with this velocity (along, across, up; in yards a second), and bounces.
    Loose { at_s: f64, speed: (f64, f64, f64) },
    /// A player takes a loose ball.
    Recover { at_s: f64, by: String },
}

fn chest() -> f64 {
    0.5
}

fn reach() -> f64 {
    0.35
}

impl BallAct {
    /// When it begins, in seconds.
    pub fn at_s(&self) -> f64 {
        match self {
            BallAct::Snap { at_s, .. }
            | BallAct::Hand { at_s, .. }
            | BallAct::Pass { at_s }
            | BallAct::Catch { at_s, .. }
            | BallAct::Loose { at_s, .. }
            | BallAct::Recover { at_s, .. } => *at_s,
        }
    }

    /// The short name of who has the ball afterwards.
    pub fn by(&self) -> Option<&str> {
        match self {
            BallAct::Snap { to, .. } | BallAct::Hand { to, .. } => Some(to),
            BallAct::Catch { by, .. } | BallAct::Recover { by, .. } => Some(by),
            BallAct::Pass { .. } | BallAct::Loose { .. } => None,
        }
    }
}

impl Play {
    /// The longest play, in seconds.
    pub const LONGEST: f64 = 8.0;

    /// Reads a play from RON and checks that it can be played.
    ///
    /// # Errors
    /// [`Error`] with the place where the text is not RON of the right form, or with everything that cannot be played.
    pub fn read(text: &str) -> Result<Play, Error> {
        let options =
            ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let play: Play = options.from_str(text)?;
        let found = check::faults(&play);
        if found.is_empty() { Ok(play) } else { Err(Error::Play(found)) }
    }

    /// The time of the snap, or the end of the clip if there is none.
    pub(crate) fn snap_s(&self) -> f64 {
        let snap = self.ball.iter().find(|act| matches!(act, BallAct::Snap { .. }));
        snap.map_or(self.seconds, BallAct::at_s)
    }
}
