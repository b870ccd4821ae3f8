//! Whether a foul can have been called in a play, and what of it has to be said.

use super::{Called, Error, Fouled, MOST, When};
use crate::book::Book;
use crate::book::effect::Part;
use crate::book::penalty::{BallState, Penalty};
use crate::game::advance::{Did, on};
use crate::game::course::{Act, Course, Foul, Stage};
use crate::game::situation::Situation;

/// Whether the spot of a foul has to be known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpotNeed {
    Needed,
    /// It changes nothing.
    Idle,
}

/// The moments at which this penalty can be called at all.
pub fn moments(penalty: &Penalty) -> &'static [When] {
    match penalty.ball {
        BallState::Dead => &[When::Before, When::After],
        BallState::Live if penalty.safety => &[When::Live, When::Return, When::Before, When::After],
        BallState::Live => &[When::Live, When::Return],
        BallState::Either => &[When::Live, When::Return, When::Before, When::After],
    }
}

/// Whether this foul has to have a spot.
pub fn spot_need(penalty: &Penalty, by: Part, when: When) -> SpotNeed {
    let needed = match when {
        When::Before | When::After => false,
        When::Live => penalty.needs_spot(by, false),
        When::Return => penalty.needs_spot(by, true),
    };
    if needed { SpotNeed::Needed } else { SpotNeed::Idle }
}

/// The fouls as the engine takes them.
///
/// # Errors
/// [`Error`] for the first one that cannot have been in this play.
pub(super) fn fouls<'b>(
    book: &'b Book,
    fouled: &Fouled,
    course: Option<&Course>,
) -> Result<Vec<Foul<'b>>, Error> {
    if fouled.fouls.is_empty() {
        return Err(Error::NoFoul);
    }
    if fouled.fouls.len() > MOST {
        return Err(Error::TooMany(fouled.fouls.len()));
    }
    fouled.fouls.iter().map(|called| foul(book, fouled.play.did, called, course)).collect()
}

fn foul<'b>(book: &'b Book, did: Did, called: &Called, course: Option<&Course>) -> Result<Foul<'b>, Error> {
    let name = || called.penalty.clone();
    let penalty = book.penalties.get(&called.penalty).ok_or_else(|| Error::Unknown(name()))?;
    if penalty.by.is_some_and(|by| by != called.by) {
        return Err(Error::Side(name()));
    }
    if !moments(penalty).contains(&called.when) {
        return Err(if called.is_dead() { Error::OnlyLive(name()) } else { Error::OnlyDead(name()) });
    }
    let stages = course.map_or(0, |course| course.stages.len());
    let is_return = |stage: &Stage| stage.act == Act::Run && stage.by == Part::Defense;
    let returned = course.and_then(|course| course.stages.iter().rposition(is_return));
    match (did, called.when) {
        (Did::Nothing, When::Before) => {}
        (Did::Nothing, When::Live | When::Return | When::After) => return Err(Error::NoPlay(name())),
        (_, When::Before) => return Err(Error::Before(name())),
        (_, When::Return) if stages < 2 => return Err(Error::NoReturn(name())),
        (_, When::Live | When::Return | When::After) => {}
    }
    let spot = called.spot.map(|spot| on(book, spot)).transpose()?;
    if spot.is_none() && spot_need(penalty, called.by, called.when) == SpotNeed::Needed {
        return Err(Error::NoSpot(name()));
    }
    sent_off(book, called)?;
    Ok(Foul {
        penalty,
        by: called.by,
        spot,
        during: if called.when == When::Return { returned.unwrap_or(stages.saturating_sub(1)) } else { 0 },
        dead: called.is_dead(),
        tactic: None,
        flagrant: called.sent_off.is_some(),
        before_ready: false,
    })
}

/// Checks that the book lets a player be disqualified for this foul, and that the players are named as it names them.
fn sent_off(book: &Book, called: &Called) -> Result<(), Error> {
    let limits = book.discretion.as_ref().and_then(|discretion| discretion.disqualification.as_ref());
    let by_count =
        book.penalties.get(&called.penalty).is_some_and(|penalty| penalty.disqualifies_at.is_some());
    let listed = limits.is_some_and(|limits| limits.fouls.contains(&called.penalty));
    if called.sent_off.is_some() && !listed && !by_count {
        return Err(Error::SentOff(called.penalty.clone()));
    }
    let Some(limits) = limits else { return Ok(()) };
    let mut named = called.sent_off.iter().chain(&called.player);
    match named.find(|player| !limits.positions.contains(&player.position)) {
        Some(player) => {
            Err(Error::Position { position: player.position.clone(), known: limits.positions.join(", ") })
        }
        None => Ok(()),
    }
}

/// The course of the play, as these fouls need it. A whistle by mistake that gives the down again ends a play that was
/// run, if a foul was called while the ball was live.
///
/// # Errors
/// [`Error`] for a play that cannot follow this situation.
pub(super) fn course(book: &Book, at_snap: &Situation, fouled: &Fouled) -> Result<Option<Course>, Error> {
    use crate::game::course::Ended;
    let live = fouled.fouls.iter().any(|called| !called.is_dead());
    if fouled.play.did == Did::Again && live {
        let loose = Stage::plain(Act::Pass, Part::Offense, at_snap.spot, at_snap.spot);
        return Ok(Some(Course { stages: vec![loose], ended: Ended::Whistle }));
    }
    Ok(crate::game::advance::course(book, at_snap, fouled.play.did)?)
}
