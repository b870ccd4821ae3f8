//! What can happen on a play: its key, what is typed, and what it comes to.

use super::hands::{clock, spot};
use crate::keys::{Cap, Chord, letter, shift};
use reckoning::{Day, Next, Tried, YARD};
use testing::dice::Dice;

/// A play without a flag. A new one needs a line in each function below.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Occurred {
    Down,
    Out,
    Incomplete,
    Touchdown,
    Good,
    NoGood,
    Safety,
    Turnover,
    Returned,
    Kicked,
    Touchback,
    KickKept,
    TriedKick,
    TriedRun,
    TryFailed,
    TryReturned,
    Again,
}

use Occurred::{
    Again, Down, Good, Incomplete, KickKept, Kicked, NoGood, Out, Returned, Safety, Touchback, Touchdown,
    TriedKick, TriedRun, TryFailed, TryReturned, Turnover,
};

/// What can happen next, and how often of a hundred or so.
const SNAPS: &[(Occurred, usize)] = &[
    (Down, 44),
    (Out, 12),
    (Incomplete, 18),
    (Touchdown, 6),
    (Good, 5),
    (NoGood, 3),
    (Safety, 1),
    (Turnover, 7),
    (Returned, 2),
    (Again, 1),
];
const KICKS: &[(Occurred, usize)] =
    &[(Kicked, 30), (Touchback, 12), (KickKept, 4), (Returned, 2), (Touchdown, 1), (Again, 1)];
const TRIES: &[(Occurred, usize)] =
    &[(TriedKick, 14), (TriedRun, 5), (TryFailed, 5), (TryReturned, 1), (Again, 1)];

/// A play as it was entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Play {
    pub what: Occurred,
    /// In the frame of the snap, where the play has a place of its own.
    pub at: i64,
    pub clock_ms: i64,
}

pub(super) fn draw(dice: &mut Dice, day: &Day, clock_ms: i64) -> Play {
    let all = match day.next {
        Next::Down { .. } => SNAPS,
        Next::FreeKick => KICKS,
        Next::Try => TRIES,
    };
    let mut left = dice.below(all.iter().map(|(_, weight)| weight).sum());
    let mut what = all[0].0;
    for (other, weight) in all {
        if left < *weight {
            what = *other;
            break;
        }
        left -= weight;
    }
    let clock_ms = if day.next == Next::Try { day.clock_ms } else { clock_ms };
    Play { what, at: place(dice, day, what), clock_ms }
}

/// Where the play ends, in half yards; now and then past a goal line.
fn place(dice: &mut Dice, day: &Day, what: Occurred) -> i64 {
    let half = YARD / 2;
    let from = day.spot / half;
    let near = |dice: &mut Dice, low: i64, high: i64| from + low + dice.below((high - low) as usize) as i64;
    let end = day.league.length / half;
    let at = match what {
        Down | Out => near(dice, -8, 40),
        Turnover => near(dice, -20, 60).clamp(1, end - 1),
        Kicked | KickKept => near(dice, 20, 99).clamp(20, end - 1),
        _ => from,
    };
    half * at.clamp(-6, end + 6)
}

impl Play {
    pub(super) fn key(&self) -> Chord {
        match self.what {
            Down => letter('d'),
            Out => letter('o'),
            Incomplete => letter('i'),
            Touchdown | TriedRun => letter('t'),
            Good | TriedKick => letter('g'),
            NoGood => shift(Cap::Letter('g')),
            Safety => letter('s'),
            Turnover => letter('v'),
            Returned | TryReturned => shift(Cap::Letter('v')),
            Kicked => letter('k'),
            Touchback => letter('b'),
            KickKept => shift(Cap::Letter('k')),
            TryFailed => shift(Cap::Letter('g')),
            Again => letter('r'),
        }
    }

    /// Where and when, as it is typed.
    pub(super) fn text(&self) -> String {
        match self.what {
            Down | Out | Turnover | Kicked | KickKept => {
                format!("{} {}", spot(self.at), clock(self.clock_ms))
            }
            TriedKick | TriedRun | TryFailed | TryReturned => String::new(),
            _ => clock(self.clock_ms),
        }
    }

    /// What it comes to.
    pub(super) fn reckon(&self, day: &mut Day) {
        let Play { what, at, clock_ms } = *self;
        match what {
            Down => day.dead_at(at, clock_ms, false),
            Out => day.dead_at(at, clock_ms, true),
            Incomplete => day.incomplete(clock_ms),
            Touchdown => day.touchdown(true, clock_ms),
            Good => day.field_goal(true, clock_ms),
            NoGood => day.field_goal(false, clock_ms),
            Safety => day.safety(clock_ms),
            Turnover | Kicked => day.turnover(at, clock_ms),
            Returned => day.touchdown(false, clock_ms),
            Touchback => day.touchback(clock_ms),
            KickKept => day.kick_kept(at, clock_ms),
            TriedKick => day.tried(Tried::Kick),
            TriedRun => day.tried(Tried::Run),
            TryFailed => day.tried(Tried::Failed),
            TryReturned => day.tried(Tried::Returned),
            Again => day.again(clock_ms),
        }
    }
}
