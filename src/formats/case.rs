//! Case plays in JSON: a worked example of a book, as a person writes it.

pub mod expect;
mod read;
pub mod result;

use self::expect::Expect;
pub(crate) use self::read::named;
use super::figure::{Figure, milliseconds, seconds};
use super::settle::Answer;
use super::situation::{Side, Situation};
use crate::closed_set::words;
use review::gate::{Initiator, Ruled};
use rules::book::effect;
use rules::book::effect::Part;
use rules::game::play;
use rules::game::situation::Team;
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
