//! Precedents in JSON: a case to which near ones are looked for, what is found, and one with its life.

pub mod script;

use crate::closed_set::words;
use review::discretion;
use review::precedent::fold::{Decision, Precedent, Status};
use review::precedent::near::Near;
use review::precedent::pattern::Pattern;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

words! {
    /// Which side started it.
    StartedJson {
        /// The team that had the ball at the snap.
        Offense = "offense",
        /// The other team.
        Defense = "defense",
        /// Neither, or it is not known.
        Neither = "neither",
    }
}

words! {
    /// What became of a precedent.
    StatusJson {
        /// Nobody has decided yet.
        Proposed = "proposed",
        /// It is shown wherever its facts recur.
        Approved = "approved",
        /// It is shown where its conditions hold as well.
        Narrowed = "narrowed",
        /// It is shown no more.
        Withdrawn = "withdrawn",
    }
}

/// A case. What is left out is not compared.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// The week of the season: which precedents are in force.
    #[serde(default)]
    pub week: Option<u32>,
    /// The question that left it to the referee, by id.
    #[serde(default)]
    pub question: Option<String>,
    /// The call on the field.
    #[serde(default)]
    pub call: Option<String>,
    /// The findings that are possible.
    #[serde(default)]
    pub findings: BTreeSet<String>,
    /// Answers, by step.
    #[serde(default)]
    pub facts: BTreeMap<String, String>,
    /// Someone was at risk.
    #[serde(default)]
    pub at_risk: Option<bool>,
    /// Who started it.
    #[serde(default)]
    pub started: Option<StartedJson>,
    /// A foul would reward the side that started it.
    #[serde(default)]
    pub rewards: Option<bool>,
    /// The down.
    #[serde(default)]
    pub down: Option<u8>,
    /// It was in the part of a half in which the clock stops more often.
    #[serde(default)]
    pub late: Option<bool>,
    /// What else is said of it.
    #[serde(default)]
    pub words: String,
}

/// The precedents near a case: those in force, the nearest first, then all others likewise.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NearResult {
    /// They.
    pub near: Vec<NearJson>,
}

/// One precedent beside a case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Near")]
pub struct NearJson {
    /// Its id.
    pub id: String,
    /// What it is about.
    pub title: String,
    /// How near, from 0 to 1.
    pub nearness: f64,
    /// What became of it.
    pub status: StatusJson,
    /// It is in force, and its facts recur in this case.
    pub recurs: bool,
    /// What was done.
    pub remedy: String,
    /// The rule that it leans on.
    pub rule: String,
    /// Why it is near.
    pub why: Vec<String>,
    /// How it differs; first of all, that it is not in force: "withdrawn from week 9", "not in force in week 2".
    pub differs: Vec<String>,
}

/// A precedent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PrecedentJson {
    /// Its id.
    pub id: String,
    /// What it is about.
    pub title: String,
    /// What became of it.
    pub status: StatusJson,
    /// The referee's own ruling that it stands on.
    pub ruling: String,
    /// The game.
    pub game: String,
    /// What was done.
    pub remedy: String,
    /// The rule that it leans on.
    pub rule: String,
    /// Its facts.
    pub facts: Case,
    /// What the supervisor decided, in order.
    pub decisions: Vec<DecisionJson>,
}

/// One decision of the supervisor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DecisionJson {
    /// What it made of it.
    pub status: StatusJson,
    /// From this week on.
    pub from: u32,
    /// Up to this one; null: until something else is decided.
    pub until: Option<u32>,
    /// The reason given.
    pub reason: String,
    /// Facts that must be as they were.
    pub only: BTreeMap<String, String>,
    /// Who decided: a pseudonym.
    pub by: String,
}

impl From<StartedJson> for discretion::Started {
    fn from(started: StartedJson) -> discretion::Started {
        match started {
            StartedJson::Offense => discretion::Started::Offense,
            StartedJson::Defense => discretion::Started::Defense,
            StartedJson::Neither => discretion::Started::Neither,
        }
    }
}

impl From<discretion::Started> for StartedJson {
    fn from(started: discretion::Started) -> StartedJson {
        match started {
            discretion::Started::Offense => StartedJson::Offense,
            discretion::Started::Defense => StartedJson::Defense,
            discretion::Started::Neither => StartedJson::Neither,
        }
    }
}

impl From<Status> for StatusJson {
    fn from(status: Status) -> StatusJson {
        match status {
            Status::Proposed => StatusJson::Proposed,
            Status::Approved => StatusJson::Approved,
            Status::Narrowed => StatusJson::Narrowed,
            Status::Withdrawn => StatusJson::Withdrawn,
        }
    }
}

impl From<Case> for Pattern {
    fn from(case: Case) -> Pattern {
        let Case {
            week: _,
            question,
            call,
            findings,
            facts,
            at_risk,
            started,
            rewards,
            down,
            late,
            words: _,
        } = case;
        let started = started.map(discretion::Started::from);
        Pattern { question, call, findings, facts, at_risk, started, rewards, down, late }
    }
}

impl From<&Pattern> for Case {
    fn from(pattern: &Pattern) -> Case {
        let Pattern { question, call, findings, facts, at_risk, started, rewards, down, late } =
            pattern.clone();
        let started = started.map(StartedJson::from);
        let (week, words) = (None, String::new());
        Case { week, question, call, findings, facts, at_risk, started, rewards, down, late, words }
    }
}

impl From<&Near<'_>> for NearJson {
    fn from(near: &Near<'_>) -> NearJson {
        let proposal = &near.precedent.proposal;
        NearJson {
            id: near.precedent.id.clone(),
            title: proposal.title.clone(),
            nearness: f64::from(near.nearness) / 1000.0,
            status: near.precedent.status().into(),
            recurs: near.recurs,
            remedy: proposal.remedy.clone(),
            rule: proposal.rule.clone(),
            why: near.why.clone(),
            differs: near.differs.clone(),
        }
    }
}

impl From<&Decision> for DecisionJson {
    fn from(decision: &Decision) -> DecisionJson {
        let only = decision.only.iter().map(|only| (only.fact.clone(), only.is.clone()));
        DecisionJson {
            status: decision.status.into(),
            from: decision.weeks.from,
            until: decision.weeks.until,
            reason: decision.reason.clone(),
            only: only.collect(),
            by: decision.by.clone(),
        }
    }
}

impl From<&Precedent> for PrecedentJson {
    fn from(precedent: &Precedent) -> PrecedentJson {
        let proposal = &precedent.proposal;
        PrecedentJson {
            id: precedent.id.clone(),
            title: proposal.title.clone(),
            status: precedent.status().into(),
            ruling: proposal.ruling.clone(),
            game: proposal.game.clone(),
            remedy: proposal.remedy.clone(),
            rule: proposal.rule.clone(),
            facts: Case::from(&proposal.pattern),
            decisions: precedent.decisions.iter().map(DecisionJson::from).collect(),
        }
    }
}
