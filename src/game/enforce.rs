//! Penalties: from the course of a play and its fouls to the next situation, with every choice on the way.
//!
//! A play is a sequence of stages: who had the ball, or had lost, thrown or kicked it, from where to where. Reading
//! it ([`reading`]) gives the result of the play with no foul counted: the spot, the down, a score by whose impetus
//! put the ball behind a goal line. A foul belongs to one stage. What the ball did then gives the basic spot
//! ([`basic_spot`]); the penalty's own rule, or three-and-one, gives the place that it is measured from; and it is
//! walked off from there ([`walk`]), never past half the distance to the fouler's goal line, in exact fractions: half
//! of half the distance is not rounded. Behind his own goal line a foul is a safety, where the book keeps that
//! principle.
//!
//! Order. Fouls while the ball was live come first. Of one team: the other takes one of them, in one of the places
//! that the rules leave, or the play ([`options`]). Of both teams: they cancel each other, or the team that came to
//! the ball cleanly keeps it ([`offset`]). Then the dead-ball fouls, in the order in which they were, upon what the
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
pub mod walk;

use super::clock::{self, Period, Stops};
use super::course::{Cause, Foul, Stoppage};
use super::situation::{ClockStart, Next, Situation, Team};
use crate::book::Book;
use crate::book::effect::{DeadBy, Part};
use crate::book::enforcement::{ClockRunOff, Principle};
use crate::book::exact::Yards;
use crate::book::penalty::BallState;
use dead_ball::Finished;
use options::{Choice, Kind, compare};
use reading::Ran;
use std::collections::BTreeMap;
use walk::{Place, Walked};

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

/// What a team does with one penalty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pick {
    /// It takes it, in whatever place is the better one.
    Accept,
    /// It takes the play.
    Decline,
    /// It takes it there.
    At(Place),
}

/// Where a penalty after a touchdown is enforced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Carry {
    /// On the try.
    Try,
    /// On the free kick.
    FreeKick,
}

/// What is chosen where nothing is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Otherwise {
    /// The penalty.
    Accept,
    /// The better one by the plain rule.
    Better,
}

/// What the teams choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picks {
    /// About penalties, by name.
    pub named: BTreeMap<String, Pick>,
    /// About fouls of both teams, or about where the kickers touched the kick.
    pub play: Option<Kind>,
    /// Where a penalty after a touchdown goes.
    pub carry: Option<Carry>,
    /// Whether time is to run off.
    pub run_off: Option<bool>,
    /// A team takes a timeout at once.
    pub timeout: Option<Team>,
    /// What is chosen where nothing is named.
    pub otherwise: Otherwise,
}

/// Fouls, stoppages and choices around a play.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a, 'b> {
    /// The fouls, in the order in which they were.
    pub fouls: &'a [Foul<'b>],
    /// What else stopped the clock.
    pub stoppages: &'a [Stoppage],
    /// What the teams choose.
    pub picks: &'a Picks,
}

/// One legal choice with all that follows from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// What is chosen about the live fouls.
    pub kind: Kind,
    /// Where a penalty after a touchdown goes, if there is one.
    pub carry: Option<Carry>,
    /// The next situation.
    pub after: Situation,
    /// How the clock starts.
    pub clock_starts: Option<ClockStart>,
    /// What becomes of the period.
    pub period: Period,
    /// How the penalties were walked off, in order.
    pub walked: Vec<Walked>,
    /// What becomes of each foul, by its number.
    pub done: Vec<(usize, Done)>,
    /// Where the free kick after the try is kicked, if a penalty moves it.
    pub free_kick: Option<Yards>,
    enforced: bool,
    scored: bool,
}

/// Time that may run off, and what is done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunOff {
    /// The rule.
    pub rule: ClockRunOff,
    /// Who may have it.
    pub chooser: Team,
    /// It is taken.
    pub taken: bool,
    /// A timeout of the other team saves the time.
    pub saved: bool,
}

/// The ruling on a play and its fouls.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling {
    /// The choices, in the order of the rules.
    pub options: Vec<Chosen>,
    /// The one that is taken.
    pub taken: usize,
    /// Who chooses.
    pub chooser: Team,
    /// The next situation, the clock and timeouts included.
    pub after: Situation,
    /// How the clock starts.
    pub clock_starts: Option<ClockStart>,
    /// What becomes of the period.
    pub period: Period,
    /// Time that may run off.
    pub run_off: Option<RunOff>,
    /// A foul needs its spot, and has none.
    pub open: bool,
}

