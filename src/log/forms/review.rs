//! The stored form of what happens in a review: `review.…` entries, whose header names the review. Form 2 of an answer
//! that was measured and of a mark with its picture, form 3 of a mark with a still, form 4 of a mark whose clock was
//! read off a scoreboard, form 5 of a play that changed hands twice; form 1 of everything else.
//!
//! The reasons that officials give, and the still of a mark, lie beside the chain. Besides the events there is one kind
//! that says under which edition a review begins ([`Begun`](super::Begun)).

use super::game::{
    ChoiceForm, ClockStartOrNone, EnforcedList, FlagList, PlayEndOrNone, PriceForm, SituationForm, TeamForm,
};
use super::measured::{MeasurementForm, ShotOrNone};
use super::placed::PlacedForm;
use super::spelling::{AsInPicture, ExactOrNone, boxed, list, mirrored, or_none};
use super::tied::TiedForm;
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check};
use evidence::mark::{Basis, Mark, Measurement, Shot};
use evidence::time::scoreboard::{Scoreboard, Shown};
use evidence::time::timecode::Timecode;
use field::exact::Yards;
use review::event::{
    Answered, Asked, Called, Event, Found, Look, Marked, Override, Placed, ReadBack, Refused, Snapshot,
    Texts, Tied,
};
use review::fold::{Review, Stamped};
use review::gate::{Entry, Initiator, Ruled, Stop};
use review::stance::{Outcome, Why};
use rules::book::replay::Price;
use rules::book::tree::Looks;
use rules::game::enforce::Enforced;
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation, Team};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

list!(RuledList, Ruled, "RuledForm");
list!(FoundList, Found, "FoundForm");
list!(OverrideList, Override, "OverrideForm");

/// The form of an answer with what was measured, and of a mark with the picture that it was set on.
const MEASURED_FORM: u64 = 2;

/// The form of a ruling with words for the crew and for the log.
const WORDS_FORM: u64 = 2;

/// The form of a mark with a still beside the chain.
const STILL_FORM: u64 = 3;

/// The form of a mark whose clock was read off a scoreboard.
const SCOREBOARD_FORM: u64 = 4;

/// The first form in which a play that is read back may have changed hands twice.
const REGAINED_FORM: u64 = 5;

fn newest(kind: &str) -> u64 {
    match kind {
        "review.answered" => MEASURED_FORM,
        "review.read-back" => REGAINED_FORM,
        "review.ruled" => WORDS_FORM,
        "review.marked" => SCOREBOARD_FORM,
        _ => 1,
    }
}

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "review",
        prefix: "review.",
        owner: Owner::Review,
        ends: &["review.ruled", "review.announced", "review.amended", "review.withdrawn", "review.cut-short"],
        newest,
        unreadable: Unreadable::Stops,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Review;

    fn form(&self) -> u64 {
        match self {
            Event::Marked(Marked { scoreboard: Some(_), .. }) => SCOREBOARD_FORM,
            Event::Marked(Marked { shot: Some(Shot { still: Some(_), .. }), .. }) => STILL_FORM,
            Event::Answered(Answered { basis: Basis::Computed(_), .. })
            | Event::Marked(Marked { shot: Some(_), .. }) => MEASURED_FORM,
            Event::Ruled(snapshot) if !snapshot.words.log.is_empty() => WORDS_FORM,
            Event::ReadBack(ReadBack { end: Some(PlayEnd { regained: true, .. }), .. }) => REGAINED_FORM,
            _ => 1,
        }
    }

    mirrored!(EventForm);

    fn free_texts(&mut self) -> Vec<&mut String> {
        match self {
            Event::Looked(Look { reason, .. }) | Event::Answered(Answered { reason, .. }) => {
                reason.iter_mut().collect()
            }
            Event::CutShort { reason } | Event::Amended { reason, .. } => vec![reason],
            Event::Ruled(snapshot) => {
                let Snapshot { overrides, .. } = &mut **snapshot;
                overrides.iter_mut().map(|done| &mut done.reason).collect()
            }
            Event::Called(_)
            | Event::Asked(_)
            | Event::Refused(_)
            | Event::ReadBack(_)
            | Event::Flagged(_)
            | Event::Chosen { .. }
            | Event::Marked(_)
            | Event::Placed(_)
            | Event::Tied(_)
            | Event::Undone { .. }
            | Event::Settled
            | Event::Withdrawn
            | Event::RestartReadBack
            | Event::Announced => Vec::new(),
        }
    }

    fn still(&self) -> Option<&str> {
        match self {
            Event::Marked(Marked { shot: Some(shot), .. }) => shot.still.as_deref(),
            _ => None,
        }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), event: self }
    }

    fn apply(state: &mut Review, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }
}

