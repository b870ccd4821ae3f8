//! The stages of a play: what cannot be is refused, and what is odd but can be meant is said in a note.

use super::form::{ActJson, Ended, PlayJson, StageJson};
use crate::case::PartJson;
use crate::error::Error;
use crate::figure::Figure;
use crate::snap::{Snap, part};
use field::exact::Yards;
use rules::book::effect::Part;
use rules::game::course::{Act, Course, Stage};
use rules::game::enforce::reading::Ran;
use rules::game::situation::Next;

/// The most stages of a play that is read.
const MOST_STAGES: usize = 40;

/// A play as it is run, and what is odd about it.
pub(super) struct Play {
    pub ran: Ran,
    pub notes: Vec<String>,
}

pub(super) fn read(play: &PlayJson, snap: Snap<'_, '_>) -> Result<Play, Error> {
    let count = play.stages.len();
    if count > MOST_STAGES {
        return Err(Error::new(format!("{count} stages are too many: a play has at most {MOST_STAGES}"))
            .within("stages"));
    }
    let played = play.dead_after.unwrap_or(count);
    if play.dead_after.is_some() && (played == 0 || played > count) {
        return Err(Error::new(format!(
            "the ball cannot be dead after stage {played}: the play has {count}"
        ))
        .help("write the number of a stage, from 1, or leave it out")
        .within("dead_after"));
    }
    let Some(last) = played.checked_sub(1).and_then(|last| play.stages.get(last)) else {
        return Err(Error::new("a play has at least one stage")
            .help("leave `play` out where nothing was played")
            .within("stages"));
    };
    let clock_ms = match play.clock_s {
        None => snap.at.clock_ms,
        Some(clock_s) => snap.clock(clock_s).map_err(|error| error.within("clock_s"))?,
    };
    let mut stages = Vec::with_capacity(count);
    let mut at = Figure(snap.at.spot);
    for (index, stage) in play.stages.iter().enumerate() {
        let in_stage = |error: Error| error.item(index).within("stages");
        let read = self::stage(stage, at, snap).map_err(in_stage)?;
        follows(&stages, &read, snap).map_err(in_stage)?;
        stages.push(read);
        at = stage.to;
    }
    ends(play, last, snap)?;
    let notes = notes(&stages, play, snap);
    stages.truncate(played);
    let ended = play.ended.into();
    Ok(Play { ran: Ran::read(snap.book, *snap.at, &Course { stages, ended }, clock_ms), notes })
}

fn stage(stage: &StageJson, at: Figure, snap: Snap<'_, '_>) -> Result<Stage, Error> {
    let place = |name: &str, place: Figure| snap.place(place).map_err(|error| error.within(name));
    let side = |by: PartJson| by.part(snap.at.offense);
    Ok(Stage {
        act: stage.act.into(),
        by: side(stage.by),
        from: stage.from.map_or(Ok(at.0), |from| place("from", from))?,
        to: place("to", stage.to)?,
        reached: stage.reached.map(|reached| place("reached", reached)).transpose()?,
        touched: stage.touched,
        touch_spot: stage.touch_spot.map(|spot| place("touch_spot", spot)).transpose()?,
        momentum: stage.momentum,
        own_fumble: stage.own_fumble,
        impetus: stage.impetus.map(side),
    })
}

/// Refuses a stage that cannot follow the ones before.
fn follows(before: &[Stage], stage: &Stage, snap: Snap<'_, '_>) -> Result<(), Error> {
    let act = ActJson::from(stage.act).word();
    if stage.act == Act::GoalKick && stage.by == Part::Defense {
        return Err(Error::new("only the offense kicks at goal")
            .help("write `offense`, or `kick` for another kick")
            .within("by"));
    }
    match before.last() {
        None if stage.by == Part::Defense => {
            let verb = if snap.at.next == Next::FreeKick { "kicks" } else { "snaps" };
            Err(Error::new(format!("the offense {verb} the ball, so the first stage is one of the offense"))
                .help("`offense` is the team that the situation names as such")
                .within("by"))
        }
        None if snap.at.next == Next::FreeKick && stage.act != Act::Kick => {
            Err(Error::new(format!("a free kick begins with a stage `kick`, not `{act}`"))
                .help("write the kick as the first stage; a run after it is the next one")
                .within("act"))
        }
        Some(last) if last.act == Act::Run && stage.act != Act::Run && last.by != stage.by => {
            let (had, other) = (part(last.by), part(stage.by));
            Err(Error::new(format!(
                "the {had} had the ball, so this stage cannot be a `{act}` by the {other}"
            ))
            .help(format!("write `{had}`, or put a stage `run` by the {other} before it"))
            .within("by"))
        }
        None | Some(_) => Ok(()),
    }
}

