//! Fouls that the crew calls in a play: drawn by chance, entered by the keys of the penalties, and what they come to by
//! the tables of sections 4 and 10.

use super::hands::{Hands, clock, spot};
use super::plays::{Occurred, Play};
use crate::keys::{Cap, letter, plain};
use reckoning::{Day, From, Next, Penalty, YARD};
use testing::dice::Dice;

/// One row of the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Row {
    name: &'static str,
    by: By,
    yards: i64,
    first_down: bool,
    ball: Ball,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Offense,
    Defense,
    Either,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ball {
    /// Live, and enforced from the previous spot.
    Live,
    /// Live, by the rule of three and one.
    ThreeAndOne,
    /// Dead before the snap, at the succeeding spot; no play was run.
    Before,
    /// Dead after the play, likewise.
    After,
}

const fn row(name: &'static str, by: By, yards: i64, ball: Ball) -> Row {
    Row { name, by, yards, first_down: false, ball }
}

const fn first_down(row: Row) -> Row {
    Row { first_down: true, ..row }
}

const TABLE: &[Row] = &[
    row("offside", By::Either, 5, Ball::Live),
    row("too many in motion", By::Offense, 5, Ball::Live),
    row("motion man leading the block", By::Offense, 10, Ball::Live),
    row("linebacker moving", By::Defense, 5, Ball::Live),
    row("too many players", By::Either, 5, Ball::Live),
    first_down(row("illegal contact", By::Defense, 5, Ball::Live)),
    first_down(row("holding", By::Either, 10, Ball::ThreeAndOne)),
    row("illegal block", By::Either, 10, Ball::ThreeAndOne),
    first_down(row("face mask", By::Either, 15, Ball::ThreeAndOne)),
    row("false start", By::Offense, 5, Ball::Before),
    row("encroachment", By::Either, 5, Ball::Before),
    row("delay of game", By::Either, 5, Ball::Before),
    first_down(row("unsportsmanlike conduct", By::Either, 15, Ball::After)),
];

#[derive(Debug, Clone, Copy, PartialEq)]
struct Foul {
    row: Row,
    on_offense: bool,
    /// In the frame of the snap, for three and one.
    at: i64,
}

/// The fouls of one play, and what was chosen about them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Flags {
    /// Of one team, or of both.
    live: Vec<Foul>,
    /// Before the snap, or after the play.
    dead: Option<Foul>,
    /// The live foul, and the one with the ball dead, is accepted.
    accepted: [bool; 2],
}

/// What is called in the play that comes: a foul before the snap, live ones of a team or of both, one after the play.
pub(super) fn draw(dice: &mut Dice, day: &Day, play: Play) -> Flags {
    let accepted = [dice.below(3) > 0, dice.below(3) > 0];
    let scrimmage = matches!(day.next, Next::Down { .. });
    let kind = if scrimmage { dice.below(5) } else { 0 };
    let one = |dice: &mut Dice, ball: Ball| foul(dice, day, |row| row.ball == ball);
    let dead = match kind {
        0 => Some(one(dice, Ball::Before)),
        3 | 4 => Some(one(dice, Ball::After)),
        _ => None,
    };
    // Three and one needs the end of the run, which a play that changed hands does not tell; on a score it is carried over.
    let plain_end = matches!(play.what, Occurred::Down | Occurred::Out | Occurred::Incomplete)
        && scored(day, play) == [0, 0];
    let live = |row: &Row| row.ball == Ball::Live || (row.ball == Ball::ThreeAndOne && plain_end);
    let first = foul(dice, day, live);
    let side = if first.on_offense { By::Offense } else { By::Defense };
    let other = foul(dice, day, |row| live(row) && row.by != side && row.name != first.row.name);
    let live = match kind {
        1 | 4 => vec![first],
        2 => vec![first, Foul { on_offense: !first.on_offense, ..other }],
        _ => Vec::new(),
    };
    Flags { live, dead, accepted }
}

/// The points that the play brings by itself.
fn scored(before: &Day, play: Play) -> [u16; 2] {
    let mut after = before.clone();
    play.reckon(&mut after);
    [0, 1].map(|team| after.score[team] - before.score[team])
}

fn foul(dice: &mut Dice, day: &Day, fits: impl Fn(&Row) -> bool) -> Foul {
    let rows: Vec<&Row> = TABLE.iter().filter(|row| fits(row)).collect();
    let row = *rows[dice.below(rows.len())];
    let on_offense = match row.by {
        By::Offense => true,
        By::Defense => false,
        By::Either => dice.below(2) == 0,
    };
    let yards = day.league.length / YARD;
    Foul { row, on_offense, at: YARD * (1 + dice.below(yards as usize - 1) as i64) }
}

