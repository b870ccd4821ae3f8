//! The stored form of a referee's own ruling: `discretion.…` entries, each with the ruling's id. Form 1.
//!
//! Such an entry belongs to no review; the first one names the review that it came from. What the referee wrote lies
//! beside the chain, as the reasons in a review's entries do.

use super::game::{ClockStartOrNone, EnforcedList, FlagList, PlayEndOrNone, SituationForm};
use super::review::MarkForm;
use super::spelling::{ExactOrNone, boxed, list, mirrored, or_none};
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check, first_form};
use evidence::mark::Mark;
use field::exact::Yards;
use review::discretion::Stamped;
use review::discretion::fold::Discretion;
use review::discretion::{Chosen, Event, Fact, Ground, Matter, MomentAt, Opened, Profit, Signed, Started};
use rules::game::enforce::Enforced;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "ruling",
        prefix: "discretion.",
        owner: Owner::Field("ruling"),
        ends: &["discretion.signed", "discretion.abandoned"],
        newest: first_form,
        unreadable: Unreadable::Stops,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Discretion;

    mirrored!(EventForm);

    fn free_texts(&mut self) -> Vec<&mut String> {
        match self {
            Event::Risk { someone: text } => text.iter_mut().collect(),
            Event::Chosen(chosen) => {
                let Chosen { reason, .. } = &mut **chosen;
                reason.iter_mut().collect()
            }
            Event::Stated(Fact { says: text, .. })
            | Event::Unreached { because: text }
            | Event::Worded { words: text }
            | Event::Abandoned { reason: text } => vec![text],
            Event::Opened(_)
            | Event::Profit(_)
            | Event::Read { .. }
            | Event::Leaned { .. }
            | Event::ReadBack
            | Event::Signed(_) => Vec::new(),
        }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), event: self }
    }

    fn apply(state: &mut Discretion, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }

    fn edition(ruling: &Discretion) -> Option<&str> {
        ruling.opened.as_ref().map(|opened| opened.edition.as_str())
    }
}

list!(MomentList, MomentAt, "MomentForm");
list!(FactList, Fact, "FactForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "discretion.opened")]
    Opened(#[serde(with = "BoxedOpened")] Box<Opened>),
    #[serde(rename = "discretion.risk")]
    Risk { someone: Option<String> },
    #[serde(rename = "discretion.stated")]
    Stated(#[serde(with = "FactForm")] Fact),
    #[serde(rename = "discretion.unreached")]
    Unreached { because: String },
    #[serde(rename = "discretion.profit")]
    Profit(#[serde(with = "ProfitForm")] Profit),
    #[serde(rename = "discretion.read")]
    Read { precedent: String },
    #[serde(rename = "discretion.chosen")]
    Chosen(#[serde(with = "BoxedChosen")] Box<Chosen>),
    #[serde(rename = "discretion.leaned")]
    Leaned { rule: String },
    #[serde(rename = "discretion.worded")]
    Worded { words: String },
    #[serde(rename = "discretion.read-back")]
    ReadBack,
    #[serde(rename = "discretion.signed")]
    Signed(#[serde(with = "BoxedSigned")] Box<Signed>),
    #[serde(rename = "discretion.abandoned")]
    Abandoned { reason: String },
}

boxed!(BoxedOpened, Opened, OpenedForm);
boxed!(BoxedChosen, Chosen, ChosenForm);
boxed!(BoxedSigned, Signed, SignedForm);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Opened", deny_unknown_fields)]
struct OpenedForm {
    game: String,
    week: Option<u32>,
    play: String,
    review: Option<String>,
    #[serde(with = "MatterOrNone")]
    matter: Option<Matter>,
    book: String,
    edition: String,
    #[serde(with = "GroundForm")]
    ground: Ground,
    #[serde(with = "FactList")]
    facts: Vec<Fact>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Matter", deny_unknown_fields)]
struct MatterForm {
    question: String,
    call: String,
    findings: Vec<String>,
}

or_none!(MatterOrNone, Matter, "MatterForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Ground", deny_unknown_fields)]
struct GroundForm {
    #[serde(with = "SituationForm")]
    situation: Situation,
    #[serde(with = "PlayEndOrNone")]
    end: Option<PlayEnd>,
    #[serde(with = "FlagList")]
    flags: Vec<Flag>,
    #[serde(with = "MomentList")]
    moments: Vec<MomentAt>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "MomentAt", deny_unknown_fields)]
struct MomentForm {
    name: String,
    #[serde(with = "ExactOrNone")]
    x: Option<Yards>,
    clock_ms: Option<i64>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Fact", deny_unknown_fields)]
struct FactForm {
    name: String,
    says: String,
    #[serde(with = "MarkOrNone")]
    mark: Option<Mark>,
}

or_none!(MarkOrNone, Mark, "MarkForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Profit", deny_unknown_fields)]
struct ProfitForm {
    #[serde(with = "StartedForm")]
    started: Started,
    rewards: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Started", rename_all = "kebab-case")]
enum StartedForm {
    Offense,
    Defense,
    Neither,
}

or_none!(StartedOrNone, Started, "StartedForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Chosen", deny_unknown_fields)]
struct ChosenForm {
    remedy: String,
    #[serde(with = "SituationForm")]
    after: Situation,
    #[serde(with = "ClockStartOrNone")]
    clock_starts: Option<ClockStart>,
    #[serde(with = "EnforcedList")]
    fouls: Vec<Enforced>,
    reason: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Signed", deny_unknown_fields)]
struct SignedForm {
    engine: u32,
    edition: String,
    remedy: String,
    #[serde(with = "SituationForm")]
    after: Situation,
    #[serde(with = "ClockStartOrNone")]
    clock_starts: Option<ClockStart>,
    rule: String,
}
