//! Dead-ball fouls and fouls carried over from a score, upon what the live fouls led to.
//!
//! In the order in which they happened; never offset against live ones.

use super::basic_spot::Why;
use super::options::Choice;
use super::reading::Ran;
use super::{Around, Carry, Done, Pick};
use crate::book::Book;
use crate::book::effect::Part;
use crate::book::enforcement::Principle;
use crate::book::penalty::{BallState, OnScore, Penalty};
use crate::game::clock::Period;
use crate::game::course::Foul;
use crate::game::enforce::walk_off::{Walked, free_kick_spot, is_half, succeeding, walk, yards};
use crate::game::ledger::{Cause, Step, record};
use crate::game::situation::{Next, Situation};
use field::exact::Yards;

/// The result of all fouls, the clock left aside.
pub(super) struct Finished {
    pub after: Situation,
    pub walked: Vec<Walked>,
    pub done: Vec<(usize, Done)>,
    pub free_kick: Option<Yards>,
    pub next_series: Option<Yards>,
    pub later: Vec<usize>,
    pub steps: Vec<Step>,
}

/// Dead-ball fouls by number.
type Dead<'a, 'b> = &'a [(usize, &'a Foul<'b>)];

/// Where penalties after a touchdown may go; one empty place where there is no such choice. A try that is played again is
/// no touchdown; in overtime no kick follows one, but the other team's series.
pub(super) fn places(
    book: &Book,
    ran: &Ran,
    (choice, period): (&Choice, Period),
    dead: Dead<'_, '_>,
) -> Vec<Option<Carry>> {
    let carried = choice.done.iter().any(|(_, done)| *done == Done::Carried);
    let touchdown = choice.after.next == Next::Try && ran.at_snap.next != Next::Try && choice.scored;
    if !touchdown || dead.is_empty() && !carried || period == Period::GameOver {
        return vec![None];
    }
    let overtime = book.game.is_overtime(choice.after.period) && book.game.overtime_spot.is_some();
    match (overtime, ran.second_series) {
        (false, _) => vec![Some(Carry::Try), Some(Carry::FreeKick)],
        (true, false) => vec![Some(Carry::Try), Some(Carry::NextSeries)],
        (true, true) => vec![Some(Carry::Try)],
    }
}

/// What becomes of a foul after a period that is over and not extended: a personal one goes to the kick, or to the
/// series of overtime, with which the next half or overtime begins; `None` where the game goes on.
pub(super) fn after_period(
    book: &Book,
    (after, period): (&Situation, Period),
    penalty: &Penalty,
) -> Option<Done> {
    let game = &book.game;
    let personal = penalty.conduct || penalty.safety || penalty.on_score == OnScore::Carried;
    let last = after.period == game.periods;
    match period {
        Period::GoesOn | Period::Extended => None,
        Period::Over if !last => None,
        Period::HalfOver | Period::Over if personal => Some(Done::Carried),
        Period::HalfOver | Period::Over | Period::GameOver => Some(Done::FellAway),
    }
}

/// Enforces the carried and the dead-ball fouls of a play in order.
pub(super) fn finish(
    book: &Book,
    ran: &Ran,
    (choice, period): (&Choice, Period),
    around: Around<'_, '_>,
    (dead, carry): (Dead<'_, '_>, Option<Carry>),
) -> Finished {
    let mut finished = Finished {
        next_series: None,
        later: Vec::new(),
        after: choice.after,
        walked: choice.walked.clone(),
        done: choice.done.clone(),
        free_kick: None,
        steps: choice.steps.clone(),
    };
    let is_declined = |number: &usize| around.picks.about.get(number) == Some(&Pick::Decline);
    for (place, (number, _)) in choice.done.iter().enumerate().filter(|(_, (_, done))| *done == Done::Carried)
    {
        let foul = &around.fouls[*number];
        if is_declined(number) {
            finished.done[place].1 = Done::Declined;
        } else {
            one(book, ran, &mut finished, (*number, foul), (true, carry));
        }
    }
    let given = choice.done.iter().any(|(number, done)| {
        let foul = &around.fouls[*number];
        *done == Done::Accepted && gives_series(foul, foul.by)
    });
    let mut fresh = given || new_series(&ran.at_snap, &finished.after);
    let cancelled = cancelled(book, dead);
    for (number, foul) in dead {
        let done = if cancelled.contains(number) {
            Done::Offset
        } else if foul.penalty.ball == BallState::Live && !foul.penalty.safety && ran.dead_by.is_some() {
            Done::FellAway
        } else if is_declined(number) {
            Done::Declined
        } else if let Some(done) = after_period(book, (&finished.after, period), foul.penalty)
            && (done == Done::FellAway || finished.after.next != Next::FreeKick)
        {
            finished.later.extend((done == Done::Carried).then_some(*number));
            done
        } else {
            let before = finished.after;
            one(book, ran, &mut finished, (*number, foul), (fresh || foul.before_ready, carry));
            // The new series that a penalty gives begins after the last of them.
            let by = before.part(ran.at_snap.team(foul.by));
            fresh = fresh || gives_series(foul, by) || new_series(&before, &finished.after);
            Done::Accepted
        };
        finished.done.push((*number, done));
    }
    finished
}

