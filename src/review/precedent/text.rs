//! Events and decisions of a precedent in words.

use super::fold::{Decision, Precedent, Status};
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

/// Why a precedent is not in force in this week: "withdrawn from week 9", "not in force in week 2"; `None` where it is.
pub fn not_in_force(precedent: &Precedent, week: Option<u32>) -> Option<String> {
    if precedent.in_force(week).is_some() {
        return None;
    }
    let newest = precedent.newest(week);
    Some(match (newest.filter(|newest| newest.status == Status::Withdrawn), week) {
        (Some(withdrawn), _) => format!("withdrawn {}", weeks(withdrawn.weeks)),
        (None, _) if precedent.decisions.is_empty() => "proposed, not decided yet".to_owned(),
        (None, Some(week)) => format!("not in force in week {week}"),
        (None, None) => "not in force".to_owned(),
    })
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
