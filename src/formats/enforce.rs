//! A play with its fouls, for `enforce`.

use super::by_team::SomeOf;
use super::error::Error;
use super::figure::{Figure, milliseconds};
use super::situation::Situation;
use form::{ActJson, Ended, FoulJson, PlayJson, SeriesJson, StageJson, StoppageJson};
use rules::book::Book;
use rules::book::defect::nearest;
use rules::book::effect::Part;
use rules::game::course::{Course, Foul, Stage, Stoppage, Tactic};
use rules::game::enforce::options::Kind;
use rules::game::enforce::reading::Ran;
use rules::game::enforce::walk_off::Place;
use rules::game::enforce::{Around, Carry, Pick, Picks, Ruling, enforce};
use rules::game::situation;
use rules::game::situation::{Next, Team};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

pub mod form;
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

/// The most stages of a play that is read.
const MOST_STAGES: usize = 40;
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
}

impl Read<'_> {
    /// Enforces the fouls on the play.
    pub fn ruling(&self, book: &Book) -> Ruling {
        let (fouls, stoppages, picks) = (&self.fouls, &self.stoppages, &self.picks);
        enforce(book, &self.ran, Around { fouls, stoppages, picks })
    }
}

impl Asked {
    /// With its names resolved.
    ///
    /// # Errors
    /// [`Error`] for the first name or figure that cannot be.
    pub fn read<'b>(&self, book: &'b Book) -> Result<Read<'b>, Error> {
        let situation = self.situation.under(book)?;
        if self.fouls.len() > MOST_FOULS {
            return Err(Error::new(format!(
                "{} fouls are too many: a play has at most {MOST_FOULS}",
                self.fouls.len()
            )));
        }
        let mut ran = match &self.play {
            None => Ran::nothing(situation, situation.clock_ms),
            Some(play) => play.read(book, situation)?,
        };
        ran.second_series = self.series == Some(SeriesJson::Second);
        let stages = ran.stages.len().max(self.play.as_ref().map_or(0, |play| play.stages.len()));
        let last = self.play.as_ref().and_then(|play| play.dead_after).unwrap_or(usize::MAX);
        let dead_ms = ran.ending.clock_ms;
        let fouls = self.fouls.iter().map(|foul| {
            let mut read = foul.read(book, &situation, stages)?;
            let later = foul.clock_s.is_some_and(|clock_s| milliseconds(clock_s) < dead_ms);
            read.dead |= later && self.play.is_some() || read.during >= last;
            Ok(read)
        });
        let stoppages = self.stoppages.iter().map(|stoppage| Stoppage {
            cause: stoppage.cause.into(),
            by: stoppage.by.part(situation.offense),
        });
        Ok(Read {
            situation,
            fouls: fouls.collect::<Result<_, Error>>()?,
            stoppages: stoppages.collect(),
            picks: self.picks(book, &ran)?,
            ran,
        })
    }

    fn picks(&self, book: &Book, ran: &Ran) -> Result<Picks, Error> {
        let mut picks = Picks::better();
        for (name, word) in &self.choices {
            let one_of = |known: &[&str]| {
                let hint = nearest(word, known.iter().copied());
                Error::new(format!("choices: `{name}` cannot be `{word}`: {hint}"))
            };
            match (name.as_str(), word.as_str()) {
                ("fouls of both", "offset") => picks.play = Some(Kind::Offset),
                ("fouls of both", "keep the ball") => picks.play = Some(Kind::KeepBall),
                ("fouls of both", _) => return Err(one_of(&["offset", "keep the ball"])),
                ("after a touchdown", "try") => picks.carry = Some(Carry::Try),
                ("after a touchdown", "free kick") => picks.carry = Some(Carry::FreeKick),
                ("after a touchdown", "next series") => picks.carry = Some(Carry::NextSeries),
                ("after a touchdown", _) => return Err(one_of(&["try", "free kick", "next series"])),
                ("run-off", "take") => picks.run_off = Some(true),
                ("run-off", "decline") => picks.run_off = Some(false),
                ("run-off", _) => return Err(one_of(&["take", "decline"])),
                ("timeout", "home") => picks.timeout = Some(Team::Home),
                ("timeout", "away") => picks.timeout = Some(Team::Away),
                ("timeout", _) => return Err(one_of(&["home", "away"])),
                ("touch", "take") if ran.touch_spots().next().is_none() => {
                    return Err(Error::new("choices: `touch`: no stage of the play has a `touch_spot`"));
                }
                ("touch", "take") => picks.play = ran.touch_spots().next().map(Kind::TouchSpot),
                ("touch", _) => return Err(one_of(&["take"])),
                ("whistle", "take") => picks.play = Some(Kind::Play),
                ("whistle", "repeat") => picks.play = Some(Kind::Repeat),
                ("whistle", _) => return Err(one_of(&["take", "repeat"])),
                (penalty, word) => {
                    if !book.penalties.contains_key(penalty) {
                        return Err(Error::no_penalty(book, penalty));
                    }
                    if !self.fouls.iter().any(|foul| foul.name == penalty) {
                        return Err(Error::new(format!(
                            "choices: `{penalty}`: there is no such foul in this play"
                        )));
                    }
                    let known = ["accept", "decline", "standard", "tack on", "beyond"];
                    let pick = match word {
                        "accept" => Pick::Accept,
                        "decline" => Pick::Decline,
                        "standard" => Pick::At(Place::Standard),
                        "tack on" => Pick::At(Place::TackOn),
                        "beyond" => Pick::At(Place::Beyond),
                        _ => return Err(one_of(&known)),
                    };
                    let of = self.fouls.iter().enumerate().filter(|(_, foul)| foul.name == penalty);
                    picks.about.extend(of.map(|(number, _)| (number, pick)));
                }
            }
        }
        Ok(picks)
    }
}

