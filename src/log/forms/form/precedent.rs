//! Form 1 of what becomes of a precedent, as JSON; mirrors as in `form.rs`.

use super::discretion::StartedOrNone;
use crate::forms::spelling::{boxed, list};
use review::discretion::Started;
use review::precedent::pattern::Pattern;
use review::precedent::{Condition, Event, Proposal, Weeks};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::{BTreeMap, BTreeSet};

list!(ConditionList, Condition, "ConditionForm");

/// The kinds of entry that are events of a precedent, with their bodies.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
pub(in crate::forms) enum EventForm {
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
