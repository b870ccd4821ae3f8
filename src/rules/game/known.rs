//! What the situation, the play as it was read back and the call tell of a step, and in which words.

use super::play::PlayEnd;
use super::situation::{Next, Situation};
use super::text::ordinal;
use crate::book::Book;
use crate::book::effect::{DeadBy, Part};
use crate::book::known::{Fact, Known};
use crate::book::line::Guard;
use crate::book::tree::Step;

/// What the desk knows without a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recorded<'a> {
    pub at_snap: &'a Situation,
    /// The play's end as it was read back; `None` where nobody gave it.
    pub end: Option<&'a PlayEnd>,
    /// The name of the call on the field.
    pub call: &'a str,
}

/// What is known of a step; `None` where it must be asked.
pub fn known<'b>(book: &Book, step: &'b Step, recorded: Recorded<'_>) -> Option<&'b Known> {
    step.known.iter().find(|known| known.when.iter().all(|fact| holds(book, fact, recorded)))
}

fn holds(book: &Book, fact: &Fact, recorded: Recorded<'_>) -> bool {
    let at_snap = recorded.at_snap;
    match fact {
        Fact::Snap(guard) => guard.holds(at_snap.snap(&book.field), &book.field),
        Fact::Scrimmage => matches!(at_snap.next, Next::Scrimmage { .. }),
        Fact::Try => at_snap.next == Next::Try,
        Fact::FreeKick => at_snap.next == Next::FreeKick,
        Fact::Period(period) => at_snap.period == *period,
        Fact::LastSeconds(seconds) => book.game.in_last(*seconds, at_snap.period, at_snap.clock_ms),
        Fact::HadBall(part) => as_ruled(at_snap, recorded.end) == *part,
        Fact::Call(name) => recorded.call == name,
    }
}

/// Who had the ball at the end of the play. An incomplete pass leaves it with the team that threw it.
pub fn had_ball(end: &PlayEnd) -> Part {
    if end.turnover && end.dead_by != DeadBy::Incomplete { Part::Defense } else { Part::Offense }
}

/// The team that had the ball at the end of the play as it was ruled; where no end is known, the team that snapped,
/// and on a free kick the receivers.
pub fn as_ruled(at_snap: &Situation, end: Option<&PlayEnd>) -> Part {
    match end {
        Some(end) => had_ball(end),
        None if at_snap.next == Next::FreeKick => Part::Defense,
        None => Part::Offense,
    }
}

/// Why it is known, for people: "4th and 1: the line is shortened".
pub fn reason(known: &Known, recorded: Recorded<'_>) -> String {
    let about = |fact: &Fact| match fact {
        Fact::Snap(Guard::SnapInside(_) | Guard::SnapOutside(_)) => {
            Some(format!("snapped {} from the own goal line", recorded.at_snap.spot))
        }
        Fact::HadBall(part) => Some(match part {
            Part::Offense => "the offense had the ball at the end".to_owned(),
            Part::Defense => "the other team had the ball at the end".to_owned(),
        }),
        Fact::Call(name) => Some(format!("called `{name}`")),
        Fact::Snap(Guard::Down(_) | Guard::ToGoAtMost(_) | Guard::ToGoOver(_))
        | Fact::Scrimmage
        | Fact::Try
        | Fact::FreeKick
        | Fact::Period(_)
        | Fact::LastSeconds(_) => None,
    };
    let snap = match recorded.at_snap.next {
        Next::Scrimmage { down, to_go } => format!("{} and {to_go}", ordinal(down)),
        Next::Try => "a try".to_owned(),
        Next::FreeKick => "a free kick".to_owned(),
    };
    let mut parts = vec![snap];
    for part in known.when.iter().filter_map(about) {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    format!("{}: {}", parts.join(", "), known.because)
}
