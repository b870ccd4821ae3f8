//! A play as it is written: who stands where, who does what when, and what becomes of the ball.
//!
//! Times are seconds of the common clock from the start of the clip; places are yards of the hall frame. This
//! states intentions ("the knee is to be down at 3.2"); when a thing really happened is computed from the bodies
//! and stands in the truth (`src/scene/truth.rs`).

mod check;

use super::error::Error;
use serde::{Deserialize, Serialize};

/// A play.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Play {
    /// What it is about, for a person.
    pub title: String,
    /// The question of the rule book that it was made for.
    pub question: String,
    /// The seed of everything that is left to chance: noise, small movements, bounces.
    pub seed: u64,
    /// How long it lasts, at most [`Play::LONGEST`] seconds.
    pub seconds: f64,
    /// The timecode of the common time 0, 59.94 drop-frame.
    pub timecode: String,
    /// What the scoreboard shows, and where the ball lies.
    pub board: Board,
    /// Where the ball's middle lies at first: along and across.
    pub ball_at: (f64, f64),
    /// Players and officials.
    pub players: Vec<Player>,
    /// What becomes of the ball, in the order of time.
    pub ball: Vec<BallAct>,
    /// Moments that geometry does not show, by their names in the rule book: when.
    #[serde(default)]
    pub moments: Vec<(String, f64)>,
}

/// What the scoreboard shows at the start of the clip.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// The period.
    pub period: u8,
    /// Seconds left at time 0.
    pub clock_s: f64,
    /// Whether the clock runs before the snap; after it it runs until `stops_s`.
    pub running: bool,
    /// When the clock is stopped.
    #[serde(default)]
    pub stops_s: Option<f64>,
    /// Points of the home team.
    pub home: u16,
    /// Points of the visitors.
    pub away: u16,
    /// The down.
    pub down: u8,
    /// Whole yards to go, as a board shows them.
    pub to_go: u8,
    /// Seconds of the play clock at time 0.
    pub play_clock_s: u8,
}

/// Whose shirt somebody wears.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize, schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The home team.
    Home,
    /// The visitors.
    Away,
    /// The crew.
    Official,
}

/// Somebody on the field.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Player {
    /// A short name for this play: "K7".
    pub id: String,
    /// The team whose shirt they wear.
    pub side: Side,
    /// The number on it.
    #[serde(default)]
    pub number: u8,
    /// Where they stand at first: along and across.
    pub at: (f64, f64),
    /// Where they look while they stand: degrees from east towards north.
    pub faces_deg: f64,
    /// How they stand until they move.
    #[serde(default)]
    pub stance: Stance,
    /// Where they are when: (seconds, along, across).
    #[serde(default)]
    pub path: Vec<(f64, f64, f64)>,
    /// What else they do, in the order of time.
    #[serde(default)]
    pub acts: Vec<Act>,
}

/// How a player stands before they move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Stance {
    /// Upright.
    #[default]
    Upright,
    /// Knees bent, hands in front.
    Ready,
    /// One hand on the ground.
    ThreePoint,
    /// Over the ball, a hand on it.
    Snapper,
}

/// What somebody does besides running.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Act {
    /// Turns the body towards a place or somebody, whichever way they run.
    Face {
        /// From.
        from_s: f64,
        /// To.
        to_s: f64,
        /// Towards.
        at: Target,
    },
    /// Does something with the hands.
    Hands {
        /// From.
        from_s: f64,
        /// To.
        to_s: f64,
        /// What.
        how: Hands,
    },
    /// Leaves the ground, along the path, and lands.
    Leap {
        /// When the last foot leaves the ground.
        at_s: f64,
        /// When they land.
        lands_s: f64,
        /// How.
        lands: Landing,
    },
    /// Goes down.
    Fall {
        /// When it begins.
        at_s: f64,
        /// When a knee is to touch the ground.
        knee_s: f64,
    },
    /// Goes down into a stance with a hand on the ground, from standing.
    GetDown {
        /// When it begins.
        at_s: f64,
        /// When the hand is down.
        down_s: f64,
    },
    /// Rises from the stance before they move.
    GetUp {
        /// When it begins.
        at_s: f64,
        /// When they stand.
        up_s: f64,
    },
}

/// Towards what somebody turns.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub enum Target {
    /// A place.
    Place(f64, f64),
    /// Another player, by short name.
    Player(String),
}

/// What hands do.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub enum Hands {
    /// Both above the head.
    Up,
    /// Before the chest, against somebody.
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

/// What becomes of the ball.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum BallAct {
    /// It is snapped.
    Snap {
        /// When it first moves.
        at_s: f64,
        /// To whom.
        to: String,
        /// When it arrives.
        arrives_s: f64,
    },
    /// Its holder hands it on.
    Hand {
        /// When.
        at_s: f64,
        /// To whom.
        to: String,
    },
    /// Its holder throws it; the next act says where to.
    Pass {
        /// When it leaves the hand.
        at_s: f64,
    },
    /// Somebody touches it and, a little later, controls it.
    Catch {
        /// When hands first touch it.
        at_s: f64,
        /// When it is controlled.
        control_s: f64,
        /// Who.
        by: String,
        /// How far above the hips the hands meet it, in yards.
        #[serde(default = "chest")]
        high: f64,
        /// How far in front, in yards.
        #[serde(default = "reach")]
        ahead: f64,
    },
    /// It comes loose with this velocity (yards a second), and bounces.
    Loose {
        /// When.
        at_s: f64,
        /// Along, across, up.
        speed: (f64, f64, f64),
    },
    /// Somebody takes a loose ball.
    Recover {
        /// When.
        at_s: f64,
        /// Who.
        by: String,
    },
}

fn chest() -> f64 {
    0.5
}

fn reach() -> f64 {
    0.35
}

impl BallAct {
    /// When it happens.
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

    /// Who has the ball afterwards.
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

    /// Reads a play and checks it.
    ///
    /// # Errors
    /// [`Error`] with the place of what cannot be read, or with everything that cannot be played.
    pub fn read(text: &str) -> Result<Play, Error> {
        let options =
            ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let play: Play = options.from_str(text)?;
        let found = check::faults(&play);
        if found.is_empty() { Ok(play) } else { Err(Error::Play(found)) }
    }

    /// When the ball is snapped; the end of the clip where it is not.
    pub(crate) fn snap_s(&self) -> f64 {
        let snap = self.ball.iter().find(|act| matches!(act, BallAct::Snap { .. }));
        snap.map_or(self.seconds, BallAct::at_s)
    }
}
