//! A precedent that was narrowed.

use review::precedent::fold::{Precedent, fold};
use review::precedent::pattern::Pattern;
use review::precedent::{Condition, Event, Proposal, Stamped, Weeks};
use review::stamp::Stamp;
use std::collections::BTreeSet;

/// An exchange of blows, in force in weeks 3 and 4, where `only` holds.
pub fn exchange(title: &str, only: Vec<Condition>) -> Precedent {
    let pattern = Pattern {
        question: Some("blow".to_owned()),
        findings: BTreeSet::from(["exchange".to_owned()]),
        facts: [("first".to_owned(), "yes".to_owned())].into(),
        late: Some(true),
        ..Pattern::default()
    };
    let proposal = Proposal {
        ruling: "d-1".to_owned(),
        game: "g".to_owned(),
        title: title.to_owned(),
        remedy: "the play stands".to_owned(),
        rule: "5".to_owned(),
        pattern,
    };
    let weeks = Weeks { from: 3, until: Some(4) };
    let events = [
        Event::Proposed(Box::new(proposal)),
        Event::Narrowed { weeks, reason: "one exchange".to_owned(), only },
    ];
    let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b".to_owned() };
    let events = events.map(|event| Stamped { at: at.clone(), by: "supervisor".to_owned(), event });
    fold("p-1", events).expect("it was proposed")
}
