//! Form 1 of second looks, as JSON; mirrors as in `form.rs`.

use super::FoundForm;
use crate::forms::spelling::boxed;
use review::event::Found;
use review::second_look::{Entered, Event};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// The kinds of entry that are events of a sheet, with their bodies.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
pub(in crate::forms) enum EventForm {
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
