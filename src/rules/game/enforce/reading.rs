//! Reading the course of a play: where it ended, whose ball it is, who scored.
//!
//! A ball dead behind a goal line is a touchdown for the other team if it has the ball there; else it is a safety
//! or a touchback, by whose impetus put the ball behind that line.

use crate::book::Book;
use crate::book::effect::{DeadBy, Part, Points};
use crate::book::enforcement::Principle;
use crate::game::course::{Act, Course, Ended, Stage};
use crate::game::outcome::{Down, Ending, Special};
use crate::game::situation::{Next, Situation};
use field::exact::Yards;

/// A play that was run, with the situation that it leads to if no foul counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ran {
    pub at_snap: Situation,
    /// Empty where nothing was played.
    pub stages: Vec<Stage>,
    pub ending: Ending,
    /// What killed it; `None` where nothing was played.
    pub dead_by: Option<DeadBy>,
    /// The offense kept the ball throughout, and the play was not an incomplete pass.
    pub kept: bool,
    /// The other team had the ball, or there was a kick that crossed the line.
    pub changed: bool,
    /// A whistle by mistake: another play follows.
    pub again: bool,
    /// A whistle by mistake while a team had the ball, or had lost it: it may have the down again instead.
    pub may_repeat: bool,
    /// In overtime: it belongs to the second series of its period.
    pub second_series: bool,
    /// The next situation without fouls.
    pub result: Situation,
}

/// Who has the ball where at the end, before goal lines are considered.
struct Held {
    by: Part,
    at: Yards,
    /// In a player's hands.
    possessed: bool,
    down: Down,
}

impl Ran {
    /// Nothing was played: the situation stays as it is.
    pub fn nothing(at_snap: Situation, clock_ms: i64) -> Ran {
        let ending = Ending {
            clock_ms,
            spot: at_snap.spot,
            ball: Part::Offense,
            down: Down::Repeats,
            special: None,
            points: None,
            gained: false,
        };
        let result = Situation { clock_ms, ..at_snap };
        Ran {
            at_snap,
            stages: Vec::new(),
            ending,
            dead_by: None,
            kept: true,
            changed: false,
            again: false,
            may_repeat: false,
            second_series: false,
            result,
        }
    }

    /// Reads the course of a play.
    pub fn read(book: &Book, at_snap: Situation, course: &Course, clock_ms: i64) -> Ran {
        let mut stages = course.stages.clone();
        stopped_by_fumble_rule(book, &at_snap, &mut stages);
        let Some(last) = stages.last().copied() else { return Ran::nothing(at_snap, clock_ms) };
        let crossed = kick(&stages).is_some_and(|kick| crossed(&at_snap, &stages[kick]));
        let changed = crossed || hands(&at_snap, &stages);
        let mut ending = Ending {
            clock_ms,
            spot: at_snap.spot,
            ball: Part::Offense,
            down: Down::Counts,
            special: None,
            points: None,
            gained: stages.iter().any(|stage| stage.act == Act::Run && stage.by == Part::Defense),
        };
        let whistle = course.ended == Ended::Whistle;
        let may_repeat = whistle
            && book.enforcement.keeps(Principle::WhistleLeavesChoice)
            && !(ending.gained && at_snap.in_short_series(&book.game))
            && match last.act {
                Act::Run | Act::BackwardPass | Act::Fumble => true,
                Act::Pass | Act::Kick | Act::GoalKick => false,
            };
        let again = whistle && last.act != Act::Run && !may_repeat;
        match course.ended {
            Ended::Good => ending.points = Some((Points::FieldGoal, Part::Offense)),
            Ended::Incomplete if !changed => {}
            Ended::Whistle if again => ending.down = Down::Repeats,
            Ended::Incomplete
            | Ended::Whistle
            | Ended::Down
            | Ended::OutOfBounds
            | Ended::Dead
            | Ended::FairCatch => {
                // A kick that came back behind the line is dead there as any other kick.
                let fails = last.act == Act::GoalKick
                    && last.by == Part::Offense
                    && !last.touched
                    && crossed
                    && last.to >= at_snap.spot;
                if fails && at_snap.next != Next::FreeKick {
                    ending.special = Some(Special::KickFails);
                    ending.ball = Part::Defense;
                } else {
                    let held = held(book, &at_snap, &stages, course.ended);
                    settle(book, &stages, held, &mut ending);
                }
            }
        }
        // A fumble that comes back from out of bounds stops the clock no longer than a runner who is down.
        let came_back = last.act == Act::Fumble && ending.spot == last.from && last.to != last.from;
        let dead_by = match (ending.points, course.ended) {
            (Some(_), _) => DeadBy::Score,
            (None, Ended::OutOfBounds) if came_back => DeadBy::Down,
            (None, Ended::OutOfBounds) => DeadBy::OutOfBounds,
            (None, Ended::Incomplete) => DeadBy::Incomplete,
            (None, Ended::Down | Ended::Dead | Ended::Good | Ended::FairCatch | Ended::Whistle) => {
                DeadBy::Down
            }
        };
        Ran {
            at_snap,
            ending,
            dead_by: Some(dead_by),
            kept: !changed && ending.ball == Part::Offense && dead_by != DeadBy::Incomplete,
            changed,
            again,
            may_repeat,
            second_series: false,
            result: ending.result(book, &at_snap),
            stages,
        }
    }

