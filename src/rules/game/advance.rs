//! Between two plays: the next situation after a play given in a few words, and the change of periods.
//!
//! The engine that enforces fouls reads the play without any: downs, distances, scores, tries, kicks and how
//! the clock starts are the book's. What the end of a period changes (ends, timeouts, who kicks) is here, too. Spots
//! are in the offense frame of the snap, as everywhere in a play.

pub mod ended;
pub mod fouls;

use super::account;
use super::clock::Period;
use super::course::{Act, Course, Ended, Stage};
use super::enforce::reading::Ran;
use super::enforce::{Around, Picks, enforce};
use super::outcome;
use super::overtime;
use super::situation::{ByTeam, Challenges, ClockStart, End, Next, Situation, Team};
use crate::book::Book;
use crate::book::effect::Part;
use crate::book::replay::Price;
use field::exact::Yards;

/// What a play did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Did {
    /// The offense was stopped here: a run, a caught pass, a sack, a kneel. Past a goal line it is a score.
    Down {
        at: Yards,
    },
    /// The offense went out of bounds here.
    OutOfBounds {
        at: Yards,
    },
    Incomplete,
    Touchdown {
        /// By the team that snapped or kicked off, or by the other one.
        by: Part,
    },
    /// A kick at goal.
    FieldGoal {
        /// It was good; else it was dead past the goal line.
        good: bool,
    },
    /// The offense was stopped behind its own goal line.
    Safety,
    /// A kick, and the other team was stopped with it here.
    Kicked {
        to: Yards,
    },
    /// A kick that was dead in or past the end zone.
    Touchback,
    /// The other team took the ball and was stopped here.
    Turnover {
        at: Yards,
    },
    /// The other team took the ball and lost it, and the team that snapped or kicked off was stopped with it here.
    Regained {
        at: Yards,
    },
    /// The kickers got their free kick back here.
    KickKept {
        at: Yards,
    },
    Tried(Tried),
    /// The down is to be played again: a whistle by mistake.
    Again,
    /// No play was run: a foul came before the snap or kick. It comes with that foul only.
    Nothing,
}

/// What became of a try.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tried {
    Kick,
    /// It was run or passed over the goal line.
    Run,
    Failed,
    /// The other team took it to the far goal line.
    Returned,
}

/// A play in a few words, fouls left aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Advance {
    pub did: Did,
    /// What the game clock showed when the ball was dead, in milliseconds.
    pub clock_ms: i64,
}

/// What a play led to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Advanced {
    pub after: Situation,
    /// `None` if the game clock does not start.
    pub clock_starts: Option<ClockStart>,
    pub period: Period,
}

/// Who begins a half, or a possession of overtime, and toward which end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Start {
    /// Who kicks off, or has the ball where overtime begins with a snap.
    pub team: Team,
    pub attacks: End,
}

/// Why a play or a turn does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The play cannot follow what is next, which it names.
    #[error("{0} is next, and this play cannot end it")]
    Next(&'static str),
    #[error("a try of this period is run or passed, and cannot be kicked")]
    NoKick,
    #[error("spot {spot} is not on the field: end zones end at {low} and {high}")]
    Spot {
        spot: Yards,
        /// The back of the own end zone.
        low: Yards,
        /// The back of the other one.
        high: Yards,
    },
    /// The clock went up, or below zero.
    #[error("the clock cannot go from {} s to {} s in a play", *.from_ms as f64 / 1000.0, *.to_ms as f64 / 1000.0)]
    Clock { from_ms: i64, to_ms: i64 },
    /// Milliseconds left in the period.
    #[error("the period is not over: the clock shows {} s", *.0 as f64 / 1000.0)]
    TimeLeft(i64),
    #[error("the try is still to be played before the period ends")]
    TryLeft,
    #[error("the game is over: the score is not level")]
    GameOver,
    /// The next period needs a [`Start`].
    #[error("name the team that begins")]
    NobodyBegins,
    #[error("no timeout is left")]
    NoTimeout,
    /// Without a play there has to be a foul.
    #[error("no play was run and no foul was called")]
    Nothing,
}

/// The situation before the opening kick.
pub fn opening(book: &Book, start: Start) -> Situation {
    let game = &book.game;
    Situation {
        period: 1,
        clock_ms: i64::from(game.period_s) * 1000,
        clock_running: false,
        play_clock_s: None,
        next: Next::FreeKick,
        offense: start.team,
        attacks: start.attacks,
        spot: game.free_kick,
        score: ByTeam { home: 0, away: 0 },
        timeouts: ByTeam { home: game.timeouts, away: game.timeouts },
        challenges: ByTeam { home: Challenges::default(), away: Challenges::default() },
    }
}

