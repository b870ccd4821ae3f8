//! The stored form of a referee's own ruling: `discretion.…` entries, each with the ruling's id. Form 2 of a ruling that
//! was opened between plays with how the game stood, of disqualified players and of a signature with them; form 1 of
//! everything else.
//!
//! Such an entry belongs to no review; the first one names the review that it came from. What the referee wrote lies
//! beside the chain, as the reasons in a review's entries do.

use super::game::{ClockStartOrNone, EnforcedList, FlagList, PlayEndOrNone, SituationForm, TeamForm};
use super::review::MarkForm;
use super::spelling::{ExactOrNone, boxed, list, mirrored, or_none};
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check};
use evidence::mark::Mark;
use field::exact::Yards;
use review::discretion::Stamped;
use review::discretion::fold::Discretion;
use review::discretion::{
    Cause, Chosen, Disqualified, Event, Fact, Ground, Matter, MomentAt, Opened, Profit, Signed, Since,
    Started,
};
use rules::game::enforce::Enforced;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{ClockStart, Situation, Team};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The form of a ruling that was opened between plays, and of all that names disqualified players. The first form had
/// neither: a program that knows only that one finds entries of a newer form, not broken ones.
const SECOND_FORM: u64 = 2;

fn newest(kind: &str) -> u64 {
    match kind {
        "discretion.opened" | "discretion.disqualified" | "discretion.signed" => SECOND_FORM,
        _ => 1,
    }
}

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "ruling",
        prefix: "discretion.",
        owner: Owner::Field("ruling"),
        ends: &["discretion.signed", "discretion.abandoned"],
        newest,
        unreadable: Unreadable::Stops,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Discretion;

    fn form(&self) -> u64 {
        match self {
            Event::Opened(opened) if opened.ground.since.is_some() => SECOND_FORM,
            Event::Signed(signed) if !signed.disqualified.is_empty() => SECOND_FORM,
            Event::Disqualified { .. } => SECOND_FORM,
            _ => 1,
        }
    }

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
            | Event::Disqualified { .. }
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
list!(DisqualifiedList, Disqualified, "DisqualifiedForm");

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
    #[serde(rename = "discretion.disqualified")]
    Disqualified {
        #[serde(with = "DisqualifiedList")]
        players: Vec<Disqualified>,
    },
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
    // Left out of a ruling from a review, so that it keeps to form 1.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "SinceOrNone")]
    since: Option<Since>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Since", deny_unknown_fields)]
struct SinceForm {
    play: usize,
    coming: usize,
    #[serde(with = "SituationForm")]
    now: Situation,
}

or_none!(SinceOrNone, Since, "SinceForm");

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
    // Left out where nobody is disqualified, so that the signature keeps to form 1.
    #[serde(default, skip_serializing_if = "Vec::is_empty", with = "DisqualifiedList")]
    disqualified: Vec<Disqualified>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Disqualified", deny_unknown_fields)]
struct DisqualifiedForm {
    #[serde(with = "TeamForm")]
    team: Team,
    position: String,
    number: Option<u8>,
    #[serde(with = "CauseForm")]
    cause: Cause,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Cause", rename_all = "kebab-case")]
enum CauseForm {
    Foul(String),
    Risk,
}
