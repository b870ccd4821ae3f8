//! Penalties: from the course of a play and its fouls to the next situation, with every choice on the way.
//!
//! A play is a sequence of stages: who had the ball, or had lost, thrown or kicked it, from where to where. Reading
//! it ([`reading`]) gives the result of the play with no foul counted: the spot, the down, a score by whose impetus
//! put the ball behind a goal line. A foul belongs to one stage. What the ball did then gives the basic spot
//! ([`basic_spot`]); the penalty's own rule, or three-and-one, gives the place that it is measured from; and it is
//! walked off from there ([`walk`]), never past half the distance to the fouler's goal line, in exact fractions: half
//! of half the distance is not rounded. Behind their own goal line a foul is a safety, where the book keeps that
//! principle.
//!
//! Order. Fouls while the ball was live come first. Of one team: the other takes one of them, in one of the places
//! that the rules leave, or the play ([`options`]). Of both teams: they cancel each other, or the team that came to
//! the ball cleanly keeps it ([`offset`]). Then the dead-ball fouls, in the order in which they happened, upon what the
//! live ones led to; a foul carried over from a score goes with them, to the try or to the free kick. Then the clock.
//!
//! Which choice is taken: what the caller names; else the better one for the team that chooses, by the plain rule of
//! [`options::compare`]. A penalty that protects a player is never waived by that default while the ball is dead.
//! What differs between leagues (which spots, which principles, how far, what a down costs) is in the book.

pub mod basic_spot;
mod dead_ball;
mod offset;
pub mod options;
pub mod reading;
pub mod review;
pub(super) mod timing;
pub mod walk_off;
pub mod worth;

use super::clock::Period;
use super::course::{Foul, Stoppage};
use super::ledger::{Cause, Ledger, Step, record};
use super::situation::{ClockStart, Situation, Team};
use crate::book::Book;
use crate::book::effect::Part;
use crate::book::enforcement::ClockRunOff;
use crate::book::penalty::{BallState, Penalty};
use crate::game::enforce::walk_off::{Place, Walked};
use dead_ball::Finished;
use field::exact::Yards;
use options::{Choice, Kind, better};
use reading::Ran;
use std::collections::BTreeMap;
use timing::Played;

/// What became of one foul.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Enforced {
    /// The penalty's name in the book.
    pub name: String,
    pub by: Team,
    pub done: Done,
}

/// What became of a foul.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Done {
    Accepted,
    Declined,
    /// Fouls by both teams cancelled each other.
    Offset,
    /// The score counts, and the penalty is dropped.
    ScoreCounts,
    /// The score counts, and the penalty is carried to the try or the free kick; or the half is over, and it is carried
    /// to what comes next.
    Carried,
    /// It applies only to a live ball and the ball was dead, or the game, or the half, was over before it.
    FellAway,
}

/// What a team does with one penalty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pick {
    /// It takes it, in whatever place is the better one.
    Accept,
    Decline,
    At(Place),
}

/// Where a penalty after a touchdown is enforced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Carry {
    Try,
    FreeKick,
    /// In overtime, where no kick follows the try.
    NextSeries,
}

/// What is chosen where nothing is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Otherwise {
    Accept,
    /// The better one by the plain rule.
    Better,
}

/// What the teams choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picks {
    /// About penalties, by the number of the foul.
    pub about: BTreeMap<usize, Pick>,
    /// About fouls of both teams, or about where the kickers touched the kick.
    pub play: Option<Kind>,
    pub carry: Option<Carry>,
    /// Whether time is to run off.
    pub run_off: Option<bool>,
    /// A team takes a timeout at once.
    pub timeout: Option<Team>,
    pub otherwise: Otherwise,
}

/// Fouls, stoppages and choices around a play.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a, 'b> {
    /// In the order in which they happened.
    pub fouls: &'a [Foul<'b>],
    pub stoppages: &'a [Stoppage],
    pub picks: &'a Picks,
}

