//! The fouls of a reviewed play, through the same engine.
//!
//! A review knows how the play ended, not every stage of it: one stage stands for the play, and a flag without a
//! choice is accepted, since the official puts the choice to the captain.

use super::reading::Ran;
use super::{Around, Enforced, Otherwise, Pick, Picks, enforce};
use crate::book::Book;
use crate::book::effect::{DeadBy, Part};
use crate::book::enforcement::Principle;
use crate::book::penalty::{From, Penalty};
use crate::game::course::{Act, Foul, Stage};
use crate::game::ledger::{Cause, Step};
use crate::game::open::Open;
use crate::game::outcome::{Ending, Special};
use crate::game::play::{Choice, Flag};
use crate::game::situation::{Next, Situation};
use field::exact::Yards;
use std::collections::{BTreeMap, BTreeSet};

/// The play that a review leaves, as one stage.
pub fn ran(book: &Book, at_snap: Situation, ending: Ending, dead_by: DeadBy) -> Ran {
    let act = match (at_snap.next, ending.special, ending.ball, dead_by) {
        (Next::FreeKick, _, _, _) | (_, Some(Special::Touchback), _, _) => Act::Kick,
        (_, Some(Special::KickFails), _, _) => Act::GoalKick,
        (_, None, Part::Offense, DeadBy::Incomplete) | (_, None, Part::Defense, _) => Act::Pass,
        (_, None, Part::Offense, _) => Act::Run,
    };
    let stage = Stage::plain(act, Part::Offense, at_snap.spot, ending.spot);
    let theirs = ending.ball == Part::Defense;
    let mut stages = vec![stage];
    if theirs && act == Act::Pass {
        stages.push(Stage::plain(Act::Run, Part::Defense, ending.spot, ending.spot));
    }
    Ran {
        at_snap,
        ending,
        dead_by: Some(dead_by),
        kept: !theirs && !ending.gained && dead_by != DeadBy::Incomplete,
        changed: false,
        again: false,
        may_repeat: false,
        second_series: false,
        result: ending.result(book, &at_snap),
        stages,
    }
}

/// A flag of a reviewed play, as it counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated<'b> {
    pub flag: Flag,
    /// The moment whose mark is the spot of the foul; `None` where only the flag can say it.
    pub spot_at: Option<&'b str>,
    /// The foul's name in a choice.
    pub chosen_as: String,
}

/// A reviewed play with its flags.
pub struct Ruled {
    pub after: Situation,
    pub fouls: Vec<Enforced>,
    /// Their names in a choice, in the same order.
    pub chosen_as: Vec<String>,
    pub steps: Vec<Step>,
}

/// Whether no penalty can be walked off for a foul at this spot: it lies past the end zones, or the team with the ball
/// fouled behind a goal line where that ends the play or the book has no rule for it.
fn off_field(book: &Book, penalty: &Penalty, by: Part, spot: Yards) -> bool {
    let (end_zone, length) = (book.field.end_zone, book.field.length);
    let past = spot < Yards::ZERO - end_zone || spot > length + end_zone;
    let own = spot <= Yards::ZERO && !book.enforcement.keeps(Principle::SafetyInOwnEndZone);
    let scored = spot >= length && penalty.from == From::Spot && !penalty.receivers_ball;
    past || by == Part::Offense && (own || scored)
}

/// The situation after the flags of a reviewed play, with what became of each.
pub fn fouls(
    book: &Book,
    ran: &Ran,
    flags: &[Stated<'_>],
    choices: &BTreeMap<String, Choice>,
    open: &mut BTreeSet<Open>,
) -> Ruled {
    let (mut fouls, mut names) = (Vec::new(), Vec::new());
    let mut about = BTreeMap::new();
    for Stated { flag, spot_at, chosen_as } in flags {
        let Some(penalty) = book.penalties.get(&flag.name) else {
            open.insert(Open::Flag(flag.name.clone()));
            continue;
        };
        let (dead, spot) = (flag.dead, flag.spot);
        let choice = choices.get(chosen_as);
        let declined = choice == Some(&Choice::Decline);
        about.extend(choice.map(|choice| (fouls.len(), pick(*choice))));
        let lacks = spot.is_none() && penalty.needs_spot(flag.by, false);
        let off_field = spot.is_some_and(|spot| off_field(book, penalty, flag.by, spot));
        if !dead && !declined && (lacks || off_field) {
            open.insert(match spot_at {
                Some(moment) if lacks => Open::Spot((*moment).to_owned()),
                Some(moment) => Open::OffField((*moment).to_owned()),
                None => Open::FoulSpot(flag.name.clone()),
            });
        }
        names.push(chosen_as.clone());
        fouls.push(Foul {
            penalty,
            by: flag.by,
            spot,
            during: 0,
            dead,
            tactic: None,
            flagrant: false,
            before_ready: false,
        });
    }
    let picks = Picks {
        about,
        play: None,
        carry: Some(super::Carry::Try),
        run_off: Some(false),
        timeout: None,
        otherwise: Otherwise::Accept,
    };
    let ruling = enforce(book, ran, Around { fouls: &fouls, stoppages: &[], picks: &picks });
    let option = ruling.option();
    let done = option.done.iter().map(|(number, done)| Enforced {
        name: fouls[*number].penalty.name.clone(),
        by: ran.at_snap.team(fouls[*number].by),
        done: *done,
    });
    let chosen_as = option.done.iter().map(|(number, _)| names[*number].clone());
    // The review itself decides the clock, the price and the run-off.
    let fouls_only = |step: &&Step| match step.cause {
        Cause::Kept
        | Cause::Play
        | Cause::Question(_)
        | Cause::Measured { .. }
        | Cause::Penalty { .. }
        | Cause::Offset
        | Cause::Touch
        | Cause::Repeat
        | Cause::ByRule => true,
        Cause::Clock(_)
        | Cause::Timeout(_)
        | Cause::RunOff(_)
        | Cause::Period(_)
        | Cause::FellAway
        | Cause::Challenge { .. } => false,
    };
    let steps = option.steps.iter().filter(fouls_only).copied().collect();
    Ruled { after: option.after, fouls: done.collect(), chosen_as: chosen_as.collect(), steps }
}

fn pick(choice: Choice) -> Pick {
    match choice {
        Choice::Accept => Pick::Accept,
        Choice::Decline => Pick::Decline,
    }
}