    /// Whether the ball had changed hands before or in this stage.
    pub(crate) fn changed_by(&self, stage: usize) -> bool {
        hands(&self.at_snap, self.stages.get(..=stage).unwrap_or(&self.stages))
    }

    /// The stage with the play's kick.
    pub fn kick(&self) -> Option<usize> {
        kick(&self.stages)
    }

    /// Whether the play has a kick that crossed the line, or is a free kick.
    pub(crate) fn kick_crossed(&self) -> bool {
        self.kick().is_some_and(|kick| crossed(&self.at_snap, &self.stages[kick]))
    }

    /// Spots at which the kickers touched the kick before they were allowed to.
    pub fn touch_spots(&self) -> impl Iterator<Item = Yards> + '_ {
        self.stages.iter().filter_map(|stage| stage.touch_spot)
    }
}

/// The last kick of the offense before anybody else had the ball.
fn kick(stages: &[Stage]) -> Option<usize> {
    let until = stages.iter().position(|stage| stage.act == Act::Run && stage.by == Part::Defense);
    let before = until.map_or(stages, |until| &stages[..until]);
    before.iter().rposition(|stage| stage.act.is_kick())
}

fn crossed(at_snap: &Situation, kick: &Stage) -> bool {
    let farthest = kick.reached.map_or(kick.to, |reached| reached.max(kick.to));
    at_snap.next == Next::FreeKick || farthest > at_snap.spot
}

/// Whether the other team has had the ball in its hands; after a free kick, whether anybody has.
fn hands(at_snap: &Situation, stages: &[Stage]) -> bool {
    let kicked = at_snap.next == Next::FreeKick;
    stages.iter().any(|stage| stage.act == Act::Run && (kicked || stage.by == Part::Defense))
}

/// Whether only the one who fumbled may gain by a fumble of this play: on the last down or a try, where the book has it so.
pub(in crate::game) fn own_fumble_only(book: &Book, at_snap: &Situation) -> bool {
    let last_down = match at_snap.next {
        Next::Scrimmage { down, .. } => down >= book.game.downs,
        Next::Try => true,
        Next::FreeKick => false,
    };
    last_down && book.enforcement.keeps(Principle::FumbleLastDown)
}

/// On the last down a fumble recovered by a teammate is dead: where it was lost, or behind.
pub(in crate::game) fn stopped_by_fumble_rule(book: &Book, at_snap: &Situation, stages: &mut Vec<Stage>) {
    if !own_fumble_only(book, at_snap) {
        return;
    }
    let over = |stage: &Stage| stage.act.is_kick() && crossed(at_snap, stage);
    let before = stages.iter().take_while(|stage| stage.by == Part::Offense && !over(stage)).count();
    let lost = stages[..before]
        .windows(2)
        .position(|pair| pair[0].act == Act::Fumble && pair[1].act == Act::Run && !pair[1].own_fumble);
    if let Some(lost) = lost {
        let spot = stages[lost].from.min(stages[lost + 1].from);
        stages.truncate(lost + 2);
        stages[lost + 1].from = spot;
        stages[lost + 1].to = spot;
    }
}

