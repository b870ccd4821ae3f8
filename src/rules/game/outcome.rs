//! From the end of a play to the next situation, fouls left aside.
//!
//! Who has the ball where, which down it is, who scored and what follows a score. A series of overtime has an end
//! of its own where the book says where series begin.

use super::situation::{Next, Situation};
use crate::book::Book;
use crate::book::effect::{Part, Points};
use field::exact::Yards;

/// The down after the play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Down {
    Counts,
    Repeats,
    /// A new series.
    First,
}

/// Where the ball goes by a rule of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Special {
    Touchback,
    /// A kick at goal failed.
    KickFails,
}

/// How a play ended, fouls left aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ending {
    pub clock_ms: i64,
    /// Where the ball is, in the offense frame of the snap.
    pub spot: Yards,
    pub ball: Part,
    /// The down, if the offense has it.
    pub down: Down,
    pub special: Option<Special>,
    pub points: Option<(Points, Part)>,
    /// The defense has had the ball in its hands.
    pub gained: bool,
}

impl Ending {
    /// The next situation after a play that ended like this.
    pub fn result(&self, book: &Book, at_snap: &Situation) -> Situation {
        let (field, game) = (&book.field, &book.game);
        let mut after = *at_snap;
        after.clock_ms = self.clock_ms;
        after.play_clock_s = None;
        if let Some((points, by)) = self.points {
            return self.series_of_overtime(book, at_snap, scored(book, at_snap, after, points, by));
        }
        if at_snap.next == Next::Try {
            if self.down == Down::Repeats {
                return after;
            }
            return self.series_of_overtime(book, at_snap, free_kick(book, after, Part::Offense));
        }
        after.spot = self.spot;
        let turned = |after: Situation| after.turned_over(field).first_down(field, game);
        let result = match (self.special, self.ball, self.down) {
            (Some(Special::Touchback), ball, _) => {
                let mut after = if ball == Part::Defense { after.turned_over(field) } else { after };
                after.spot = touchback(book, at_snap);
                after.first_down(field, game)
            }
            (Some(Special::KickFails), _, _) => {
                after.spot = at_snap.spot;
                let mut after = after.turned_over(field);
                after.spot = after.spot.max(game.touchback);
                after.first_down(field, game)
            }
            (None, Part::Defense, _) => turned(after),
            (None, Part::Offense, Down::First) => after.first_down(field, game),
            (None, Part::Offense, Down::Repeats) => same_down(book, at_snap, after),
            (None, Part::Offense, Down::Counts) => next_down(book, at_snap, after),
        };
        self.series_of_overtime(book, at_snap, result)
    }

    /// In overtime a series that ends hands the ball to the other team, at the same end of the field. It ends, too,
    /// when the defense has gained the ball and lost it again.
    fn series_of_overtime(&self, book: &Book, at_snap: &Situation, result: Situation) -> Situation {
        let Some(spot) = book.game.overtime_spot.filter(|_| book.game.is_overtime(at_snap.period)) else {
            return result;
        };
        let over = match result.next {
            Next::Try => false,
            Next::FreeKick => true,
            Next::Scrimmage { .. } => self.gained || result.offense != at_snap.offense,
        };
        if !over {
            return result;
        }
        let mut next = result;
        next.offense = at_snap.offense.other();
        next.attacks = at_snap.attacks;
        next.spot = book.field.length - spot;
        begins_series(book, next)
    }
}

/// A series of overtime from this spot; a try, where the series of the period are tries alone.
pub(super) fn begins_series(book: &Book, at: Situation) -> Situation {
    if book.game.tries_alone(at.period) {
        return Situation { next: Next::Try, spot: book.field.length - book.game.try_spot, ..at };
    }
    at.first_down(&book.field, &book.game)
}

/// Where a touchback puts the ball after this play, from the own goal line.
pub(crate) fn touchback(book: &Book, at_snap: &Situation) -> Yards {
    match at_snap.next {
        Next::FreeKick => book.game.touchback_free_kick.unwrap_or(book.game.touchback),
        Next::Scrimmage { .. } | Next::Try => book.game.touchback,
    }
}

fn scored(book: &Book, at_snap: &Situation, mut after: Situation, points: Points, by: Part) -> Situation {
    let table = &book.game.points;
    let on_try = at_snap.next == Next::Try;
    let worth = match (points, on_try, by) {
        (Points::Touchdown, false, _) => table.touchdown,
        (Points::Touchdown, true, Part::Offense) => table.try_run,
        (Points::Touchdown, true, Part::Defense) => table.try_return,
        (Points::FieldGoal, false, _) => table.field_goal,
        (Points::FieldGoal, true, _) => table.try_kick,
        (Points::Safety, false, _) => table.safety,
        (Points::Safety, true, _) => table.try_safety,
    };
    let score = after.score.of_mut(at_snap.team(by));
    *score = score.saturating_add(worth);
    match (points, on_try) {
        (Points::Touchdown, false) => {
            if by == Part::Defense {
                after = after.turned_over(&book.field);
            }
            after.next = Next::Try;
            after.spot = book.field.length - book.game.try_spot;
            after
        }
        (Points::Touchdown | Points::Safety, true) => free_kick(book, after, Part::Offense),
        (Points::FieldGoal, _) => free_kick(book, after, by),
        // The team that gave up the safety kicks.
        (Points::Safety, false) => {
            let mut after = free_kick(book, after, by.other());
            after.spot = book.game.free_kick_after_safety.unwrap_or(after.spot);
            after
        }
    }
}

fn free_kick(book: &Book, after: Situation, by: Part) -> Situation {
    let mut after = match by {
        Part::Offense => after,
        Part::Defense => after.turned_over(&book.field),
    };
    after.next = Next::FreeKick;
    after.spot = book.game.free_kick;
    after
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
