//! The stored form of what happens in a game outside its reviews: `day.…` entries, each with the game's id. Form 1; a
//! `day.moved` by a play with fouls has form 2, or 3 where it names a player who stays, as has one in
//! which the ball changed hands twice, or 4 where a penalty is carried to the next series.
//!
//! Such an entry belongs to no review. The reasons that people give lie beside the chain, as in a review's entries.

use super::fouls::FouledForm;
use super::game::{ByTeamForm, PartForm, SituationForm, SituationOrNone, TeamForm};
use super::spelling::{Exact, boxed, list, mirrored};
use crate::chain::entry::Act;
use crate::forms::stored::{Kinds, Owner, Stored, Unreadable, check};
use field::exact::Yards;
use review::announcement::Names;
use review::day::Stamped;
use review::day::fold::Day;
use review::day::{By, Camera, Duty, Early, Ending, Event, GameCard, Opened};
use rules::book::effect::Part;
use rules::game::advance::fouls::{Decision, Fouled};
use rules::game::advance::{Advance, Did, Tried};
use rules::game::enforce::Carry;
use rules::game::situation::{ByTeam, Situation, Team};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

impl Stored for Event {
    const KINDS: Kinds = Kinds {
        noun: "game",
        prefix: "day.",
        owner: Owner::Field("game"),
        ends: &["day.review-ended", "day.closed", "day.ended-early"],
        newest,
        unreadable: Unreadable::Stops,
        check: check::<Event>,
    };

    type Stamped = Stamped;
    type State = Day;

    mirrored!(EventForm);

    fn form(&self) -> u64 {
        let regained = |did| matches!(did, Did::Regained { .. });
        match self {
            Event::Moved { by: By::Fouls(fouled), .. } => {
                let named = fouled.fouls.iter().any(|called| called.player.is_some());
                if fouled.decided.contains(&Decision::Carried(Carry::NextSeries)) {
                    NEXT_SERIES_FORM
                } else if named || regained(fouled.play.did) {
                    PLAYERS_FORM
                } else {
                    FOULS_FORM
                }
            }
            Event::Moved { by: By::Play(play), .. } if regained(play.did) => PLAYERS_FORM,
            _ => 1,
        }
    }

    fn free_texts(&mut self) -> Vec<&mut String> {
        match self {
            Event::Moved { by: By::Correction { reason }, .. } | Event::CardCorrected { reason, .. } => {
                reason.iter_mut().collect()
            }
            Event::OutOfService { reason, .. }
            | Event::EndedEarly { reason, .. }
            | Event::Reopened { reason }
            | Event::CameraLost { reason, .. } => vec![reason],
            Event::Opened(_)
            | Event::Checked { .. }
            | Event::Moved {
                by: By::Set | By::Play(_) | By::Fouls(_) | By::Timeout(_) | By::Period, ..
            }
            | Event::Undone { .. }
            | Event::Looked { .. }
            | Event::ReviewBegan { .. }
            | Event::ReviewEnded { .. }
            | Event::BackInService { .. }
            | Event::Closed
            | Event::HandedOver { .. }
            | Event::CameraBack { .. } => Vec::new(),
        }
    }

    fn stamped(self, act: &Act) -> Stamped {
        Stamped { at: act.at.clone(), event: self }
    }

    fn apply(state: &mut Day, _id: &str, stamped: Stamped) {
        state.apply(stamped);
    }

    fn begins(&self) -> Option<&str> {
        let Event::Opened(opened) = self else { return None };
        Some(&opened.card.game)
    }

    fn edition(day: &Day) -> Option<&str> {
        day.opened.as_ref().map(|opened| opened.edition.as_str())
    }
}

/// The first form in which a play has its fouls.
const FOULS_FORM: u64 = 2;
/// The first form in which a foul has its player, though he stays, and the ball may have changed hands twice.
const PLAYERS_FORM: u64 = 3;
/// The first form in which a penalty may be carried to the next series of overtime.
const NEXT_SERIES_FORM: u64 = 4;

fn newest(kind: &str) -> u64 {
    if kind == "day.moved" { NEXT_SERIES_FORM } else { 1 }
}

