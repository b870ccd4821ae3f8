//! Case plays in JSON: a worked example of a book, as a person writes it.

pub mod expect;
pub mod result;

use self::expect::Expect;
use super::error::Error;
use super::figure::{Figure, milliseconds, seconds};
use super::settle::{self, Answer};
use super::situation::{Side, Situation};
use crate::closed_set::words;
use review::case::{Asked, Case};
use review::gate::{Entry, Initiator, Ruled, Stop, Unknown, known};
use review::ruling::{Question, flag_on};
use rules::book::Book;
use rules::book::defect::nearest;
use rules::book::effect;
use rules::book::effect::Part;
use rules::game::known::{Recorded, known as known_step, reason};
use rules::game::play;
use rules::game::play::{Moment, Play};
use rules::game::situation::{self as game, Team};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A worked example of a book.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CasePlay {
    /// Its name.
    pub id: String,
    /// Where the expectation comes from.
    #[serde(default)]
    pub source: Option<String>,
    /// The situation at the snap.
    pub situation: Situation,
    /// Who asks.
    pub initiator: Who,
    /// When the stop signal came.
    #[serde(default)]
    pub stop: When,
    /// What is asked, in play order.
    pub questions: Vec<QuestionJson>,
    /// Marked moments of the play.
    #[serde(default)]
    pub marks: BTreeMap<String, MarkJson>,
    /// How the play ended as it ran, where a mark `end of play` does not say it.
    #[serde(default)]
    pub play: Option<EndJson>,
    /// The crew's flags.
    #[serde(default)]
    pub fouls: Vec<FlagJson>,
    /// Choices of the offended team, by the penalty's name.
    #[serde(default)]
    pub choices: BTreeMap<String, ChoiceJson>,
    /// The team that takes a timeout as soon as the ruling is announced.
    #[serde(default)]
    pub timeout: Option<Side>,
    /// What it should come to; what is left out is not compared.
    #[serde(default)]
    pub expect: Expect,
}

words! {
    /// Who asks for a review.
    Who {
        /// The home coach.
        CoachHome = "coach-home",
        /// The visiting coach.
        CoachAway = "coach-away",
        /// The booth.
        Booth = "booth",
        /// The referee.
        Referee = "referee",
    }
}

words! {
    /// When the stop signal came.
    #[derive(Default)]
    When {
        /// In time.
        #[default]
        Before = "before the next snap",
        /// Too late.
        After = "after the next snap",
    }
}

/// One question of a case play.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Question")]
pub struct QuestionJson {
    /// The tree's id, or the name of something that is never reviewed.
    pub tree: String,
    /// The call on the field.
    #[serde(default)]
    pub call: String,
    /// The moment of a whistle that came before.
    #[serde(default)]
    pub whistle: Option<String>,
    /// What the crew ruled besides, as far as it decides who may ask.
    #[serde(default)]
    pub ruled: Vec<RuledJson>,
    /// Whether the coach challenged it; left out: yes.
    #[serde(default)]
    pub challenged: Option<bool>,
    /// The answers, by step.
    #[serde(default)]
    pub answers: BTreeMap<String, Answer>,
}

words! {
    /// What the crew ruled besides.
    RuledJson = Ruled {
        /// A score.
        Score = "score",
        /// A turnover.
        Turnover = "turnover",
    }
}

/// A marked moment.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Mark")]
pub struct MarkJson {
    /// Where, in the offense frame.
    #[serde(default)]
    pub x: Option<Figure>,
    /// What the game clock showed, in seconds.
    #[serde(default)]
    pub clock_s: Option<f64>,
}

/// How a play ended.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "PlayEnd")]
pub struct EndJson {
    /// Where the ball was dead, in the offense frame of the snap.
    pub spot: Figure,
    /// What the game clock showed then.
    #[serde(default)]
    pub clock_s: Option<f64>,
    /// What killed the play; left out: a runner down.
    #[serde(default)]
    pub dead_by: DeadBy,
    /// Points that it made.
    #[serde(default)]
    pub points: Option<Points>,
    /// For whom; left out: the offense.
    #[serde(default)]
    pub by: Option<PartJson>,
    /// The other team had the ball at the end.
    #[serde(default)]
    pub turnover: bool,
    /// The other team had gained the ball, and lost it to the team that snapped.
    #[serde(default)]
    pub regained: bool,
}

