//! The grades of plays that were not reviewed, by game.

use super::held::Held;
use super::{days, session};
use crate::Error;
use crate::chain::label::Actor;
use crate::store::log::Log;
use crate::store::reader::Reader;
use crate::streams::session::{Attempt, Session};
use review::play_grade::Event;
use review::play_grade::decide::decide;
use review::play_grade::fold::PlayGrades;

/// What became of a command.
pub type Done = session::Done<Event>;

/// The grades of a game's plays.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn of(log: &Reader, game: &str) -> Result<PlayGrades, Error> {
    Ok(Held::<Event>::one(log, game)?.map_or_else(PlayGrades::default, |held| held.state()))
}

/// Grades a play, by `actor`: decided first, then written. An attempt that was written before, by its id, changes
/// nothing.
///
/// # Errors
/// [`Error`] if nothing could be written.
pub fn act(log: &mut Log, actor: &Actor, attempt: &Attempt, game: &str, event: Event) -> Result<Done, Error> {
    let mut session = Session::<Event>::named(log, game.to_owned(), actor.clone())?;
    let day = days::Held::one(log.reader(), game)?.map(|held| held.day());
    session.act_on(log, attempt, None, |grades| decide(day.as_ref(), grades, event))
}
