//! Which events a command about a precedent leads to.

use super::fold::{Precedent, Status};
use super::{Command, Condition, Event, Weeks};
use crate::refusal::{Refusal, no, unknown};

/// The events that a command leads to. `precedent` is `None` before it is proposed.
///
/// # Errors
/// [`Refusal`] if the command does not fit.
pub fn decide(precedent: Option<&Precedent>, command: Command) -> Result<Vec<Event>, Refusal> {
    let Some(precedent) = precedent else {
        return match command {
            Command::Propose(proposal) if proposal.title.trim().is_empty() => {
                no("the precedent has no title", "say in a line what it is about")
            }
            Command::Propose(proposal) => Ok(vec![Event::Proposed(proposal)]),
            Command::Approve { .. } | Command::Narrow { .. } | Command::Withdraw { .. } => {
                no("nothing was proposed", "propose a signed ruling first")
            }
        };
    };
    let event = match command {
        Command::Propose(_) => return no("it is proposed already", "approve, narrow or withdraw it"),
        Command::Approve { weeks, reason } => {
            sound(weeks, &reason)?;
            let same = precedent.decisions.last();
            if same.is_some_and(|last| last.status == Status::Approved && last.weeks == weeks) {
                return no("it is approved for these weeks already", "narrow or withdraw it, or leave it");
            }
            Event::Approved { weeks, reason }
        }
        Command::Narrow { weeks, reason, only } => {
            sound(weeks, &reason)?;
            conditions(precedent, &only)?;
            Event::Narrowed { weeks, reason, only }
        }
        Command::Withdraw { from, reason } => {
            sound(Weeks { from, until: None }, &reason)?;
            if precedent.status() == Status::Withdrawn {
                return no("it is withdrawn already", "approve or narrow it again, or leave it");
            }
            Event::Withdrawn { from, reason }
        }
    };
    Ok(vec![event])
}

fn sound(weeks: Weeks, reason: &str) -> Result<(), Refusal> {
    if reason.trim().is_empty() {
        return no("the decision has no reason", "write why; the referees will read it");
    }
    match weeks.until {
        Some(until) if until < weeks.from => no(
            format!("week {until} comes before week {}", weeks.from),
            "name the first week, then the last one",
        ),
        Some(_) | None => Ok(()),
    }
}

/// A precedent can only be narrowed to its own facts: otherwise it would not fit its own case.
fn conditions(precedent: &Precedent, only: &[Condition]) -> Result<(), Refusal> {
    if only.is_empty() {
        return no("no condition is given", "name a fact that must be as it was, or approve it as it is");
    }
    let told = precedent.proposal.pattern.labelled();
    for condition in only {
        match told.iter().find(|(name, _)| *name == condition.fact) {
            None => return unknown("fact", &condition.fact, told.iter().map(|(name, _)| name.as_str())),
            Some((name, says)) if *says != condition.is => {
                return no(
                    format!("`{name}` is {says} in the precedent itself, not {}", condition.is),
                    "narrow it to its own facts, or withdraw it",
                );
            }
            Some(_) => {}
        }
    }
    Ok(())
}
