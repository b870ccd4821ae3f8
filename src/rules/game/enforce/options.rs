//! The choices that the rules leave, each with what it leads to, and the better one for the team that chooses.
//!
//! The plain rule: a game that is won before one that goes on, and that before one that is lost; then the score; then
//! what the next situation is worth ([`worth`]), nothing where the half is over; then the spot, and the distance.

use super::offset;
use super::reading::Ran;
use super::worth;
use crate::book::Book;
use crate::book::effect::{Part, Points};
use crate::book::enforcement::Principle;
use crate::book::penalty::OnScore;
use crate::game::clock::Period;
use crate::game::course::{Act, Foul};
use crate::game::enforce::Done;
use crate::game::enforce::walk_off::{Enforced, Place, Walked, live};
use crate::game::ledger::{Cause, Step, record};
use crate::game::outcome::{Down, Ending, same_down};
use crate::game::situation::{Next, Situation, Team};
use field::exact::Yards;
use std::cmp::Ordering;

/// One legal choice about the live fouls of a play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    pub kind: Kind,
    /// Where it leads, dead-ball fouls and the clock left aside.
    pub after: Situation,
    pub walked: Vec<Walked>,
    /// What becomes of each foul of the play, by its number.
    pub done: Vec<(usize, Done)>,
    /// The points of the play count in it.
    pub scored: bool,
    pub steps: Vec<Step>,
    /// Another play follows the end of the period: a live foul was accepted, or fouls cancelled each other.
    pub again: bool,
}

/// What is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The result of the play, no foul asking for a choice.
    Play,
    /// The penalty for the foul of this number.
    Accept(usize, Place),
    /// The result of the play.
    Decline,
    /// The fouls of both teams cancel each other.
    Offset,
    /// The team that gained the ball last keeps it.
    KeepBall,
    /// The ball where the kickers touched it, in the offense frame.
    TouchSpot(Yards),
    /// After a whistle by mistake the down is played again.
    Repeat,
    /// The rules decide: the score counts, or it does not.
    ByRule,
}

