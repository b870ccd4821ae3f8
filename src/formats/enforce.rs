//! A play with its fouls, for `enforce`.

use super::by_team::SomeOf;
use super::error::Error;
use super::situation::Situation;
use crate::snap::Snap;
use form::{FoulJson, PlayJson, SeriesJson, StoppageJson};
use rules::book::Book;
use rules::book::penalty::{BallState, With};
use rules::game::course::{Act, Foul, Stage, Stoppage, Tactic};
use rules::game::enforce::reading::Ran;
use rules::game::enforce::{Around, Picks, Ruling, enforce};
use rules::game::situation;
use rules::game::situation::Team;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

mod choices;
pub mod form;
mod play;
pub mod result;

/// A situation, the play that was run from it, its fouls and what the teams choose.
///
/// All places are in yards from the goal line of the team that snaps or kicks off (the offense), whoever has the ball:
/// its own 30 is 30; with a field of 100 the opponents' 25 is 75; its own end zone lies below 0, the other one beyond
/// the length of the field. `offense` and `defense` always name the teams as the play began.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// The situation at the snap or kick; or, where nothing was played, between two plays.
    pub situation: Situation,
    /// The play that was run. Left out: nothing was played (a foul before the snap, or between plays).
    #[serde(default)]
    pub play: Option<PlayJson>,
    /// The fouls, in the order in which they were.
    #[serde(default)]
    pub fouls: Vec<FoulJson>,
    /// In overtime where each team has a series: whether the play belongs to the first or the second one of its period,
    /// so that the end of the period, or of the game, can be said. Left out: it is not said.
    #[serde(default)]
    pub series: Option<SeriesJson>,
    /// What else stopped the clock: an injury, a helmet that came off.
    #[serde(default)]
    pub stoppages: Vec<StoppageJson>,
    /// What the teams choose. By a penalty's name: `accept` (in its better place), `decline`, or a place: `standard`,
    /// `tack on` (added to where the receivers get the ball), `beyond` (the ball so far beyond the previous spot).
    /// Besides: `"fouls of both"`: `offset` or `keep the ball`; `"after a touchdown"`: `try` or `free kick`, in overtime
    /// `try` or `next series`;
    /// `"run-off"`: `take` or `decline`; `"timeout"`: `home` or `away`; `"touch"`: `take` (the ball where the kickers
    /// touched the kick); `"whistle"`: `take` (the ball where an early whistle killed it) or `repeat` (the down again).
    /// What is not named: the better one by the plain rule.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
}

/// The most fouls of a play that are read.
const MOST_FOULS: usize = 20;

/// All that `enforce` needs, with its names resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Read<'b> {
    pub situation: situation::Situation,
    pub ran: Ran,
    pub fouls: Vec<Foul<'b>>,
    /// What else stopped the clock.
    pub stoppages: Vec<Stoppage>,
    pub picks: Picks,
    /// The choices as they are written.
    chosen: BTreeMap<String, String>,
    /// What is odd about the input, and taken as it is written.
    odd: Vec<String>,
}

impl Read<'_> {
    /// Enforces the fouls on the play.
    pub fn ruling(&self, book: &Book) -> Ruling {
        let (fouls, stoppages, picks) = (&self.fouls, &self.stoppages, &self.picks);
        enforce(book, &self.ran, Around { fouls, stoppages, picks })
    }

    /// Everything about the input that changed nothing in its ruling, or is odd and was taken as it is written.
    pub fn notes(&self, ruling: &Ruling) -> Vec<String> {
        self.odd.iter().cloned().chain(choices::idle(self, ruling)).collect()
    }

    /// Whether the foul of this number is one with the ball dead.
    fn is_dead(&self, number: usize) -> bool {
        let dead = |foul: &Foul<'_>| foul.dead || foul.penalty.ball == BallState::Dead;
        self.ran.dead_by.is_none() || self.fouls.get(number).is_some_and(dead)
    }
}