impl Flags {
    /// No play was run.
    pub(super) fn before(&self) -> bool {
        self.dead.is_some_and(|dead| dead.row.ball == Ball::Before)
    }

    /// Enters them and the play by keys; every choice is made.
    pub(super) fn enter(&self, hands: &mut Hands, before: &Day, play: Play) {
        for foul in self.live.iter().chain(&self.dead) {
            hands.press(letter('p'));
            hands.write(foul.row.name);
            hands.press(plain(Cap::Enter));
            if foul.row.by == By::Either {
                hands.press(plain(Cap::Digit(if foul.on_offense { 1 } else { 2 })));
            }
            match foul.row.ball {
                Ball::Live | Ball::ThreeAndOne | Ball::Before => hands.press(plain(Cap::Digit(1))),
                // With a live foul it is not asked.
                Ball::After if self.live.is_empty() => hands.press(plain(Cap::Digit(2))),
                Ball::After => {}
            }
            if hands.desk().screen().line().is_some() {
                hands.type_in(&spot(foul.at));
            }
        }
        hands.press(plain(Cap::Enter));
        if self.before() {
            hands.type_in(&clock(play.clock_ms));
        } else {
            hands.press(play.key());
            hands.type_in(&play.text());
        }
        for choice in self.choices(before, play) {
            hands.press(plain(Cap::Digit(if choice { 1 } else { 2 })));
        }
        hands.press(plain(Cap::Enter));
        assert_eq!(hands.desk().title(), "between plays", "{self:?} on {play:?} was not written");
    }

    /// The choices that the teams have, in the order of asking.
    fn choices(&self, before: &Day, play: Play) -> Vec<bool> {
        let mut choices = Vec::new();
        if self.live.len() == 1 && !self.score_counts(before, play) {
            choices.push(self.accepted[0]);
        }
        if self.dead.is_some() {
            choices.push(self.accepted[1]);
            let mut after = before.clone();
            self.reckon_live(&mut after, play);
            if after.next == Next::Try && before.next != Next::Try && self.accepted[1] {
                // On the try, not on the free kick after it.
                choices.push(true);
            }
        }
        choices
    }

    /// The offended team scored: its points count, whatever the foul was.
    fn score_counts(&self, before: &Day, play: Play) -> bool {
        let points = scored(before, play);
        self.live.iter().all(|foul| points[if foul.on_offense { 1 - before.ball } else { before.ball }] > 0)
    }

    /// What the play comes to with its fouls.
    pub(super) fn reckon(&self, day: &mut Day, play: Play) {
        let before = day.clone();
        if self.before() {
            day.again(play.clock_ms);
        } else {
            self.reckon_live(day, play);
        }
        let begins = self.live.len() == 1 && self.accepted[0] && self.live[0].gives_first_down();
        let other = before.ball != day.ball || !matches!(before.next, Next::Down { down: 1, .. });
        let first = matches!(day.next, Next::Down { down: 1, .. });
        let fresh = !self.before() && first && (other || begins || day.spot >= before.line());
        if let Some(dead) = self.dead.filter(|_| self.accepted[1]) {
            let by_ball = dead.on_offense == (day.ball == before.ball);
            day.succeeding(dead.penalty(by_ball), fresh);
            // Where no play was run that counts, the clock goes on as it was.
            day.running &= self.before() || play.what == Occurred::Again || !day.late();
        }
    }

    fn reckon_live(&self, day: &mut Day, play: Play) {
        match self.live.as_slice() {
            // They offset: the down again. No penalty stops the clock, but what ended the play does.
            [_, _] => {
                let stops = matches!(play.what, Occurred::Out | Occurred::Incomplete);
                day.timed(play.clock_ms, stops || scored(day, play) != [0, 0]);
            }
            [foul] if self.accepted[0] && !self.score_counts(day, play) => {
                let end = if play.what == Occurred::Incomplete { day.spot } else { play.at };
                let from = match foul.row.ball {
                    Ball::ThreeAndOne => From::At(if foul.on_offense { end.min(foul.at) } else { end }),
                    Ball::Live | Ball::Before | Ball::After => From::Previous,
                };
                day.penalized(Penalty { from, ..foul.penalty(foul.on_offense) }, play.clock_ms);
            }
            _ => {
                play.reckon(day);
                if play.what == Occurred::Again && !self.live.is_empty() {
                    // With a live foul a play was run; without one the clock goes on as it was (one to be judged).
                    day.timed(play.clock_ms, false);
                }
            }
        }
    }
}

impl Foul {
    fn gives_first_down(&self) -> bool {
        self.row.first_down && !self.on_offense
    }

    fn penalty(&self, by_offense: bool) -> Penalty {
        let Row { yards, first_down, .. } = self.row;
        Penalty { yards, by_offense, from: From::Previous, first_down, loss_of_down: false }
    }
}
