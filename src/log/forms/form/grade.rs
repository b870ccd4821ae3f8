//! Forms 1 and 2 of what becomes of a record after the game, as JSON; mirrors as in `form.rs`. Form 2 can say which
//! position of the crew had the call.

use review::grade::{Call, Challenged, Event, Grade, Matter, Picture, Reviewed};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The kinds of entry that are events of a graded record, with their bodies.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
pub(in crate::forms) enum EventForm {
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

/// A word of a closed list, as itself.
macro_rules! word {
    ($name:ident, $of:ty) => {
        struct $name;

        impl $name {
            fn serialize<S: Serializer>(of: &$of, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(of.word())
            }

            fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<$of, D::Error> {
                let word = String::deserialize(from)?;
                <$of>::of(&word).ok_or_else(|| D::Error::custom(format!("`{word}` is no such grade")))
            }
        }
    };
}

word!(CallForm, Call);
word!(ReviewedForm, Reviewed);
word!(ChallengedForm, Challenged);
word!(MatterForm, Matter);
