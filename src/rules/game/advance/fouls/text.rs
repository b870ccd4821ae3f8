//! Fouls and decisions in plain words.

use super::{Called, Decision, When};
use crate::book::effect::Part;
use crate::game::enforce::options::Kind;
use crate::game::enforce::walk_off::Place;
use crate::game::enforce::{Carry, Done};
use crate::game::play::Choice;

/// `before the snap`.
pub fn when(when: When) -> &'static str {
    match when {
        When::Before => "before the snap",
        When::Live => "while the ball was live",
        When::Return => "on the return",
        When::After => "after the play",
    }
}

/// `offense`.
pub fn side(part: Part) -> &'static str {
    match part {
        Part::Offense => "offense",
        Part::Defense => "defense",
    }
}

/// What became of a foul.
pub fn done(done: Done) -> &'static str {
    match done {
        Done::Accepted => "accepted",
        Done::Declined => "declined",
        Done::Offset => "offset",
        Done::ScoreCounts => "dropped, the score counts",
        Done::Carried => "carried over",
        Done::FellAway => "not enforced",
    }
}

/// A decision in words: `holding is accepted`, `declined: the play counts`. `says` gives a foul's name by its number.
pub fn decision(decision: Decision, says: impl Fn(usize) -> String) -> String {
    match decision {
        Decision::Live(Kind::Accept(foul, Place::Standard)) => format!("{} is accepted", says(foul)),
        Decision::Live(Kind::Accept(foul, Place::TackOn)) => {
            format!("{} is added to where the receivers have the ball", says(foul))
        }
        Decision::Live(Kind::Accept(foul, Place::Beyond)) => {
            format!("{}: the ball beyond the previous spot", says(foul))
        }
        Decision::Live(Kind::Decline) => "declined: the play counts".to_owned(),
        Decision::Live(Kind::Play | Kind::ByRule) => "the play counts".to_owned(),
        Decision::Live(Kind::Offset) => "the fouls offset: the down is played again".to_owned(),
        Decision::Live(Kind::KeepBall) => "the ball is kept, and the own foul is enforced".to_owned(),
        Decision::Live(Kind::TouchSpot(_)) => "the ball where the kickers touched the kick".to_owned(),
        Decision::Live(Kind::Repeat) => "the down is played again".to_owned(),
        Decision::Foul { foul, choice: Choice::Accept } => format!("{} is accepted", says(foul)),
        Decision::Foul { foul, choice: Choice::Decline } => format!("{} is declined", says(foul)),
        Decision::Carried(Carry::Try) => "enforced on the try".to_owned(),
        Decision::Carried(Carry::FreeKick) => "enforced on the free kick".to_owned(),
        Decision::Carried(Carry::NextSeries) => "enforced where the next series begins".to_owned(),
        Decision::RunOff(true) => "the time runs off".to_owned(),
        Decision::RunOff(false) => "no time runs off".to_owned(),
    }
}

/// A foul in words: `holding, while the ball was live`.
pub fn called(called: &Called) -> String {
    let who = match (&called.sent_off, &called.player) {
        (Some(off), _) => format!(", {off} disqualified"),
        (None, Some(player)) => format!(", {player}"),
        (None, None) => String::new(),
    };
    format!("{}, {}{who}", called.penalty, when(called.when))
}
