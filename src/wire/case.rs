//! Case plays in JSON, and what they come to.

use super::by_team::SomeOf;
use super::figure::{Figure, milliseconds};
use super::settle::{self, Answer};
use super::situation::{Incomplete, Side, Situation};
use super::words::words;
use crate::book::Book;
use crate::book::effect::{self, Part};
use crate::book::fault::nearest;
use crate::game::apply::Open;
use crate::game::enforce::{self, Enforced};
use crate::game::play::{self, Moment, Play};
use crate::game::situation::{ClockStart, Impossible, Team};
use crate::review::case::{Asked, Case, Played};
use crate::review::gate::{Entry, Gate, Initiator, Ruled, Stop, Unknown, known};
use crate::review::ruling::{Question, label};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
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
    RuledJson {
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
}

words! {
    /// What killed a play.
    #[derive(Default)]
    DeadBy {
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
    Points {
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
    #[serde(default)]
    pub dead: bool,
}

words! {
    /// What the offended team does with a penalty.
    ChoiceJson {
        /// It takes it.
        Accept = "accept",
        /// It takes the play.
        Decline = "decline",
    }
}

/// What a case play should come to.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Expect {
    /// `allowed` or `refused`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate: Option<GateJson>,
    /// The rule that a refusal cites.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule: Option<String>,
    /// The outcome of each question, by the book's label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcomes: Option<Vec<String>>,
    /// The finding that is stated for each question; `null` where none is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub findings: Option<Vec<Option<String>>>,
    /// Fields of the situation that it leads to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Partial>,
    /// How the game clock starts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_starts: Option<Starts>,
    /// Whether the coach won.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub won: Option<bool>,
    /// Whether each question is moot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moot: Option<Vec<bool>>,
    /// The rules leave it to the referee.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub discretion: Option<bool>,
}

words! {
    /// The gate's answer.
    GateJson {
        /// The review may begin.
        Allowed = "allowed",
        /// It may not.
        Refused = "refused",
    }
}

words! {
    /// How the game clock starts.
    Starts {
        /// On the snap.
        Snap = "snap",
        /// On the ready signal.
        Ready = "ready",
    }
}

/// Some fields of a situation.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
#[allow(missing_docs, reason = "the fields are those of `Situation`")]
pub struct Partial {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub period: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_running: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub play_clock_s: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<super::situation::NextPlay>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offense: Option<Side>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attacks: Option<super::situation::Attacks>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub down: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_go: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spot: Option<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub score: Option<SomeOf<u16>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub timeouts: Option<SomeOf<u8>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub challenges: Option<SomeOf<super::situation::Challenges>>,
}

/// What a case play comes to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Result {
    /// The gate's answer.
    pub gate: GateJson,
    /// The rule that a refusal cites.
    pub rule: Option<String>,
    /// Why it is refused.
    pub because: Option<String>,
    /// The outcome of each question, by the book's label.
    pub outcomes: Vec<String>,
    /// The finding that is stated for each question.
    pub findings: Vec<Option<String>>,
    /// The findings still possible for each question.
    pub possible: Vec<Vec<String>>,
    /// Whether each question is moot.
    pub moot: Vec<bool>,
    /// The situation that it leads to; what is not known yet is left out.
    pub after: Value,
    /// How the game clock starts.
    pub clock_starts: Option<Starts>,
    /// Whether a coach won.
    pub won: bool,
    /// The fouls of the play and what became of each.
    pub fouls: Vec<FoulJson>,
    /// What the restart still needs.
    pub open: Vec<String>,
    /// The rules leave it to the referee.
    pub discretion: bool,
}

/// A foul and what became of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Foul")]
pub struct FoulJson {
    /// The penalty's name.
    pub name: String,
    /// Who fouled.
    pub by: Side,
    /// What became of it.
    pub done: &'static str,
}

