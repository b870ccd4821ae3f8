//! A review as a script: what an official did, and when. The demo is one.

mod placing;

pub use self::placing::SeenJson;
use super::case::{ChoiceJson, EndJson, FlagJson, RuledJson, Who};
use super::error::Error;
use super::figure::{Figure, milliseconds};
use super::order;
use super::settle::Answer;
use super::situation::Situation;
use crate::closed_set::words;
use evidence::mark::{Basis, Mark, Measurement};
use review::announcement::Names;
use review::answer::timed;
use review::decide::Command;
use review::event::{Answered, Asked, Called, Look, Marked, ReadBack};
use review::fold::Review;
use review::gate::{Entry, Stop};
use review::placing::Placing;
use rules::book::Book;
use rules::book::tree::Looks;
use rules::game::play::Choice;
use rules::game::situation::ByTeam;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A review as a script.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Script {
    /// What it is about.
    pub title: String,
    /// The book: a folder or the name of a built-in one.
    pub book: String,
    /// The game.
    pub game: Game,
    /// The pseudonym of the official.
    pub official: String,
    /// Who asks.
    pub initiator: Who,
    /// The situation at the snap.
    pub situation: Situation,
    /// What the official did, in order.
    pub acts: Vec<Timed>,
}

/// A game, as far as a review needs it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Game {
    /// Its id.
    pub id: String,
    /// The week of the season.
    #[serde(default)]
    pub week: Option<u32>,
    /// The play, in the crew's words.
    pub play: String,
    /// The home team in an announcement.
    pub home: String,
    /// The home team in a spot.
    pub home_short: String,
    /// The visitors in an announcement.
    pub away: String,
    /// The visitors in a spot.
    pub away_short: String,
}

/// An act and its time.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Timed {
    /// Seconds from the challenge.
    pub at_s: f64,
    /// What was done.
    pub act: Act,
}

/// One thing that an official does in a review.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum Act {
    /// Ask for the review.
    Challenge,
    /// Put a question.
    Ask {
        /// The tree's id.
        tree: String,
        /// The call on the field.
        call: String,
        /// The moment of a whistle that came before.
        #[serde(default)]
        whistle: Option<String>,
        /// What the crew ruled besides.
        #[serde(default)]
        ruled: Vec<RuledJson>,
        /// Whether the coach challenged it; left out: yes.
        #[serde(default)]
        challenged: Option<bool>,
    },
    /// Read the call back.
    ReadBack {
        /// Where the crew put the ball.
        #[serde(default)]
        spot: Option<Figure>,
        /// What the crew had on the clock.
        #[serde(default)]
        clock_s: Option<f64>,
        /// How the play ended as it ran, where that is more than a spot.
        #[serde(default)]
        end: Option<EndJson>,
    },
    /// State the crew's flags.
    Flag(Vec<FlagJson>),
    /// State a choice of the offended team.
    Choose {
        /// The penalty's name.
        penalty: String,
        /// The choice.
        choice: ChoiceJson,
    },
    /// Look at a step.
    Look {
        /// Which question, from 0.
        #[serde(default)]
        question: usize,
        /// The step.
        step: String,
        /// The camera.
        camera: String,
        /// The kind of look.
        kind: Kind,
        /// Why, where the step asks for another kind.
        #[serde(default)]
        reason: Option<String>,
    },
    /// Mark a moment.
    Mark {
        /// The moment.
        moment: String,
        /// The camera.
        camera: String,
        /// What stands in the picture: `HH:MM:SS:FF` or `HH:MM:SS;FF`.
        timecode: String,
        /// Where, in the offense frame.
        #[serde(default)]
        x: Option<Figure>,
        /// What the game clock showed.
        #[serde(default)]
        clock_s: Option<f64>,
    },
    /// Place a point against the line that a step asks about.
    Place {
        /// Which question, from 0.
        #[serde(default)]
        question: usize,
        /// The step.
        step: String,
        /// What was clicked, a camera each, of one moment.
        seen: Vec<SeenJson>,
    },
    /// Answer a step.
    Answer {
        /// Which question, from 0.
        #[serde(default)]
        question: usize,
        /// The step.
        step: String,
        /// The answer.
        answer: Answer,
        /// What it is measured from; left out: a person says so.
        #[serde(default)]
        measured: Option<Measured>,
        /// Why, where something speaks against it.
        #[serde(default)]
        reason: Option<String>,
    },
    /// Take back the newest mark, answer, flag or choice.
    Undo,
    /// Take the challenge back.
    Withdraw,
    /// Rule.
    Rule,
    /// Read the restart back.
    ReadBackRestart,
    /// Announce.
    Announce,
    /// End without a ruling.
    CutShort {
        /// The official's reason.
        reason: String,
    },
}

/// What an answer is measured from.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum Measured {
    /// Marks, where the step asks for an order or a gap: `gap_at_least_s` and `standard` are the book's then.
    Marks(Box<order::Asked>),
    /// The point that was placed for the step last.
    Place,
}

words! {
    /// The kind of a look.
    Kind = Looks {
        /// At the speed of the game.
        FullSpeed = "full speed",
        /// Slowed.
        Slow = "slow",
        /// Picture by picture.
        FrameByFrame = "frame by frame",
    }
}

impl Game {
    /// Team names.
    pub fn names(&self) -> Names {
        Names {
            teams: ByTeam { home: self.home.clone(), away: self.away.clone() },
            short: ByTeam { home: self.home_short.clone(), away: self.away_short.clone() },
        }
    }
}

