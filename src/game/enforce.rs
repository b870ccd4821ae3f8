//! Penalties: from the end of the play to the next situation.
//!
//! One foul at a time, live ones before dead ones. Live fouls by both teams offset. Everything is exact: half of
//! half the distance is not rounded.

use super::apply::Open;
use super::play::{Choice, Flag};
use super::situation::{Next, Situation, Team};
use crate::book::Book;
use crate::book::effect::{Part, Points};
use crate::book::exact::Yards;
use crate::book::penalty::{BallState, Distance, From, OnScore, Penalty};
use std::collections::{BTreeMap, BTreeSet};

/// The end of a play, with the situation that it leads to if no foul counts.
#[derive(Debug, Clone, Copy)]
pub struct End {
    /// The situation at the snap.
    pub at_snap: Situation,
    /// Where the play ended, in the offense frame of the snap.
    pub spot: Yards,
    /// The offense kept the ball, and the play was not an incomplete pass.
    pub kept: bool,
    /// Points that the play made.
    pub points: Option<(Points, Part)>,
    /// The next situation without fouls.
    pub result: Situation,
}

/// What became of one foul.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Enforced {
    /// The penalty's name in the book.
    pub name: String,
    /// Who fouled.
    pub by: Team,
    /// What became of it.
    pub done: Done,
}

/// What became of a foul.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Done {
    /// It was accepted and enforced.
    Accepted,
    /// The offended team took the play.
    Declined,
    /// Fouls by both teams cancelled each other.
    Offset,
    /// The score counts, and the penalty is dropped.
    ScoreCounts,
    /// The score counts, and the penalty is carried to the try or the free kick.
    Carried,
    /// It can only be fouled while the ball is live, and the ball was dead.
    FellAway,
}

/// The next situation with the fouls of the play enforced.
pub fn enforce(
    book: &Book,
    end: &End,
    flags: &[Flag],
    choices: &BTreeMap<String, Choice>,
    open: &mut BTreeSet<Open>,
) -> (Situation, Vec<Enforced>) {
    let mut known: Vec<(&Flag, &Penalty)> = Vec::new();
    for flag in flags {
        match book.penalties.get(&flag.name) {
            Some(penalty) => known.push((flag, penalty)),
            None => {
                open.insert(Open::Flag(flag.name.clone()));
            }
        }
    }
    let is_dead = |flag: &Flag, penalty: &Penalty| flag.dead || penalty.ball == BallState::Dead;
    let (dead, live): (Vec<_>, Vec<_>) =
        known.into_iter().partition(|(flag, penalty)| is_dead(flag, penalty));
    let choice = |flag: &Flag| choices.get(&flag.name).copied().unwrap_or(Choice::Accept);
    let mut fouls = Vec::new();
    let mut after = end.result;
    let note = |fouls: &mut Vec<Enforced>, flag: &Flag, done| {
        fouls.push(Enforced { name: flag.name.clone(), by: end.at_snap.team(flag.by), done });
    };
    let by = |part| live.iter().any(|(flag, _)| flag.by == part);
    if by(Part::Offense) && by(Part::Defense) {
        after = same_down(book, &end.at_snap, Situation { clock_ms: after.clock_ms, ..end.at_snap });
        live.iter().for_each(|(flag, _)| note(&mut fouls, flag, Done::Offset));
    } else {
        for (flag, penalty) in &live {
            let done;
            (after, done) = live_foul(book, end, after, (flag, penalty, choice(flag)), open);
            note(&mut fouls, flag, done);
        }
    }
    let fresh = new_series(&end.at_snap, &after);
    for (flag, penalty) in &dead {
        if penalty.ball == BallState::Live && !penalty.safety {
            note(&mut fouls, flag, Done::FellAway);
            continue;
        }
        if choice(flag) == Choice::Decline && !penalty.safety {
            note(&mut fouls, flag, Done::Declined);
            continue;
        }
        let by = end.at_snap.team(flag.by);
        after = succeeding(book, fresh, after, by, penalty);
        note(&mut fouls, flag, Done::Accepted);
    }
    (after, fouls)
}

fn live_foul(
    book: &Book,
    end: &End,
    after: Situation,
    (flag, penalty, choice): (&Flag, &Penalty, Choice),
    open: &mut BTreeSet<Open>,
) -> (Situation, Done) {
    // The offended team's score counts, whatever the foul was.
    if end.points.is_some_and(|(_, scorer)| scorer != flag.by) {
        return match penalty.on_score {
            OnScore::Dropped => (after, Done::ScoreCounts),
            OnScore::Carried => {
                (succeeding(book, true, after, end.at_snap.team(flag.by), penalty), Done::Carried)
            }
        };
    }
    if choice == Choice::Decline {
        return (after, Done::Declined);
    }
    let Some(basic) = spot_of(end, flag, penalty, open) else { return (after, Done::Accepted) };
    let spot = match penalty.distance {
        Distance::Yards(yards) => walk(book, basic, flag.by, yards),
        Distance::ToSpot { at_most, in_end_zone } => {
            let Some(foul) = flag.spot else {
                open.insert(Open::FoulSpot(flag.name.clone()));
                return (after, Done::Accepted);
            };
            if foul >= book.field.length {
                book.field.length - in_end_zone
            } else {
                foul.min(basic + at_most).max(basic)
            }
        }
    };
    let moved = Situation { spot, clock_ms: after.clock_ms, play_clock_s: None, ..end.at_snap };
    let next = if moved.next == Next::Try {
        moved
    } else if flag.by == Part::Defense && penalty.first_down {
        moved.first_down(&book.field, &book.game)
    } else if penalty.loss_of_down {
        next_down(book, &end.at_snap, moved)
    } else {
        same_down(book, &end.at_snap, moved)
    };
    (next, Done::Accepted)
}

