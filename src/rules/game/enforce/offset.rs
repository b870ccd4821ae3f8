//! Fouls of both teams: they cancel each other, unless the team that gained the ball last came to it cleanly.

use super::basic_spot::post_scrimmage;
use super::options::{Choice, Kind, accepted, compare, instead};
use super::reading::Ran;
use crate::book::Book;
use crate::book::effect::Part;
use crate::book::enforcement::Principle;
use crate::book::penalty::From;
use crate::game::course::{Act, Foul};
use crate::game::enforce::Done;
use crate::game::ledger::Cause;
use crate::game::outcome::same_down;
use crate::game::situation::Situation;

/// The choices where both teams fouled during the play, and the team that has them.
pub(super) fn choices(book: &Book, ran: &Ran, fouls: &[(usize, &Foul<'_>)]) -> (Part, Vec<Choice>) {
    let again = Situation { clock_ms: ran.ending.clock_ms, play_clock_s: None, ..ran.at_snap };
    let after = same_down(book, &ran.at_snap, again);
    let mut choices = vec![Choice {
        kind: Kind::Offset,
        after,
        steps: instead(ran, Cause::Offset, after),
        walked: Vec::new(),
        done: fouls.iter().map(|(number, _)| (*number, Done::Offset)).collect(),
        scored: ran.ending.points.is_some(),
        again: true,
    }];
    let Some(last) = clean(book, ran, fouls) else { return (Part::Offense, choices) };
    // Its own foul is enforced in the way that is best for the other team.
    let own: Vec<_> = fouls.iter().copied().filter(|(_, foul)| foul.by == last).collect();
    let other = ran.at_snap.team(last.other());
    let worst = own
        .iter()
        .flat_map(|foul| accepted(book, ran, *foul, fouls))
        .max_by(|one, two| compare(book, other, &one.after, &two.after));
    choices.extend(worst.map(|worst| Choice { kind: Kind::KeepBall, ..worst }));
    (last, choices)
}

/// The team that gained the ball last, if it fouled only afterwards or only during a kick that it keeps.
fn clean(book: &Book, ran: &Ran, fouls: &[(usize, &Foul<'_>)]) -> Option<Part> {
    let last = ran.stages.iter().rev().find(|stage| stage.act == Act::Run);
    let last = last.map_or(ran.ending.ball, |stage| stage.by);
    let mut own = fouls.iter().filter(|(_, foul)| foul.by == last);
    let during_kick =
        |foul: &Foul<'_>| foul.penalty.from == From::ThreeAndOne && post_scrimmage(book, ran, foul).is_some();
    if last == Part::Defense && own.clone().all(|(_, foul)| during_kick(foul)) {
        return Some(last);
    }
    let had_before = ran.stages.iter().rposition(|stage| stage.act == Act::Run && stage.by != last);
    let gained = match (had_before, last) {
        (Some(before), _) => before + 1,
        // A kick or a pass by the other team is not a run.
        (None, Part::Defense) => ran.stages.iter().position(|stage| stage.act == Act::Run)?,
        (None, Part::Offense) => return None,
    };
    let gained = (gained..ran.stages.len()).find(|index| ran.stages[*index].act == Act::Run)?;
    let after = own.all(|(_, foul)| foul.during >= gained);
    (after && book.enforcement.keeps(Principle::CleanHands)).then_some(last)
}
