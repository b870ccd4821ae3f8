//! The state of a referee's own ruling: a fold of its events, and nothing else.

use super::{Chosen, Disqualified, Event, Fact, Opened, Profit, Signed, Stamped};

/// How far a referee's own ruling has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Phase {
    #[default]
    New,
    /// Open; whether anyone is at risk has not been stated.
    Safety,
    /// Someone is at risk; nothing else can be decided.
    AtRisk,
    /// Nobody is at risk; the referee decides.
    Weighing,
    ReadBack,
    Signed,
    /// Ended without a ruling.
    Abandoned,
}

/// A referee's own ruling as its events leave it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Discretion {
    pub phase: Phase,
    pub opened: Option<Opened>,
    /// Everyone who is or was at risk, in the order given.
    pub at_risk: Vec<String>,
    /// Those of the review first; one for each name.
    pub facts: Vec<Fact>,
    /// Why the book does not cover it.
    pub because: Option<String>,
    pub profit: Option<Profit>,
    /// Ids of precedents, each once.
    pub read: Vec<String>,
    pub chosen: Option<Chosen>,
    pub disqualified: Vec<Disqualified>,
    pub rule: Option<String>,
    /// The announcement.
    pub words: Option<String>,
    pub signed: Option<Signed>,
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
        // A change after the read-back needs another read-back.
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
            Event::Disqualified { players } => {
                changed(self);
                self.disqualified = players.clone();
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

    /// Whether it is signed or abandoned.
    pub fn is_over(&self) -> bool {
        match self.phase {
            Phase::Signed | Phase::Abandoned => true,
            Phase::New | Phase::Safety | Phase::AtRisk | Phase::Weighing | Phase::ReadBack => false,
        }
    }
}
