//! The game's part of form 1: situations, flags, prices, fouls.

use super::spelling::{Exact, ExactOrNone, list, or_none};
use field::exact::Yards;
use rules::book::effect::{DeadBy, Part, Points};
use rules::book::replay::Price;
use rules::game::enforce::{Done, Enforced};
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{ByTeam, Challenges, ClockStart, End, Next, Situation, Team};
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
pub(super) struct ByTeamForm<T> {
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
pub(super) enum PartForm {
    Offense,
    Defense,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PlayEnd", deny_unknown_fields)]
struct PlayEndForm {
    #[serde(with = "Exact")]
    spot: Yards,
    clock_ms: Option<i64>,
    #[serde(with = "DeadByForm")]
    dead_by: DeadBy,
    #[serde(with = "ScoreOrNone")]
    points: Option<(Points, Part)>,
    turnover: bool,
    /// Written only where it is so.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    regained: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "DeadBy", rename_all = "kebab-case")]
enum DeadByForm {
    Down,
    OutOfBounds,
    Incomplete,
    Score,
    ChangeOfPossession,
    Foul,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Points", rename_all = "kebab-case")]
enum PointsForm {
    Touchdown,
    FieldGoal,
    Safety,
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

or_none!(ClockStartOrNone, ClockStart, "ClockStartForm");

or_none!(SituationOrNone, Situation, "SituationForm");

or_none!(PlayEndOrNone, PlayEnd, "PlayEndForm");

/// Points and who made them, or nothing.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScoreOrNone {
    #[serde(with = "PointsForm")]
    points: Points,
    #[serde(with = "PartForm")]
    by: Part,
}

impl ScoreOrNone {
    fn serialize<S: Serializer>(score: &Option<(Points, Part)>, to: S) -> Result<S::Ok, S::Error> {
        Serialize::serialize(&score.map(|(points, by)| ScoreOrNone { points, by }), to)
    }

    fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<(Points, Part)>, D::Error> {
        let score: Option<ScoreOrNone> = Deserialize::deserialize(from)?;
        Ok(score.map(|ScoreOrNone { points, by }| (points, by)))
    }
}
