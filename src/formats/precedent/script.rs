//! Rulings of the referee's own as a script: what was stated, chosen and signed, and what the supervisor decided.

use super::StartedJson;
use crate::error::Error;
use crate::figure::{Figure, milliseconds};
use crate::situation;
use review::discretion::{Command, Fact, Ground, Matter, Opened, Profit};
use review::precedent;
use review::precedent::{Condition, Weeks};
use rules::book::Book;
use rules::book::effect::DeadBy;
use rules::game::play::PlayEnd;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Several of them, under one book.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Script {
    pub book: String,
    pub rulings: Vec<Ruled>,
}

/// One ruling.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ruled {
    pub id: String,
    /// What it is about, in a line.
    pub title: String,
    pub game: String,
    pub week: u32,
    pub play: String,
    /// Who ruled: a pseudonym.
    pub official: String,
    /// The question that left it to the referee, the call and what was found.
    #[serde(default)]
    pub matter: Option<MatterRon>,
    #[serde(default)]
    pub answers: BTreeMap<String, String>,
    pub situation: situation::Situation,
    /// Where the play ended inbounds.
    pub ended_at: Figure,
    /// What the game clock showed then, in seconds.
    pub ended_s: f64,
    /// Who was at risk at first.
    #[serde(default)]
    pub at_risk: Option<String>,
    /// What the referee stated, by name.
    #[serde(default)]
    pub stated: BTreeMap<String, String>,
    /// Why the book does not reach it.
    pub because: String,
    pub started: StartedJson,
    /// A foul would reward that side.
    pub rewards: bool,
    /// The remedy, by name.
    pub remedy: String,
    /// Why, where a bound asks for it.
    #[serde(default)]
    pub reason: Option<String>,
    /// The rule that it leans on.
    pub rule: String,
    pub words: String,
    /// What the supervisor decided, in order.
    #[serde(default)]
    pub decisions: Vec<Decided>,
}

/// A question, a call, and what was found.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "Matter", deny_unknown_fields)]
pub struct MatterRon {
    /// The tree's id.
    pub question: String,
    pub call: String,
    /// The findings that are possible.
    pub findings: Vec<String>,
}

/// One decision; it holds from the week `from` on.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Decided {
    Approve { from: u32, reason: String },
    Narrow { from: u32, reason: String, only: BTreeMap<String, String> },
    Withdraw { from: u32, reason: String },
}

impl Ruled {
    /// Everything that the referee does, in order.
    ///
    /// # Errors
    /// [`Error`] if the situation cannot be.
    pub fn commands(&self, book: &Book) -> Result<Vec<Command>, Error> {
        let mut commands = vec![Command::Open(Box::new(self.opened(book)?))];
        commands.extend(self.at_risk.iter().map(|who| Command::Risk { someone: Some(who.clone()) }));
        commands.push(Command::Risk { someone: None });
        let stated = self.stated.iter();
        commands.extend(
            stated.map(|(name, says)| {
                Command::State(Fact { name: name.clone(), says: says.clone(), mark: None })
            }),
        );
        commands.extend([
            Command::Unreached { because: self.because.clone() },
            Command::Profit(Profit { started: self.started.into(), rewards: self.rewards }),
            Command::Choose { remedy: self.remedy.clone(), reason: self.reason.clone() },
            Command::Lean { rule: self.rule.clone() },
            Command::Word { words: self.words.clone() },
            Command::ReadBack,
            Command::Sign,
        ]);
        Ok(commands)
    }

    fn opened(&self, book: &Book) -> Result<Opened, Error> {
        let matter = self.matter.clone();
        let answer =
            |(name, says): (&String, &String)| Fact { name: name.clone(), says: says.clone(), mark: None };
        Ok(Opened {
            game: self.game.clone(),
            week: Some(self.week),
            play: self.play.clone(),
            review: None,
            matter: matter.map(|MatterRon { question, call, findings }| Matter { question, call, findings }),
            book: book.id.clone(),
            edition: book.edition.to_string(),
            ground: Ground {
                situation: self.situation.read()?,
                end: Some(PlayEnd {
                    spot: self.ended_at.0,
                    clock_ms: Some(milliseconds(self.ended_s)),
                    dead_by: DeadBy::Down,
                    points: None,
                    turnover: false,
                    regained: false,
                }),
                flags: Vec::new(),
                moments: Vec::new(),
                since: None,
            },
            facts: self.answers.iter().map(answer).collect(),
        })
    }
}

impl Decided {
    /// What the supervisor does.
    pub fn command(&self) -> precedent::Command {
        match self.clone() {
            Decided::Approve { from, reason } => {
                precedent::Command::Approve { weeks: Weeks { from, until: None }, reason }
            }
            Decided::Narrow { from, reason, only } => precedent::Command::Narrow {
                weeks: Weeks { from, until: None },
                reason,
                only: only.into_iter().map(|(fact, is)| Condition { fact, is }).collect(),
            },
            Decided::Withdraw { from, reason } => precedent::Command::Withdraw { from, reason },
        }
    }
}