impl Picks {
    /// Nothing is named: the better choice by the plain rule everywhere.
    pub fn better() -> Picks {
        Picks {
            named: BTreeMap::new(),
            play: None,
            carry: None,
            run_off: None,
            timeout: None,
            otherwise: Otherwise::Better,
        }
    }
}

impl Ruling {
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
        for carry in dead_ball::places(choice, &dead) {
            let finished = dead_ball::finish(book, ran, choice, around, (&dead, carry));
            options.push(option(book, ran, choice, finished, carry));
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
        options,
    };
    clock_of(book, ran, around, &mut ruling);
    ruling
}

fn option(book: &Book, ran: &Ran, choice: &Choice, finished: Finished, carry: Option<Carry>) -> Chosen {
    let Finished { after, walked, done, free_kick } = finished;
    let enforced = done.iter().any(|(_, done)| *done == Done::Accepted);
    let again = match choice.kind {
        Kind::Accept(..) | Kind::Offset | Kind::KeepBall => choice.again,
        Kind::Repeat => true,
        Kind::Play | Kind::Decline | Kind::TouchSpot(_) | Kind::ByRule => ran.again,
    };
    let mut option = Chosen {
        kind: choice.kind,
        carry,
        after,
        clock_starts: None,
        period: period(book, ran, &after, again),
        walked,
        done,
        free_kick,
        enforced,
        scored: choice.scored,
    };
    option.clock_starts = starts(book, ran, &option);
    option.after.clock_running = option.clock_starts == Some(ClockStart::Ready);
    option
}

/// What becomes of the period, or of the game.
fn period(book: &Book, ran: &Ran, after: &Situation, again: bool) -> Period {
    // Between plays with no time left there is one more to come.
    let extended = ran.dead_by.is_none() && ran.at_snap.clock_ms == 0;
    let defense_scored = after.next == Next::Try && after.offense != ran.at_snap.offense;
    let wins = book.enforcement.keeps(Principle::DefenseWinsOvertime) && defense_scored;
    if wins && book.game.is_overtime(after.period) {
        return Period::GameOver;
    }
    clock::period(book, after, again || extended)
}

fn starts(book: &Book, ran: &Ran, option: &Chosen) -> Option<ClockStart> {
    if option.after.clock_ms == 0 && option.period != Period::GoesOn
        || book.game.is_overtime(option.after.period)
    {
        return None;
    }
    let kicked = ran.kick().is_some() && book.enforcement.keeps(Principle::SnapAfterKick);
    let other = option.after.offense != ran.at_snap.offense;
    // Out of bounds in the hands of the team that does not snap next is no reason to wait for the snap.
    let theirs = ran.ending.ball == Part::Defense && !other;
    let dead_by = ran.dead_by.map(|dead_by| match dead_by {
        DeadBy::OutOfBounds if theirs => DeadBy::Down,
        dead_by => dead_by,
    });
    let stops = Stops { dead_by, changed: kicked || other, scored: option.scored, enforced: option.enforced };
    clock::starts(book, &ran.at_snap, &option.after, stops)
}

/// The number of the option that is taken.
fn taken(book: &Book, around: Around<'_, '_>, options: &[Chosen], chooser: Team) -> usize {
    let picks = around.picks;
    let pick = |number: usize| picks.named.get(&around.fouls[number].penalty.name);
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
    let accepts = |option: &Chosen| matches!(option.kind, Kind::Accept(_, Place::Standard));
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
        let better = compare(book, chooser, &options[index].after, &options[best].after);
        if better == std::cmp::Ordering::Greater {
            best = index;
        }
    }
    best
}

