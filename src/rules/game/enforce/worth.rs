//! What a situation is worth to a team, in points: the default choice prefers what is worth more.
//!
//! Backward induction over the book's own downs. A series is played against its line to gain: each down gains what
//! [`GAINS`] says, and behind it the next down, a new series, a score or the other team's ball is worth what the same
//! reckoning says. On any down the team may instead kick at goal, punt (where the book has a rule for kicks from
//! scrimmage) or leave the ball where it is, whichever is worth most. What the other team's ball is worth follows from the
//! same reckoning, repeated [`ROUNDS`] times.
//! Clock, wind and players are left out; the figures are *common practice, no source*.

use crate::book::Book;
use crate::book::enforcement::Principle;
use crate::game::situation::{Next, Situation, Team};
use field::exact::Yards;
use std::sync::{Arc, Mutex, PoisonError};

/// What a down gains, in yards, and how often in a thousand: 4.7 yards in the mean, an incomplete pass is 0.
pub const GAINS: [(i64, i64); 20] = [
    (-5, 40),
    (-3, 30),
    (-1, 50),
    (0, 240),
    (1, 45),
    (2, 60),
    (3, 80),
    (4, 75),
    (5, 70),
    (6, 55),
    (7, 45),
    (8, 35),
    (9, 20),
    (10, 25),
    (12, 30),
    (15, 40),
    (20, 30),
    (30, 20),
    (40, 6),
    (60, 4),
];

/// How often the worth of the possessions to come is reckoned anew, each time halfway from the last: by then it moves by
/// less than a twentieth of a point.
pub const ROUNDS: usize = 8;

/// How far a punt carries, the return taken off.
pub const PUNT: usize = 38;

/// One point.
pub const POINT: i64 = 1_000_000;

/// The longest field that is reckoned yard by yard.
const LONGEST: i64 = 200;

/// What the reckoning takes from a book: whole yards, from the goal line of the team that has the ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Figures {
    pub length: usize,
    pub downs: usize,
    pub to_gain: usize,
    /// The points of a touchdown and of the kick after it.
    pub touchdown: i64,
    pub field_goal: i64,
    pub safety: i64,
    /// Where the receivers have the ball after a free kick.
    pub after_kick: usize,
    pub touchback: usize,
    pub punts: bool,
}

/// What every down, distance and spot is worth to the team that has the ball, in millionths of a point.
#[derive(Debug, PartialEq, Eq)]
pub struct Table {
    figures: Figures,
    /// A new series, by spot.
    first: Vec<i64>,
    /// By down, line to gain and spot.
    series: Vec<i64>,
}

impl Figures {
    /// The figures of a book, a fraction of a yard rounded up.
    pub fn of(book: &Book) -> Figures {
        let (game, points) = (&book.game, &book.game.points);
        let length = up(book.field.length).clamp(1, LONGEST);
        let yards = |yards: Yards| up(yards).clamp(0, length - 1) as usize;
        let punts = [Principle::PostScrimmageKick, Principle::SnapAfterKick]
            .iter()
            .any(|kick| book.enforcement.keeps(*kick));
        Figures {
            length: length as usize,
            downs: usize::from(game.downs.max(1)),
            to_gain: yards(game.to_gain).max(1),
            touchdown: i64::from(points.touchdown) + i64::from(points.try_kick),
            field_goal: i64::from(points.field_goal),
            safety: i64::from(points.safety),
            after_kick: yards(game.touchback_free_kick.unwrap_or(game.touchback)),
            touchback: yards(game.touchback),
            punts,
        }
    }
}

impl Table {
    /// Reckons every down, distance and spot.
    pub fn reckon(figures: Figures) -> Table {
        let cells = figures.downs * (figures.length + 1) * figures.length;
        let mut table = Table { figures, first: vec![0; figures.length], series: vec![0; cells] };
        let mut to_come = vec![0; figures.length];
        for _ in 1..ROUNDS {
            table.possession(&to_come);
            to_come
                .iter_mut()
                .zip(&table.first)
                .for_each(|(known, new)| *known = (*known + new).div_euclid(2));
        }
        table.possession(&to_come);
        table
    }

    /// This down (from 1) and distance at this spot, in whole yards; what lies off the field counts as its edge.
    pub fn down(&self, down: usize, to_go: usize, spot: usize) -> i64 {
        let Figures { downs, length, .. } = self.figures;
        let spot = spot.min(length - 1);
        let line = (spot + to_go.max(1)).min(length);
        self.series[self.cell(down.clamp(1, downs) - 1, line, spot)]
    }

    fn cell(&self, down: usize, line: usize, spot: usize) -> usize {
        (down * (self.figures.length + 1) + line) * self.figures.length + spot
    }

    /// One possession, from the line nearest to the goal line down, with the worth of those to come.
    fn possession(&mut self, to_come: &[i64]) {
        let Figures { length, downs, to_gain, .. } = self.figures;
        for line in (1..=length).rev() {
            for down in (0..downs).rev() {
                for spot in 0..line {
                    let mut worth =
                        self.played(to_come, (down, line, spot)).max(self.given_up(to_come, spot));
                    // A nearer line is never worth less: the team may play on as if it were farther.
                    if line < length {
                        worth = worth.max(self.series[self.cell(down, line + 1, spot)]);
                    }
                    let cell = self.cell(down, line, spot);
                    self.series[cell] = worth;
                }
            }
            let begin =
                if line == length { length.saturating_sub(to_gain) } else { line.saturating_sub(to_gain) };
            let end = if line == length { length } else { (line + 1).saturating_sub(to_gain) };
            for spot in begin..end {
                self.first[spot] = self.series[self.cell(0, line, spot)];
            }
        }
    }