/// The kinds of entry that are events of a review, with their bodies. The kind stands beside the body in an
/// entry; here it is the tag [`TAG`], which no body has as a field.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "review.called")]
    Called(#[serde(with = "CalledForm")] Called),
    #[serde(rename = "review.asked")]
    Asked(#[serde(with = "AskedForm")] Asked),
    #[serde(rename = "review.refused")]
    Refused(#[serde(with = "RefusedForm")] Refused),
    #[serde(rename = "review.read-back")]
    ReadBack(#[serde(with = "ReadBackForm")] ReadBack),
    #[serde(rename = "review.flagged")]
    Flagged(#[serde(with = "Flagged")] Vec<Flag>),
    #[serde(rename = "review.chosen")]
    Chosen {
        penalty: String,
        #[serde(with = "ChoiceForm")]
        choice: Choice,
    },
    #[serde(rename = "review.looked")]
    Looked(#[serde(with = "LookForm")] Look),
    #[serde(rename = "review.marked")]
    Marked(#[serde(with = "MarkedForm")] Marked),
    #[serde(rename = "review.placed")]
    Placed(#[serde(with = "PlacedForm")] Box<Placed>),
    #[serde(rename = "review.tied")]
    Tied(#[serde(with = "TiedBoxed")] Box<Tied>),
    #[serde(rename = "review.answered")]
    Answered(#[serde(with = "AnsweredForm")] Answered),
    #[serde(rename = "review.undone")]
    Undone { act: usize },
    #[serde(rename = "review.settled")]
    Settled,
    #[serde(rename = "review.withdrawn")]
    Withdrawn,
    #[serde(rename = "review.ruled")]
    Ruled(#[serde(with = "Boxed")] Box<Snapshot>),
    #[serde(rename = "review.restart-read-back")]
    RestartReadBack,
    #[serde(rename = "review.announced")]
    Announced,
    #[serde(rename = "review.amended")]
    Amended {
        #[serde(with = "SituationForm")]
        after: Situation,
        reason: String,
    },
    #[serde(rename = "review.cut-short")]
    CutShort { reason: String },
}

/// A body is an object, so a bare list gets a name.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Flagged {
    #[serde(with = "FlagList")]
    flags: Vec<Flag>,
}

impl Flagged {
    fn serialize<S: Serializer>(flags: &[Flag], to: S) -> Result<S::Ok, S::Error> {
        Serialize::serialize(&Flagged { flags: flags.to_vec() }, to)
    }

    fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Flag>, D::Error> {
        let flagged: Flagged = Deserialize::deserialize(from)?;
        Ok(flagged.flags)
    }
}

boxed!(Boxed, Snapshot, SnapshotForm);
boxed!(TiedBoxed, Tied, TiedForm);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Called", deny_unknown_fields)]
struct CalledForm {
    game: String,
    week: Option<u32>,
    play: String,
    #[serde(with = "InitiatorForm")]
    initiator: Initiator,
    #[serde(with = "StopForm")]
    stop: Stop,
    #[serde(with = "SituationForm")]
    situation: Situation,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Initiator", rename_all = "kebab-case")]
enum InitiatorForm {
    Coach(#[serde(with = "TeamForm")] Team),
    Booth,
    Referee,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Stop", rename_all = "kebab-case")]
enum StopForm {
    BeforeNextSnap,
    AfterNextSnap,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Asked", deny_unknown_fields)]
struct AskedForm {
    tree: String,
    call: String,
    whistle: Option<String>,
    #[serde(with = "RuledList")]
    ruled: Vec<Ruled>,
    #[serde(with = "EntryForm")]
    entry: Entry,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Ruled", rename_all = "kebab-case")]
enum RuledForm {
    Score,
    Turnover,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Entry", rename_all = "kebab-case")]
enum EntryForm {
    Challenged,
    FoundOnTheWay,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Refused", deny_unknown_fields)]
struct RefusedForm {
    #[serde(with = "AskedForm")]
    asked: Asked,
    rule: String,
    because: String,
    #[serde(with = "PriceForm")]
    price: Price,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ReadBack", deny_unknown_fields)]
struct ReadBackForm {
    #[serde(with = "ExactOrNone")]
    spot: Option<Yards>,
    clock_ms: Option<i64>,
    #[serde(with = "PlayEndOrNone", default, skip_serializing_if = "Option::is_none")]
    end: Option<PlayEnd>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Look", deny_unknown_fields)]
struct LookForm {
    question: usize,
    step: String,
    camera: String,
    #[serde(with = "LooksForm")]
    kind: Looks,
    reason: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Looks", rename_all = "kebab-case")]
enum LooksForm {
    FullSpeed,
    Slow,
    FrameByFrame,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Marked", deny_unknown_fields)]
struct MarkedForm {
    #[serde(with = "MarkForm")]
    mark: Mark,
    #[serde(with = "ExactOrNone")]
    x: Option<Yards>,
    clock_ms: Option<i64>,
    // Left out of a typed mark, so that it keeps to form 1.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "ShotOrNone")]
    shot: Option<Shot>,
    // Left out where the clock was not read off a scoreboard, so that the mark keeps to an earlier form.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "ScoreboardOrNone")]
    scoreboard: Option<Box<Scoreboard>>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Scoreboard", deny_unknown_fields)]
struct ScoreboardForm {
    camera: String,
    #[serde(with = "ShownList")]
    shown: Vec<Shown>,
    interval_us: i64,
    tie_us: i64,
}

boxed!(BoxedScoreboard, Scoreboard, ScoreboardForm);
or_none!(ScoreboardOrNone, Box<Scoreboard>, "BoxedScoreboard");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Shown", deny_unknown_fields)]
struct ShownForm {
    #[serde(with = "AsInPicture")]
    timecode: Timecode,
    shown_ms: i64,
    step_ms: u32,
    before_us: i64,
}

list!(ShownList, Shown, "ShownForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Mark", deny_unknown_fields)]
pub(super) struct MarkForm {
    moment: String,
    camera: String,
    #[serde(with = "AsInPicture")]
    timecode: Timecode,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Answered", deny_unknown_fields)]
struct AnsweredForm {
    question: usize,
    step: String,
    options: Vec<String>,
    #[serde(with = "BasisForm")]
    basis: Basis,
    reason: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Basis", rename_all = "kebab-case")]
enum BasisForm {
    Attested,
    Computed(#[serde(with = "MeasurementForm")] Measurement),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Snapshot", deny_unknown_fields)]
struct SnapshotForm {
    engine: u32,
    edition: String,
    #[serde(with = "FoundList")]
    questions: Vec<Found>,
    #[serde(with = "SituationForm")]
    after: Situation,
    #[serde(with = "ClockStartOrNone")]
    clock_starts: Option<ClockStart>,
    #[serde(with = "EnforcedList")]
    fouls: Vec<Enforced>,
    won: Option<bool>,
    #[serde(with = "PriceForm")]
    price: Price,
    #[serde(with = "WordsForm")]
    words: Texts,
    #[serde(with = "OverrideList")]
    overrides: Vec<Override>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Found", deny_unknown_fields)]
pub(super) struct FoundForm {
    tree: String,
    call: String,
    possible: Vec<String>,
    finding: Option<String>,
    #[serde(with = "OutcomeForm")]
    outcome: Outcome,
    label: String,
    established: bool,
    settled: bool,
    moot: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Outcome", rename_all = "kebab-case")]
enum OutcomeForm {
    Confirmed,
    Stands(#[serde(with = "WhyForm")] Why),
    Reversed,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Why", rename_all = "kebab-case")]
enum WhyForm {
    NotProven,
    Barred,
    NotShared,
    LeftToReferee,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Texts", deny_unknown_fields)]
struct WordsForm {
    announcement: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    crew: String,
    clock: String,
    chains: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    log: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Override", deny_unknown_fields)]
struct OverrideForm {
    what: String,
    reason: String,
}
