//! Events and decisions of a precedent in words.

use super::fold::{Decision, Status};
use super::{Condition, Event, Weeks};

/// The status in one word.
pub fn status(status: Status) -> &'static str {
    match status {
        Status::Proposed => "proposed",
        Status::Approved => "approved",
        Status::Narrowed => "narrowed",
        Status::Withdrawn => "withdrawn",
    }
}

/// "from week 4", "weeks 4 to 9".
pub fn weeks(weeks: Weeks) -> String {
    match weeks.until {
        None => format!("from week {}", weeks.from),
        Some(until) if until == weeks.from => format!("week {until}"),
        Some(until) => format!("weeks {} to {until}", weeks.from),
    }
}

/// A decision in one line.
pub fn decision(decision: &Decision) -> String {
    let only = if decision.only.is_empty() { String::new() } else { only_where(&decision.only) };
    format!("{} {}{only}, because: {}", status(decision.status), weeks(decision.weeks), decision.reason)
}

fn only_where(only: &[Condition]) -> String {
    let only: Vec<String> = only.iter().map(|one| format!("{} is {}", one.fact, one.is)).collect();
    format!(", only where {}", only.join(" and "))
}

/// An event in one line.
pub fn event(event: &Event) -> String {
    match event {
        Event::Proposed(proposal) => {
            format!("proposed from ruling {}: {}", proposal.ruling, proposal.title)
        }
        Event::Approved { weeks, reason } => format!("approved {}, because: {reason}", self::weeks(*weeks)),
        Event::Narrowed { weeks, reason, only } => {
            format!("narrowed {}{}, because: {reason}", self::weeks(*weeks), only_where(only))
        }
        Event::Withdrawn { from, reason } => format!("withdrawn from week {from}, because: {reason}"),
    }
}
