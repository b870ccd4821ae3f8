//! How a league enforces penalties: the principles that it keeps, and time that runs off.
//!
//! Every league walks off penalties with the same algebra; what differs is which of these principles it keeps. A
//! book that names none has the plain rules: what each penalty states.

use serde::Deserialize;

/// The principles of enforcement that a league keeps.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Enforcement", deny_unknown_fields)]
pub struct Enforcement {
    /// The rule.
    #[serde(default)]
    pub cite: String,
    /// The principles that the league keeps; it has no others.
    #[serde(default)]
    pub principles: Vec<Principle>,
    /// Seconds that the other team may have taken off when a foul or an injury stops a running clock.
    #[serde(default)]
    pub run_off: Option<ClockRunOff>,
}

/// A principle of enforcement that a league may keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, schemars::JsonSchema)]
pub enum Principle {
    /// A run that ends behind the line has the previous spot as its basic spot, not its end.
    PreviousBehindLine,
    /// A foul by a team behind its own goal line, enforced there, is a safety.
    SafetyInOwnEndZone,
    /// A foul by the receivers during a scrimmage kick that they keep is enforced from the end of the kick.
    PostScrimmageKick,
    /// The receivers may add a foul by the kickers to the spot where they get the ball.
    TackOn,
    /// Where both teams foul, the one that gained the ball last may keep it if it fouled only afterwards.
    CleanHands,
    /// Personal and unsportsmanlike fouls of both teams while the ball is dead cancel each other.
    DeadConductCancels,
    /// Only a touchdown takes the choice from the offended team that scored; other points leave it.
    ChoiceButForTouchdown,
    /// A fumble that goes out of bounds ahead of where it was lost comes back there.
    FumbleForwardOut,
    /// On the last down or a try only the one who fumbled may gain by it, until the other team has had the ball.
    FumbleLastDown,
    /// The kickers' first touch of a kick is a spot at which the receivers may take the ball.
    TouchSpot,
    /// After a play with a kick from scrimmage the clock starts on the snap, whoever has the ball.
    SnapAfterKick,
    /// Late in a half, where only a foul of the team that is ahead stopped the clock, it starts on the snap.
    SnapAfterLeadersFoul,
    /// On a try or in a series of overtime that the defense gained the ball in, a foul after that is declined by rule,
    /// and no points of the team that so fouled count; what outlasts the series is enforced after it.
    ReturnFoulsDeclined,
    /// In overtime a touchdown of the defense ends the game.
    DefenseWinsOvertime,
    /// An early whistle leaves the team that has the ball, or had it last before a fumble or backward pass, the
    /// choice to play the down again.
    WhistleLeavesChoice,
}

/// Time that the other team may have taken off.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename = "RunOff", deny_unknown_fields)]
pub struct ClockRunOff {
    /// The rule.
    pub cite: String,
    /// Applies in the last `last_s` seconds of a half.
    pub last_s: u32,
    /// How many seconds come off.
    pub seconds: u32,
}

impl Enforcement {
    /// Whether the league keeps this principle.
    pub fn keeps(&self, principle: Principle) -> bool {
        self.principles.contains(&principle)
    }
}