list!(CameraList, Camera, "CameraForm");
list!(DutyList, Duty, "DutyForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Event", tag = "event")]
enum EventForm {
    #[serde(rename = "day.opened")]
    Opened(#[serde(with = "Boxed")] Box<Opened>),
    #[serde(rename = "day.checked")]
    Checked { item: String, done: bool },
    #[serde(rename = "day.moved")]
    Moved {
        #[serde(with = "SituationForm")]
        to: Situation,
        #[serde(with = "ByForm")]
        by: By,
    },
    #[serde(rename = "day.undone")]
    Undone { act: usize },
    #[serde(rename = "day.looked")]
    Looked { play: usize },
    #[serde(rename = "day.review-began")]
    ReviewBegan { review: String, play: usize },
    #[serde(rename = "day.review-ended")]
    ReviewEnded {
        review: String,
        #[serde(with = "EndingForm")]
        how: Ending,
        #[serde(with = "SituationOrNone")]
        to: Option<Situation>,
    },
    #[serde(rename = "day.out-of-service")]
    OutOfService { reason: String, words: String },
    #[serde(rename = "day.back-in-service")]
    BackInService { words: String },
    #[serde(rename = "day.closed")]
    Closed,
    #[serde(rename = "day.ended-early")]
    EndedEarly {
        #[serde(with = "EarlyForm")]
        how: Early,
        #[serde(with = "ByTeamForm")]
        score: ByTeam<u16>,
        reason: String,
        words: String,
    },
    #[serde(rename = "day.reopened")]
    Reopened { reason: String },
    #[serde(rename = "day.card-corrected")]
    CardCorrected {
        #[serde(with = "BoxedCard")]
        from: Box<GameCard>,
        #[serde(with = "BoxedCard")]
        to: Box<GameCard>,
        reason: Option<String>,
    },
    #[serde(rename = "day.handed-over")]
    HandedOver { from: Option<String>, to: String },
    #[serde(rename = "day.camera-lost")]
    CameraLost { camera: String, reason: String },
    #[serde(rename = "day.camera-back")]
    CameraBack { camera: String },
}

boxed!(BoxedCard, GameCard, GameCardForm);

boxed!(Boxed, Opened, OpenedForm);
boxed!(FouledBoxed, Fouled, FouledForm);

#[derive(Serialize, Deserialize)]
#[serde(remote = "Opened", deny_unknown_fields)]
struct OpenedForm {
    #[serde(with = "GameCardForm")]
    card: GameCard,
    book: String,
    edition: String,
    checklist: Vec<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "GameCard", deny_unknown_fields)]
struct GameCardForm {
    game: String,
    week: Option<u32>,
    #[serde(with = "NamesForm")]
    names: Names,
    venue: String,
    #[serde(with = "CameraList")]
    cameras: Vec<Camera>,
    #[serde(with = "DutyList")]
    duties: Vec<Duty>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Names", deny_unknown_fields)]
struct NamesForm {
    #[serde(with = "ByTeamForm")]
    teams: ByTeam<String>,
    #[serde(with = "ByTeamForm")]
    short: ByTeam<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Camera", deny_unknown_fields)]
struct CameraForm {
    name: String,
    sees: String,
    timecode: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Duty", deny_unknown_fields)]
struct DutyForm {
    duty: String,
    who: String,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "By", rename_all = "kebab-case")]
enum ByForm {
    Set,
    Play(#[serde(with = "AdvanceForm")] Advance),
    Fouls(#[serde(with = "FouledBoxed")] Box<Fouled>),
    Correction { reason: Option<String> },
    Timeout(#[serde(with = "TeamForm")] Team),
    Period,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Early", rename_all = "kebab-case")]
enum EarlyForm {
    Forfeit(#[serde(with = "TeamForm")] Team),
    Suspended,
    Called,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Ending", rename_all = "kebab-case")]
enum EndingForm {
    Ruled,
    Refused,
    Withdrawn,
    CutShort,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Advance", deny_unknown_fields)]
pub(super) struct AdvanceForm {
    #[serde(with = "DidForm")]
    did: Did,
    clock_ms: i64,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Did", rename_all = "kebab-case", deny_unknown_fields)]
enum DidForm {
    Down {
        #[serde(with = "Exact")]
        at: Yards,
    },
    OutOfBounds {
        #[serde(with = "Exact")]
        at: Yards,
    },
    Incomplete,
    Touchdown {
        #[serde(with = "PartForm")]
        by: Part,
    },
    FieldGoal {
        good: bool,
    },
    Safety,
    Kicked {
        #[serde(with = "Exact")]
        to: Yards,
    },
    Touchback,
    Turnover {
        #[serde(with = "Exact")]
        at: Yards,
    },
    /// From form 3 on.
    Regained {
        #[serde(with = "Exact")]
        at: Yards,
    },
    KickKept {
        #[serde(with = "Exact")]
        at: Yards,
    },
    Tried(#[serde(with = "TriedForm")] Tried),
    Again,
    Nothing,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Tried", rename_all = "kebab-case")]
enum TriedForm {
    Kick,
    Run,
    Failed,
    Returned,
}