/// What the fouls and the stoppages do to the clock, upon the option that is taken.
fn clock_of(book: &Book, ran: &Ran, around: Around<'_, '_>, ruling: &mut Ruling) {
    let option = ruling.option();
    let scrimmage = matches!(ruling.after.next, Next::Scrimmage { .. });
    let accepted =
        |number: &usize| option.done.iter().any(|(other, done)| other == number && *done == Done::Accepted);
    let enforced: Vec<&Foul<'_>> =
        (0..around.fouls.len()).filter(accepted).map(|number| &around.fouls[number]).collect();
    if leaders_foul(book, ran, &enforced, ruling) {
        ruling.clock_starts = Some(ClockStart::Snap);
    }
    if let Some(tactic) = enforced.iter().find_map(|foul| foul.tactic)
        && scrimmage
        && ruling.clock_starts.is_some()
    {
        ruling.clock_starts = Some(clock::against(tactic));
    }
    let due = clock::run_off(book, ran, &enforced, around.stoppages, &ruling.after);
    let paid = around.picks.timeout.filter(|team| *ruling.after.timeouts.of(*team) > 0);
    if let Some(team) = paid {
        *ruling.after.timeouts.of_mut(team) -= 1;
    }
    if let Some((rule, by)) = due {
        let by = ran.at_snap.team(by);
        let chooser = by.other();
        let saved = paid == Some(by);
        let lead = ruling.after.score.of(chooser) > ruling.after.score.of(by);
        let taken = !saved && around.picks.run_off.unwrap_or(lead);
        ruling.clock_starts = Some(if taken { ClockStart::Ready } else { ClockStart::Snap });
        if taken {
            ruling.after.clock_ms = (ruling.after.clock_ms - i64::from(rule.seconds) * 1000).max(0);
            ruling.period = period(book, ran, &ruling.after, ran.again);
            if ruling.after.clock_ms == 0 {
                nothing_later(book, ran, around, by, ruling);
            }
        }
        ruling.run_off = Some(RunOff { rule: rule.clone(), chooser, taken, saved });
    } else if paid.is_some() && ruling.clock_starts.is_some() {
        ruling.clock_starts = Some(ClockStart::Snap);
    }
    if ruling.period != Period::GoesOn {
        ruling.clock_starts = None;
    }
    play_clock(book, ran, around.stoppages, paid.is_some(), ruling);
    ruling.after.clock_running = ruling.clock_starts == Some(ClockStart::Ready);
}

/// Late in a half only a foul of the team that is ahead stopped the clock: it gains no time by it.
fn leaders_foul(book: &Book, ran: &Ran, enforced: &[&Foul<'_>], ruling: &Ruling) -> bool {
    let after = &ruling.after;
    let stops = &book.game.clock_stops;
    let is_first = |next: Next| matches!(next, Next::Scrimmage { down: 1, .. });
    let first = (is_first(after.next) || is_first(ran.result.next)) && stops.first_down;
    let ahead = |foul: &&Foul<'_>| {
        let team = ran.at_snap.team(foul.by);
        ran.at_snap.score.of(team) > ran.at_snap.score.of(team.other())
    };
    book.enforcement.keeps(Principle::SnapAfterLeadersFoul)
        && ruling.clock_starts == Some(ClockStart::Ready)
        && book.game.in_last(stops.last_s, after.period, after.clock_ms)
        && ran.dead_by.is_none_or(|dead_by| dead_by == DeadBy::Down)
        && !(first && ran.dead_by.is_some())
        && !enforced.is_empty()
        && enforced.iter().all(ahead)
}

/// The run-off has ended the period: a foul before the snap that came after the one that stopped the clock is not
/// enforced any more.
fn nothing_later(book: &Book, ran: &Ran, around: Around<'_, '_>, by: Team, ruling: &mut Ruling) {
    let stops = |foul: &Foul<'_>| foul.penalty.stops_clock && ran.at_snap.team(foul.by) == by;
    let Some(last) = around.fouls.iter().position(stops).filter(|_| ran.dead_by.is_none()) else { return };
    if last + 1 == around.fouls.len() {
        return;
    }
    let picks = Picks { run_off: Some(false), timeout: None, ..around.picks.clone() };
    let around = Around { fouls: &around.fouls[..=last], stoppages: &[], picks: &picks };
    let shorter = enforce(book, ran, around);
    ruling.after.spot = shorter.after.spot;
    ruling.after.next = shorter.after.next;
    for (number, done) in &mut ruling.options[ruling.taken].done {
        if *number > last {
            *done = Done::FellAway;
        }
    }
    ruling.options[ruling.taken].walked.retain(|walked| walked.foul <= last);
}

/// A stoppage for the defense gives the offense the whole play clock; everything else that stops the game, the short.
fn play_clock(book: &Book, ran: &Ran, stoppages: &[Stoppage], timeout: bool, ruling: &mut Ruling) {
    let Some(short) = book.game.play_clock_after_stop_s else { return };
    if stoppages.is_empty() && !timeout {
        return;
    }
    let defense = stoppages.iter().any(|stoppage| match stoppage.cause {
        Cause::Injury | Cause::Helmet => ruling.after.offense != ran.at_snap.team(stoppage.by),
    });
    ruling.after.play_clock_s = Some(if defense && !timeout { book.game.play_clock_s } else { short });
}
