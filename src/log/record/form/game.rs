//! The game's part of form 1: situations, flags, prices, fouls.

use super::super::spelling::{Exact, ExactOrNone, list};
use crate::book::effect::Part;
use crate::book::exact::Yards;
use crate::book::replay::Price;
use crate::game::enforce::{Done, Enforced};
use crate::game::play::{Choice, Flag};
use crate::game::situation::{ByTeam, Challenges, ClockStart, End, Next, Situation, Team};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

list!(FlagList, Flag, "FlagForm");
list!(EnforcedList, Enforced, "EnforcedForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Situation", deny_unknown_fields)]
pub(super) struct SituationForm {
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
    #[serde(with = "Exact")]
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
        #[serde(with = "Exact")]
        to_go: Yards,
    },
    Try,
    FreeKick,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Team", rename_all = "kebab-case")]
pub(super) enum TeamForm {
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
#[serde(remote = "Price", deny_unknown_fields)]
pub(super) struct PriceForm {
    timeout: bool,
    challenge: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Flag", deny_unknown_fields)]
pub(super) struct FlagForm {
    name: String,
    #[serde(with = "PartForm")]
    by: Part,
    #[serde(with = "ExactOrNone")]
    spot: Option<Yards>,
    dead: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    clock_ms: Option<i64>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Part", rename_all = "kebab-case")]
enum PartForm {
    Offense,
    Defense,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Choice", rename_all = "kebab-case")]
pub(super) enum ChoiceForm {
    Accept,
    Decline,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "ClockStart", rename_all = "kebab-case")]
pub(super) enum ClockStartForm {
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
    FellAway,
}

/// How the clock starts, where it is known.
#[derive(Serialize, Deserialize)]
pub(super) struct ClockStartOrNone(#[serde(with = "ClockStartForm")] ClockStart);

impl ClockStartOrNone {
    pub(super) fn serialize<S: Serializer>(start: &Option<ClockStart>, to: S) -> Result<S::Ok, S::Error> {
        Serialize::serialize(&start.map(ClockStartOrNone), to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<ClockStart>, D::Error> {
        let start: Option<ClockStartOrNone> = Deserialize::deserialize(from)?;
        Ok(start.map(|ClockStartOrNone(start)| start))
    }
}
