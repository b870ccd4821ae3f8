//! The state of a precedent: a fold of its events, and nothing else.

use super::pattern::Pattern;
use super::{Condition, Event, Proposal, Stamped, Weeks};

/// The state of a precedent after its newest decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Status {
    /// Nobody has decided yet; it is not shown in reviews.
    Proposed,
    /// Shown wherever its facts recur.
    Approved,
    /// Shown where its conditions hold as well.
    Narrowed,
    /// No longer shown.
    Withdrawn,
}

/// One decision of the supervisor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decision {
    pub status: Status,
    pub weeks: Weeks,
    pub reason: String,
    /// Of a narrowed precedent, else empty.
    pub only: Vec<Condition>,
    /// A pseudonym.
    pub by: String,
}

/// A precedent as its events leave it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Precedent {
    pub id: String,
    pub proposal: Proposal,
    /// In order.
    pub decisions: Vec<Decision>,
    events: Vec<Stamped>,
}

/// Takes in one more event of the precedent with this id. Events before the proposal are ignored.
pub fn apply(precedent: &mut Option<Precedent>, id: &str, stamped: Stamped) {
    let Some(precedent) = precedent else {
        if let Event::Proposed(proposal) = &stamped.event {
            let proposal = (**proposal).clone();
            let id = id.to_owned();
            *precedent = Some(Precedent { id, proposal, decisions: Vec::new(), events: vec![stamped] });
        }
        return;
    };
    let decided = match &stamped.event {
        Event::Proposed(_) => None,
        Event::Approved { weeks, reason } => Some((Status::Approved, *weeks, reason, Vec::new())),
        Event::Narrowed { weeks, reason, only } => Some((Status::Narrowed, *weeks, reason, only.clone())),
        Event::Withdrawn { from, reason } => {
            Some((Status::Withdrawn, Weeks { from: *from, until: None }, reason, Vec::new()))
        }
    };
    precedent.decisions.extend(decided.map(|(status, weeks, reason, only)| Decision {
        status,
        weeks,
        reason: reason.clone(),
        only,
        by: stamped.by.clone(),
    }));
    precedent.events.push(stamped);
}

/// The precedent of these events; `None` where nothing was proposed.
pub fn fold(id: &str, events: impl IntoIterator<Item = Stamped>) -> Option<Precedent> {
    let mut precedent = None;
    events.into_iter().for_each(|stamped| apply(&mut precedent, id, stamped));
    precedent
}

impl Precedent {
    /// The status after the newest decision, whatever the week.
    pub fn status(&self) -> Status {
        self.decisions.last().map_or(Status::Proposed, |decision| decision.status)
    }

    /// The decision by which it is in force in this week: the newest that has begun by then, unless that one
    /// withdrew it or has run out. Without a week, the newest decision of all.
    pub fn in_force(&self, week: Option<u32>) -> Option<&Decision> {
        let newest = self.newest(week)?;
        let holds = week.is_none_or(|week| newest.weeks.hold(week));
        match newest.status {
            Status::Approved | Status::Narrowed if holds => Some(newest),
            Status::Approved | Status::Narrowed | Status::Proposed | Status::Withdrawn => None,
        }
    }

    /// The newest decision that has begun by this week; without a week, the newest of all.
    pub(super) fn newest(&self, week: Option<u32>) -> Option<&Decision> {
        let begun = |decision: &&Decision| week.is_none_or(|week| decision.weeks.from <= week);
        self.decisions.iter().rfind(begun)
    }

    /// Whether the precedent is in force in this week and fits `case`: the same question, no finding that the precedent
    /// lacks, and every condition met. Without a question, the facts must be equal, and there must be at least one.
    pub fn recurs(&self, case: &Pattern, week: Option<u32>) -> bool {
        let Some(decision) = self.in_force(week) else { return false };
        let own = &self.proposal.pattern;
        let same = match (&own.question, &case.question) {
            (Some(own_question), Some(question)) => {
                own_question == question
                    && !case.findings.is_empty()
                    && case.findings.is_subset(&own.findings)
            }
            (None, None) => !own.facts.is_empty() && own.facts == case.facts,
            (Some(_), None) | (None, Some(_)) => false,
        };
        same && decision.only.iter().all(|only| case.value(&only.fact).as_deref() == Some(only.is.as_str()))
    }

    /// All events so far.
    pub fn events(&self) -> &[Stamped] {
        &self.events
    }
}