/// Why a case play cannot be run.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Wrong {
    /// Its situation is not complete.
    #[error("situation: {0}")]
    Incomplete(#[from] Incomplete),
    /// Its situation cannot be one of this game.
    #[error("situation: {0}")]
    Impossible(#[from] Impossible),
    /// It names what the book does not have.
    #[error("{0}")]
    Unknown(#[from] Unknown),
    /// It names a question that the book does not have.
    #[error("the book has no question `{0}`: {1}")]
    Question(String, String),
    /// It names an answer that the tree does not have.
    #[error("answers: {0}")]
    Answer(#[from] settle::Wrong),
    /// It names a penalty that the book does not have.
    #[error("the book has no penalty `{0}`: {1}")]
    Penalty(String, String),
    /// A mark's clock is no figure.
    #[error("marks: the clock of `{0}` is not a length of time")]
    Clock(String),
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

impl CasePlay {
    /// The case play with its names resolved.
    ///
    /// # Errors
    /// [`Wrong`] for the first name or figure that cannot be.
    pub fn read<'b>(&self, book: &'b Book) -> std::result::Result<Case<'b>, Wrong> {
        let situation = self.situation.read()?;
        situation.possible(&book.field, &book.game)?;
        Ok(Case {
            situation,
            initiator: self.initiator.into(),
            stop: match self.stop {
                When::Before => Stop::BeforeNextSnap,
                When::After => Stop::AfterNextSnap,
            },
            asked: self
                .questions
                .iter()
                .map(|question| question.read(book))
                .collect::<std::result::Result<_, _>>()?,
            play: self.play_of(book, situation.offense)?,
        })
    }

    fn play_of(&self, book: &Book, offense: Team) -> std::result::Result<Play, Wrong> {
        let mut moments = play::Moments::new();
        for (name, mark) in &self.marks {
            if mark.clock_s.is_some_and(|clock| !(0.0..1e6).contains(&clock)) {
                return Err(Wrong::Clock(name.clone()));
            }
            let clock_ms = mark.clock_s.map(milliseconds);
            moments.insert(name.clone(), Moment { x: mark.x.map(|x| x.0), clock_ms });
        }
        let known = |name: &String| match book.penalties.contains_key(name) {
            true => Ok(()),
            false => {
                let hint = nearest(name, book.penalties.keys().map(String::as_str));
                Err(Wrong::Penalty(name.clone(), hint))
            }
        };
        let mut flags = Vec::new();
        for flag in &self.fouls {
            known(&flag.name)?;
            flags.push(flag.read(offense));
        }
        let mut choices = BTreeMap::new();
        for (name, choice) in &self.choices {
            known(name)?;
            choices.insert(name.clone(), play::Choice::from(*choice));
        }
        let end = self.play.map(|end| end.read(offense));
        Ok(Play { moments, end, flags, choices })
    }
}

impl QuestionJson {
    fn read<'b>(&self, book: &'b Book) -> std::result::Result<Asked<'b>, Wrong> {
        if book.closed.contains_key(&self.tree) {
            return Ok(Asked::Closed(self.tree.clone()));
        }
        let found = known(book, &self.tree, &self.call).map_err(|unknown| match unknown {
            Unknown::Question(name) => {
                let all = book.trees.iter().map(|tree| tree.id.as_str());
                let hint = nearest(&name, all.chain(book.closed.keys().map(String::as_str)));
                Wrong::Question(name, hint)
            }
            Unknown::Call { .. } => Wrong::Unknown(unknown),
        })?;
        Ok(Asked::Question(Question {
            tree: found.tree,
            call: found.call,
            whistle: self.whistle.clone(),
            ruled: self.ruled.iter().map(|ruled| (*ruled).into()).collect(),
            entry: match self.challenged {
                Some(false) => Entry::FoundOnTheWay,
                Some(true) | None => Entry::Challenged,
            },
            answers: settle::read(found.tree, &self.answers)?,
        }))
    }
}

impl From<RuledJson> for Ruled {
    fn from(ruled: RuledJson) -> Ruled {
        match ruled {
            RuledJson::Score => Ruled::Score,
            RuledJson::Turnover => Ruled::Turnover,
        }
    }
}

impl From<ChoiceJson> for play::Choice {
    fn from(choice: ChoiceJson) -> play::Choice {
        match choice {
            ChoiceJson::Accept => play::Choice::Accept,
            ChoiceJson::Decline => play::Choice::Decline,
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
        }
    }
}

impl EndJson {
    fn read(self, offense: Team) -> play::PlayEnd {
        let points = self.points.map(|points| match points {
            Points::Touchdown => effect::Points::Touchdown,
            Points::FieldGoal => effect::Points::FieldGoal,
            Points::Safety => effect::Points::Safety,
        });
        let by = self.by.map_or(Part::Offense, |by| by.part(offense));
        play::PlayEnd {
            spot: self.spot.0,
            clock_ms: self.clock_s.map(milliseconds),
            dead_by: match self.dead_by {
                DeadBy::Down => effect::DeadBy::Down,
                DeadBy::OutOfBounds => effect::DeadBy::OutOfBounds,
                DeadBy::Incomplete => effect::DeadBy::Incomplete,
                DeadBy::Score => effect::DeadBy::Score,
                DeadBy::ChangeOfPossession => effect::DeadBy::ChangeOfPossession,
                DeadBy::Foul => effect::DeadBy::Foul,
            },
            points: points.map(|points| (points, by)),
            turnover: self.turnover,
        }
    }
}

impl PartJson {
    fn part(self, offense: Team) -> Part {
        let team = match self {
            PartJson::Offense => return Part::Offense,
            PartJson::Defense => return Part::Defense,
            PartJson::Home => Team::Home,
            PartJson::Away => Team::Away,
        };
        if team == offense { Part::Offense } else { Part::Defense }
    }
}

