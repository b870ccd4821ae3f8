//! A precedent's life in words.

use super::fold::{Decision, Status};
use super::{Event, Weeks};

/// What the newest decision makes of it.
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

/// A decision in a line.
pub fn decision(decision: &Decision) -> String {
    let only: Vec<String> =
        decision.only.iter().map(|only| format!("{} is {}", only.fact, only.is)).collect();
    let only = if only.is_empty() { String::new() } else { format!(", only where {}", only.join(" and ")) };
    format!("{} {}{only}, because: {}", status(decision.status), weeks(decision.weeks), decision.reason)
}

/// What happened.
pub fn event(event: &Event) -> String {
    match event {
        Event::Proposed(proposal) => {
            format!("proposed from ruling {}: {}", proposal.ruling, proposal.title)
        }
        Event::Approved { weeks, reason } => format!("approved {}, because: {reason}", self::weeks(*weeks)),
        Event::Narrowed { weeks, reason, only } => {
            let only: Vec<String> = only.iter().map(|one| format!("{} is {}", one.fact, one.is)).collect();
            format!("narrowed {}, only where {}, because: {reason}", self::weeks(*weeks), only.join(" and "))
        }
        Event::Withdrawn { from, reason } => format!("withdrawn from week {from}, because: {reason}"),
    }
}
