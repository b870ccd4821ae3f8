//! The facts by which cases are compared, in the book's words, so that nothing has to be interpreted.

use crate::discretion::fold::Discretion;
use crate::discretion::text::started;
use crate::discretion::{Opened, Started};
use rules::book::Book;
use rules::game::situation::Next;
use std::collections::{BTreeMap, BTreeSet};

/// The facts of a case. What is not known is `None` or empty, and is not compared.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pattern {
    /// The one that left it to the referee.
    pub question: Option<String>,
    pub call: Option<String>,
    /// Those still possible.
    pub findings: BTreeSet<String>,
    /// Answers of the review, by step.
    pub facts: BTreeMap<String, String>,
    pub at_risk: Option<bool>,
    pub started: Option<Started>,
    /// Whether a foul would reward the side that started it.
    pub rewards: Option<bool>,
    /// `None` at a try or a free kick.
    pub down: Option<u8>,
    /// Whether it was in the part of a half in which the clock stops more often.
    pub late: Option<bool>,
}

pub(super) fn yes_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

impl Pattern {
    /// The facts that are known when a ruling is opened.
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

    /// The facts of a ruling so far. Whatever the referee typed counts as words, not as facts.
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

    /// The value of the fact with this name, as text; `None` where it is not known.
    pub fn value(&self, fact: &str) -> Option<String> {
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

    /// Every fact that a precedent of this pattern can be narrowed to: name and value.
    pub fn labelled(&self) -> Vec<(String, String)> {
        let fixed = ["call", "started", "rewards", "at risk", "down", "late"];
        let steps = self.facts.keys().map(String::as_str).filter(|step| !fixed.contains(step));
        let names = fixed.into_iter().chain(steps);
        names.filter_map(|name| Some((name.to_owned(), self.value(name)?))).collect()
    }
}