/// Who has the ball where when the play ends.
fn held(book: &Book, at_snap: &Situation, stages: &[Stage], ended: Ended) -> Held {
    // INVARIANT: called for a play with stages.
    let last = stages[stages.len() - 1];
    let mut held = Held { by: last.by, at: last.to, possessed: false, down: Down::Counts };
    if hands(at_snap, stages) {
        held.down = Down::First;
    }
    match last.act {
        Act::Run => {
            held.possessed = true;
            if last.by == Part::Offense {
                recovered_kick(at_snap, stages, &mut held);
            }
        }
        Act::Fumble | Act::BackwardPass => {
            let ahead = last.by.behind(last.from, last.to);
            let inside = last.to > Yards::ZERO && last.to < book.field.length;
            let comes_back = last.act == Act::Fumble && book.enforcement.keeps(Principle::FumbleForwardOut);
            if ended == Ended::OutOfBounds && ahead && inside && comes_back || ended == Ended::Whistle {
                held.at = last.from;
            }
        }
        Act::Pass => held.at = last.from,
        Act::Kick | Act::GoalKick => {
            held.by = last.by.other();
            let inside = last.to > Yards::ZERO && last.to < book.field.length;
            let out =
                at_snap.next == Next::FreeKick && ended == Ended::OutOfBounds && !last.touched && inside;
            let nobody = !stages.iter().any(|stage| stage.act == Act::Run);
            if let Some(from_own) = book.game.free_kick_out.filter(|_| out && nobody) {
                held.at = book.field.length - from_own;
            }
        }
    }
    held
}

/// The kickers have their own kick: they may not advance one that crossed the line.
fn recovered_kick(at_snap: &Situation, stages: &[Stage], held: &mut Held) {
    let Some(kick) = kick(stages) else { return };
    if !crossed(at_snap, &stages[kick])
        || stages[kick..].iter().any(|stage| stage.act == Act::Run && stage.by == Part::Defense)
    {
        return;
    }
    let Some(recovery) = stages[kick..].iter().find(|stage| stage.act == Act::Run) else { return };
    held.at = recovery.from;
    held.down = Down::First;
    if !stages[kick].touched && at_snap.next != Next::FreeKick {
        held.by = Part::Defense;
        held.possessed = false;
    }
}

/// How a play ends whose ball is dead where `ending` has it, by these stages; `possessed`: in a player's hands.
pub(in crate::game) fn dead(book: &Book, stages: &[Stage], possessed: bool, ending: Ending) -> Ending {
    let mut after = ending;
    let held = Held { by: ending.ball, at: ending.spot, possessed, down: ending.down };
    settle(book, stages, held, &mut after);
    after
}

/// Puts the ball where it is dead, or scores a ball that is dead behind a goal line.
fn settle(book: &Book, stages: &[Stage], held: Held, ending: &mut Ending) {
    let length = book.field.length;
    ending.ball = held.by;
    ending.spot = held.at;
    ending.down = held.down;
    // Whose goal line the ball is behind.
    let behind = if held.at <= Yards::ZERO {
        Part::Offense
    } else if held.at >= length {
        Part::Defense
    } else {
        return;
    };
    if held.possessed && held.by != behind {
        ending.points = Some((Points::Touchdown, held.by));
    } else if let Some(spot) = momentum(stages, behind, length).filter(|_| held.by == behind) {
        ending.spot = spot;
    } else if impetus(stages, behind, length) == behind {
        ending.points = Some((Points::Safety, behind.other()));
    } else {
        ending.ball = behind;
        ending.special = Some(Special::Touchback);
    }
}

/// The stage in which the ball crossed this team's goal line last.
fn entry(stages: &[Stage], behind: Part, length: Yards) -> Option<&Stage> {
    let inside = |spot: Yards| match behind {
        Part::Offense => spot <= Yards::ZERO,
        Part::Defense => spot >= length,
    };
    stages.iter().rev().find(|stage| !inside(stage.from) && inside(stage.to))
}

/// From where the momentum of a catch or recovery took a player behind their goal line, if the ball stayed there.
fn momentum(stages: &[Stage], behind: Part, length: Yards) -> Option<Yards> {
    let entry = entry(stages, behind, length)?;
    let inside = entry.from > Yards::ZERO && entry.from < length;
    (inside && entry.act == Act::Run && entry.by == behind && entry.momentum).then_some(entry.from)
}

/// Who put the ball behind this team's goal line the last time that it crossed it.
fn impetus(stages: &[Stage], behind: Part, length: Yards) -> Part {
    let entry = entry(stages, behind, length);
    let entry = entry.or_else(|| stages.iter().find(|stage| stage.impetus.is_some()));
    entry.map_or(Part::Offense, |stage| stage.impetus.unwrap_or(stage.by))
}
