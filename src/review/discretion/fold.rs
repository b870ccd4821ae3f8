//! The state of a referee's own ruling: a fold of its events, and nothing else.

use super::{Chosen, Event, Fact, Opened, Profit, Signed, Stamped};

/// How far it has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Phase {
    /// Nothing has happened yet.
    #[default]
    New,
    /// It is open, and nobody has said yet whether anyone is at risk.
    Safety,
    /// Someone is at risk: nothing else is decided.
    AtRisk,
    /// Nobody is at risk: it is weighed.
    Weighing,
    /// It was read back as it stands.
    ReadBack,
    /// It is over: signed.
    Signed,
    /// It is over: it ended without a ruling.
    Abandoned,
}

/// A referee's own ruling as its events leave it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Discretion {
    /// How far it has come.
    pub phase: Phase,
    /// What it is about.
    pub opened: Option<Opened>,
    /// Who is or was at risk, in the order in which it was said.
    pub at_risk: Vec<String>,
    /// The facts, those of the review first; the newest of a name counts.
    pub facts: Vec<Fact>,
    /// Why the book does not reach it.
    pub because: Option<String>,
    /// Who would profit.
    pub profit: Option<Profit>,
    /// The precedents that were read, each once.
    pub read: Vec<String>,
    /// The remedy.
    pub chosen: Option<Chosen>,
    /// The rule that it leans on.
    pub rule: Option<String>,
    /// The words of the announcement.
    pub words: Option<String>,
    /// The ruling.
    pub signed: Option<Signed>,
    /// All events so far.
    events: Vec<Stamped>,
}

/// The state after these events.
pub fn fold(events: impl IntoIterator<Item = Stamped>) -> Discretion {
    let mut ruling = Discretion::default();
    events.into_iter().for_each(|event| ruling.apply(event));
    ruling
}

impl Discretion {
    /// Takes in one more event. Events come from `decide` or from a log that verified, so this never fails.
    pub fn apply(&mut self, stamped: Stamped) {
        // What is changed after it was read back is read back again.
        let changed = |ruling: &mut Discretion| {
            if ruling.phase == Phase::ReadBack {
                ruling.phase = Phase::Weighing;
            }
        };
        match &stamped.event {
            Event::Opened(opened) => {
                self.phase = Phase::Safety;
                self.facts = opened.facts.clone();
                self.opened = Some((**opened).clone());
            }
            Event::Risk { someone: Some(who) } => {
                self.phase = Phase::AtRisk;
                self.at_risk.push(who.clone());
            }
            Event::Risk { someone: None } => self.phase = Phase::Weighing,
            Event::Stated(fact) => {
                changed(self);
                self.state(fact);
            }
            Event::Unreached { because } => {
                changed(self);
                self.because = Some(because.clone());
            }
            Event::Profit(profit) => {
                changed(self);
                self.profit = Some(*profit);
            }
            Event::Read { precedent } => {
                if !self.read.contains(precedent) {
                    self.read.push(precedent.clone());
                }
            }
            Event::Chosen(chosen) => {
                changed(self);
                self.chosen = Some((**chosen).clone());
            }
            Event::Leaned { rule } => {
                changed(self);
                self.rule = Some(rule.clone());
            }
            Event::Worded { words } => {
                changed(self);
                self.words = Some(words.clone());
            }
            Event::ReadBack => self.phase = Phase::ReadBack,
            Event::Signed(signed) => {
                self.phase = Phase::Signed;
                self.signed = Some((**signed).clone());
            }
            Event::Abandoned { .. } => self.phase = Phase::Abandoned,
        }
        self.events.push(stamped);
    }

    fn state(&mut self, fact: &Fact) {
        match self.facts.iter_mut().find(|other| other.name == fact.name) {
            Some(other) => *other = fact.clone(),
            None => self.facts.push(fact.clone()),
        }
    }

    /// All events so far.
    pub fn events(&self) -> &[Stamped] {
        &self.events
    }

    /// Whether nothing more can happen in it.
    pub fn is_over(&self) -> bool {
        match self.phase {
            Phase::Signed | Phase::Abandoned => true,
            Phase::New | Phase::Safety | Phase::AtRisk | Phase::Weighing | Phase::ReadBack => false,
        }
    }
}
