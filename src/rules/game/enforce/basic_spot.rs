//! From where a penalty is measured, and whose ball it is there.
//!
//! The basic spot follows from what the ball did at the time of the foul: a run has its end (the previous spot, in some
//! books, if that lies behind the line), a forward pass and a kick the previous spot, a loose ball the end of the
//! run before it. A kick that the receivers keep has its end, for their own fouls, where the book says so.
//! Three-and-one: a foul by the team with the ball behind the basic spot goes from the spot of the foul.

use super::reading::Ran;
use crate::book::Book;
use crate::book::effect::{Part, Points};
use crate::book::enforcement::Principle;
use crate::book::penalty::From;
use crate::game::course::{Act, Foul};
use crate::game::outcome::{self, Special};
use crate::game::situation::Next;
use field::exact::Yards;

/// A place that a penalty is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Basis {
    /// The basic spot, in the offense frame.
    pub basic: Yards,
    pub from: Yards,
    pub ball: Part,
    /// That team begins a new series there; else the down goes on.
    pub series: bool,
    pub why: Why,
}

/// Why a penalty is measured from where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    Previous,
    Succeeding,
    Spot,
    /// The end of the run, or where the ball was lost.
    EndOfRun,
    /// Where a touchback puts the ball.
    Touchback,
    GoalLine,
    EndOfKick,
    /// The three-and-one principle: behind the basic spot.
    ThreeAndOne,
    EndOfPlay,
    /// Ahead of the previous spot, by the penalty's own rule.
    Beyond,
}

/// The basis of a live foul; `None` where the spot of the foul is needed and not known.
pub(super) fn basis(book: &Book, ran: &Ran, foul: &Foul<'_>) -> Option<Basis> {
    let previous = Basis {
        basic: ran.at_snap.spot,
        from: ran.at_snap.spot,
        ball: Part::Offense,
        series: false,
        why: Why::Previous,
    };
    let basic = basic(book, ran, foul, previous);
    let at_spot = |basis: Basis, why| foul.spot.map(|from| Basis { from, why, ..basis });
    let basis = match foul.penalty.from {
        From::Previous => previous,
        From::Succeeding => {
            Basis { from: ran.ending.spot, basic: ran.ending.spot, why: Why::Succeeding, ..basic }
        }
        From::Spot => at_spot(basic, Why::Spot)?,
        From::EndOfPlay if ran.changed_by(foul.during) => three_and_one(foul, basic),
        From::EndOfPlay => {
            let beyond =
                ran.ending.spot > ran.at_snap.spot || !book.enforcement.keeps(Principle::PreviousBehindLine);
            if ran.kept && beyond {
                Basis { from: ran.ending.spot, basic: ran.ending.spot, why: Why::EndOfPlay, ..previous }
            } else {
                previous
            }
        }
        From::ThreeAndOne if behind_line(ran, foul, &basic) => previous,
        From::ThreeAndOne if added_to_pass(ran, foul, &basic) => {
            Basis { from: ran.ending.spot, basic: ran.ending.spot, why: Why::EndOfPlay, ..previous }
        }
        From::ThreeAndOne => three_and_one(foul, basic),
    };
    Some(match foul.penalty.receivers_ball {
        // In the end zone it is a touchback first.
        true if basis.from >= book.field.length => {
            let from = in_offense_frame(book, Part::Defense, outcome::touchback(book, &ran.at_snap));
            Basis { basic: from, from, ball: Part::Defense, series: true, why: Why::Touchback }
        }
        true => Basis { ball: Part::Defense, series: true, ..basis },
        false => basis,
    })
}

/// The basic spot, or that of a foul behind it by the team with the ball.
fn three_and_one(foul: &Foul<'_>, basic: Basis) -> Basis {
    match foul.spot {
        Some(from) if foul.by == basic.ball && foul.by.behind(from, basic.basic) => {
            Basis { from, why: Why::ThreeAndOne, ..basic }
        }
        Some(_) | None => basic,
    }
}

/// Whether it is a foul of the offense behind the line that is enforced from the previous spot.
fn behind_line(ran: &Ran, foul: &Foul<'_>, basic: &Basis) -> bool {
    foul.penalty.previous_behind_line
        && foul.by == Part::Offense
        && basic.ball == Part::Offense
        && !basic.series
        && foul.spot.is_some_and(|spot| {
            foul.by.behind(spot, basic.basic) && spot > Yards::ZERO && spot <= ran.at_snap.spot
        })
}

/// Whether the defense fouled during a forward pass that was caught for a gain.
fn added_to_pass(ran: &Ran, foul: &Foul<'_>, basic: &Basis) -> bool {
    let passed = ran.stages.iter().any(|stage| stage.act == Act::Pass);
    foul.penalty.adds_to_pass
        && foul.by == Part::Defense
        && basic.why == Why::Previous
        && passed
        && ran.kept
        && ran.ending.points.is_none()
        && ran.ending.spot > ran.at_snap.spot
}