impl Asked {
    /// With its names resolved.
    ///
    /// # Errors
    /// [`Error`] for the first name or figure that cannot be.
    pub fn read<'b>(&self, book: &'b Book) -> Result<Read<'b>, Error> {
        let situation = self.situation.under(book)?;
        let snap = Snap { book, at: &situation };
        if self.fouls.len() > MOST_FOULS {
            let count = self.fouls.len();
            return Err(Error::new(format!("{count} fouls are too many: a play has at most {MOST_FOULS}"))
                .within("fouls"));
        }
        let mut notes = self.situation.notes(book);
        let mut ran = match &self.play {
            None => Ran::nothing(situation, situation.clock_ms),
            Some(play) => {
                let play = play::read(play, snap).map_err(|error| error.within("play"))?;
                notes.extend(play.notes);
                play.ran
            }
        };
        ran.second_series = self.series == Some(SeriesJson::Second);
        if self.series.is_some() && !book.game.is_overtime(situation.period) {
            notes.push("`series` means something in overtime alone: it changes nothing here".to_owned());
        }
        let stages = ran.stages.len().max(self.play.as_ref().map_or(0, |play| play.stages.len()));
        let last = self.play.as_ref().and_then(|play| play.dead_after).unwrap_or(usize::MAX);
        let dead_ms = ran.ending.clock_ms;
        let mut fouls = Vec::with_capacity(self.fouls.len());
        for (index, foul) in self.fouls.iter().enumerate() {
            let in_foul = |error: Error| error.item(index).within("fouls");
            let (mut read, clock_ms) = foul.read(snap, stages).map_err(in_foul)?;
            if let (false, Some(_), Some(clock_s)) = (read.dead, &self.play, foul.clock_s) {
                snap.clock(clock_s).map_err(|error| in_foul(error.within("clock_s")))?;
            }
            let later = clock_ms.is_some_and(|clock_ms| clock_ms < dead_ms);
            read.dead |= later && self.play.is_some() || read.during >= last;
            let without = foul.without(&read, self.play.is_some(), &ran.stages).map_err(in_foul)?;
            notes.extend(without);
            fouls.push(read);
        }
        let stoppages = self.stoppages.iter().map(|stoppage| Stoppage {
            cause: stoppage.cause.into(),
            by: stoppage.by.part(situation.offense),
        });
        let picks = choices::read(self, snap, &ran)?;
        Ok(Read {
            situation,
            fouls,
            stoppages: stoppages.collect(),
            picks,
            ran,
            chosen: self.choices.clone(),
            odd: notes,
        })
    }
}

impl FoulJson {
    /// The foul, and what the clock showed then, in milliseconds.
    fn read<'b>(&self, snap: Snap<'_, 'b>, stages: usize) -> Result<(Foul<'b>, Option<i64>), Error> {
        let by = self.by.part(snap.at.offense);
        let penalty = snap.penalty(&self.name, by)?;
        let spot = self.spot.map(|spot| snap.place(spot).map_err(|error| error.within("spot")));
        let clock =
            self.clock_s.map(|clock_s| snap.any_clock(clock_s).map_err(|error| error.within("clock_s")));
        let during = self.during.unwrap_or(1);
        if during == 0 || during > stages.max(1) {
            let message = match stages {
                0 => format!("nothing was played, so there is no stage {during}"),
                _ => format!("there is no stage {during}: the play has {stages}"),
            };
            return Err(Error::new(message)
                .help("write the number of a stage, from 1, or leave it out for the first")
                .within("during"));
        }
        let foul = Foul {
            penalty,
            by,
            spot: spot.transpose()?,
            during: during - 1,
            dead: self.dead || self.before_ready,
            flagrant: self.flagrant,
            before_ready: self.before_ready,
            tactic: self.tactic.map(Tactic::from),
        };
        Ok((foul, clock.transpose()?))
    }

    /// Refuses a foul on a kick where nothing was kicked; says one on a pass where none is written, since a caught pass
    /// may be written as a run.
    fn without(&self, read: &Foul<'_>, played: bool, stages: &[Stage]) -> Result<Option<String>, Error> {
        let any = |kind: fn(Act) -> bool| stages.iter().any(|stage| kind(stage.act));
        match read.penalty.with {
            Some(With::Kick) if played && !read.dead && !any(Act::is_kick) => {
                Err(Error::new(format!("`{}` is a foul on a kick, and no stage is a kick", self.name))
                    .help("add the stage `kick`, or write the foul that it is on this play")
                    .within("name"))
            }
            Some(With::Pass) if played && !read.dead && !any(|act| act == Act::Pass) => {
                Ok(Some(format!("`{}` is a foul on a forward pass, and no stage is a `pass`", self.name)))
            }
            Some(With::Kick | With::Pass | With::FreeKick) | None => Ok(None),
        }
    }
}

/// The difference in score that a ruling makes.
pub(super) fn score_change(before: &situation::Situation, after: &situation::Situation) -> SomeOf<i32> {
    let change = |team| i32::from(*after.score.of(team)) - i32::from(*before.score.of(team));
    SomeOf { home: Some(change(Team::Home)), away: Some(change(Team::Away)) }
}
