//! The choices about the fouls of a play, asked one after the other.

use super::{Decision, Error, Fouled, Led, Offer, Question, Stage, called};
use crate::book::Book;
use crate::game::course::Foul;
use crate::game::enforce::options::Kind;
use crate::game::enforce::reading::Ran;
use crate::game::enforce::{Around, Carry, Done, Pick, Picks, Ruling, enforce};
use crate::game::play::Choice;
use crate::game::situation::{Situation, Team};

/// A play that was read, with its fouls.
struct Read<'b> {
    book: &'b Book,
    ran: Ran,
    fouls: Vec<Foul<'b>>,
}

/// What is asked, and who chooses.
struct Asked {
    chooser: Team,
    answers: Vec<Decision>,
}

pub(super) fn stage(book: &Book, at_snap: &Situation, fouled: &Fouled) -> Result<Stage, Error> {
    let read = Read::of(book, at_snap, fouled)?;
    let (picks, asked) = read.decided(&fouled.decided)?;
    let ruling = read.ruling(&picks);
    let Some(asked) = asked else { return Ok(Stage::Led(read.led(&ruling))) };
    let better = read.taken(&ruling, &asked);
    let offer = |decision: Decision| {
        let led = read.led(&read.ruling(&with(picks.clone(), decision)));
        Offer { decision, led }
    };
    let offers = asked.answers.iter().map(|decision| offer(*decision)).collect();
    Ok(Stage::Asks(Question { chooser: asked.chooser, offers, better }))
}

pub(super) fn led(book: &Book, at_snap: &Situation, fouled: &Fouled) -> Result<Led, Error> {
    let read = Read::of(book, at_snap, fouled)?;
    let (picks, _) = read.decided(&fouled.decided)?;
    Ok(read.led(&read.ruling(&picks)))
}

