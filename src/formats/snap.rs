//! What can be said of a play, by its situation: places that exist, clocks that run down, fouls that the team can
//! commit. Every command that takes a play asks here.

use crate::error::Error;
use crate::figure::{Figure, milliseconds, seconds};
use field::exact::Yards;
use rules::book::Book;
use rules::book::defect::nearest;
use rules::book::effect::Part;
use rules::book::penalty::{Penalty, With};
use rules::game::play::PlayEnd;
use rules::game::situation::{Next, Situation, Team};
use rules::shown::shown;

/// A book, and the situation in which the ball is snapped or kicked.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Snap<'a, 'b> {
    pub book: &'b Book,
    pub at: &'a Situation,
}

pub(crate) fn part(part: Part) -> &'static str {
    match part {
        Part::Offense => "offense",
        Part::Defense => "defense",
    }
}

impl<'b> Snap<'_, 'b> {
    /// A place on the field or in an end zone.
    ///
    /// # Errors
    /// [`Error`] for one beyond.
    pub(crate) fn place(self, place: Figure) -> Result<Yards, Error> {
        let field = &self.book.field;
        let (least, most) = (Yards::ZERO - field.end_zone, field.length + field.end_zone);
        match place.0 < least || place.0 > most {
            true => Err(Error::new(format!("{} is not on the field or in an end zone", place.0))
                .help(format!("places are yards from the offense's own goal line, from {least} to {most}"))),
            false => Ok(place.0),
        }
    }

    /// What a game clock showed, in milliseconds.
    ///
    /// # Errors
    /// [`Error`] for what is no time.
    pub(crate) fn any_clock(self, clock_s: f64) -> Result<i64, Error> {
        let at_snap = seconds(self.at.clock_ms);
        match (0.0..=1e6).contains(&clock_s) {
            true => Ok(milliseconds(clock_s)),
            false => Err(Error::new(format!("{clock_s} is not a time that a game clock shows"))
                .help(format!("write seconds, from 0 to the {at_snap} of the situation"))),
        }
    }

    /// What the game clock showed after the snap, in milliseconds.
    ///
    /// # Errors
    /// [`Error`] for what is no time, or more than the clock showed at the snap.
    pub(crate) fn clock(self, clock_s: f64) -> Result<i64, Error> {
        let at_snap = seconds(self.at.clock_ms);
        let clock_ms = self.any_clock(clock_s)?;
        match clock_ms > self.at.clock_ms {
            true => Err(Error::new(format!(
                "the clock showed {clock_s} s, which is before the snap: the situation has {at_snap} s"
            ))
            .help(format!("write seconds, from 0 to {at_snap}"))),
            false => Ok(clock_ms),
        }
    }

    /// The penalty with this name, for a foul of this team.
    ///
    /// # Errors
    /// [`Error`] if the book has none, or the team cannot commit it on this play.
    pub(crate) fn penalty(self, name: &str, by: Part) -> Result<&'b Penalty, Error> {
        let penalties = &self.book.penalties;
        let penalty = penalties.get(name).ok_or_else(|| Error::no_penalty(self.book, name).within("name"))?;
        let free_kick = self.at.next == Next::FreeKick;
        if penalty.by.is_some_and(|only| only != by) && !free_kick {
            let (team, other) = (part(by), part(by.other()));
            return Err(Error::new(format!(
                "`{name}` is never a foul of the {team} (rule {})",
                penalty.cite
            ))
            .help(format!("write `{other}`, or another foul"))
            .within("by"));
        }
        if penalty.with == Some(With::FreeKick) && !free_kick {
            return Err(Error::new(format!("`{name}` is a foul on a free kick, and none is kicked"))
                .help("write the foul that it is on this play, or `next: \"free kick\"` in the situation")
                .within("name"));
        }
        Ok(penalty)
    }

    /// A team that takes a timeout.
    ///
    /// # Errors
    /// [`Error`] if it has none left.
    pub(crate) fn timeout(self, team: Team) -> Result<Team, Error> {
        match *self.at.timeouts.of(team) {
            0 => Err(Error::new("that team has no timeout left in the situation").help("leave it out")),
            _ => Ok(team),
        }
    }

    /// The end of the play as it ran.
    ///
    /// # Errors
    /// [`Error`] for an end that cannot be.
    pub(crate) fn end(self, end: PlayEnd) -> Result<PlayEnd, Error> {
        match end.turnover && end.regained {
            true => Err(Error::new(
                "the other team has the ball (`turnover`), and lost it again (`regained`): not both",
            )
            .help("keep one of the two")
            .at_name("regained")),
            false => Ok(end),
        }
    }
}

/// A moment that the book knows: of its own list, or of a step of one of its questions.
///
/// # Errors
/// [`Error`] with the nearest known name.
pub(crate) fn moment(book: &Book, name: &str) -> Result<(), Error> {
    let of_steps = book.trees.iter().flat_map(|tree| &tree.steps).flat_map(|step| step.proof.moments());
    let mut known: Vec<&str> = book.moments.keys().map(String::as_str).collect();
    known.extend(of_steps);
    known.extend(["as ruled", "end of play", "snap"]);
    known.sort_unstable();
    known.dedup();
    match known.contains(&name) {
        true => Ok(()),
        false => Err(Error::new(format!("the book knows no moment `{}`", shown(name)))
            .help(nearest(name, known.into_iter()))),
    }
}
