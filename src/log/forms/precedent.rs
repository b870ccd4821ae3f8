//! The stored form of what becomes of a precedent: `precedent.…` entries, each with the precedent's id. Form 1.
//!
//! Titles and reasons are free text and lie beside the chain; the pattern is in the book's words and stands in it.

use super::discretion::StartedOrNone;
use super::spelling::{boxed, list, mirrored};
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check, first_form};
use review::discretion::Started;
use review::precedent::Stamped;
use review::precedent::fold::{Precedent, apply};
use review::precedent::pattern::Pattern;
use review::precedent::{Condition, Event, Proposal, Weeks};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::{BTreeMap, BTreeSet};

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "precedent",
        prefix: "precedent.",
        owner: Owner::Field("precedent"),
        ends: &["precedent.proposed", "precedent.approved", "precedent.narrowed", "precedent.withdrawn"],
        newest: first_form,
        unreadable: Unreadable::Skipped,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Option<Precedent>;

    mirrored!(EventForm);

    fn free_texts(&mut self) -> Vec<&mut String> {
        match self {
            Event::Proposed(proposal) => {
                let Proposal { title, .. } = &mut **proposal;
                vec![title]
            }
            Event::Approved { reason, .. }
            | Event::Narrowed { reason, .. }
            | Event::Withdrawn { reason, .. } => {
                vec![reason]
            }
        }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), by: act.actor.to_string(), event: self }
    }

    fn apply(precedent: &mut Option<Precedent>, id: &str, stamped: Stamped) {
        apply(precedent, id, stamped);
    }
}

list!(ConditionList, Condition, "ConditionForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "precedent.proposed")]
    Proposed(#[serde(with = "Boxed")] Box<Proposal>),
    #[serde(rename = "precedent.approved")]
    Approved {
        #[serde(with = "WeeksForm")]
        weeks: Weeks,
        reason: String,
    },
    #[serde(rename = "precedent.narrowed")]
    Narrowed {
        #[serde(with = "WeeksForm")]
        weeks: Weeks,
        reason: String,
        #[serde(with = "ConditionList")]
        only: Vec<Condition>,
    },
    #[serde(rename = "precedent.withdrawn")]
    Withdrawn { from: u32, reason: String },
}

boxed!(Boxed, Proposal, ProposalForm);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Proposal", deny_unknown_fields)]
struct ProposalForm {
    ruling: String,
    game: String,
    title: String,
    remedy: String,
    rule: String,
    #[serde(with = "PatternForm")]
    pattern: Pattern,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Pattern", deny_unknown_fields)]
struct PatternForm {
    question: Option<String>,
    call: Option<String>,
    findings: BTreeSet<String>,
    facts: BTreeMap<String, String>,
    at_risk: Option<bool>,
    #[serde(with = "StartedOrNone")]
    started: Option<Started>,
    rewards: Option<bool>,
    down: Option<u8>,
    late: Option<bool>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Weeks", deny_unknown_fields)]
struct WeeksForm {
    from: u32,
    until: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Condition", deny_unknown_fields)]
struct ConditionForm {
    fact: String,
    is: String,
}
