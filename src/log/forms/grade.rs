//! The stored form of what becomes of a record after the game: `grade.…` entries, each with the record's id.
//!
//! Form 2 can say which position of the crew had the call. Reasons, letters and answers are free text and lie beside
//! the chain.

use super::spelling::mirrored;
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check};
use review::grade::Stamped;
use review::grade::fold::Graded;
use review::grade::{Call, Challenged, Event, Grade, Matter, Picture, Reviewed};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The form of a grade that says which position of the crew had the call, and of an appeal against it.
const POSITION_FORM: u64 = 2;

fn newest(kind: &str) -> u64 {
    match kind {
        "grade.given" | "grade.appealed" => POSITION_FORM,
        _ => 1,
    }
}

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "record",
        prefix: "grade.",
        owner: Owner::Field("record"),
        ends: &["grade.given", "grade.inquired", "grade.appealed", "grade.answered"],
        newest,
        unreadable: Unreadable::Skipped,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Graded;

    fn form(&self) -> u64 {
        match self {
            Event::Graded { grade: Grade::Position(_), .. }
            | Event::Appealed { of: Matter::Position, .. } => POSITION_FORM,
            Event::Graded { .. }
            | Event::Inquired { .. }
            | Event::Appealed { .. }
            | Event::Answered { .. } => 1,
        }
    }

    mirrored!(EventForm);

    fn free_texts(&mut self) -> Vec<&mut String> {
        match self {
            Event::Graded { reason, .. } if reason.is_empty() => Vec::new(),
            Event::Graded { reason: text, .. }
            | Event::Inquired { text, .. }
            | Event::Appealed { text, .. }
            | Event::Answered { text, .. } => vec![text],
        }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), by: act.actor.to_string(), event: self }
    }

    fn apply(state: &mut Graded, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "grade.given")]
    Graded {
        #[serde(with = "GradeForm")]
        grade: Grade,
        reason: String,
    },
    #[serde(rename = "grade.inquired")]
    Inquired { club: String, text: String },
    #[serde(rename = "grade.appealed")]
    Appealed {
        #[serde(with = "MatterForm")]
        of: Matter,
        text: String,
    },
    #[serde(rename = "grade.answered")]
    Answered { letter: u32, text: String },
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Grade", rename_all = "snake_case")]
enum GradeForm {
    Call(#[serde(with = "CallForm")] Call),
    Position(String),
    Review(#[serde(with = "ReviewedForm")] Reviewed),
    Challenge(#[serde(with = "ChallengedForm")] Challenged),
    Picture(#[serde(with = "PictureForm")] Picture),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Picture", rename_all = "snake_case")]
enum PictureForm {
    Good,
    Poor { camera: String, sight_line: String },
}

/// Stores a word of a closed list as text.
macro_rules! word {
    ($name:ident, $of:ty) => {
        pub(super) struct $name;

        impl $name {
            pub(super) fn serialize<S: Serializer>(of: &$of, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(of.word())
            }

            pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<$of, D::Error> {
                let word = String::deserialize(from)?;
                <$of>::of(&word).ok_or_else(|| D::Error::custom(format!("unknown grade `{word}`")))
            }
        }
    };
}

word!(CallForm, Call);
word!(ReviewedForm, Reviewed);
word!(ChallengedForm, Challenged);
word!(MatterForm, Matter);