impl Advance {
    /// Checks that the clock can have come to what it showed.
    fn fits_clock(&self, book: &Book, at_snap: &Situation) -> Result<(), Error> {
        let timed = at_snap.next != Next::Try && !book.game.is_overtime(at_snap.period);
        let clock = if timed { 0..=at_snap.clock_ms } else { at_snap.clock_ms..=at_snap.clock_ms };
        if clock.contains(&self.clock_ms) {
            return Ok(());
        }
        Err(Error::Clock { from_ms: at_snap.clock_ms, to_ms: self.clock_ms })
    }
}

/// The next situation after a play without fouls.
///
/// # Errors
/// [`Error`] for a play that cannot follow this situation.
pub fn advance(book: &Book, at_snap: &Situation, play: Advance) -> Result<Advanced, Error> {
    if play.did == Did::Nothing {
        return Err(Error::Nothing);
    }
    play.fits_clock(book, at_snap)?;
    let ran = match course(book, at_snap, play.did)? {
        Some(course) => Ran::read(book, *at_snap, &course, play.clock_ms),
        None => Ran::nothing(*at_snap, play.clock_ms),
    };
    let ruling = enforce(book, &ran, Around { fouls: &[], stoppages: &[], picks: &Picks::better() });
    Ok(Advanced { after: ruling.after, clock_starts: ruling.clock_starts, period: ruling.period })
}

/// The likely next situation if the running play ended here, with the clock as it is.
///
/// # Errors
/// [`Error`] on a try, or for a spot off the field.
pub fn with_ball_at(book: &Book, at_snap: &Situation, at: Yards) -> Result<Situation, Error> {
    let did = match at_snap.next {
        Next::FreeKick => Did::Kicked { to: at },
        Next::Scrimmage { .. } | Next::Try => Did::Down { at },
    };
    advance(book, at_snap, Advance { did, clock_ms: at_snap.clock_ms }).map(|advanced| advanced.after)
}

/// The course of the play; `None` where nothing that counts was played.
fn course(book: &Book, at_snap: &Situation, did: Did) -> Result<Option<Course>, Error> {
    use Part::{Defense, Offense};
    let (spot, length) = (at_snap.spot, book.field.length);
    fits(at_snap.next, did)?;
    if did == Did::Tried(Tried::Kick) && !book.game.kicks_try(at_snap.period) {
        return Err(Error::NoKick);
    }
    let kick = |to| Stage { touched: to < length, ..Stage::plain(Act::Kick, Offense, spot, to) };
    let run = |by, from, to| Stage::plain(Act::Run, by, from, to);
    let lost = |to| Stage::plain(Act::Fumble, Offense, spot, to);
    let (stages, ended) = match did {
        Did::Down { at } => (vec![run(Offense, spot, on(book, at)?)], Ended::Down),
        Did::OutOfBounds { at } => (vec![run(Offense, spot, on(book, at)?)], Ended::OutOfBounds),
        Did::Incomplete | Did::Tried(Tried::Failed) => {
            (vec![Stage::plain(Act::Pass, Offense, spot, spot)], Ended::Incomplete)
        }
        Did::Touchdown { by: Offense } if at_snap.next == Next::FreeKick => {
            (vec![Stage { touched: true, ..kick(length) }, run(Offense, length, length)], Ended::Down)
        }
        Did::Touchdown { by: Offense } | Did::Tried(Tried::Run) => {
            (vec![run(Offense, spot, length)], Ended::Down)
        }
        Did::Touchdown { by: Defense } if at_snap.next == Next::FreeKick => {
            (vec![kick(length.half()), run(Defense, length.half(), Yards::ZERO)], Ended::Down)
        }
        Did::Touchdown { by: Defense } | Did::Tried(Tried::Returned) => {
            (vec![lost(spot), run(Defense, spot, Yards::ZERO)], Ended::Down)
        }
        Did::FieldGoal { good: true } | Did::Tried(Tried::Kick) => {
            (vec![Stage::plain(Act::GoalKick, Offense, spot, length)], Ended::Good)
        }
        Did::FieldGoal { good: false } => {
            (vec![Stage::plain(Act::GoalKick, Offense, spot, length)], Ended::Dead)
        }
        Did::Safety => (vec![run(Offense, spot, Yards::ZERO)], Ended::Down),
        Did::Kicked { to } => (vec![kick(on(book, to)?), run(Defense, to, to)], Ended::Down),
        Did::Touchback => (vec![kick(length)], Ended::Dead),
        Did::Turnover { at } => (vec![lost(on(book, at)?), run(Defense, at, at)], Ended::Down),
        Did::Regained { at } => (regained(book, at_snap, on(book, at)?), Ended::Down),
        Did::KickKept { at } => {
            (vec![Stage { touched: true, ..kick(on(book, at)?) }, run(Offense, at, at)], Ended::Down)
        }
        Did::Again | Did::Nothing => return Ok(None),
    };
    Ok(Some(Course { stages, ended }))
}