/// Refuses an end that cannot follow the last stage.
fn ends(play: &PlayJson, last: &StageJson, snap: Snap<'_, '_>) -> Result<(), Error> {
    let fits = match (play.ended, last.act) {
        (Ended::Good, act) => act == ActJson::GoalKick,
        (Ended::Incomplete, act) => act == ActJson::Pass,
        // A kick may be downed or caught where it came down.
        (Ended::Down | Ended::FairCatch, act) => matches!(act, ActJson::Run | ActJson::Kick),
        (Ended::Dead, act) => act != ActJson::Run,
        (Ended::OutOfBounds, act) => act != ActJson::Pass,
        (Ended::Whistle, _) => true,
    };
    if !fits {
        let (ended, act) = (play.ended.word(), last.act.word());
        return Err(Error::new(format!("a play cannot end `{ended}` after a stage `{act}`"))
            .help(after(last.act))
            .within("ended"));
    }
    let length = snap.book.field.length;
    let farthest = last.reached.map_or(last.to, |reached| reached.max(last.to));
    if play.ended == Ended::Good && farthest.0 < length {
        return Err(Error::new(format!(
            "a kick that got to {} is not good: it did not reach the goal, which is at {length} or beyond",
            farthest.0
        ))
        .help("write the `to` of the kick behind the goal line, or another end")
        .within("ended"));
    }
    Ok(())
}

/// How a play can end after this stage, for people.
fn after(act: ActJson) -> &'static str {
    match act {
        ActJson::Run => "it ends `down`, `out of bounds` or by `whistle`",
        ActJson::Pass => "a caught pass is followed by a stage `run`, one that fell ends `incomplete`",
        ActJson::BackwardPass | ActJson::Fumble => {
            "a recovery is a stage `run`; without one it ends `out of bounds`, `dead` or by `whistle`"
        }
        ActJson::Kick => "it ends `down`, `fair catch`, `out of bounds`, `dead` or by `whistle`",
        ActJson::GoalKick => "it ends `good`, `dead`, `out of bounds` or by `whistle`",
    }
}

/// What is odd about the stages, and taken as it is written.
fn notes(stages: &[Stage], play: &PlayJson, snap: Snap<'_, '_>) -> Vec<String> {
    let mut notes = Vec::new();
    let spot = snap.at.spot;
    let mut before: Option<&Stage> = None;
    for (index, (stage, written)) in stages.iter().zip(&play.stages).enumerate() {
        let number = index + 1;
        let mut note = |what: String| notes.push(format!("stage {number} {what}"));
        match before {
            None => first(stage, spot, snap.at.next, &mut note),
            Some(last) => {
                if last.to != stage.from {
                    note(format!(
                        "begins at {}, and the stage before ended at {}: taken as it is written",
                        stage.from, last.to
                    ));
                }
                if last.act != Act::Run && last.by != stage.by && throws(stage.act) {
                    let by = part(stage.by);
                    note(format!(
                        "is a `{}` by the {by}, and no stage `run` says that the {by} had the ball",
                        written.act.word()
                    ));
                }
            }
        }
        idle(stage, before, &mut note);
        before = Some(stage);
    }
    notes
}

/// Whether a player has to have the ball for it.
fn throws(act: Act) -> bool {
    match act {
        Act::Pass | Act::BackwardPass | Act::Fumble => true,
        Act::Run | Act::Kick | Act::GoalKick => false,
    }
}

/// A first stage that does not begin where the ball was. A pass or kick begins behind the line as a rule.
fn first(stage: &Stage, spot: Yards, next: Next, note: &mut dyn FnMut(String)) {
    let (from, what) = (stage.from, if next == Next::FreeKick { "free kick" } else { "ball" });
    let behind = from < spot && stage.act != Act::Run && next != Next::FreeKick;
    if from != spot && !behind {
        note(format!("begins at {from}, and the situation has the {what} at {spot}: taken as it is written"));
    }
}

/// Facts that mean nothing on a stage of this kind.
fn idle(stage: &Stage, before: Option<&Stage>, note: &mut dyn FnMut(String)) {
    let kick = stage.act.is_kick();
    let recovers = before.is_some_and(|last| last.act == Act::Fumble) && stage.act == Act::Run;
    for (given, means, name, of) in [
        (stage.touched, kick, "touched", "a kick"),
        (stage.touch_spot.is_some(), kick, "touch_spot", "a kick"),
        (stage.momentum, stage.act == Act::Run, "momentum", "a run"),
        (stage.own_fumble, recovers, "own_fumble", "a run right after a fumble"),
        (stage.reached.is_some(), stage.act != Act::Run, "reached", "a loose ball"),
    ] {
        if given && !means {
            note(format!("has `{name}`, which means something on {of} alone: it changes nothing here"));
        }
    }
    let farther = stage.reached.is_some_and(|reached| stage.by.behind(stage.to, reached));
    if stage.reached.is_some() && stage.act != Act::Run && !farther {
        note("has a `reached` that is no farther than its `to`: it changes nothing".to_owned());
    }
}
