//! The stored form of grades of plays that were not reviewed: `play_grade.…` entries, each with the game's id. Form 1.
//!
//! Reasons are free text and lie beside the chain.

use super::grade::CallForm;
use super::spelling::mirrored;
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check, first_form};
use review::grade::Call;
use review::play_grade::fold::PlayGrades;
use review::play_grade::{Event, Stamped};
use serde::{Deserialize, Serialize};

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "game",
        prefix: "play_grade.",
        owner: Owner::Field("game"),
        ends: &["play_grade.given"],
        newest: first_form,
        unreadable: Unreadable::Skipped,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = PlayGrades;

    mirrored!(EventForm);

    /// An empty reason is no text.
    fn free_texts(&mut self) -> Vec<&mut String> {
        let Event::Graded { reason, .. } = self;
        if reason.is_empty() { Vec::new() } else { vec![reason] }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), by: act.actor.to_string(), event: self }
    }

    fn apply(state: &mut PlayGrades, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event", deny_unknown_fields)]
enum EventForm {
    #[serde(rename = "play_grade.given")]
    Graded {
        play: usize,
        #[serde(with = "CallForm")]
        call: Call,
        reason: String,
    },
}
