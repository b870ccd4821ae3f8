//! Form 1 of the events of a review, as JSON.
//!
//! Each type here is the mirror of one of the review's: the mirror is what is stored, and the two are held
//! together by the compiler alone. When a type of the review changes, its mirror here stays as it is, gets a
//! form number of its own, and is brought up to date on reading. Yards are text, exact: `"38.5"`, `"85/3"`.

use crate::book::effect::Part;
use crate::book::exact::Yards;
use crate::book::replay::Price;
use crate::book::tree::Looks;
use crate::game::enforce::{Done, Enforced};
use crate::game::play::{Choice, Flag};
use crate::game::situation::{ByTeam, Challenges, ClockStart, End, Next, Situation, Team};
use crate::proof::mark::{Basis, Mark};
use crate::proof::verdict::Verdict;
use crate::review::event::{
    Answered, Asked, Called, Event, Found, Look, Marked, Override, ReadBack, Refused, Snapshot,
};
use crate::review::gate::{Entry, Initiator, Ruled, Stop};
use crate::review::stance::{Outcome, Why};
use crate::review::words::Words;
use serde::{Deserialize, Serialize};

use super::spelling::{exact, exact_or_none, timecode};

/// `with` reaches a field, not what stands in a list or may be left out; the module made here does.
macro_rules! inside {
    ($module:ident, Vec<$of:ty>, $form:literal) => {
        mod $module {
            use super::*;

            #[derive(Serialize, Deserialize)]
            struct One(#[serde(with = $form)] $of);

            pub(super) fn serialize<S: serde::Serializer>(all: &[$of], to: S) -> Result<S::Ok, S::Error> {
                to.collect_seq(all.iter().cloned().map(One))
            }

            pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(
                from: D,
            ) -> Result<Vec<$of>, D::Error> {
                Ok(Vec::<One>::deserialize(from)?.into_iter().map(|One(one)| one).collect())
            }
        }
    };
    ($module:ident, Option<$of:ty>, $form:literal) => {
        mod $module {
            use super::*;

            #[derive(Serialize, Deserialize)]
            struct One(#[serde(with = $form)] $of);

            pub(super) fn serialize<S: serde::Serializer>(
                one: &Option<$of>,
                to: S,
            ) -> Result<S::Ok, S::Error> {
                one.clone().map(One).serialize(to)
            }

            pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(
                from: D,
            ) -> Result<Option<$of>, D::Error> {
                Ok(Option::<One>::deserialize(from)?.map(|One(one)| one))
            }
        }
    };
}

/// The name under which the kind stands among the fields of the body.
pub(super) const TAG: &str = "event";

inside!(ruled_list, Vec<Ruled>, "RuledForm");
inside!(flag_list, Vec<Flag>, "FlagForm");
inside!(found_list, Vec<Found>, "FoundForm");
inside!(foul_list, Vec<Enforced>, "EnforcedForm");
inside!(override_list, Vec<Override>, "OverrideForm");
inside!(clock_start_or_none, Option<ClockStart>, "ClockStartForm");

/// The kinds of entry that are events of a review, with their bodies. The kind stands beside the body in an
/// entry; here it is the tag [`TAG`], which no body has as a field.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
pub(super) enum EventForm {
    #[serde(rename = "review.called")]
    Called(#[serde(with = "CalledForm")] Called),
    #[serde(rename = "review.asked")]
    Asked(#[serde(with = "AskedForm")] Asked),
    #[serde(rename = "review.refused")]
    Refused(#[serde(with = "RefusedForm")] Refused),
    #[serde(rename = "review.read-back")]
    ReadBack(#[serde(with = "ReadBackForm")] ReadBack),
    #[serde(rename = "review.flagged")]
    Flagged(#[serde(with = "flagged")] Vec<Flag>),
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
    #[serde(rename = "review.answered")]
    Answered(#[serde(with = "AnsweredForm")] Answered),
    #[serde(rename = "review.undone")]
    Undone { act: usize },
    #[serde(rename = "review.settled")]
    Settled,
    #[serde(rename = "review.withdrawn")]
    Withdrawn,
    #[serde(rename = "review.ruled")]
    Ruled(#[serde(with = "boxed")] Box<Snapshot>),
    #[serde(rename = "review.restart-read-back")]
    RestartReadBack,
    #[serde(rename = "review.announced")]
    Announced,
    #[serde(rename = "review.cut-short")]
    CutShort { reason: String },
}

/// A body is an object, so a bare list gets a name.
mod flagged {
    use super::*;

    #[derive(Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Flagged {
        #[serde(with = "flag_list")]
        flags: Vec<Flag>,
    }

    pub(super) fn serialize<S: serde::Serializer>(flags: &[Flag], to: S) -> Result<S::Ok, S::Error> {
        Flagged { flags: flags.to_vec() }.serialize(to)
    }

    pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Vec<Flag>, D::Error> {
        Ok(Flagged::deserialize(from)?.flags)
    }
}

mod boxed {
    use super::*;

    pub(super) fn serialize<S: serde::Serializer>(snapshot: &Snapshot, to: S) -> Result<S::Ok, S::Error> {
        SnapshotForm::serialize(snapshot, to)
    }

    pub(super) fn deserialize<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Box<Snapshot>, D::Error> {
        SnapshotForm::deserialize(from).map(Box::new)
    }
}

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
#[serde(remote = "Situation", deny_unknown_fields)]
struct SituationForm {
    period: u8,
    clock_ms: i64,
    clock_running: bool,
    play_clock_s: Option<u16>,
    #[serde(with = "NextForm")]
    next: Next,
    #[serde(with = "TeamForm")]
    offense: Team,
    #[serde(with = "EndForm")]
    attacks: End,
    #[serde(with = "exact")]
    spot: Yards,
    #[serde(with = "ByTeamForm")]
    score: ByTeam<u16>,
    #[serde(with = "ByTeamForm")]
    timeouts: ByTeam<u8>,
    #[serde(with = "ChallengesByTeam")]
    challenges: ByTeam<Challenges>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Next", rename_all = "kebab-case", deny_unknown_fields)]
enum NextForm {
    Scrimmage {
        down: u8,
        #[serde(with = "exact")]
        to_go: Yards,
    },
    Try,
    FreeKick,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Team", rename_all = "kebab-case")]
enum TeamForm {
    Home,
    Away,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "End", rename_all = "kebab-case")]
enum EndForm {
    East,
    West,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ByTeam", deny_unknown_fields)]
struct ByTeamForm<T> {
    home: T,
    away: T,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ByTeam<Challenges>", deny_unknown_fields)]
struct ChallengesByTeam {
    #[serde(with = "ChallengesForm")]
    home: Challenges,
    #[serde(with = "ChallengesForm")]
    away: Challenges,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Challenges", deny_unknown_fields)]
struct ChallengesForm {
    used: u8,
    won: u8,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Asked", deny_unknown_fields)]
struct AskedForm {
    tree: String,
    call: String,
    whistle: Option<String>,
    #[serde(with = "ruled_list")]
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
#[serde(remote = "Price", deny_unknown_fields)]
struct PriceForm {
    timeout: bool,
    challenge: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ReadBack", deny_unknown_fields)]
struct ReadBackForm {
    #[serde(with = "exact_or_none")]
    spot: Option<Yards>,
    clock_ms: Option<i64>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Flag", deny_unknown_fields)]
struct FlagForm {
    name: String,
    #[serde(with = "PartForm")]
    by: Part,
    #[serde(with = "exact_or_none")]
    spot: Option<Yards>,
    dead: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Part", rename_all = "kebab-case")]
enum PartForm {
    Offense,
    Defense,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Choice", rename_all = "kebab-case")]
enum ChoiceForm {
    Accept,
    Decline,
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
    #[serde(with = "exact_or_none")]
    x: Option<Yards>,
    clock_ms: Option<i64>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Mark", deny_unknown_fields)]
struct MarkForm {
    moment: String,
    camera: String,
    #[serde(with = "timecode")]
    timecode: crate::proof::timecode::Timecode,
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
    Computed(#[serde(with = "VerdictForm")] Verdict),
}

/// A probability is a measured figure, so a number; the shortest decimal that reads back as the same float.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Verdict", rename_all = "kebab-case", deny_unknown_fields)]
enum VerdictForm {
    Established {
        #[serde(with = "super::spelling::or_nothing")]
        probability: f64,
    },
    Refuted {
        #[serde(with = "super::spelling::or_nothing")]
        probability: f64,
    },
    Inconclusive {
        #[serde(with = "super::spelling::or_nothing")]
        probability: f64,
    },
    Contradiction,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Snapshot", deny_unknown_fields)]
struct SnapshotForm {
    engine: u32,
    edition: String,
    #[serde(with = "found_list")]
    questions: Vec<Found>,
    #[serde(with = "SituationForm")]
    after: Situation,
    #[serde(with = "clock_start_or_none")]
    clock_starts: Option<ClockStart>,
    #[serde(with = "foul_list")]
    fouls: Vec<Enforced>,
    won: Option<bool>,
    #[serde(with = "PriceForm")]
    price: Price,
    #[serde(with = "WordsForm")]
    words: Words,
    #[serde(with = "override_list")]
    overrides: Vec<Override>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Found", deny_unknown_fields)]
struct FoundForm {
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
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ClockStart", rename_all = "kebab-case")]
enum ClockStartForm {
    Snap,
    Ready,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Enforced", deny_unknown_fields)]
struct EnforcedForm {
    name: String,
    #[serde(with = "TeamForm")]
    by: Team,
    #[serde(with = "DoneForm")]
    done: Done,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Done", rename_all = "kebab-case")]
enum DoneForm {
    Accepted,
    Declined,
    Offset,
    ScoreCounts,
    Carried,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Words", deny_unknown_fields)]
struct WordsForm {
    announcement: String,
    clock: String,
    chains: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Override", deny_unknown_fields)]
struct OverrideForm {
    what: String,
    reason: String,
}