words! {
    /// What killed a play.
    #[derive(Default)]
    DeadBy = effect::DeadBy {
        /// A runner down inbounds.
        #[default]
        Down = "down",
        /// Out of bounds.
        OutOfBounds = "out of bounds",
        /// An incomplete pass.
        Incomplete = "incomplete",
        /// Points.
        Score = "score",
        /// The other team has the ball.
        ChangeOfPossession = "change of possession",
        /// A foul that kills the play.
        Foul = "foul",
    }
}

words! {
    /// How points are made.
    Points = effect::Points {
        /// A touchdown.
        Touchdown = "touchdown",
        /// A field goal.
        FieldGoal = "field goal",
        /// A safety.
        Safety = "safety",
    }
}

words! {
    /// A team by its part in the play.
    PartJson {
        /// The team with the ball at the snap.
        Offense = "offense",
        /// The other one.
        Defense = "defense",
        /// The home team.
        Home = "home",
        /// The visitors.
        Away = "away",
    }
}

/// A flag of the crew.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Flag")]
pub struct FlagJson {
    /// The penalty's name in the book.
    pub name: String,
    /// On whom.
    pub by: PartJson,
    /// The spot of the foul, in the offense frame of the snap.
    #[serde(default)]
    pub spot: Option<Figure>,
    /// It was thrown for something after the ball was dead.
    #[serde(default, deserialize_with = "super::missing::or_default")]
    #[schemars(with = "Option<bool>")]
    pub dead: bool,
    /// What the game clock showed at the foul, in seconds.
    #[serde(default)]
    pub clock_s: Option<f64>,
}

words! {
    /// What the offended team does with a penalty.
    ChoiceJson = play::Choice {
        /// It takes it.
        Accept = "accept",
        /// It takes the play.
        Decline = "decline",
    }
}

impl From<Who> for Initiator {
    fn from(who: Who) -> Initiator {
        match who {
            Who::CoachHome => Initiator::Coach(Team::Home),
            Who::CoachAway => Initiator::Coach(Team::Away),
            Who::Booth => Initiator::Booth,
            Who::Referee => Initiator::Referee,
        }
    }
}

impl From<Initiator> for Who {
    fn from(initiator: Initiator) -> Who {
        match initiator {
            Initiator::Coach(Team::Home) => Who::CoachHome,
            Initiator::Coach(Team::Away) => Who::CoachAway,
            Initiator::Booth => Who::Booth,
            Initiator::Referee => Who::Referee,
        }
    }
}

fn no_clock(name: &str) -> Error {
    Error::new(format!("marks: the clock of `{name}` is not a length of time"))
}

impl CasePlay {
    /// The case play with its names resolved.
    ///
    /// # Errors
    /// [`Error`] for the first name or figure that cannot be.
    pub fn read<'b>(&self, book: &'b Book) -> Result<Case<'b>, Error> {
        let situation = self.situation.under(book)?;
        let play = self.play_of(book, situation.offense)?;
        let asked = self.questions.iter().map(|question| question.read(book, &situation, &play));
        Ok(Case {
            situation,
            initiator: self.initiator.into(),
            stop: match self.stop {
                When::Before => Stop::BeforeNextSnap,
                When::After => Stop::AfterNextSnap,
            },
            asked: asked.collect::<Result<_, _>>()?,
            play,
        })
    }

    fn play_of(&self, book: &Book, offense: Team) -> Result<Play, Error> {
        let mut moments = play::Moments::new();
        for (name, mark) in &self.marks {
            if mark.clock_s.is_some_and(|clock| !(0.0..1e6).contains(&clock)) {
                return Err(no_clock(name));
            }
            let clock_ms = mark.clock_s.map(milliseconds);
            moments.insert(name.clone(), Moment { x: mark.x.map(|x| x.0), clock_ms });
        }
        let known = |name: &String| match book.penalties.contains_key(name) {
            true => Ok(()),
            false => Err(Error::no_penalty(book, name)),
        };
        let mut flags = Vec::new();
        for flag in &self.fouls {
            known(&flag.name)?;
            if flag.clock_s.is_some_and(|clock| !(0.0..1e6).contains(&clock)) {
                return Err(no_clock(&flag.name));
            }
            flags.push(flag.read(offense));
        }
        let mut choices = BTreeMap::new();
        for (name, choice) in &self.choices {
            let of = flags.iter().find(|flag: &&play::Flag| flag.chosen_as(&flags) == *name);
            known(of.map_or(name, |flag| &flag.name))?;
            choices.insert(name.clone(), play::Choice::from(*choice));
        }
        let end = self.play.map(|end| end.read(offense));
        Ok(Play { moments, end, flags, choices, timeout: self.timeout.map(Team::from) })
    }
}