impl Script {
    /// The command of an act in the review as it is so far: an answer `unclear` is spelt out with the options of its
    /// step, one that rests on a placed point with what that measures.
    ///
    /// # Errors
    /// [`Error`] for what cannot be spelt as a command.
    pub fn command(&self, book: &Book, review: &Review, act: &Act) -> Result<Command, Error> {
        Ok(match act {
            Act::Challenge => Command::Challenge(Called {
                game: self.game.id.clone(),
                week: self.game.week,
                play: self.game.play.clone(),
                initiator: self.initiator.into(),
                stop: Stop::BeforeNextSnap,
                situation: self.situation.read().map_err(|error| error.within("situation"))?,
            }),
            Act::Ask { tree, call, whistle, ruled, challenged } => Command::Ask(Asked {
                tree: tree.clone(),
                call: call.clone(),
                whistle: whistle.clone(),
                ruled: ruled.iter().map(|ruled| (*ruled).into()).collect(),
                entry: if *challenged == Some(false) { Entry::FoundOnTheWay } else { Entry::Challenged },
            }),
            Act::ReadBack { spot, clock_s, end } => Command::ReadBack(ReadBack {
                spot: spot.map(|spot| spot.0),
                clock_ms: clock_s.map(milliseconds),
                end: end.map(|end| end.read(self.situation.offense.into())),
            }),
            Act::Flag(flags) => {
                let offense = self.situation.offense.into();
                Command::Flag(flags.iter().map(|flag| flag.read(offense)).collect())
            }
            Act::Choose { penalty, choice } => {
                Command::Choose { penalty: penalty.clone(), choice: Choice::from(*choice) }
            }
            Act::Look { question, step, camera, kind, reason } => Command::Look(Look {
                question: *question,
                step: step.clone(),
                camera: camera.clone(),
                kind: (*kind).into(),
                reason: reason.clone(),
            }),
            Act::Mark { moment, camera, timecode, x, clock_s } => Command::Mark(Marked {
                mark: Mark { moment: moment.clone(), camera: camera.clone(), timecode: timecode.parse()? },
                x: x.map(|x| x.0),
                clock_ms: clock_s.map(milliseconds),
                shot: None,
                scoreboard: None,
            }),
            Act::Place { question, step, seen } => Command::Place(Placing {
                question: *question,
                step: step.clone(),
                seen: seen
                    .iter()
                    .map(SeenJson::read)
                    .collect::<Result<_, _>>()
                    .map_err(|error: Error| error.within("seen"))?,
            }),
            Act::Answer { question, step, answer, measured, reason } => {
                let tree = review.questions.get(*question).map(|asked| &asked.tree);
                Command::Answer(Answered {
                    question: *question,
                    step: step.clone(),
                    options: options(book, tree, step, answer)?,
                    basis: basis(book, review, *question, step, measured.as_ref())?,
                    reason: reason.clone(),
                })
            }
            Act::Undo => Command::Undo,
            Act::Withdraw => Command::Withdraw,
            Act::Rule => Command::Rule,
            Act::ReadBackRestart => Command::ReadBackRestart,
            Act::Announce => Command::Announce,
            Act::CutShort { reason } => Command::CutShort { reason: reason.clone() },
        })
    }
}

/// What an answer rests on.
fn basis(
    book: &Book,
    review: &Review,
    question: usize,
    step: &str,
    measured: Option<&Measured>,
) -> Result<Basis, Error> {
    match measured {
        Some(Measured::Marks(marks)) => {
            let tree = review.questions.get(question).map(|asked| &asked.tree);
            Ok(Basis::Computed(from_marks(book, tree, step, marks)?))
        }
        Some(Measured::Place) => {
            let placed = review.placed_for(question, step);
            let placed = placed.ok_or_else(|| {
                Error::new(format!("no point was placed for `{step}`, so it is not measured from one"))
            })?;
            Ok(Basis::Computed(placed.measurement.clone()))
        }
        None => Ok(Basis::Attested),
    }
}

fn from_marks(
    book: &Book,
    tree: Option<&String>,
    step: &str,
    marks: &order::Asked,
) -> Result<Measurement, Error> {
    let between = marks.read().and_then(|read| read.between());
    let between = between.map_err(|error| error.within("measured"))?;
    let tree = tree.and_then(|tree| book.tree(tree));
    let found = tree.and_then(|tree| tree.steps.get(tree.step(step)?));
    found.and_then(|step| timed(book, step, &between)).ok_or_else(|| {
        Error::new(format!("`{step}` asks for no order and no gap, so it is not measured from marks"))
    })
}

fn options(book: &Book, tree: Option<&String>, step: &str, answer: &Answer) -> Result<Vec<String>, Error> {
    match answer {
        Answer::Some(options) => Ok(options.clone()),
        Answer::One(option) if option != "unclear" => Ok(vec![option.clone()]),
        Answer::One(_) => {
            let tree = tree.and_then(|tree| book.tree(tree));
            let found = tree.and_then(|tree| Some(&tree.steps[tree.step(step)?]));
            let found = found.ok_or_else(|| {
                Error::new(format!("`{step}` is not known to the book, so `unclear` cannot be spelt out"))
            })?;
            Ok(found.options.iter().map(|choice| choice.name.clone()).collect())
        }
    }
}