impl<'b> Read<'b> {
    fn of(book: &'b Book, at_snap: &Situation, fouled: &Fouled) -> Result<Read<'b>, Error> {
        fouled.play.fits_clock(book, at_snap)?;
        let course = called::course(book, at_snap, fouled)?;
        let fouls = called::fouls(book, fouled, course.as_ref())?;
        let ran = match course {
            Some(course) => Ran::read(book, *at_snap, &course, fouled.play.clock_ms),
            None => Ran::nothing(*at_snap, fouled.play.clock_ms),
        };
        Ok(Read { book, ran, fouls })
    }

    fn ruling(&self, picks: &Picks) -> Ruling {
        enforce(self.book, &self.ran, Around { fouls: &self.fouls, stoppages: &[], picks })
    }

    /// The choices with these decisions made, and what is asked next.
    fn decided(&self, decided: &[Decision]) -> Result<(Picks, Option<Asked>), Error> {
        let mut picks = Picks::better();
        let mut asked = Vec::new();
        let mut left = decided.iter();
        while let Some(next) = self.next(&picks, &asked) {
            let Some(decision) = left.next() else { return Ok((picks, Some(next))) };
            if !next.answers.contains(decision) {
                return Err(Error::NotOffered);
            }
            picks = with(picks, *decision);
            asked.push(*decision);
        }
        match left.next() {
            Some(_) => Err(Error::NotOffered),
            None => Ok((picks, None)),
        }
    }

    /// What is to be asked after these decisions; `None` once nothing is.
    fn next(&self, picks: &Picks, asked: &[Decision]) -> Option<Asked> {
        let ruling = self.ruling(picks);
        let kinds: Vec<Kind> = ruling.options.iter().fold(Vec::new(), |mut kinds, option| {
            if !kinds.contains(&option.kind) {
                kinds.push(option.kind);
            }
            kinds
        });
        if kinds.len() > 1 && picks.play.is_none() {
            let answers = kinds.into_iter().map(Decision::Live).collect();
            return Some(Asked { chooser: ruling.chooser, answers });
        }
        self.next_foul(&ruling, asked)
            .or_else(|| self.next_carry(&ruling, picks))
            .or_else(|| self.next_run_off(&ruling, picks))
    }

    /// The next foul that was called with the ball dead, or is carried over from a score.
    fn next_foul(&self, ruling: &Ruling, asked: &[Decision]) -> Option<Asked> {
        let is_asked = |number: usize| {
            asked.iter().any(|decision| matches!(decision, Decision::Foul { foul, .. } if *foul == number))
        };
        let mut open = ruling.option().done.iter().filter(|(number, done)| match done {
            Done::Carried => !is_asked(*number),
            Done::Accepted => {
                let dead = self.fouls[*number].dead || self.ran.dead_by.is_none();
                dead && !is_asked(*number)
            }
            Done::Declined | Done::Offset | Done::ScoreCounts | Done::FellAway => false,
        });
        let number = open.next()?.0;
        let answers = [Choice::Accept, Choice::Decline].map(|choice| Decision::Foul { foul: number, choice });
        let by = self.ran.at_snap.team(self.fouls[number].by);
        Some(Asked { chooser: by.other(), answers: answers.to_vec() })
    }

    /// Where the penalties of a touchdown are enforced.
    fn next_carry(&self, ruling: &Ruling, picks: &Picks) -> Option<Asked> {
        let carries = ruling.options.iter().any(|option| option.carry.is_some());
        let enforced = |done: &Done| matches!(done, Done::Carried | Done::Accepted);
        let option = ruling.option();
        let mut left = option.done.iter().filter(|(_, done)| enforced(done));
        let first = left.next().filter(|_| carries && option.carry.is_some() && picks.carry.is_none())?.0;
        let by = self.ran.at_snap.team(self.fouls[first].by);
        let mut carries: Vec<Carry> = ruling.options.iter().filter_map(|option| option.carry).collect();
        carries.sort_unstable();
        carries.dedup();
        let answers = carries.into_iter().map(Decision::Carried).collect();
        Some(Asked { chooser: by.other(), answers })
    }

    fn next_run_off(&self, ruling: &Ruling, picks: &Picks) -> Option<Asked> {
        let run_off = ruling.run_off.as_ref().filter(|_| picks.run_off.is_none())?;
        Some(Asked { chooser: run_off.chooser, answers: [true, false].map(Decision::RunOff).to_vec() })
    }

    fn led(&self, ruling: &Ruling) -> Led {
        let option = ruling.option();
        Led {
            after: ruling.after,
            clock_starts: ruling.clock_starts,
            period: ruling.period,
            done: option.done.clone(),
            walked: option.walked.clone(),
            free_kick: option.free_kick,
            next_series: option.next_series,
            later: option.later.clone(),
        }
    }

    /// The number of the answer that the plain rule takes.
    fn taken(&self, ruling: &Ruling, asked: &Asked) -> usize {
        let option = ruling.option();
        let is = |decision: &Decision| match decision {
            Decision::Live(kind) => *kind == option.kind,
            Decision::Foul { choice, .. } => *choice == Choice::Accept,
            Decision::Carried(carry) => Some(*carry) == option.carry,
            Decision::RunOff(taken) => ruling.run_off.as_ref().is_some_and(|off| off.taken == *taken),
        };
        asked.answers.iter().position(is).unwrap_or(0)
    }
}

/// The choices with one more decision.
fn with(mut picks: Picks, decision: Decision) -> Picks {
    match decision {
        Decision::Live(kind) => picks.play = Some(kind),
        // A foul that is not declined is accepted where it stands: naming it would choose among the live ones.
        Decision::Foul { choice: Choice::Accept, .. } => {}
        Decision::Foul { foul, choice: Choice::Decline } => {
            picks.about.insert(foul, Pick::Decline);
        }
        Decision::Carried(carry) => picks.carry = Some(carry),
        Decision::RunOff(taken) => picks.run_off = Some(taken),
    }
    picks
}