impl QuestionJson {
    fn read<'b>(&self, book: &'b Book, at_snap: &game::Situation, play: &Play) -> Result<Asked<'b>, Error> {
        if book.closed.contains_key(&self.tree) {
            return Ok(Asked::Closed(self.tree.clone()));
        }
        let found = known(book, &self.tree, &self.call).map_err(|unknown| match unknown {
            Unknown::Question(name) => {
                let all = book.trees.iter().map(|tree| tree.id.as_str());
                let hint = nearest(&name, all.chain(book.closed.keys().map(String::as_str)));
                Error::new(format!("the book has no question `{name}`: {hint}"))
            }
            Unknown::Call { .. } => Error::new(unknown),
        })?;
        let answers = settle::read(found.tree, &self.answers).map_err(|error| error.within("answers"))?;
        let end = play.ruled_end();
        let recorded = Recorded { at_snap, end: end.as_ref(), call: &self.call };
        for (index, step) in found.tree.steps.iter().enumerate() {
            let (Some(given), Some(known)) = (answers.get(index), known_step(book, step, recorded)) else {
                continue;
            };
            if given.and(known.answers).is_empty() {
                let why = format!("`{}` is not asked: {}", step.name, reason(known, recorded));
                return Err(Error::new(why).within("answers"));
            }
        }
        Ok(Asked::Question(Question {
            tree: found.tree,
            call: found.call,
            whistle: self.whistle.clone(),
            ruled: self.ruled.iter().map(|ruled| (*ruled).into()).collect(),
            entry: match self.challenged {
                Some(false) => Entry::FoundOnTheWay,
                Some(true) | None => Entry::Challenged,
            },
            flag_on: flag_on(found.tree, &play.flags),
            answers: answers.with_known(book, found.tree, recorded),
        }))
    }
}

impl FlagJson {
    /// The flag as the game knows it, in a play of this offense.
    pub fn read(&self, offense: Team) -> play::Flag {
        play::Flag {
            name: self.name.clone(),
            by: self.by.part(offense),
            spot: self.spot.map(|spot| spot.0),
            dead: self.dead,
            clock_ms: self.clock_s.map(milliseconds),
        }
    }
}

impl From<&play::Flag> for FlagJson {
    fn from(flag: &play::Flag) -> FlagJson {
        FlagJson {
            name: flag.name.clone(),
            by: match flag.by {
                Part::Offense => PartJson::Offense,
                Part::Defense => PartJson::Defense,
            },
            spot: flag.spot.map(Figure),
            dead: flag.dead,
            clock_s: flag.clock_ms.map(seconds),
        }
    }
}

impl EndJson {
    /// As the game knows it.
    pub fn read(self, offense: Team) -> play::PlayEnd {
        let by = self.by.map_or(Part::Offense, |by| by.part(offense));
        play::PlayEnd {
            spot: self.spot.0,
            clock_ms: self.clock_s.map(milliseconds),
            dead_by: self.dead_by.into(),
            points: self.points.map(|points| (points.into(), by)),
            turnover: self.turnover,
            regained: self.regained,
        }
    }
}

impl PartJson {
    /// The part of this team in a play of this offense.
    pub fn part(self, offense: Team) -> Part {
        let team = match self {
            PartJson::Offense => return Part::Offense,
            PartJson::Defense => return Part::Defense,
            PartJson::Home => Team::Home,
            PartJson::Away => Team::Away,
        };
        if team == offense { Part::Offense } else { Part::Defense }
    }
}