/// Enforces one penalty from the succeeding spot.
fn one(
    book: &Book,
    ran: &Ran,
    finished: &mut Finished,
    (number, foul): (usize, &Foul<'_>),
    (fresh, carry): (bool, Option<Carry>),
) {
    let by = ran.at_snap.team(foul.by);
    let before = finished.after;
    if before.next == Next::FreeKick || matches!(carry, Some(Carry::FreeKick | Carry::NextSeries)) {
        finished.later.push(number);
    }
    match (carry, book.game.overtime_spot) {
        (Some(Carry::FreeKick), _) => {
            let from = finished.free_kick.unwrap_or(book.game.free_kick);
            let part = before.part(by);
            let to = free_kick_spot(book, walk(book, from, part, yards(foul.penalty, part)));
            finished.free_kick = Some(to);
            return;
        }
        (Some(Carry::NextSeries), Some(to_goal)) => {
            let from = finished.next_series.unwrap_or(book.field.length - to_goal);
            // The other team has that series.
            let part = before.part(by).other();
            finished.next_series = Some(walk(book, from, part, yards(foul.penalty, part)));
            return;
        }
        (Some(Carry::NextSeries | Carry::Try) | None, _) => {}
    }
    let after = succeeding(book, fresh, before, by, foul.penalty);
    // In the frame of the play, not of the team that has the ball now.
    let turned = before.offense != ran.at_snap.offense;
    let place = |spot: Yards| if turned { book.field.length - spot } else { spot };
    let (from, to) = (place(before.spot), place(after.spot));
    let distance = if to > from { to - from } else { from - to };
    let half = is_half(foul.penalty, before.part(by), distance);
    let why = Why::Succeeding;
    finished.walked.push(Walked { foul: number, basic: from, from, distance, to, why, half });
    record(&mut finished.steps, Cause::Penalty { foul: number, by, yards: distance, half }, after, None);
    finished.after = after;
}

/// Personal and unsportsmanlike fouls of both teams, one against one, where the book lets them cancel.
fn cancelled(book: &Book, dead: Dead<'_, '_>) -> Vec<usize> {
    if !book.enforcement.keeps(Principle::DeadConductCancels) {
        return Vec::new();
    }
    let conduct = |(_, foul): &&(usize, &Foul<'_>)| foul.penalty.conduct;
    let first = dead.iter().find(conduct).map(|(_, foul)| foul.by);
    let (one, other): (Vec<_>, Vec<_>) =
        dead.iter().filter(conduct).partition(|(_, foul)| Some(foul.by) == first);
    let pairs = one.len().min(other.len());
    one.iter().take(pairs).chain(other.iter().take(pairs)).map(|(number, _)| *number).collect()
}

/// Whether the penalty, by this part, gives a first down whatever the distance: also one whose line is the goal line again.
fn gives_series(foul: &Foul<'_>, by: Part) -> bool {
    by == Part::Defense && foul.penalty.first_down
}

/// Whether what came before began a new series, so that a dead-ball foul comes before its first down.
fn new_series(at_snap: &Situation, after: &Situation) -> bool {
    match (at_snap.next, after.next) {
        (Next::Scrimmage { down: before, to_go: before_to_go }, Next::Scrimmage { down: 1, to_go }) => {
            let same_line = at_snap.spot + before_to_go == after.spot + to_go;
            after.offense != at_snap.offense || before != 1 || !same_line
        }
        (Next::Try | Next::FreeKick, Next::Scrimmage { .. }) => true,
        (_, Next::Scrimmage { .. } | Next::Try | Next::FreeKick) => false,
    }
}
