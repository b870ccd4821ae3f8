//! What a play did, in a few words.

use rules::book::effect::Part;
use rules::game::advance::{Did, Tried};

pub(crate) fn text(did: Did) -> &'static str {
    match did {
        Did::Down { .. } => "stopped",
        Did::OutOfBounds { .. } => "out of bounds",
        Did::Incomplete => "incomplete pass",
        Did::Touchdown { by: Part::Offense } => "touchdown",
        Did::Touchdown { by: Part::Defense } => "turnover, and a touchdown",
        Did::FieldGoal { good: true } => "field goal",
        Did::FieldGoal { good: false } => "field goal missed",
        Did::Safety => "safety",
        Did::Kicked { .. } => "kicked, stopped",
        Did::Touchback => "touchback",
        Did::Turnover { .. } => "turnover",
        Did::Regained { .. } => "lost and won back",
        Did::KickKept { .. } => "kick recovered by the kickers",
        Did::Tried(Tried::Kick) => "try kicked",
        Did::Tried(Tried::Run) => "try run or passed",
        Did::Tried(Tried::Failed) => "try failed",
        Did::Tried(Tried::Returned) => "try returned",
        Did::Again => "the down is played again",
        Did::Nothing => "no play",
    }
}