/// From where a live foul is measured, in the offense frame of the snap.
fn spot_of(end: &End, flag: &Flag, penalty: &Penalty, open: &mut BTreeSet<Open>) -> Option<Yards> {
    let end_of_play = if end.kept { end.spot } else { end.at_snap.spot };
    match penalty.from {
        From::Previous => Some(end.at_snap.spot),
        From::Succeeding | From::EndOfPlay => Some(end_of_play),
        From::Spot => {
            if flag.spot.is_none() {
                open.insert(Open::FoulSpot(flag.name.clone()));
            }
            flag.spot
        }
        From::ThreeAndOne => match (flag.by, flag.spot) {
            // The one: the offense fouls behind the basic spot.
            (Part::Offense, Some(foul)) => Some(foul.min(end_of_play)),
            (Part::Offense | Part::Defense, _) => Some(end_of_play),
        },
    }
}

/// So many yards against the team that fouled, or half the distance to the goal line if that is less.
fn walk(book: &Book, from: Yards, by: Part, yards: Yards) -> Yards {
    match by {
        Part::Offense => from - yards.min(from.half()),
        Part::Defense => from + yards.min((book.field.length - from).half()),
    }
}

/// A penalty from the succeeding spot: upon the situation that the play led to; `fresh` if that is a new series.
fn succeeding(book: &Book, fresh: bool, after: Situation, by: Team, penalty: &Penalty) -> Situation {
    let yards = match penalty.distance {
        Distance::Yards(yards) => yards,
        Distance::ToSpot { at_most, .. } => at_most,
    };
    let part = after.part(by);
    let spot = walk(book, after.spot, part, yards);
    let moved = Situation { spot, ..after };
    match after.next {
        Next::Try | Next::FreeKick => moved,
        Next::Scrimmage { down, to_go } => {
            let to_goal = book.field.length - spot;
            if part == Part::Defense && penalty.first_down || fresh {
                return moved.first_down(&book.field, &book.game);
            }
            let to_go = after.spot + to_go - spot;
            if to_go <= Yards::ZERO {
                return moved.first_down(&book.field, &book.game);
            }
            Situation { next: Next::Scrimmage { down, to_go: to_go.min(to_goal) }, ..moved }
        }
    }
}

/// Whether the play that ended began a new series, so that a dead-ball foul comes before its first down.
fn new_series(at_snap: &Situation, after: &Situation) -> bool {
    match (at_snap.next, after.next) {
        (Next::Scrimmage { down: before, .. }, Next::Scrimmage { down: 1, .. }) => {
            after.offense != at_snap.offense || before != 1 || at_snap.spot != after.spot
        }
        (Next::Try | Next::FreeKick, Next::Scrimmage { .. }) => true,
        (_, Next::Scrimmage { .. } | Next::Try | Next::FreeKick) => false,
    }
}

/// The same down over the distance that is left from a new spot; a first down if none is left.
pub(super) fn same_down(book: &Book, at_snap: &Situation, after: Situation) -> Situation {
    match at_snap.next {
        Next::Try | Next::FreeKick => Situation { next: at_snap.next, ..after },
        Next::Scrimmage { down, to_go } => {
            let left = at_snap.spot + to_go - after.spot;
            if left <= Yards::ZERO {
                return after.first_down(&book.field, &book.game);
            }
            let to_go = left.min(book.field.length - after.spot);
            Situation { next: Next::Scrimmage { down, to_go }, ..after }
        }
    }
}

/// The down counts: a first down where the line to gain is reached, the next one, or the other team's ball.
pub(super) fn next_down(book: &Book, at_snap: &Situation, after: Situation) -> Situation {
    let same = same_down(book, at_snap, after);
    match (at_snap.next, same.next) {
        (Next::Scrimmage { to_go, .. }, _) if at_snap.spot + to_go <= after.spot => same,
        (_, Next::Scrimmage { down, .. }) if down >= book.game.downs => {
            after.turned_over(&book.field).first_down(&book.field, &book.game)
        }
        (_, Next::Scrimmage { down, to_go }) => {
            Situation { next: Next::Scrimmage { down: down + 1, to_go }, ..same }
        }
        (_, Next::Try | Next::FreeKick) => same,
    }
}