/// The team that chooses, the legal choices about live fouls, and the fouls that lack their spot.
pub(super) fn choices(
    book: &Book,
    ran: &Ran,
    live_fouls: &[(usize, &Foul<'_>)],
) -> (Part, Vec<Choice>, Vec<usize>) {
    let by = |part| live_fouls.iter().any(|(_, foul)| foul.by == part);
    let mut missing = Vec::new();
    if let Some(over) = after_return(book, ran, live_fouls) {
        return (Part::Offense, vec![over], missing);
    }
    match (by(Part::Offense), by(Part::Defense)) {
        (true, true) => {
            let (chooser, choices) = offset::choices(book, ran, live_fouls);
            (chooser, choices, missing)
        }
        (false, false) if ran.may_repeat => {
            (ran.ending.ball, vec![play(ran, Kind::Play, &[]), repeat(book, ran, &[])], missing)
        }
        (false, false) => (Part::Defense, with_touches(book, ran, vec![play(ran, Kind::Play, &[])]), missing),
        (offense, _) => {
            let chooser = if offense { Part::Defense } else { Part::Offense };
            // After the kickers' early touch their score does not count before the receivers have chosen.
            let touched = chooser == Part::Offense && touchable(book, ran);
            if let Some(counts) = score_counts(book, ran, live_fouls, chooser).filter(|_| !touched) {
                return (chooser, vec![counts], missing);
            }
            let mut choices = Vec::new();
            let takeable = |foul: &&(usize, &Foul<'_>)| !(touched && while_scoring(ran, foul.1, chooser));
            for foul in live_fouls.iter().filter(takeable) {
                match accepted(book, ran, *foul, live_fouls) {
                    accepted if accepted.is_empty() => missing.push(foul.0),
                    accepted => choices.extend(accepted),
                }
            }
            let declined = play(ran, Kind::Decline, live_fouls);
            let (others, declined) = if ran.may_repeat {
                (ran.ending.ball, vec![declined, repeat(book, ran, live_fouls)])
            } else {
                (Part::Defense, with_touches(book, ran, vec![declined]))
            };
            let receivers = ran.at_snap.team(others);
            if chooser == others {
                choices.extend(declined);
            } else {
                // Once the penalty is declined, the other team has the better of the play and its own choice.
                choices.extend(declined.into_iter().reduce(|best, next| {
                    match compare(book, receivers, &next.after, &best.after) {
                        Ordering::Greater => next,
                        Ordering::Less | Ordering::Equal => best,
                    }
                }));
            }
            (chooser, choices, missing)
        }
    }
}

/// The play's own result.
fn play(ran: &Ran, kind: Kind, fouls: &[(usize, &Foul<'_>)]) -> Choice {
    let carried = |foul: &Foul<'_>| {
        let theirs = ran.ending.points.is_some_and(|(_, by)| by != foul.by);
        theirs && foul.penalty.on_score == OnScore::Carried
    };
    let done = |foul: &Foul<'_>| if carried(foul) { Done::Carried } else { Done::Declined };
    Choice {
        kind,
        after: ran.result,
        walked: Vec::new(),
        done: fouls.iter().map(|(number, foul)| (*number, done(foul))).collect(),
        scored: ran.ending.points.is_some(),
        steps: played(ran),
        again: ran.again,
    }
}

/// The play, fouls left aside, as the first step.
pub(super) fn played(ran: &Ran) -> Vec<Step> {
    let mut steps = Vec::with_capacity(4);
    record(&mut steps, Cause::Play, ran.result, None);
    steps
}

/// The steps of a choice that sets the play aside at once.
pub(super) fn instead(ran: &Ran, cause: Cause, after: Situation) -> Vec<Step> {
    let mut steps = played(ran);
    record(&mut steps, cause, after, None);
    steps
}

/// A whistle by mistake: the down is played again, though the ball was dead in a team's hands.
fn repeat(book: &Book, ran: &Ran, fouls: &[(usize, &Foul<'_>)]) -> Choice {
    let again = Situation { clock_ms: ran.ending.clock_ms, play_clock_s: None, ..ran.at_snap };
    let after = same_down(book, &ran.at_snap, again);
    let steps = instead(ran, Cause::Repeat, after);
    Choice { after, scored: false, again: true, steps, ..play(ran, Kind::Repeat, fouls) }
}

/// Whether it is a foul of the other team, not personal, while this one ran the ball to its score.
fn while_scoring(ran: &Ran, foul: &Foul<'_>, scorer: Part) -> bool {
    let scored = ran.ending.points == Some((Points::Touchdown, scorer));
    let last_lost = ran.stages.iter().rposition(|stage| stage.by != scorer);
    scored && foul.penalty.on_score == OnScore::Dropped && last_lost.is_none_or(|lost| foul.during > lost)
}

/// The offended team's score counts whatever the foul was; its penalty is dropped or carried.
fn score_counts(book: &Book, ran: &Ran, fouls: &[(usize, &Foul<'_>)], chooser: Part) -> Option<Choice> {
    let (points, by) = ran.ending.points?;
    let choose = book.enforcement.keeps(Principle::ChoiceButForTouchdown)
        && (points != Points::Touchdown || ran.at_snap.next == Next::Try && by == Part::Offense);
    if by != chooser || choose {
        return None;
    }
    let mut counts = play(ran, Kind::ByRule, fouls);
    for (_, done) in &mut counts.done {
        if *done == Done::Declined {
            *done = Done::ScoreCounts;
        }
    }
    Some(counts)
}

/// Fouls after the defense gained the ball on a try or in a series of overtime: declined by rule, with no points for
/// the team that fouled; fouls of both teams cancel each other, and nothing is played again.
fn after_return(book: &Book, ran: &Ran, fouls: &[(usize, &Foul<'_>)]) -> Option<Choice> {
    let keeps = book.enforcement.keeps(Principle::ReturnFoulsDeclined);
    let late = |foul: &Foul<'_>| ran.changed_by(foul.during);
    let any =
        |part: Part, is_late: bool| fouls.iter().any(|(_, foul)| foul.by == part && late(foul) == is_late);
    let (offense, defense) = (any(Part::Offense, true), any(Part::Defense, true));
    // A foul of the defense before it gained the ball leaves the choice, or cancels one of the offense.
    if !keeps
        || !ran.at_snap.in_short_series(&book.game)
        || !(offense || defense)
        || any(Part::Defense, false)
    {
        return None;
    }
    let both = defense && (offense || any(Part::Offense, false));
    let fouled = |part: Part| if part == Part::Offense { offense } else { defense };
    let points = ran.ending.points.filter(|(_, by)| !fouled(*by));
    let special = ran.ending.special.filter(|_| points.is_some());
    let ending = Ending { points, special, down: Down::Counts, ..ran.ending };
    let fate = |foul: &Foul<'_>| match (both, late(foul) && foul.outlasts_series()) {
        (true, _) => Done::Offset,
        (false, true) => Done::Carried,
        (false, false) => Done::Declined,
    };
    let after = ending.result(book, &ran.at_snap);
    Some(Choice {
        kind: Kind::ByRule,
        after,
        walked: Vec::new(),
        done: fouls.iter().map(|(number, foul)| (*number, fate(foul))).collect(),
        scored: points.is_some(),
        steps: instead(ran, Cause::ByRule, after),
        again: false,
    })
}

/// Every way to accept one foul; the team's other fouls are declined.
pub(super) fn accepted(
    book: &Book,
    ran: &Ran,
    (number, foul): (usize, &Foul<'_>),
    fouls: &[(usize, &Foul<'_>)],
) -> Vec<Choice> {
    let tack_on = book.enforcement.keeps(Principle::TackOn)
        && foul.penalty.tack_on
        && foul.by == Part::Offense
        && ran.kick_crossed()
        && ran.kick().is_some_and(|kick| foul.during <= kick && ran.stages[kick].act == Act::Kick)
        && ran.ending.points.is_none()
        && ran.result.offense != ran.at_snap.offense;
    let places = [
        (true, Place::Standard),
        (tack_on, Place::TackOn),
        (foul.penalty.or_beyond.is_some(), Place::Beyond),
    ];
    let mut choices = Vec::new();
    for (_, place) in places.into_iter().filter(|(open, _)| *open) {
        let Some(Enforced { measured, after, walked }) = live(book, ran, (number, foul), place) else {
            continue;
        };
        let mut steps = instead(ran, Cause::Measured { foul: number, why: walked.why }, measured);
        let by = ran.at_snap.team(foul.by);
        let penalty = Cause::Penalty { foul: number, by, yards: walked.distance, half: walked.half };
        record(&mut steps, penalty, after, None);
        let fate = |other: usize| if other == number { Done::Accepted } else { Done::Declined };
        choices.push(Choice {
            kind: Kind::Accept(number, place),
            after,
            walked: vec![walked],
            done: fouls.iter().map(|(other, _)| (*other, fate(*other))).collect(),
            scored: ran.ending.points.is_some(),
            steps,
            again: !foul.penalty.loss_of_down,
        });
    }
    choices
}

/// Whether the receivers may take the ball where the kickers touched the kick.
fn touchable(book: &Book, ran: &Ran) -> bool {
    book.enforcement.keeps(Principle::TouchSpot) && ran.touch_spots().any(|spot| spot > Yards::ZERO)
}

/// The choices of the receivers when the kickers have touched the kick too early.
fn with_touches(book: &Book, ran: &Ran, mut choices: Vec<Choice>) -> Vec<Choice> {
    if !book.enforcement.keeps(Principle::TouchSpot) {
        return choices;
    }
    let Some(base) = choices.last().cloned() else { return choices };
    for spot in ran.touch_spots().filter(|spot| *spot > Yards::ZERO) {
        let special = (spot >= book.field.length).then_some(crate::game::outcome::Special::Touchback);
        let ending =
            Ending { spot, ball: Part::Defense, down: Down::First, special, points: None, ..ran.ending };
        let after = ending.result(book, &ran.at_snap);
        let steps = instead(ran, Cause::Touch, after);
        choices.push(Choice { kind: Kind::TouchSpot(spot), after, scored: false, steps, ..base.clone() });
    }
    choices
}

/// Which of two situations is better for a team, by the plain rule, where the game goes on after both.
pub fn compare(book: &Book, team: Team, one: &Situation, other: &Situation) -> Ordering {
    better(book, team, (one, Period::GoesOn), (other, Period::GoesOn))
}

/// Which of two situations is better for a team, by the plain rule, with what becomes of the period.
pub fn better(
    book: &Book,
    team: Team,
    (one, of_one): (&Situation, Period),
    (other, of_other): (&Situation, Period),
) -> Ordering {
    let lead = |situation: &Situation| {
        i64::from(*situation.score.of(team)) - i64::from(*situation.score.of(team.other()))
    };
    // A game that is over is won or lost, whatever the score of one that goes on.
    let over =
        |situation: &Situation, period| if period == Period::GameOver { lead(situation).signum() } else { 0 };
    let score = |situation: &Situation| {
        // A try to come is worth something to the team that has it.
        let coming = match (situation.next == Next::Try, situation.offense == team) {
            (true, true) => 1,
            (true, false) => -1,
            (false, _) => 0,
        };
        2 * lead(situation) + coming
    };
    let worth = |situation: &Situation, period| match period {
        Period::HalfOver | Period::GameOver => 0,
        // Within a half the game goes on after the untimed play.
        Period::Extended if book.game.halves_end.contains(&situation.period) => {
            worth::last_play(book, team, situation)
        }
        Period::GoesOn | Period::Extended | Period::Over => worth::worth(book, team, situation),
    };
    let forward = |situation: &Situation| match situation.offense == team {
        true => situation.spot,
        false => book.field.length - situation.spot,
    };
    let to_go = |situation: &Situation| match (situation.next, situation.offense == team) {
        (Next::Scrimmage { to_go, .. }, true) => Yards::ZERO - to_go,
        (Next::Scrimmage { to_go, .. }, false) => to_go,
        (Next::Try | Next::FreeKick, _) => Yards::ZERO,
    };
    over(one, of_one)
        .cmp(&over(other, of_other))
        .then_with(|| score(one).cmp(&score(other)))
        .then_with(|| worth(one, of_one).cmp(&worth(other, of_other)))
        .then_with(|| forward(one).cmp(&forward(other)))
        .then_with(|| to_go(one).cmp(&to_go(other)))
}