impl PlayJson {
    fn read(&self, book: &Book, at_snap: situation::Situation) -> Result<Ran, Error> {
        if self.stages.len() > MOST_STAGES {
            let count = self.stages.len();
            return Err(Error::new(format!(
                "play: {count} stages are too many: a play has at most {MOST_STAGES}"
            )));
        }
        let count = self.dead_after.unwrap_or(self.stages.len());
        if self.dead_after.is_some_and(|after| after == 0 || after > self.stages.len()) {
            let stages = self.stages.len();
            return Err(Error::new(format!(
                "play: the ball cannot be dead after stage {count}: the play has {stages}"
            )));
        }
        let played = self.stages.iter().take(count);
        let Some(last) = played.clone().next_back() else {
            return Err(Error::new("play: it has no stages: leave `play` out where nothing was played"));
        };
        let fits = match (self.ended, last.act) {
            (Ended::Good, act) => act == ActJson::GoalKick,
            (Ended::Incomplete, act) => act == ActJson::Pass,
            // A kick may be downed or caught where it came down.
            (Ended::Down | Ended::FairCatch, act) => matches!(act, ActJson::Run | ActJson::Kick),
            (Ended::Dead, act) => act != ActJson::Run,
            (Ended::OutOfBounds, act) => act != ActJson::Pass,
            (Ended::Whistle, _) => true,
        };
        if !fits {
            let (ended, act) = (self.ended.word(), last.act.word());
            let can = after(last.act);
            return Err(Error::new(format!("play: it cannot end `{ended}` after a stage `{act}`: {can}")));
        }
        let clock_ms = match self.clock_s {
            None => at_snap.clock_ms,
            Some(clock_s) => {
                let most = at_snap.clock_ms as f64 / 1000.0;
                if !(0.0..=most).contains(&clock_s) {
                    let message = format!("play: `clock_s` lies between 0 and the {most} s of the situation");
                    return Err(Error::new(message));
                }
                milliseconds(clock_s)
            }
        };
        let mut stages = Vec::with_capacity(count);
        let mut at = Figure(at_snap.spot);
        for stage in played {
            stages.push(stage.read(book, at, at_snap.offense)?);
            at = stage.to;
        }
        let ended = self.ended.into();
        Ok(Ran::read(book, at_snap, &Course { stages, ended }, clock_ms))
    }
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

fn off_field(place: Figure) -> Error {
    Error::new(format!("play: {} is not on the field or in an end zone", place.0))
}

impl StageJson {
    fn read(&self, book: &Book, at: Figure, offense: Team) -> Result<Stage, Error> {
        let from = self.from.unwrap_or(at);
        let farthest = book.field.length + book.field.end_zone;
        let places = [Some(from), Some(self.to), self.reached, self.touch_spot];
        if let Some(place) =
            places.into_iter().flatten().find(|place| place.0 < -book.field.end_zone || place.0 > farthest)
        {
            return Err(off_field(place));
        }
        Ok(Stage {
            act: self.act.into(),
            by: self.by.part(offense),
            from: from.0,
            to: self.to.0,
            reached: self.reached.map(|place| place.0),
            touched: self.touched,
            touch_spot: self.touch_spot.map(|place| place.0),
            momentum: self.momentum,
            own_fumble: self.own_fumble,
            impetus: self.impetus.map(|by| by.part(offense)),
        })
    }
}

impl FoulJson {
    fn read<'b>(
        &self,
        book: &'b Book,
        at_snap: &situation::Situation,
        stages: usize,
    ) -> Result<Foul<'b>, Error> {
        let penalty = book.penalties.get(&self.name).ok_or_else(|| Error::no_penalty(book, &self.name))?;
        let by = self.by.part(at_snap.offense);
        if penalty.by.is_some_and(|only| only != by) && at_snap.next != Next::FreeKick {
            let team = match by {
                Part::Offense => "offense",
                Part::Defense => "defense",
            };
            return Err(Error::new(format!("`{}` is never a foul of the {team}", self.name)));
        }
        let farthest = book.field.length + book.field.end_zone;
        if let Some(spot) = self.spot.filter(|spot| spot.0 < -book.field.end_zone || spot.0 > farthest) {
            return Err(off_field(spot));
        }
        let during = self.during.unwrap_or(1);
        if during == 0 || during > stages.max(1) {
            let name = &self.name;
            return Err(Error::new(format!(
                "fouls: `{name}` is during stage {during}, and the play has {stages}"
            )));
        }
        Ok(Foul {
            penalty,
            by,
            spot: self.spot.map(|spot| spot.0),
            during: during - 1,
            dead: self.dead || self.before_ready,
            flagrant: self.flagrant,
            before_ready: self.before_ready,
            tactic: self.tactic.map(Tactic::from),
        })
    }
}

/// The difference in score that a ruling makes.
pub(super) fn score_change(before: &situation::Situation, after: &situation::Situation) -> SomeOf<i32> {
    let change = |team| i32::from(*after.score.of(team)) - i32::from(*before.score.of(team));
    SomeOf { home: Some(change(Team::Home)), away: Some(change(Team::Away)) }
}