/// One legal choice with all that follows from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// What is chosen about the live fouls.
    pub kind: Kind,
    pub carry: Option<Carry>,
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    pub period: Period,
    pub walked: Vec<Walked>,
    /// What becomes of each foul, by its number.
    pub done: Vec<(usize, Done)>,
    /// Where the free kick after the try is kicked, if a penalty moves it.
    pub free_kick: Option<Yards>,
    /// Where the other team's next series of overtime begins, if a penalty moves it.
    pub next_series: Option<Yards>,
    /// Fouls, by number, whose penalty is for a kick or a series that begins after the try or the half.
    pub later: Vec<usize>,
    /// How the situation came about, a run-off and a timeout left aside.
    pub steps: Vec<Step>,
    enforced: bool,
    scored: bool,
}

/// Time that may run off, and what is done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunOff {
    pub rule: ClockRunOff,
    /// The team that may have it.
    pub chooser: Team,
    pub taken: bool,
    /// A timeout of the other team saves the time.
    pub saved: bool,
}

/// The ruling on a play and its fouls.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling {
    /// The choices, in the order of the rules.
    pub options: Vec<Chosen>,
    /// The number of the option that is taken.
    pub taken: usize,
    pub chooser: Team,
    /// The next situation, the clock and timeouts included.
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    pub period: Period,
    pub run_off: Option<RunOff>,
    /// Fouls, by number, that need their spot and have none.
    pub open: Vec<usize>,
    pub steps: Vec<Step>,
}

impl Picks {
    /// Nothing is named: the better choice by the plain rule everywhere.
    pub fn better() -> Picks {
        Picks {
            about: BTreeMap::new(),
            play: None,
            carry: None,
            run_off: None,
            timeout: None,
            otherwise: Otherwise::Better,
        }
    }
}

impl Ruling {
    /// Writes down what has just changed the next situation or the clock.
    fn note(&mut self, cause: Cause) {
        record(&mut self.steps, cause, self.after, self.clock_starts);
    }

