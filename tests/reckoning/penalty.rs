//! What a foul costs: half the distance where that is less, the down again or a new one (sections 3.11 and 4).

use super::{Day, Next};

/// Where a penalty is walked off from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// Where the ball was snapped.
    Previous,
    /// From this place, in the frame of the snap.
    At(i64),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Penalty {
    pub yards: i64,
    pub by_offense: bool,
    pub from: From,
    pub first_down: bool,
    pub loss_of_down: bool,
}

/// The place after the penalty, toward the fouler's goal line and never more than half the way to it.
pub fn walked(day: &Day, from: i64, by_offense: bool, length: i64) -> i64 {
    let to_goal = if by_offense { from } else { day.league.length - from };
    assert!(to_goal % 2 == 0, "half of {to_goal} is no whole number");
    let length = length.min(to_goal / 2);
    if by_offense { from - length } else { from + length }
}

impl Day {
    /// A live foul, accepted: `self` is the game at the snap, the play is gone and its time is not.
    pub fn penalized(&mut self, penalty: Penalty, clock_ms: i64) {
        let from = match penalty.from {
            From::Previous => self.spot,
            From::At(spot) => spot,
        };
        let line = self.line();
        self.enforced(from, penalty, false);
        if let (Next::Down { down, to_go }, true) = (self.next, penalty.loss_of_down && self.spot < line) {
            self.next = Next::Down { down: down + 1, to_go };
            if down == self.league.downs {
                self.turn();
                self.first_down();
            }
        }
        self.timed(clock_ms, true);
    }

    /// A foul with the ball dead, accepted; `fresh`: a series begins, and its line is set after the penalty.
    pub fn succeeding(&mut self, penalty: Penalty, fresh: bool) {
        self.enforced(self.spot, penalty, fresh);
    }

    fn enforced(&mut self, from: i64, penalty: Penalty, fresh: bool) {
        let line = self.line();
        self.spot = walked(self, from, penalty.by_offense, penalty.yards * super::YARD);
        let Next::Down { down, .. } = self.next else { return };
        if fresh || self.spot >= line || (penalty.first_down && !penalty.by_offense) {
            self.first_down();
        } else {
            self.next = Next::Down { down, to_go: line - self.spot };
        }
    }

    /// Interference by the defense: to the spot of the foul, at most 15 yards; in the end zone, to the 2 (4.9).
    pub fn interfered(&mut self, foul: i64, clock_ms: i64) {
        let most = self.spot + 15 * super::YARD;
        let in_end_zone = foul >= self.league.length;
        self.spot =
            if in_end_zone { self.league.length - 2 * super::YARD } else { foul.clamp(self.spot, most) };
        self.first_down();
        self.timed(clock_ms, true);
    }
}
