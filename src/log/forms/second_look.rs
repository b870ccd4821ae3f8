//! The stored form of second looks: `again.…` entries, each with the id of its sheet. Form 1. No free text is in them.

use super::review::FoundForm;
use super::spelling::{boxed, mirrored};
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check, first_form};
use review::event::Found;
use review::second_look::Stamped;
use review::second_look::fold::Sheet;
use review::second_look::{Entered, Event};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "sheet",
        prefix: "again.",
        owner: Owner::Field("sheet"),
        ends: &["again.entered"],
        newest: first_form,
        unreadable: Unreadable::Skipped,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Sheet;

    mirrored!(EventForm);

    fn free_texts(&mut self) -> Vec<&mut String> {
        Vec::new()
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), by: act.actor.to_string(), event: self }
    }

    fn apply(state: &mut Sheet, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "again.drawn")]
    Drawn {
        #[serde(with = "AsText")]
        seed: u64,
        question: Option<String>,
        official: Option<String>,
        records: Vec<String>,
    },
    #[serde(rename = "again.entered")]
    Entered(#[serde(with = "Boxed")] Box<Entered>),
}

boxed!(Boxed, Entered, EnteredForm);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Entered", deny_unknown_fields)]
struct EnteredForm {
    number: u32,
    record: String,
    answers: BTreeMap<String, Vec<String>>,
    engine: u32,
    #[serde(with = "FoundForm")]
    found: Found,
}

/// A seed as text: the numbers of canonical JSON end at 2^53.
struct AsText;

impl AsText {
    fn serialize<S: Serializer>(seed: &u64, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(seed)
    }

    fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<u64, D::Error> {
        String::deserialize(from)?.parse().map_err(serde::de::Error::custom)
    }
}