    /// The down is played.
    fn played(&self, to_come: &[i64], (down, line, spot): (usize, usize, usize)) -> i64 {
        let Figures { length, downs, touchdown, safety, after_kick, .. } = self.figures;
        let kick = -to_come[after_kick];
        let sum: i64 = GAINS
            .iter()
            .map(|(gain, often)| {
                let to = spot as i64 + gain;
                let worth = match usize::try_from(to) {
                    Ok(to) if to >= length => touchdown * POINT + kick,
                    Ok(to) if to > 0 || *gain == 0 => match (to >= line, down + 1 < downs) {
                        (true, _) => self.first[to],
                        (false, true) => self.series[self.cell(down + 1, line, to)],
                        (false, false) => left(to_come, length, to),
                    },
                    // Never worth more than the ball lost at that goal line, cheap as the two points may be.
                    Ok(_) | Err(_) => (kick - safety * POINT).min(left(to_come, length, 0)),
                };
                often * worth
            })
            .sum();
        sum.div_euclid(1000)
    }

    /// The ball is kicked at goal, punted or left where it is, whichever is worth most.
    fn given_up(&self, to_come: &[i64], spot: usize) -> i64 {
        let Figures { length, field_goal, after_kick, touchback, punts, .. } = self.figures;
        let far = length - spot;
        let good = good_in_a_thousand(far);
        let missed = -to_come[far.max(touchback).min(length - 1)];
        let made = field_goal * POINT - to_come[after_kick];
        let at_goal = (good * made + (1000 - good) * missed).div_euclid(1000);
        let punt = -to_come[far.saturating_sub(PUNT).max(touchback).min(length - 1)];
        let stays = left(to_come, length, spot);
        let kicked = if punts { stays.max(punt) } else { stays };
        if good > 0 { kicked.max(at_goal) } else { kicked }
    }
}

/// How many of a thousand kicks at goal are good from this far before the goal line.
pub fn good_in_a_thousand(yards: usize) -> i64 {
    if yards > 38 { 0 } else { 980 - 15 * yards as i64 }
}

/// The other team's ball at this spot.
fn left(to_come: &[i64], length: usize, spot: usize) -> i64 {
    -to_come[(length - spot).min(length - 1)]
}

/// What a situation is worth to a team in millionths of a point, the score left aside.
pub fn worth(book: &Book, team: Team, at: &Situation) -> i64 {
    let table = table(book);
    let figures = table.figures;
    let own = match at.next {
        Next::Scrimmage { down, to_go } => {
            let (spot, line) = (down_to(at.spot), up(at.spot + to_go));
            table.down(usize::from(down), whole(line - spot), whole(spot))
        }
        Next::Try => i64::from(book.game.points.try_kick) * POINT - table.first[figures.after_kick],
        Next::FreeKick => {
            // A kick from farther back leaves the receivers as much farther forward.
            let back = up(book.game.free_kick - at.spot).max(0);
            let length = figures.length as i64;
            -table.first[whole((figures.after_kick as i64 + back).min(length - 1))]
        }
    };
    if at.offense == team { own } else { -own }
}

/// What the one play that is left is worth to a team: its score, and no more.
pub fn last_play(book: &Book, team: Team, at: &Situation) -> i64 {
    let figures = Figures::of(book);
    let own = match at.next {
        Next::Scrimmage { .. } => {
            let spot = down_to(at.spot);
            let length = figures.length as i64;
            let run: i64 = GAINS
                .iter()
                .map(|(gain, often)| match spot + gain {
                    to if to >= length => often * figures.touchdown * POINT,
                    to if to < 0 || to == 0 && *gain < 0 => -often * figures.safety * POINT,
                    _ => 0,
                })
                .sum();
            run.max(good_in_a_thousand(whole(length - spot)) * figures.field_goal * POINT).div_euclid(1000)
        }
        Next::Try => i64::from(book.game.points.try_kick) * POINT,
        Next::FreeKick => 0,
    };
    if at.offense == team { own } else { -own }
}

/// The table of this book's figures, reckoned once.
fn table(book: &Book) -> Arc<Table> {
    static RECKONED: Mutex<Vec<Arc<Table>>> = Mutex::new(Vec::new());
    const KEPT: usize = 8;
    let figures = Figures::of(book);
    let mut kept = RECKONED.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(found) = kept.iter().find(|table| table.figures == figures) {
        return Arc::clone(found);
    }
    let table = Arc::new(Table::reckon(figures));
    kept.truncate(KEPT - 1);
    kept.insert(0, Arc::clone(&table));
    table
}

fn whole(yards: i64) -> usize {
    usize::try_from(yards).unwrap_or(0)
}

fn down_to(yards: Yards) -> i64 {
    let (over, under) = yards.parts();
    over.div_euclid(under)
}

fn up(yards: Yards) -> i64 {
    let (over, under) = yards.parts();
    -(-over).div_euclid(under)
}