impl From<ClockStart> for Starts {
    fn from(start: ClockStart) -> Starts {
        match start {
            ClockStart::Snap => Starts::Snap,
            ClockStart::Ready => Starts::Ready,
        }
    }
}

impl From<&Enforced> for FoulJson {
    fn from(foul: &Enforced) -> FoulJson {
        let done = match foul.done {
            enforce::Done::Accepted => "accepted",
            enforce::Done::Declined => "declined",
            enforce::Done::Offset => "offset",
            enforce::Done::ScoreCounts => "score counts",
            enforce::Done::Carried => "carried",
        };
        FoulJson { name: foul.name.clone(), by: foul.by.into(), done }
    }
}

impl Result {
    /// What a case play came to, in JSON.
    pub fn of(book: &Book, case: &Case<'_>, played: &Played<'_>) -> Result {
        let (gate, rule, because) = match &played.gate {
            Gate::Allowed { .. } => (GateJson::Allowed, None, None),
            Gate::Refused(refusal) => {
                (GateJson::Refused, Some(refusal.rule.clone()), Some(refusal.because.clone()))
            }
        };
        let trees = case.asked.iter().filter_map(|asked| match asked {
            Asked::Question(question) => Some(question.tree),
            Asked::Closed(_) => None,
        });
        let ruling = played.ruling.as_ref();
        let decided = || ruling.into_iter().flat_map(|ruling| &ruling.questions);
        let name = |tree: &crate::book::tree::Tree, index: usize| tree.findings[index].name.clone();
        let restart = ruling.map(|ruling| &ruling.restart);
        Result {
            gate,
            rule,
            because,
            outcomes: decided().map(|decided| label(book, decided.outcome).to_owned()).collect(),
            findings: trees
                .clone()
                .zip(decided())
                .map(|(tree, decided)| decided.finding.map(|index| name(tree, index)))
                .collect(),
            possible: trees.zip(decided()).map(|(tree, decided)| names(tree, decided.possible)).collect(),
            moot: decided().map(|decided| decided.moot).collect(),
            after: after(&played.after, restart.map_or(&[], |restart| &restart.open)),
            clock_starts: restart.and_then(|restart| restart.clock_starts).map(Starts::from),
            won: ruling.and_then(|ruling| ruling.won).unwrap_or(false),
            fouls: restart.map_or(&[][..], |restart| &restart.fouls).iter().map(FoulJson::from).collect(),
            open: restart.map_or(&[][..], |restart| &restart.open).iter().map(Open::to_string).collect(),
            discretion: restart.is_some_and(|restart| restart.discretion),
        }
    }
}

/// The names of a set of findings, in alphabetical order.
pub fn names(tree: &crate::book::tree::Tree, set: crate::book::tree::Set) -> Vec<String> {
    let mut names: Vec<String> = set.iter().map(|index| tree.findings[index].name.clone()).collect();
    names.sort();
    names
}

/// A situation without the fields that are still open.
pub fn after(situation: &crate::game::situation::Situation, open: &[Open]) -> Value {
    let mut fields = match serde_json::to_value(Situation::from(situation)) {
        Ok(Value::Object(fields)) => fields,
        // INVARIANT: a situation is a struct of plain values.
        Ok(_) | Err(_) => Map::new(),
    };
    for open in open {
        let unknown: &[&str] = match open {
            Open::Spot(_) | Open::OffField(_) => &["spot", "down", "to_go", "offense", "attacks"],
            Open::Flag(_) | Open::FoulSpot(_) => &["spot", "down", "to_go"],
            Open::Clock(_) => &["clock_s"],
        };
        unknown.iter().for_each(|field| {
            fields.remove(*field);
        });
    }
    Value::Object(fields)
}

/// Where a result differs from what is expected, one line a difference; empty if it agrees.
pub fn differences(expect: &Expect, result: &Result) -> Vec<String> {
    let mut lines = Vec::new();
    match (serde_json::to_value(expect), serde_json::to_value(result)) {
        (Ok(expected), Ok(found)) => compare("", &expected, &found, &mut lines),
        (Err(error), _) | (_, Err(error)) => lines.push(error.to_string()),
    }
    if !lines.is_empty() {
        lines.extend(result.open.iter().map(|open| format!("open: {open}")));
        lines.extend(result.because.iter().map(|because| format!("refused: {because}")));
    }
    lines
}

fn compare(path: &str, expected: &Value, found: &Value, lines: &mut Vec<String>) {
    match (expected, found) {
        (Value::Object(expected), _) => {
            for (name, value) in expected {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                compare(&path, value, found.get(name).unwrap_or(&Value::Null), lines);
            }
        }
        (Value::Number(one), Value::Number(other)) if one.as_f64() == other.as_f64() => {}
        _ if expected == found => {}
        _ => lines.push(format!("{path}: expected {expected}, found {found}")),
    }
}