/// A ball that changed hands twice. Where it did is not told: at the spot, for what is measured from there; behind a
/// goal line in the field before it, so that whoever lost it last put it there.
fn regained(book: &Book, at_snap: &Situation, at: Yards) -> Vec<Stage> {
    use Part::{Defense, Offense};
    let (spot, length) = (at_snap.spot, book.field.length);
    let on_field = at > Yards::ZERO && at < length;
    let there = if on_field { at } else { length.half() };
    let first = if at_snap.next == Next::FreeKick { Act::Kick } else { Act::Fumble };
    vec![
        Stage { touched: first == Act::Kick, ..Stage::plain(first, Offense, spot, there) },
        Stage::plain(Act::Run, Defense, there, there),
        Stage::plain(Act::Fumble, Defense, there, at),
        Stage::plain(Act::Run, Offense, at, at),
    ]
}

/// Checks that this play can follow what is next.
fn fits(next: Next, did: Did) -> Result<(), Error> {
    let (scrimmage, a_try, free_kick) = match did {
        Did::Down { .. }
        | Did::OutOfBounds { .. }
        | Did::Incomplete
        | Did::FieldGoal { .. }
        | Did::Safety
        | Did::Turnover { .. } => (true, false, false),
        Did::Touchdown { .. } | Did::Kicked { .. } | Did::Touchback | Did::Regained { .. } => {
            (true, false, true)
        }
        Did::KickKept { .. } => (false, false, true),
        Did::Tried(_) => (false, true, false),
        Did::Again | Did::Nothing => (true, true, true),
    };
    match next {
        Next::Scrimmage { .. } if !scrimmage => Err(Error::Next("a snap from scrimmage")),
        Next::Try if !a_try => Err(Error::Next("a try")),
        Next::FreeKick if !free_kick => Err(Error::Next("a free kick")),
        Next::Scrimmage { .. } | Next::Try | Next::FreeKick => Ok(()),
    }
}

/// Checks that a spot lies between the backs of the end zones.
fn on(book: &Book, spot: Yards) -> Result<Yards, Error> {
    let (low, high) = (Yards::ZERO - book.field.end_zone, book.field.length + book.field.end_zone);
    if spot < low || spot > high {
        return Err(Error::Spot { spot, low, high });
    }
    Ok(spot)
}

/// The situation after a team has taken a timeout: it has one less, and the clock waits for the snap.
///
/// # Errors
/// [`Error`] if the team has none.
pub fn timeout(situation: &Situation, team: Team) -> Result<Situation, Error> {
    if *situation.timeouts.of(team) == 0 {
        return Err(Error::NoTimeout);
    }
    let paid = account::pay(*situation, team, Price { timeout: true, challenge: false });
    Ok(Situation { clock_running: false, play_clock_s: None, ..paid })
}

/// Whether the next period needs a [`Start`].
pub fn needs_start(book: &Book, situation: &Situation) -> bool {
    let game = &book.game;
    game.halves_end.contains(&situation.period) || situation.period >= game.periods
}

/// The situation with which the next period begins. Within a half the teams change ends and play goes on; a half
/// begins with a free kick and new timeouts; overtime as the book says.
///
/// # Errors
/// [`Error`] if the period is not over, the game is, or nobody is named to begin.
pub fn next_period(book: &Book, situation: &Situation, start: Option<Start>) -> Result<Situation, Error> {
    let game = &book.game;
    let overtime = game.is_overtime(situation.period);
    if !overtime && situation.clock_ms > 0 {
        return Err(Error::TimeLeft(situation.clock_ms));
    }
    let decided = situation.period >= game.periods && situation.score.home != situation.score.away;
    match situation.next {
        // Where the series are tries, the one that follows the last of them is the next period's.
        Next::Try if game.tries_alone(situation.period) && !decided => {}
        Next::Try if !decided || overtime::try_matters(book, situation) => return Err(Error::TryLeft),
        _ if decided => return Err(Error::GameOver),
        Next::Try | Next::Scrimmage { .. } | Next::FreeKick => {}
    }
    let period = situation.period.saturating_add(1);
    let clock_ms = i64::from(game.period_s) * 1000;
    let next = Situation { period, clock_ms, clock_running: false, play_clock_s: None, ..*situation };
    if !needs_start(book, situation) {
        return Ok(Situation { attacks: situation.attacks.other(), ..next });
    }
    let Start { team, attacks } = start.ok_or(Error::NobodyBegins)?;
    let begun = Situation { offense: team, attacks, ..next };
    if !game.is_overtime(period) {
        let timeouts = ByTeam { home: game.timeouts, away: game.timeouts };
        return Ok(Situation { next: Next::FreeKick, spot: game.free_kick, timeouts, ..begun });
    }
    let timeouts = match game.overtime_timeouts {
        Some(each) => ByTeam { home: each, away: each },
        None => situation.timeouts,
    };
    let begun = Situation { timeouts, ..begun };
    Ok(match game.overtime_spot {
        Some(to_goal) => {
            outcome::begins_series(book, Situation { spot: book.field.length - to_goal, ..begun })
        }
        None => Situation { next: Next::FreeKick, spot: game.free_kick, ..begun },
    })
}