fn basic(book: &Book, ran: &Ran, foul: &Foul<'_>, previous: Basis) -> Basis {
    if ran.at_snap.next == Next::FreeKick && !ran.changed_by(foul.during) {
        return previous;
    }
    if let Some(end) = post_scrimmage(book, ran, foul) {
        return end;
    }
    let changed = ran.changed_by(foul.during);
    let Some(run) = related_run(ran, foul.during) else { return previous };
    let stage = ran.stages[run];
    if !changed {
        let later = &ran.stages[run + 1..];
        let same_hands = later.iter().take_while(|stage| stage.by == Part::Offense);
        // A run before a forward pass or a kick is part of that play.
        if same_hands.into_iter().any(|stage| stage.act == Act::Pass || stage.act.is_kick()) {
            return previous;
        }
        if stage.to < ran.at_snap.spot && book.enforcement.keeps(Principle::PreviousBehindLine) {
            return previous;
        }
    }
    end_of_run(book, ran, run, changed)
}

/// The run that a foul belongs to: the one during which it happened, or the last before a loose ball.
fn related_run(ran: &Ran, during: usize) -> Option<usize> {
    let stages = ran.stages.get(..=during).unwrap_or(&ran.stages);
    let last = stages.len().checked_sub(1)?;
    match stages[last].act {
        Act::Run => Some(last),
        Act::Pass if !ran.changed_by(last) => None,
        Act::Kick | Act::GoalKick => None,
        Act::Pass | Act::BackwardPass | Act::Fumble => stages.iter().rposition(|stage| stage.act == Act::Run),
    }
}

fn end_of_run(book: &Book, ran: &Ran, run: usize, series: bool) -> Basis {
    let stage = ran.stages[run];
    let length = book.field.length;
    let own = |spot: Yards| match stage.by {
        Part::Offense => spot <= Yards::ZERO,
        Part::Defense => spot >= length,
    };
    let (spot, why) = if own(stage.to) {
        if stage.momentum && !own(stage.from) {
            (stage.from, Why::EndOfRun)
        } else if ran.ending.special == Some(Special::Touchback) && ran.ending.ball == stage.by {
            (in_offense_frame(book, stage.by, outcome::touchback(book, &ran.at_snap)), Why::Touchback)
        } else {
            (stage.to.max(Yards::ZERO).min(length), Why::GoalLine)
        }
    } else {
        (stage.to.max(Yards::ZERO).min(length), Why::EndOfRun)
    };
    Basis { basic: spot, from: spot, ball: stage.by, series, why }
}

/// The receivers fouled during a kick that crossed the line and that they keep.
pub(super) fn post_scrimmage(book: &Book, ran: &Ran, foul: &Foul<'_>) -> Option<Basis> {
    let kick = ran.kick()?;
    let keeps = book.enforcement.keeps(Principle::PostScrimmageKick);
    let overtime = book.game.is_overtime(ran.at_snap.period);
    let scrimmage = matches!(ran.at_snap.next, Next::Scrimmage { .. });
    let good = ran.ending.points.is_some_and(|(points, _)| points == Points::FieldGoal);
    let theirs = ran.result.offense != ran.at_snap.offense
        || ran.ending.points.is_some_and(|(_, by)| by == Part::Defense);
    let fits = keeps
        && scrimmage
        && !overtime
        && foul.by == Part::Defense
        && foul.during == kick
        && ran.kick_crossed();
    if !fits || good || !theirs {
        return None;
    }
    let next = ran.stages.get(kick + 1);
    let caught = next.map_or(ran.stages[kick].to, |run| run.from);
    let missed = ran.ending.special == Some(Special::KickFails);
    let (end, why) = if missed {
        (in_offense_frame(book, Part::Defense, ran.result.spot), Why::EndOfKick)
    } else if ran.ending.special == Some(Special::Touchback)
        || caught >= book.field.length
        || ran.stages[kick].touch_spot.is_some_and(|spot| spot >= book.field.length)
    {
        (in_offense_frame(book, Part::Defense, outcome::touchback(book, &ran.at_snap)), Why::Touchback)
    } else {
        (caught, Why::EndOfKick)
    };
    Some(Basis { basic: end, from: end, ball: Part::Defense, series: true, why })
}

/// A distance from a team's own goal line, in the offense frame.
pub(super) fn in_offense_frame(book: &Book, part: Part, from_own: Yards) -> Yards {
    match part {
        Part::Offense => from_own,
        Part::Defense => book.field.length - from_own,
    }
}
