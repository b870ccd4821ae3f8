//! A ball that a review finds dead at a mark, perhaps behind a goal line: who had it there and how it came there.
//!
//! A review knows the finding, the mark and how the play ended as it was ruled. From these it makes the stages that
//! decide behind a goal line, and reads them as every other play is read.

use super::course::{Act, Stage};
use super::enforce::reading;
use super::open::Open;
use super::outcome::Ending;
use super::play::{Moment, Moments};
use super::situation::Situation;
use crate::book::Book;
use crate::book::effect::Part;
use field::exact::Yards;

/// How the team that has the ball at the mark came by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Came<'b> {
    /// It had it from the snap, or gained it where it is dead.
    Straight,
    /// It had gained the ball before, and ran with it.
    Ran,
    /// It recovered what this team had lost, at this moment where it has a mark of its own; `own` by the one who lost it.
    Recovered { from: Part, lost: Option<&'b str>, own: bool },
    /// It lost the ball at this moment, and nobody recovered it.
    Lost { at: &'b str },
}

/// The mark at which the ball is dead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dead<'b> {
    pub moment: &'b str,
    /// The finding says that the ball was short of the goal line that the team with the ball attacks.
    pub short: bool,
}

/// What a ball dead at the mark comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Read {
    Ends(Ending),
    /// Lost and recovered behind the same goal line by the same team: the play ends as it was ruled.
    AsRuled,
    Needs(Open),
}

/// Reads a ball that is dead where `ending` has it.
pub(super) fn read(
    book: &Book,
    moments: &Moments,
    at_snap: &Situation,
    (dead, came): (Dead<'_>, Came<'_>),
    ending: Ending,
) -> Read {
    use Part::{Defense, Offense};
    let mut ending = ending;
    if let (Came::Recovered { from: Offense, lost: Some(lost), own: false }, Offense) = (came, ending.ball)
        && reading::own_fumble_only(book, at_snap)
    {
        match moments.get(lost).and_then(|moment| moment.x) {
            Some(lost) => ending.spot = by_a_teammate(book, at_snap, lost, ending.spot),
            None => return Read::Needs(Open::Spot(lost.to_owned())),
        }
    }
    let (ball, at, length, snapped) = (ending.ball, ending.spot, book.field.length, at_snap.spot);
    if at > Yards::ZERO && at < length {
        return Read::Ends(ending);
    }
    let off_field = || Read::Needs(Open::OffField(dead.moment.to_owned()));
    let own = |spot: Yards| match ball {
        Offense => spot <= Yards::ZERO,
        Defense => spot >= length,
    };
    if dead.short && !own(at) {
        return off_field();
    }
    // Where in the field the ball was before matters to nothing here.
    let field = length.half();
    let loose = |by, from| Stage::plain(Act::Fumble, by, from, at);
    let run = |by, from, to| Stage::plain(Act::Run, by, from, to);
    let gained = [Stage::plain(Act::Fumble, Offense, snapped, field), run(Defense, field, field)];
    let stages = match (came, ball) {
        (Came::Straight, Offense) => vec![run(Offense, snapped, at)],
        (Came::Straight, Defense) | (Came::Recovered { from: Offense, .. }, Defense) => {
            vec![loose(Offense, snapped), run(Defense, at, at)]
        }
        // Whether its own momentum took it there only a question can ask.
        (Came::Ran, _) if own(at) => return off_field(),
        (Came::Ran, by) => vec![gained[0], gained[1], run(by, field, at)],
        (Came::Recovered { from: Offense, .. }, Offense) => {
            vec![loose(Offense, snapped), run(Offense, at, at)]
        }
        (Came::Recovered { from: Defense, .. }, Offense) => {
            vec![gained[0], gained[1], loose(Defense, field), run(Offense, at, at)]
        }
        (Came::Lost { .. }, Offense) => vec![loose(Offense, snapped)],
        (Came::Recovered { from: Defense, .. } | Came::Lost { .. }, Defense) => {
            let lost = match came {
                Came::Recovered { lost, .. } => lost,
                Came::Lost { at } => Some(at),
                Came::Straight | Came::Ran => None,
            };
            if let Some(lost) = lost.filter(|_| own(at)) {
                match moments.get(lost).copied().unwrap_or(Moment { x: None, clock_ms: None }).x {
                    None => return Read::Needs(Open::Spot(lost.to_owned())),
                    Some(lost) if own(lost) => return Read::AsRuled,
                    Some(_) => {}
                }
            }
            let recovered = matches!(came, Came::Recovered { .. }).then(|| run(Defense, at, at));
            gained.into_iter().chain([loose(Defense, field)]).chain(recovered).collect()
        }
    };
    let possessed = !matches!(came, Came::Lost { .. });
    Read::Ends(reading::dead(book, &stages, possessed, ending))
}

/// Where a ball that the offense lost here, and a teammate recovered there, is dead on the last down.
fn by_a_teammate(book: &Book, at_snap: &Situation, lost: Yards, recovered: Yards) -> Yards {
    let mut stages = vec![
        Stage::plain(Act::Run, Part::Offense, at_snap.spot, lost),
        Stage::plain(Act::Fumble, Part::Offense, lost, recovered),
        Stage::plain(Act::Run, Part::Offense, recovered, recovered),
    ];
    reading::stopped_by_fumble_rule(book, at_snap, &mut stages);
    stages.last().map_or(recovered, |stage| stage.to)
}
