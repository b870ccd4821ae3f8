//! Why a camera is not calibrated or a point not measured. Each message says what to do.

use super::kept;
use evidence::error::Error;

/// Why a click is not kept.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(super) enum Unplaced {
    #[error("no landmark was clicked")]
    NoLandmark,
    #[error("two landmarks on the ground compare a kept calibration with this picture")]
    NotCompared,
    #[error("the landmarks do not agree: click the one that is named again")]
    Disagree,
    #[error("no step is open")]
    NoStep,
    #[error("this step does not ask where a point is: nothing to keep")]
    NotAsked,
    #[error("this step asks about the {0}: only that is kept")]
    OtherLine(String),
    #[error("click the {0} first")]
    NotClicked(String),
    #[error("the {0} is in the air: click it in a second camera too")]
    InTheAir(String),
    #[error(
        "one camera cannot place a point in the air: take a second camera by its letter, and click the same point \
         at this moment"
    )]
    OneCamera,
    /// The point is at another moment than the step asks about.
    #[error("{0}")]
    OtherMoment(String),
    /// The clicks cannot be measured.
    #[error("{0}")]
    Unmeasured(String),
    #[error(transparent)]
    NoFit(#[from] Error),
}

/// Why a calibration was not made, or is not kept for the next game.
#[derive(Debug, thiserror::Error)]
pub(super) enum NotKept {
    #[error(transparent)]
    Unplaced(#[from] Unplaced),
    #[error(transparent)]
    File(#[from] kept::Error),
}