    /// How every number of the next situation came about.
    pub fn ledger(&self, ran: &Ran, fouls: &[Foul<'_>]) -> Ledger {
        Ledger {
            at_snap: ran.at_snap,
            steps: self.steps.clone(),
            fouls: fouls.iter().map(|foul| foul.penalty.name.clone()).collect(),
        }
    }

    /// The option that is taken.
    pub fn option(&self) -> &Chosen {
        // INVARIANT: `taken` is the number of an option; there is always one.
        &self.options[self.taken]
    }
}

/// The next situation after a play with its fouls.
pub fn enforce(book: &Book, ran: &Ran, around: Around<'_, '_>) -> Ruling {
    let numbered = || around.fouls.iter().enumerate();
    let is_dead =
        |foul: &Foul<'_>| foul.dead || foul.penalty.ball == BallState::Dead || ran.dead_by.is_none();
    let live: Vec<_> = numbered().filter(|(_, foul)| !is_dead(foul)).collect();
    let dead: Vec<_> = numbered().filter(|(_, foul)| is_dead(foul)).collect();
    let (chooser, choices, open) = options::choices(book, ran, &live);
    let mut options = Vec::with_capacity(choices.len());
    for choice in &choices {
        let period = timing::period(book, ran, &choice.after, again(ran, choice));
        let choice = (choice, period);
        for carry in dead_ball::places(book, ran, choice, &dead) {
            let finished = dead_ball::finish(book, ran, choice, around, (&dead, carry));
            options.push(option(book, ran, choice.0, finished, carry));
        }
    }
    let chooser = ran.at_snap.team(chooser);
    let taken = taken(book, around, &options, chooser);
    let mut ruling = Ruling {
        taken,
        chooser,
        after: options[taken].after,
        clock_starts: options[taken].clock_starts,
        period: options[taken].period,
        run_off: None,
        open,
        steps: options[taken].steps.clone(),
        options,
    };
    timing::clock_of(book, ran, around, &mut ruling);
    ruling
}

/// Whether what is chosen adds another play to a period that is over.
fn again(ran: &Ran, choice: &Choice) -> bool {
    match choice.kind {
        Kind::Accept(..) | Kind::Offset | Kind::KeepBall => choice.again,
        Kind::Repeat => true,
        Kind::Play | Kind::Decline | Kind::TouchSpot(_) | Kind::ByRule => ran.again,
    }
}

/// A kick, or a series with which overtime begins, with penalties upon it that were carried there from before.
pub fn carried<'p>(
    book: &Book,
    begun: Situation,
    penalties: impl Iterator<Item = (Team, &'p Penalty)>,
) -> Situation {
    penalties.fold(begun, |at, (by, penalty)| walk_off::succeeding(book, true, at, by, penalty))
}

fn option(book: &Book, ran: &Ran, choice: &Choice, finished: Finished, carry: Option<Carry>) -> Chosen {
    let Finished { after, walked, done, free_kick, next_series, later, mut steps } = finished;
    let enforced = done.iter().any(|(_, done)| *done == Done::Accepted);
    let again = again(ran, choice);
    let mut option = Chosen {
        kind: choice.kind,
        carry,
        after,
        clock_starts: None,
        period: timing::period(book, ran, &after, again),
        walked,
        done,
        free_kick,
        next_series,
        later,
        steps: Vec::new(),
        enforced,
        scored: choice.scored,
    };
    let played = Played {
        dead_by: ran.dead_by,
        theirs: ran.ending.ball == Part::Defense,
        kicked: ran.kick().is_some(),
        scored: option.scored,
        enforced: option.enforced,
        replayed: option.kind == Kind::Offset,
    };
    let starts = timing::starts(book, &ran.at_snap, &option.after, played);
    option.clock_starts = starts.how;
    option.after.clock_running = starts.how == Some(ClockStart::Ready);
    record(&mut steps, Cause::Clock(starts.why), option.after, starts.how);
    option.steps = steps;
    option
}

/// The number of the option that is taken.
fn taken(book: &Book, around: Around<'_, '_>, options: &[Chosen], chooser: Team) -> usize {
    let picks = around.picks;
    let pick = |number: usize| picks.about.get(&number);
    let fits = |option: &Chosen| {
        let carried = picks.carry.is_none_or(|carry| option.carry.is_none_or(|own| own == carry));
        let play = picks.play.is_none_or(|kind| kind == option.kind);
        let named = (0..around.fouls.len()).all(|number| match (pick(number), option.kind) {
            (None, _) | (Some(_), Kind::Play | Kind::ByRule | Kind::Offset | Kind::KeepBall) => true,
            (Some(Pick::Decline), kind) => !matches!(kind, Kind::Accept(of, _) if of == number),
            (Some(Pick::Accept), Kind::Accept(of, _)) => of == number || pick(of).is_some(),
            (Some(Pick::At(place)), Kind::Accept(of, at)) => of == number && at == *place,
            // A foul that is not among the live ones leaves the choice about them open.
            (Some(Pick::Accept | Pick::At(_)), Kind::Decline | Kind::TouchSpot(_) | Kind::Repeat) => {
                !options.iter().any(|other| matches!(other.kind, Kind::Accept(of, _) if of == number))
            }
        });
        carried && play && named
    };
    let accepts = |option: &Chosen| matches!(option.kind, Kind::Accept(..));
    let mut open: Vec<usize> = (0..options.len()).filter(|index| fits(&options[*index])).collect();
    if open.is_empty() {
        open = (0..options.len()).collect();
    }
    if picks.otherwise == Otherwise::Accept && open.iter().any(|index| accepts(&options[*index])) {
        open.retain(|index| accepts(&options[*index]));
    }
    // The first of equals: what stands first in the rules.
    let mut best = open[0];
    for index in open.into_iter().skip(1) {
        let with_period = |index: usize| (&options[index].after, options[index].period);
        if better(book, chooser, with_period(index), with_period(best)) == std::cmp::Ordering::Greater {
            best = index;
        }
    }
    best
}
