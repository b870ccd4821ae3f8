//! Walking off one penalty: from its basis to the next situation.
//!
//! Never more than half the distance to the goal line of the team that fouled, and never rounded.

use super::basic_spot::{Basis, Why, basis, in_offense_frame};
use super::reading::Ran;
use crate::book::Book;
use crate::book::effect::{Part, Points};
use crate::book::enforcement::Principle;
use crate::book::penalty::{Distance, Penalty};
use crate::game::course::Foul;
use crate::game::outcome::{self, Down, Ending, same_down};
use crate::game::situation::{Next, Situation, Team};
use field::exact::Yards;

/// How one penalty was walked off; places in the offense frame of the play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Walked {
    /// The foul, by its number among those of the play.
    pub foul: usize,
    pub basic: Yards,
    pub from: Yards,
    pub distance: Yards,
    pub to: Yards,
    pub why: Why,
    /// Half the distance to the goal line was less than what the penalty costs.
    pub half: bool,
}

/// One live foul enforced.
pub(super) struct Enforced {
    /// The place that it is measured from, with the ball there.
    pub measured: Situation,
    pub after: Situation,
    pub walked: Walked,
}

/// Where a live foul is enforced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// By its own rule.
    Standard,
    /// Where the receivers get the ball.
    TackOn,
    /// A set distance beyond the previous spot.
    Beyond,
}

/// A penalty of `yards` against a team, or half the distance to its goal line if that is less.
pub(super) fn walk(book: &Book, from: Yards, by: Part, yards: Yards) -> Yards {
    match by {
        Part::Offense => from - yards.min(from.half()),
        Part::Defense => from + yards.min((book.field.length - from).half()),
    }
}

