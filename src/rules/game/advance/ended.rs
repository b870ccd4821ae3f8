//! How a play given in a few words ended: the call on the field that a review of it starts from.

use super::{Advance, Did, Tried, advance};
use crate::book::Book;
use crate::book::effect::{DeadBy, Part, Points};
use crate::game::play::PlayEnd;
use crate::game::situation::{Next, Situation};
use field::exact::Yards;

/// The play's end as it ran, in the offense frame of the snap. `None` where no down was played, and for a play that
/// cannot follow this situation.
pub fn play_end(book: &Book, at_snap: &Situation, play: Advance) -> Option<PlayEnd> {
    let after = advance(book, at_snap, play).ok()?.after;
    let gained = |by: Part| {
        let team = at_snap.team(by);
        after.score.of(team) > at_snap.score.of(team)
    };
    let scorer = [Part::Offense, Part::Defense].into_iter().find(|by| gained(*by));
    let points = scorer.map(|by| (points(play.did, at_snap, &after), by));
    let (dead_by, turnover) = match play.did {
        Did::Again | Did::Nothing => return None,
        Did::Down { .. } | Did::Safety | Did::KickKept { .. } | Did::Regained { .. } => (DeadBy::Down, false),
        Did::OutOfBounds { .. } => (DeadBy::OutOfBounds, false),
        Did::Incomplete => (DeadBy::Incomplete, false),
        Did::Touchdown { by } => (DeadBy::Down, by == Part::Defense),
        Did::Tried(tried) => (DeadBy::Down, tried == Tried::Returned),
        Did::FieldGoal { good } => (DeadBy::Down, !good),
        Did::Kicked { .. } | Did::Touchback | Did::Turnover { .. } => (DeadBy::Down, true),
    };
    let dead_by = if points.is_some() { DeadBy::Score } else { dead_by };
    let spot = spot(book, at_snap, play.did, &after);
    let regained = matches!(play.did, Did::Regained { .. });
    Some(PlayEnd { spot, clock_ms: Some(play.clock_ms), dead_by, points, turnover, regained })
}

/// What the points that the play brought are for.
fn points(did: Did, at_snap: &Situation, after: &Situation) -> Points {
    match did {
        Did::FieldGoal { .. } | Did::Tried(Tried::Kick) => Points::FieldGoal,
        Did::Tried(_) => Points::Touchdown,
        _ if after.next == Next::Try || at_snap.next == Next::Try => Points::Touchdown,
        _ => Points::Safety,
    }
}

/// Where the ball was dead. Where the team that did not snap has it, or it was dead off the field, the next situation
/// tells.
fn spot(book: &Book, at_snap: &Situation, did: Did, after: &Situation) -> Yards {
    let own = match did {
        Did::Down { at }
        | Did::OutOfBounds { at }
        | Did::Turnover { at }
        | Did::KickKept { at }
        | Did::Regained { at } => Some(at),
        Did::Kicked { to } => Some(to),
        Did::Incomplete | Did::Tried(_) | Did::Safety | Did::Again | Did::Nothing => Some(at_snap.spot),
        Did::Touchdown { .. } | Did::FieldGoal { .. } | Did::Touchback => None,
    };
    let length = book.field.length;
    let on_field = |at: &Yards| *at > Yards::ZERO && *at < length;
    own.filter(on_field).unwrap_or(if after.offense == at_snap.offense {
        after.spot
    } else {
        length - after.spot
    })
}
