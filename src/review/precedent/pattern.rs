//! The facts by which one case is like another: in the book's words, so that they are compared and not interpreted.

use crate::discretion::fold::Discretion;
use crate::discretion::text::started;
use crate::discretion::{Opened, Started};
use rules::book::Book;
use rules::game::situation::Next;
use std::collections::{BTreeMap, BTreeSet};

/// The facts of a case. What is not known is left out, and then nothing is compared.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pattern {
    /// The question that left it to the referee.
    pub question: Option<String>,
    /// The call on the field.
    pub call: Option<String>,
    /// The findings that are possible.
    pub findings: BTreeSet<String>,
    /// The answers of the review, by step.
    pub facts: BTreeMap<String, String>,
    /// Someone was at risk.
    pub at_risk: Option<bool>,
    /// Who started it.
    pub started: Option<Started>,
    /// A foul would reward the side that started it.
    pub rewards: Option<bool>,
    /// The down; none at a try or a free kick.
    pub down: Option<u8>,
    /// It was in the part of a half in which the clock stops more often.
    pub late: Option<bool>,
}

impl Pattern {
    /// The facts that a ruling begins with.
    pub fn of_opened(book: &Book, opened: &Opened) -> Pattern {
        let at = &opened.ground.situation;
        let matter = opened.matter.as_ref();
        Pattern {
            question: matter.map(|matter| matter.question.clone()),
            call: matter.map(|matter| matter.call.clone()),
            findings: matter.iter().flat_map(|matter| matter.findings.iter().cloned()).collect(),
            facts: opened.facts.iter().map(|fact| (fact.name.clone(), fact.says.clone())).collect(),
            at_risk: None,
            started: None,
            rewards: None,
            down: match at.next {
                Next::Scrimmage { down, .. } => Some(down),
                Next::Try | Next::FreeKick => None,
            },
            late: Some(book.game.in_last(book.game.clock_stops.last_s, at.period, at.clock_ms)),
        }
    }

    /// The facts of a ruling as far as it has come. What the referee typed himself is words, and none of them.
    pub fn of(book: &Book, ruling: &Discretion) -> Option<Pattern> {
        use crate::discretion::fold::Phase;
        let begun = Pattern::of_opened(book, ruling.opened.as_ref()?);
        let asked = match ruling.phase {
            Phase::New | Phase::Safety => None,
            Phase::AtRisk => Some(true),
            Phase::Weighing | Phase::ReadBack | Phase::Signed | Phase::Abandoned => {
                Some(!ruling.at_risk.is_empty())
            }
        };
        Some(Pattern {
            at_risk: asked,
            started: ruling.profit.map(|profit| profit.started),
            rewards: ruling.profit.map(|profit| profit.rewards),
            ..begun
        })
    }

    /// What the fact of this name says, as text; none where it is not known.
    pub fn value(&self, fact: &str) -> Option<String> {
        let yes_no = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
        match fact {
            "call" => self.call.clone(),
            "started" => self.started.map(|side| started(side).to_owned()),
            "rewards" => self.rewards.map(yes_no),
            "at risk" if !self.facts.contains_key(fact) => self.at_risk.map(yes_no),
            "down" => self.down.map(|down| down.to_string()),
            "late" => self.late.map(yes_no),
            step => self.facts.get(step).cloned(),
        }
    }

    /// Every fact that a precedent of this pattern can be narrowed to, with what it says.
    pub fn labelled(&self) -> Vec<(String, String)> {
        let fixed = ["call", "started", "rewards", "at risk", "down", "late"];
        let steps = self.facts.keys().map(String::as_str).filter(|step| !fixed.contains(step));
        let names = fixed.into_iter().chain(steps);
        names.filter_map(|name| Some((name.to_owned(), self.value(name)?))).collect()
    }
}