/// The situation after one live foul enforced there; `None` where its spot is needed and not known.
pub(super) fn live(
    book: &Book,
    ran: &Ran,
    (number, foul): (usize, &Foul<'_>),
    place: Place,
) -> Option<Enforced> {
    let walked = |basis: Basis, to: Yards| {
        let distance = if to > basis.from { to - basis.from } else { basis.from - to };
        let half = is_half(foul.penalty, foul.by, distance) && to != basis.from;
        Walked { foul: number, basic: basis.basic, from: basis.from, distance, to, why: basis.why, half }
    };
    match place {
        Place::TackOn => {
            let after = succeeding(book, true, ran.result, ran.at_snap.team(foul.by), foul.penalty);
            let from = in_offense_frame(book, Part::Defense, ran.result.spot);
            let basis = Basis { basic: from, from, ball: Part::Defense, series: true, why: Why::Succeeding };
            let walked = walked(basis, in_offense_frame(book, Part::Defense, after.spot));
            Some(Enforced { measured: ran.result, after, walked })
        }
        Place::Beyond => {
            let beyond = foul.penalty.or_beyond?;
            let to = ran.at_snap.spot + beyond;
            let from = ran.at_snap.spot;
            let basis = Basis { basic: from, from, ball: Part::Defense, series: true, why: Why::Beyond };
            let after = series(book, ran, to, Part::Defense);
            Some(Enforced {
                measured: series(book, ran, from, Part::Defense),
                after,
                walked: walked(basis, to),
            })
        }
        Place::Standard => {
            let basis = inside(book, basis(book, ran, foul)?);
            let measured = measured(book, ran, &basis);
            if let Some(after) = own_end_zone(book, ran, foul, &basis) {
                return Some(Enforced { measured, after, walked: walked(basis, basis.from) });
            }
            let to = match foul.penalty.distance_by(foul.by) {
                Distance::Yards(yards) => walk(book, basis.from, foul.by, yards),
                // On a try there is no spot to go to: half the distance.
                Distance::ToSpot { at_most, .. } if ran.at_snap.next == Next::Try => {
                    walk(book, basis.from, foul.by, at_most)
                }
                distance @ Distance::ToSpot { .. } => to_spot(book, (basis.from, foul.spot?), distance),
            };
            let after = downs(book, ran, foul, &basis, to);
            Some(Enforced { measured, after, walked: walked(basis, to) })
        }
    }
}

/// The ball where a penalty is measured from, before it is walked off.
fn measured(book: &Book, ran: &Ran, basis: &Basis) -> Situation {
    if basis.series || basis.ball == Part::Defense {
        return series(book, ran, basis.from, basis.ball);
    }
    let spot = inside_field(book, basis.from, ran.at_snap.spot);
    Situation { spot, clock_ms: ran.ending.clock_ms, play_clock_s: None, ..ran.at_snap }
}

/// Whether this distance is less than what the penalty costs.
pub(super) fn is_half(penalty: &Penalty, by: Part, distance: Yards) -> bool {
    match penalty.distance_by(by) {
        Distance::Yards(yards) => distance < yards,
        Distance::ToSpot { .. } => false,
    }
}

/// A place behind a goal line counts as that line.
fn inside(book: &Book, basis: Basis) -> Basis {
    let on_field = |spot: Yards| spot.max(Yards::ZERO).min(book.field.length);
    Basis { basic: on_field(basis.basic), from: on_field(basis.from), ..basis }
}

/// To the spot of the foul; in the end zone to a mark before the goal line, or half the distance from inside it.
fn to_spot(book: &Book, (from, foul): (Yards, Yards), distance: Distance) -> Yards {
    let length = book.field.length;
    let (at_most, in_end_zone, capped, inside_mark) = match distance {
        Distance::Yards(yards) => return walk(book, from, Part::Defense, yards),
        Distance::ToSpot { at_most, in_end_zone, capped, inside_mark } => {
            (at_most, in_end_zone, capped, inside_mark)
        }
    };
    let mark = length - in_end_zone;
    if foul < length && !(inside_mark && foul > mark) {
        return foul.min(from + at_most).max(from);
    }
    if from >= mark {
        return from + (length - from).half();
    }
    if capped { mark.min(from + at_most) } else { mark }
}

/// The safety for a foul behind the fouler's own goal line that is enforced there.
fn own_end_zone(book: &Book, ran: &Ran, foul: &Foul<'_>, basis: &Basis) -> Option<Situation> {
    let behind = match foul.by {
        Part::Offense => basis.from <= Yards::ZERO,
        Part::Defense => basis.from >= book.field.length,
    };
    let kicks = ran.at_snap.next == Next::FreeKick && !basis.series;
    if !behind || kicks || !book.enforcement.keeps(Principle::SafetyInOwnEndZone) {
        return None;
    }
    let points = Some((Points::Safety, foul.by.other()));
    Some(Ending { points, special: None, ..ran.ending }.result(book, &ran.at_snap))
}

/// The situation after a penalty, with its down: by whose ball it is, and by the penalty's own rule.
fn downs(book: &Book, ran: &Ran, foul: &Foul<'_>, basis: &Basis, to: Yards) -> Situation {
    let at_snap = &ran.at_snap;
    if basis.series || basis.ball == Part::Defense {
        return series(book, ran, to, basis.ball);
    }
    let kept = inside_field(book, to, at_snap.spot);
    let moved = Situation { spot: kept, clock_ms: ran.ending.clock_ms, play_clock_s: None, ..*at_snap };
    match at_snap.next {
        // A try whose down is lost is over.
        Next::Try if foul.by == Part::Offense && foul.penalty.loss_of_down => {
            let ending = Ending { down: Down::Counts, special: None, points: None, ..ran.ending };
            ending.result(book, at_snap)
        }
        Next::Try => moved,
        Next::FreeKick => Situation { spot: free_kick_spot(book, moved.spot), ..moved },
        Next::Scrimmage { .. } if foul.by == Part::Defense && foul.penalty.first_down => {
            moved.first_down(&book.field, &book.game)
        }
        // In overtime a lost last down ends the series as a play would.
        Next::Scrimmage { .. } if foul.penalty.loss_of_down => Ending {
            spot: kept,
            ball: Part::Offense,
            down: Down::Counts,
            special: None,
            points: None,
            gained: false,
            ..ran.ending
        }
        .result(book, at_snap),
        Next::Scrimmage { .. } => same_down(book, at_snap, moved),
    }
}

/// No penalty takes a free kick farther back than the book says.
pub(super) fn free_kick_spot(book: &Book, spot: Yards) -> Yards {
    book.game.free_kick_at_least.map_or(spot, |least| spot.max(least))
}

/// A snap cannot be on a goal line: a case that no principle covers goes back to where the play began.
fn inside_field(book: &Book, spot: Yards, previous: Yards) -> Yards {
    if spot <= Yards::ZERO || spot >= book.field.length { previous } else { spot }
}

/// A new series for this team; after a try there is none.
fn series(book: &Book, ran: &Ran, spot: Yards, ball: Part) -> Situation {
    let touchback = in_offense_frame(book, ball, outcome::touchback(book, &ran.at_snap));
    let spot = inside_field(book, spot, touchback);
    let ending = Ending { spot, ball, down: Down::First, special: None, points: None, ..ran.ending };
    ending.result(book, &ran.at_snap)
}

/// A penalty from the succeeding spot: upon the situation that the play led to; `fresh` if that is a new series.
pub(super) fn succeeding(
    book: &Book,
    fresh: bool,
    after: Situation,
    by: Team,
    penalty: &Penalty,
) -> Situation {
    let part = after.part(by);
    let yards = yards(penalty, part);
    let spot = walk(book, after.spot, part, yards);
    let moved = Situation { spot, ..after };
    match after.next {
        Next::Try => moved,
        Next::FreeKick => Situation { spot: free_kick_spot(book, spot), ..moved },
        Next::Scrimmage { .. } if part == Part::Defense && penalty.first_down || fresh => {
            moved.first_down(&book.field, &book.game)
        }
        Next::Scrimmage { .. } => same_down(book, &after, moved),
    }
}

/// How far a penalty goes where there is no foul spot to go to.
pub(super) fn yards(penalty: &Penalty, by: Part) -> Yards {
    match penalty.distance_by(by) {
        Distance::Yards(yards) => yards,
        Distance::ToSpot { at_most, .. } => at_most,
    }
}
