//! The fouls of a reviewed play, through the same engine.
//!
//! A review knows how the play ended, not every stage of it: one stage stands for the play, and a flag without a
//! choice is accepted, since the official puts the choice to the captain.

use super::reading::Ran;
use super::{Around, Enforced, Otherwise, Pick, Picks, enforce};
use crate::book::Book;
use crate::book::effect::{DeadBy, Part};
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
        kept: !theirs && dead_by != DeadBy::Incomplete,
        changed: false,
        again: false,
        may_repeat: false,
        second_series: false,
        result: ending.result(book, &at_snap),
        stages,
    }
}

/// A reviewed play with its flags.
pub struct Ruled {
    pub after: Situation,
    pub fouls: Vec<Enforced>,
    pub steps: Vec<Step>,
}

/// The situation after the flags of a reviewed play, with what became of each.
pub fn fouls(
    book: &Book,
    ran: &Ran,
    flags: &[Flag],
    choices: &BTreeMap<String, Choice>,
    open: &mut BTreeSet<Open>,
) -> Ruled {
    let mut fouls = Vec::new();
    for flag in flags {
        let Some(penalty) = book.penalties.get(&flag.name) else {
            open.insert(Open::Flag(flag.name.clone()));
            continue;
        };
        let needs_spot = penalty.needs_spot(flag.by, false);
        let (dead, spot) = (flag.dead, flag.spot);
        let declined = choices.get(&flag.name) == Some(&Choice::Decline);
        // A foul of the offense in its own end zone is a safety in every code; a question about the foul alone
        // does not rule that, nor walk off yards from the other end zone.
        let on_field = |spot: Yards| spot > Yards::ZERO && spot < book.field.length;
        let off_field = flag.by == Part::Offense && spot.is_some_and(|spot| !on_field(spot));
        if !dead && !declined && (needs_spot && spot.is_none() || off_field) {
            open.insert(Open::FoulSpot(flag.name.clone()));
        }
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
    let pick = |choice: &Choice| match choice {
        Choice::Accept => Pick::Accept,
        Choice::Decline => Pick::Decline,
    };
    let picks = Picks {
        named: choices.iter().map(|(name, choice)| (name.clone(), pick(choice))).collect(),
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
    Ruled { after: option.after, fouls: done.collect(), steps }
}
