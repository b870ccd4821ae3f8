//! The stored form of a play with fouls, in a `day.moved` of form 2; of form 3 where a player is named who stays.

use super::day::AdvanceForm;
use super::game::{ChoiceForm, PartForm};
use super::spelling::{Exact, ExactOrNone, list, or_none};
use field::exact::Yards;
use rules::book::effect::Part;
use rules::game::advance::Advance;
use rules::game::advance::fouls::{Called, Decision, Fouled, Player, When};
use rules::game::enforce::Carry;
use rules::game::enforce::options::Kind;
use rules::game::enforce::walk_off::Place;
use rules::game::play::Choice;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

list!(CalledList, Called, "CalledForm");
list!(DecisionList, Decision, "DecisionForm");
or_none!(PlayerOrNone, Player, "PlayerForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Fouled", deny_unknown_fields)]
pub(super) struct FouledForm {
    #[serde(with = "AdvanceForm")]
    play: Advance,
    #[serde(with = "CalledList")]
    fouls: Vec<Called>,
    #[serde(with = "DecisionList")]
    decided: Vec<Decision>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Called", deny_unknown_fields)]
struct CalledForm {
    penalty: String,
    #[serde(with = "PartForm")]
    by: Part,
    #[serde(with = "ExactOrNone")]
    spot: Option<Yards>,
    #[serde(with = "WhenForm")]
    when: When,
    #[serde(with = "PlayerOrNone")]
    sent_off: Option<Player>,
    /// From form 3 on.
    #[serde(with = "PlayerOrNone", default, skip_serializing_if = "Option::is_none")]
    player: Option<Player>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Player", deny_unknown_fields)]
struct PlayerForm {
    position: String,
    number: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "When", rename_all = "kebab-case")]
enum WhenForm {
    Before,
    Live,
    Return,
    After,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Decision", rename_all = "kebab-case", deny_unknown_fields)]
enum DecisionForm {
    Live(#[serde(with = "KindForm")] Kind),
    Foul {
        foul: usize,
        #[serde(with = "ChoiceForm")]
        choice: Choice,
    },
    Carried(#[serde(with = "CarryForm")] Carry),
    RunOff(bool),
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Kind", rename_all = "kebab-case")]
enum KindForm {
    Play,
    Accept(usize, #[serde(with = "PlaceForm")] Place),
    Decline,
    Offset,
    KeepBall,
    TouchSpot(#[serde(with = "Exact")] Yards),
    Repeat,
    ByRule,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Place", rename_all = "kebab-case")]
enum PlaceForm {
    Standard,
    TackOn,
    Beyond,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Carry", rename_all = "kebab-case")]
enum CarryForm {
    Try,
    FreeKick,
    NextSeries,
}
